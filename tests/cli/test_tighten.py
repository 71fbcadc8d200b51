"""`coldsoak tighten`: map, settings and pass table on the terminal, as SVG and as JSON."""

import json
import math
from pathlib import Path

import pytest
from tests.build.sheets import CRIB, TEXT

from coldsoak.build.tightening import Tightening
from coldsoak.cli._edge import run
from coldsoak.cli.main import coldsoak
from coldsoak.cli.tighten_view import map_lines

DAY = ["--date", "2026-06-01"]


@pytest.fixture
def sheet(tmp_path: Path) -> str:
    (tmp_path / "units").mkdir()
    path = tmp_path / "units" / "test.yaml"
    path.write_text(TEXT, encoding="utf-8")
    (tmp_path / "crib.yaml").write_text(CRIB, encoding="utf-8")
    return str(path)


def test_without_a_group_it_lists_them(sheet: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(coldsoak, ["tighten", sheet]) == 0
    said = capsys.readouterr().out
    assert all(key in said for key in ("cover_bolts", "stretch_bolts", "plug"))
    assert "35 lbf·in + 45 deg" in said


def test_without_a_group_the_json_is_one_line_too(sheet: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(coldsoak, ["tighten", sheet, "--json"]) == 0
    (line,) = capsys.readouterr().out.splitlines()
    said = json.loads(line)
    assert said["schema"] == "coldsoak.fastener_groups/1"
    assert {g["group"]: (g["torque"], g["angle"]) for g in said["groups"]}["stretch_bolts"] == (
        "35 lbf·in",
        "45 deg",
    )


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        (["--nut-factor", "nan", "0.2"], "a nut factor from nan to 0.2 is none"),
        (["--nut-factor", "0.2", "0.1"], "a nut factor from 0.2 to 0.1 is none"),
        (["--plate", "0 mm"], "the part between the bolts is 0 mm"),
        (["--shear-strength", "0 MPa"], "the shear strength of the thread is 0 MPa"),
        (["--warmer", "1e9 K"], "how much warmer it gets is 1e+09 K"),
    ],
)
def test_a_slip_of_the_finger_asks_back(
    sheet: str, typed: list[str], sentence: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """No source: values that no joint has."""
    assert run(coldsoak, ["tighten", sheet, "cover_bolts", *typed, *DAY]) == 2
    said = capsys.readouterr()
    assert sentence in said.err
    assert said.out == ""


def test_map_settings_and_pass_table(sheet: str, capsys: pytest.CaptureFixture[str]) -> None:
    """The crib beside the sheet's folder is found by itself."""
    assert run(coldsoak, ["tighten", sheet, "cover_bolts", *DAY]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "Set Small wrench to 9 N·m for 80 lbf·in (9.04 N·m, 6.67 lbf·ft)." in said
    assert "Bolts by their numbers on the sheet: 1 – 5 – 3 – 7 – 2 – 6 – 4 – 8" in said
    assert "Pass Set for Loosest bolt Scatter" in said
    assert "Start every one by hand" in said
    assert "Follow the vehicle maker's service information" in said


def test_svg_and_json(sheet: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "map.svg"
    assert run(coldsoak, ["tighten", sheet, "cover_bolts", "--svg", str(out), "--json", *DAY]) == 0
    captured = capsys.readouterr()
    done = Tightening.from_json(captured.out)
    assert json.loads(captured.out)["schema"] == "coldsoak.tighten/1"
    assert done.setting.wrench == "Small wrench"
    assert out.read_text("utf-8").startswith("<svg")
    assert str(out) in captured.err


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["lid_bolts"], "there is no fastener group 'lid_bolts' on this sheet: there are cover_bolts"),
        (["cover_bolts", "--seat", "leather"], "'leather' is no seat: name one of soft, paper, metal"),
        (
            ["cover_bolts", "--band", "90 %"],
            "a band of 90 % is none to work with: give one from 0.5 % to 50 %.",
        ),
        (["plug", "--svg", "plug.svg"], "the sheet gives no positions of plug, so there is no map"),
        (["cover_bolts", "--warmer", "80"], "'80' is no temperature difference"),
        (
            ["cover_bolts", "--svg", "drawings/map.svg"],
            "drawings is not there: check the spelling or make it.",
        ),
    ],
)
def test_what_cannot_be_used_is_one_sentence(
    arguments: list[str],
    sentence: str,
    sheet: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    assert run(coldsoak, ["tighten", sheet, *arguments, *DAY]) == 2
    assert sentence in capsys.readouterr().err


def test_the_map_in_letters_is_seen_from_the_heads() -> None:
    lines = map_lines(((0.0, 50.0), (40.0, 0.0), (-40.0, 0.0)), ["1", "2", "3"])
    assert lines[0].strip() == "1"
    assert lines[-1].split() == ["3", "2"]


def test_every_mark_of_a_crowded_map_is_there() -> None:
    points = tuple((float(n % 6), float(n // 6)) for n in range(30))
    marks = [str(n + 1) for n in range(30)]
    assert sorted(" ".join(map_lines(points, marks)).split(), key=int) == marks


@pytest.mark.parametrize("columns", [40, 60, 80])
def test_every_bolt_is_on_the_map_of_a_narrow_terminal(columns):
    """Eighteen points on a circle, by the formula of one: each has its own number, and none lies beyond the edge."""
    points = tuple((100 * math.cos(n * math.pi / 9), 60 * math.sin(n * math.pi / 9)) for n in range(18))
    lines = map_lines(points, [str(n + 1) for n in range(18)], columns - 3)
    assert max(map(len, lines)) <= columns - 3
    assert sorted(int(one) for line in lines for one in line.split()) == list(range(1, 19))
