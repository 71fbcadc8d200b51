"""`coldsoak sheet`: every mistake on its own line, a skeleton to start from, drawings, the schema."""

import json
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from coldsoak.cli._edge import run
from coldsoak.cli.main import coldsoak
from coldsoak.practice.demo import shop_files, write_demo
from coldsoak.sheet.publish import example

TEN = Path(__file__).parents[1] / "sheet" / "data" / "ten-mistakes.yaml"


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("shop")
    write_demo(folder)
    return folder


def test_ten_mistakes_are_ten_lines_and_status_2(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(coldsoak, ["sheet", "check", str(TEN)]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    lines = said.err.splitlines()
    assert len(lines) == 10
    assert all(line.startswith(f"{TEN}:") for line in lines)


def test_the_demo_s_files_are_right(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Job files are no sheets: writing their record checks them (test_record.py)."""
    files = [str(shop / name) for name in shop_files() if name.parts[0] != "jobs"]
    assert len(files) == 5
    assert run(coldsoak, ["sheet", "check", *files]) == 0
    said = capsys.readouterr()
    assert said.err == ""
    for file in files:
        assert f"{file}: right." in said.out


def test_one_wrong_file_does_not_hide_the_others(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    good = shop / "units" / "haldor-t3.yaml"
    assert run(coldsoak, ["sheet", "check", str(TEN), "nowhere.yaml", str(good)]) == 2
    said = capsys.readouterr()
    assert f"{good}: right." in said.out
    assert (
        said.err.splitlines()[-1] == "coldsoak: nowhere.yaml is not there: check the spelling and the folder."
    )


def test_new_writes_a_skeleton_that_is_right_when_it_is_filled_in(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert run(coldsoak, ["sheet", "new", "mine.yaml"]) == 0
    assert (
        capsys.readouterr().out
        == "A skeleton is in mine.yaml. Fill it in, then: coldsoak sheet check mine.yaml\n"
    )
    assert run(coldsoak, ["sheet", "check", "mine.yaml"]) == 2
    assert (
        "mine.yaml:25:13: fasteners.pan_bolts.torque: this is still to be filled in"
        in capsys.readouterr().err
    )
    Path("filled.yaml").write_text(example(), "utf-8")
    assert run(coldsoak, ["sheet", "check", "filled.yaml"]) == 0
    capsys.readouterr()
    assert run(coldsoak, ["sheet", "new", "mine.yaml"]) == 2
    assert capsys.readouterr().err == (
        "coldsoak: mine.yaml is there already: choose another name, or move it away.\n"
    )
    assert run(coldsoak, ["sheet", "new"]) == 0
    assert capsys.readouterr().out == (tmp_path / "mine.yaml").read_text("utf-8")


def test_draw_writes_the_graph_and_a_map_for_every_group_with_positions(
    shop: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    sheet = shop / "units" / "orrin-r6.yaml"
    assert run(coldsoak, ["sheet", "draw", str(sheet), "--to", str(tmp_path / "out")]) == 0
    listed = [Path(line) for line in capsys.readouterr().out.splitlines()]
    assert listed[0].name == "hold-down.svg"
    maps = {path.name for path in listed[1:]}
    assert {"bolts-pan-bolts.svg", "bolts-solenoid-body-bolts.svg", "bolts-valve-body-long.svg"} <= maps
    assert len(maps) == sheet.read_text("utf-8").count("positions_mm")
    for path in listed:
        assert ET.parse(path).getroot().tag == "{http://www.w3.org/2000/svg}svg"  # noqa: S314 (our own file)


def test_draw_of_a_wrong_sheet_says_why(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(coldsoak, ["sheet", "draw", str(TEN)]) == 2
    assert len(capsys.readouterr().err.splitlines()) == 10


@pytest.mark.parametrize(
    ("kind", "title"), [("sheet", "Unit sheet"), ("crib", "Tool crib"), ("prices", "Price list")]
)
def test_the_schema_is_json(kind: str, title: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(coldsoak, ["sheet", "schema", kind]) == 0
    assert json.loads(capsys.readouterr().out)["title"] == title


def test_an_unknown_schema_names_those_that_are(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(coldsoak, ["sheet", "schema", "car"]) == 2
    assert capsys.readouterr().err == "coldsoak: there is no schema 'car': name one of sheet, crib, prices.\n"
