"""`coldsoak torque`: the answer, its JSON, and what is refused."""

import json
from pathlib import Path

import pytest
from tests.build.sheets import CRIB

from coldsoak.cli._edge import run
from coldsoak.cli.main import coldsoak

KEYS = ["schema", "target_nm", "set", "unit", "wrench", "fits", "sentence"]


@pytest.fixture
def crib(tmp_path: Path) -> str:
    path = tmp_path / "crib.yaml"
    path.write_text(CRIB, encoding="utf-8")
    return str(path)


def test_json_is_the_contract(crib: str, capsys: pytest.CaptureFixture[str]) -> None:
    arguments = [
        "torque",
        "106 lbf·in",
        "--wrench",
        "small",
        "--crib",
        crib,
        "--date",
        "2026-06-01",
        "--json",
    ]
    assert run(coldsoak, arguments) == 0
    said = json.loads(capsys.readouterr().out)
    assert list(said)[: len(KEYS)] == KEYS
    assert said["schema"] == "coldsoak.torque/1"
    assert said["target_nm"] == pytest.approx(11.9764, abs=1e-4)
    assert (said["set"], said["unit"], said["wrench"], said["fits"]) == (12.0, "N·m", "Small wrench", True)


@pytest.mark.parametrize(("inch", "fits"), [(80, False), (106, True), (89, True), (35, False)])
def test_a_wrench_by_its_range(inch: int, fits: bool, capsys: pytest.CaptureFixture[str]) -> None:
    """Common practice, no source: gearbox fasteners against a wrench of 10 to 60 N·m."""
    assert run(coldsoak, ["torque", f"{inch} lbf·in", "--wrench", "10 to 60 N·m", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["fits"] is fits


def test_the_best_of_the_crib_and_why_not_the_others(crib: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert (
        run(coldsoak, ["torque", "35 in-lb", "--angle", "45 deg", "--crib", crib, "--date", "2026-06-01"])
        == 0
    )
    said = " ".join(capsys.readouterr().out.split())
    assert "Set Small wrench to 4 N·m for 35 lbf·in (3.95 N·m, 2.92 lbf·ft), then turn 45° more." in said
    assert "Inch wrench: its calibration ran out on 2025-01-10." in said
    assert "S start, E end: 45° clockwise" in said
    assert "Start every one by hand" in said


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["80"], "'80' has no unit: write the torque as in 12 N·m, 106 lbf·in or 9 lbf·ft."),
        (["80 lb"], "'lb' can mean more than one unit of torque"),
        (["80 mm"], "'mm' is a unit of length, not of torque"),
        (["0 N·m"], "'0 N·m' is no torque to tighten with: give one above 0."),
        (
            ["80 lbf·ft", "--thread", "M6"],
            "did you mean 80 lbf·in? If it stands as written, say --as-written.",
        ),
        (["5 lbf·in", "--thread", "M6", "--class", "8.8"], "did you mean 5 lbf·ft?"),
        (["9 N·m", "--thread", "M6", "--class", "8"], "'8' is no property class"),
        (["9 N·m", "--adapter", "40 mm"], "an adapter changes the setting by its angle: give it with --at"),
        (["9 N·m", "--at", "90 deg"], "--at is the angle of an adapter"),
    ],
)
def test_what_is_unclear_asks_back(
    arguments: list[str], sentence: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(coldsoak, ["torque", *arguments, "--wrench", "5 to 200 N·m", "--json"]) == 2
    captured = capsys.readouterr()
    assert sentence in captured.err
    assert captured.out == ""


def test_as_written_stands(capsys: pytest.CaptureFixture[str]) -> None:
    arguments = [
        "torque",
        "80 lbf·ft",
        "--thread",
        "M6",
        "--wrench",
        "5 to 200 N·m",
        "--as-written",
        "--json",
    ]
    assert run(coldsoak, arguments) == 0
    assert json.loads(capsys.readouterr().out)["target_nm"] == pytest.approx(108.4654, abs=1e-3)


def test_without_crib_and_wrench_it_asks(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert run(coldsoak, ["torque", "9 N·m"]) == 2
    assert "name a crib with --crib FILE, or the wrench in hand with --wrench" in capsys.readouterr().err
    (tmp_path / "crib.yaml").write_text(CRIB, encoding="utf-8")
    assert run(coldsoak, ["torque", "9 N·m", "--date", "2026-06-01"]) == 0
    assert "Set Small wrench to 9 N·m" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        (["--angle", "-45 deg"], "a turn of -45 deg after the torque is none"),
        (["--angle", "0 deg"], "a turn of 0 deg after the torque is none"),
        (["--angle", "450 deg"], "a turn of 450 deg after the torque is none"),
        (["--handle", "190 mm"], "--handle is the length of one wrench: name that with --wrench."),
        (["--adapter", "4000 mm", "--at", "90 deg"], "an adapter of 4000 mm is none"),
        (["--adapter", "40 mm", "--at", "720 deg"], "an adapter at 720 deg is none"),
    ],
)
def test_a_slip_of_the_finger_asks_back(
    crib: str, typed: list[str], sentence: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """No source: no fastener turns backwards to be tightened, and no shop has an adapter of four metres."""
    assert run(coldsoak, ["torque", "9 N·m", "--crib", crib, *typed]) == 2
    assert sentence in capsys.readouterr().err


@pytest.mark.parametrize("typed", ["90", "90 deg", "90°"])
def test_an_angle_needs_no_unit(typed: str, capsys: pytest.CaptureFixture[str]) -> None:
    """There is one unit of angle on wrenches; square to the handle an adapter changes nothing (its help says so)."""
    said = ["12 N·m", "--wrench", "10 to 60 N·m", "--handle", "300 mm", "--adapter", "40 mm", "--at", typed]
    assert run(coldsoak, ["torque", *said]) == 0
    assert "at 90° to the handle" in capsys.readouterr().out
