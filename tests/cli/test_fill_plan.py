"""`coldsoak fill plan`: on the terminal, as drawing and as JSON; what cannot be used is one sentence."""

import json
from pathlib import Path

import pytest
from tests.fill.sheets import FULL, HEAD, PRICES

from coldsoak.cautions import closing
from coldsoak.cli._edge import run
from coldsoak.cli.main import coldsoak
from coldsoak.fill import FillPlan

GOOD = [
    *("--fluid", "TT-9 test", "--bottle-temp", "20degC", "--thermometer", "contact"),
    *("--out", "suction=6 US quart@20degC,bucket", "--out", "pan=1.05 kg,scale", "--opened", "valve_body"),
]


@pytest.fixture
def sheet(tmp_path: Path) -> str:
    path = tmp_path / "test.yaml"
    path.write_text(
        HEAD + FULL % {"drawn": ", drawn: 1 L", "above": ", hole_above: 5 mm", "pickup": ""}, "utf-8"
    )
    (tmp_path / "prices.yaml").write_text(PRICES, encoding="utf-8")
    return str(path)


def words(capsys: pytest.CaptureFixture[str]) -> str:
    return " ".join(capsys.readouterr().out.split())


def test_the_sentence_the_window_and_the_figures(sheet: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Hand-worked: 6 US quart, 1.05 kg of 850 kg/m³ at 15 °C (1.24 L at 20 °C) and 0.6 L are 7.95 US quart."""
    assert run(coldsoak, ["fill", "plan", sheet, *GOOD, "--reading", "100 °F"]) == 0
    said = words(capsys)
    assert said.startswith("Test gearbox, TT-9 test Put 7.00 US qt (6.62 L) in before the engine is started")
    assert "inside the window with" in said
    assert "Next: open the level plug now." in said
    assert "N now" in said
    assert "6.00 US qt (5.68 L)" in said
    assert "At the plug (Level plug)" in said
    assert said.endswith(closing())


def test_json_is_one_line_that_comes_back(
    sheet: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "level.svg"
    assert run(coldsoak, ["fill", "plan", sheet, *GOOD, "--svg", str(out), "--json"]) == 0
    captured = capsys.readouterr()
    assert len(captured.out.splitlines()) == 1
    assert json.loads(captured.out)["schema"] == "coldsoak.fill/1"
    assert FillPlan.from_json(captured.out).quarts_first
    assert out.read_text("utf-8").startswith("<svg")
    assert str(out) in captured.err


def test_bottles_and_exchange(sheet: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    more = ["--prices", str(tmp_path / "prices.yaml"), "--exchange-to", "10 %", "--closes-in", "6 min"]
    assert run(coldsoak, ["fill", "plan", sheet, *GOOD, *more]) == 0
    said = words(capsys)
    assert "EUR" in said
    assert "Old fluid down to 10 %" in said
    assert "cheapest:" in said
    assert "before the window closes in 6 min" in said


def test_a_picture(sheet: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "level.png"
    assert run(coldsoak, ["fill", "plan", sheet, *GOOD, "--png", str(out)]) == 0
    assert out.read_bytes().startswith(b"\x89PNG")
    assert "The level window lies at" in words(capsys)


@pytest.mark.parametrize("verdict", ["believable", "undecided", "not_believable", None])
def test_the_verdict_of_a_saved_judgement(
    verdict: str | None, sheet: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    channel = {"name": "Fluid", "quantity": "fluid_temp" if verdict else "coolant_temp", "refresh_s": 1.0}
    log = {"file": "drive.csv", "sha256": "0" * 64, "rows": 1, "duration_s": 1.0}
    channels = [{**channel, "verdict": verdict or "believable", "sentence": "."}]
    path = tmp_path / "judgement.json"
    path.write_text(
        json.dumps({"schema": "coldsoak.judgement/1", "log": log, "channels": channels}), encoding="utf-8"
    )
    used = [*GOOD[:4], "--thermometer", "built_in", "--judged", str(path), *GOOD[6:]]
    status = run(coldsoak, ["fill", "plan", sheet, *used])
    captured = capsys.readouterr()
    if verdict in ("believable", "undecided"):
        assert status == 0
        assert ("in doubt" in captured.out) is (verdict == "undecided")
        assert captured.err == f"The built-in thermometer was judged {verdict}, by the log drive.csv.\n"
    else:
        assert status == 2
        expected = "was judged not believable" if verdict else "judges no gearbox fluid temperature"
        assert expected in captured.err


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        ([], "which fluid is on the bottle is not known"),
        (
            ["--fluid", "LX-1"],
            "the bottle says 'LX-1' and the sheet of Test gearbox wants 'TT-9 test': pour nothing in",
        ),
        (["--fluid", "TT-9 test"], "how warm the fluid in the bottle is decides how much it grows"),
        (
            GOOD[:4],
            "without a way to read the fluid temperature there is no accurate level check on this unit",
        ),
        ([*GOOD[:4], "--thermometer", "none"], "there is no accurate level check on this unit"),
        (GOOD[:6], "nothing came out by the ledger"),
        ([*GOOD, "--reading", "100"], "'100' has no unit"),
        ([*GOOD, "--out", "drain=5"], "'5' has no unit"),
        ([*GOOD, "--exchange-to", "0.1"], "'0.1' has no unit"),
        ([*GOOD, "--opened", "filter"], "the sheet gives no `spills` for filter"),
        ([*GOOD, "--judged", "nowhere.json"], "nowhere.json is not there"),
        ([*GOOD, "--thermometer-u", "30 K"], "a thermometer is not sure to 30 K"),
    ],
)
def test_what_cannot_be_used_is_one_sentence(
    arguments: list[str], sentence: str, sheet: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(coldsoak, ["fill", "plan", sheet, *arguments]) == 2
    said = capsys.readouterr().err
    assert sentence in said
    assert len(said.splitlines()) == 1


def test_a_judgement_that_is_none(sheet: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "other.json"
    path.write_text("{}", encoding="utf-8")
    assert run(coldsoak, ["fill", "plan", sheet, *GOOD, "--judged", str(path)]) == 2
    assert "is no judgement: write one with `coldsoak judge LOG --json" in capsys.readouterr().err


def test_of_several_judgements_none_is_picked_for_the_technician(
    sheet: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A rule of this project: which log speaks for the thermometer is not for the order of lines to say."""

    def line(log: str, verdict: str) -> str:
        channel = {
            "name": "Fluid",
            "quantity": "fluid_temp",
            "refresh_s": 1.0,
            "verdict": verdict,
            "sentence": ".",
        }
        stamp = {"file": log, "sha256": "0" * 64, "rows": 1, "duration_s": 1.0}
        return json.dumps({"schema": "coldsoak.judgement/1", "log": stamp, "channels": [channel]})

    path = tmp_path / "both.json"
    path.write_text(line("good.csv", "believable") + "\n" + line("bad.csv", "not_believable") + "\n", "utf-8")
    used = [*GOOD[:4], "--thermometer", "built_in", "--judged", str(path), *GOOD[6:]]
    assert run(coldsoak, ["fill", "plan", sheet, *used]) == 2
    said = capsys.readouterr().err
    assert (
        "holds 2 judgements, of good.csv, bad.csv: save that of the log of this very thermometer alone"
        in said
    )
