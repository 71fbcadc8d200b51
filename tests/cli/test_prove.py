"""`coldsoak prove` as a person and as a script use it."""

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from coldsoak.cli._edge import UNUSABLE, run
from coldsoak.cli.main import coldsoak
from coldsoak.practice.faults import Bursts, Offset
from coldsoak.practice.run import simulate
from coldsoak.practice.write import write_log

ROAD = {"rate_hz": 2.0, "duration_s": 1800.0}
BOUTS = tuple((at, at + 15.0) for at in (300.0, 520.0, 700.0, 980.0, 1250.0, 1400.0, 1600.0))


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("shop") / "demo"
    assert run(coldsoak, ["demo", str(folder)]) == 0
    return folder / "logs"


def only(folder: Path, pattern: str) -> str:
    (path,) = folder.glob(pattern)
    return str(path)


@pytest.fixture(scope="module")
def logs(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One practice vehicle: a contact that comes and goes, the drive after the repair, and drives that go wrong."""
    folder = tmp_path_factory.mktemp("logs")
    fault = Bursts(BOUTS, 0.5, to_ground=False)
    made = {
        "before": simulate(seed=31, drive_seed=1, fault=fault, **ROAD),
        "after": simulate(seed=31, drive_seed=2, **(ROAD | {"duration_s": 5400.0})),
        "again": simulate(seed=31, drive_seed=3, fault=replace(fault, groups=BOUTS[2:3]), **ROAD),
        "other": simulate(seed=32, drive_seed=2, **ROAD),
        "low": simulate(
            "cold_soak", seed=100, drive_seed=1, fault=Offset(-12.0), rate_hz=2.0, duration_s=900.0
        ),
        "right": simulate("cold_soak", seed=100, drive_seed=2, rate_hz=2.0, duration_s=900.0),
        "warm": simulate("hot_start", seed=100, drive_seed=3, rate_hz=2.0, duration_s=900.0),
    }
    for name, one in made.items():
        write_log(one.log, folder / f"{name}.csv")
    log = made["after"].log
    without = replace(log, channels=tuple(c for c in log.channels if c.quantity != "fluid_temp"))
    write_log(without, folder / "without.csv")
    text = (folder / "after.csv").read_text("utf-8").splitlines(keepends=True)
    (folder / "short.csv").write_text("".join(text[:2]), "utf-8")
    return folder


def said(capsys: pytest.CaptureFixture[str], *arguments: str) -> dict[str, object]:
    assert run(coldsoak, ["prove", "--json", *arguments]) == 0
    (line,) = capsys.readouterr().out.splitlines()
    return dict(json.loads(line))


def test_the_demo_van_is_not_proven_by_a_short_drive(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The story of the demo: twenty minutes prove nothing, the delivery round does."""
    before, short, long = (only(shop, name) for name in ("*lamp*", "*short-road-test*", "*delivery-round*"))
    proof = said(capsys, before, short)
    assert (proof["schema"], proof["verdict"], proof["episodes_after"]) == (
        "coldsoak.proof/1",
        "not_proven",
        0,
    )
    assert 1800 < float(str(proof["drive_more_s"])) < 5400
    proof = said(capsys, before, short, "--also-after", long)
    assert (proof["verdict"], proof["drive_more_s"], proof["new_troubles"]) == ("proven", None, [])
    assert float(str(proof["chance_still_there"])) < 0.02
    assert len(dict(proof["after"])["files"]) == 2  # type: ignore[call-overload]


def test_proven_and_back(logs: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Truth of the practice vehicle: seven bouts before; none, or one, after."""
    proof = said(capsys, str(logs / "before.csv"), str(logs / "after.csv"))
    assert (proof["verdict"], proof["episodes_before"]) == ("proven", len(BOUTS))
    assert proof["fault"] == "comes_and_goes"
    proof = said(capsys, str(logs / "before.csv"), str(logs / "again.csv"))
    assert (proof["verdict"], proof["episodes_after"]) == ("back", 1)
    assert proof["drive_more_s"] is None


def test_codes_enter_the_verdict(logs: Path, capsys: pytest.CaptureFixture[str]) -> None:
    pair = (str(logs / "before.csv"), str(logs / "after.csv"))
    proof = said(
        capsys, *pair, "--codes-before", "P0711", "--codes-after", "none", "--readiness", "00:07:E5:04"
    )
    assert proof["verdict"] == "proven"
    assert dict(proof["codes"])["sentences"] == [  # type: ignore[call-overload]
        "no stored code",
        "1 of 8 monitors have not run to their end: evaporative system",
    ]
    assert said(capsys, *pair, "--pending-after", "P0711")["sentence"] == "Back: P0711 is pending again."
    assert said(capsys, *pair, "--readiness", "0047E500")["verdict"] == "not_proven"


@pytest.mark.parametrize(("after", "verdict"), [("right", "proven"), ("warm", "not_proven"), ("low", "back")])
def test_a_sensor_that_reads_low_is_proven_cold(
    logs: Path, tmp_path: Path, after: str, verdict: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Truth: an offset of 12 K that stands; the drive after it starts cold without it, warm, or cold with it."""
    path = tmp_path / f"{after}-again.csv"
    text = (logs / f"{after}.csv").read_text("utf-8")
    path.write_text(text if after != "low" else "".join(text.splitlines(keepends=True)[:-1]), "utf-8")
    proof = said(capsys, str(logs / "low.csv"), str(path))
    assert (proof["verdict"], proof["fault"]) == (verdict, "standing")


def test_what_a_person_sees(logs: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(coldsoak, ["prove", str(logs / "before.csv"), str(logs / "after.csv")]) == 0
    shown = capsys.readouterr().out
    lines = shown.splitlines()
    assert lines[1].startswith("Proven: 0 episodes in ")
    (bar,) = [line for line in lines if line.startswith("  before │")]
    assert "█" in bar
    marks = lines[lines.index(bar) + 1]
    assert marks.count("▲") == len(BOUTS)
    assert "Next: Hand it over" in shown
    assert "never the driver" in shown
    assert "Follow the vehicle maker's service information" in " ".join(shown.split())


def test_the_drawing_is_written(logs: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "evidence.svg"
    assert (
        run(coldsoak, ["prove", str(logs / "before.csv"), str(logs / "after.csv"), "--svg", str(path)]) == 0
    )
    assert capsys.readouterr().out.rstrip().endswith(f"The drawing lies at {path}")
    assert path.read_text("utf-8").startswith("<svg ")


def test_prior_and_limit_can_be_chosen(
    logs: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    pair = (str(logs / "before.csv"), str(logs / "after.csv"))

    def chance(*options: str) -> float:
        return float(str(said(capsys, *pair, *options)["chance_still_there"]))

    assert chance("--prior", "10 %") < chance() < chance("--prior", "90 %")
    strict = said(capsys, *pair, "--prior", "99 %", "--limit", "0.01 %")
    assert (strict["verdict"], float(str(strict["drive_more_s"])) > 0) == ("not_proven", True)
    own = Path("src/coldsoak/prove/assumptions.toml").read_text("utf-8").replace("prior = 0.5", "prior = 0.1")
    table = tmp_path / "own.toml"
    table.write_text(own, "utf-8")
    assert chance("--assumptions", str(table)) == pytest.approx(chance("--prior", "10 %"))


@pytest.mark.parametrize(
    ("after", "options", "sentence"),
    [
        (
            "without.csv",
            [],
            "There is no channel 'Gearbox fluid temperature [°C]' in without.csv, so nothing can be proven by it: it has",
        ),
        ("short.csv", [], "short.csv is shorter than one refresh of 'Gearbox fluid temperature [°C]'"),
        ("before.csv", [], "before.csv and before.csv are the same log"),
        ("other.csv", [], "other.csv looks like a log of another vehicle than before.csv: 'Gearbox fluid "),
        ("missing.csv", [], "missing.csv is not there: check the spelling and the folder."),
        ("after.csv", ["--channel", "TFT"], "There is no channel 'TFT' in before.csv"),
        ("after.csv", ["--codes-after", "P07"], "'P07' is no trouble code: write them as in P0711"),
        (
            "after.csv",
            ["--readiness", "12"],
            "the readiness '12' is not understood: give the four bytes of PID 01",
        ),
        ("after.csv", ["--prior", "0.3"], "'0.3' has no unit: write the share as in 3 %."),
        ("after.csv", ["--limit", "60 %"], "--limit is 60 %: give a share from 0.01 % to 20 %."),
        ("after.csv", ["--pair-after", "20degC@20degC"], "--bench and --pair need the sensor's curve"),
    ],
)
def test_what_cannot_be_used_is_one_sentence(
    logs: Path,
    monkeypatch: pytest.MonkeyPatch,
    after: str,
    options: list[str],
    sentence: str,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(logs)
    assert run(coldsoak, ["prove", "before.csv", after, *options]) == UNUSABLE
    captured = capsys.readouterr()
    assert captured.err.startswith(f"coldsoak: {sentence}")
    assert len(captured.err.strip().splitlines()) == 1
    assert captured.out == ""


def test_another_vehicle_goes_on_when_it_is_said_to_be_the_same(
    logs: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    proof = said(capsys, str(logs / "before.csv"), str(logs / "other.csv"), "--same-vehicle")
    assert proof["verdict"] in {"proven", "not_proven"}


def test_a_log_before_without_a_fault_is_no_error(logs: Path, capsys: pytest.CaptureFixture[str]) -> None:
    proof = said(capsys, str(logs / "after.csv"), str(logs / "before.csv"))
    assert (proof["verdict"], proof["fault"], proof["drive_more_s"]) == ("not_proven", "none", None)
    assert str(proof["sentence"]).endswith("are the two swapped?")


def test_a_log_of_nothing_but_its_header_is_refused(logs: Path, tmp_path: Path) -> None:
    path = tmp_path / "cut.csv"
    path.write_text((logs / "after.csv").read_text("utf-8").splitlines()[0] + "\n", "utf-8")
    assert run(coldsoak, ["prove", str(logs / "before.csv"), str(path)]) == UNUSABLE


def test_help_names_every_option() -> None:
    shown = CliRunner().invoke(coldsoak, ["prove", "--help"]).output
    for option in (
        "--also-before",
        "--also-after",
        "--channel",
        "--same-vehicle",
        "--prior",
        "--limit",
        "--assumptions",
        "--codes-before",
        "--codes-after",
        "--pending-after",
        "--readiness",
        "--pair-before",
        "--pair-after",
        "--curve",
        "--unit",
        "--svg",
        "--json",
        "--map",
        "--rate",
    ):
        assert option in shown


def test_drives_of_one_vehicle_differ_and_come_again() -> None:
    """`drive_seed`: the same vehicle and sensors on another road, the same bytes every time."""
    one, two, again = (simulate(seed=31, drive_seed=n, duration_s=300.0) for n in (1, 2, 1))
    assert one.vehicle == two.vehicle
    assert one.sensors == two.sensors
    assert not np.array_equal(one.work.speed_kmh, two.work.speed_kmh)
    assert one.log == again.log
