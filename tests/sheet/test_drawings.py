"""Drawings are read back as XML and held against the sheet: everything on it, to scale, nothing from a network."""

import re
import xml.etree.ElementTree as ET
from math import dist
from pathlib import Path

import pytest
from tests.sheet.sheets import component, sheet

from coldsoak.sheet.bolt_map import bolt_map
from coldsoak.sheet.graph_drawing import graph_drawing
from coldsoak.sheet.load import load_sheet
from coldsoak.sheet.unit import UnitSheet

SVG = "{http://www.w3.org/2000/svg}"
UNITS = sorted((Path(__file__).parents[2] / "src" / "coldsoak" / "demo" / "units").glob("*.yaml"))


def texts(drawing: str) -> list[str]:
    return [one.text or "" for one in ET.fromstring(drawing).iter(f"{SVG}text")]  # noqa: S314 (our own text)


@pytest.fixture(params=UNITS, ids=lambda path: path.stem)
def unit(request: pytest.FixtureRequest) -> UnitSheet:
    return load_sheet(request.param)


def test_the_graph_shows_every_part(unit: UnitSheet) -> None:
    shown = texts(graph_drawing(unit))
    for part in unit.components.values():
        assert any(one.rstrip("…") and part.name.startswith(one.rstrip("…")) for one in shown), part.name


def test_boxes_do_not_overlap_and_arrows_run_to_the_right(unit: UnitSheet) -> None:
    root = ET.fromstring(graph_drawing(unit))  # noqa: S314 (our own text)
    boxes = [
        tuple(float(one.get(key, "0")) for key in ("x", "y", "width", "height"))
        for one in root.iter(f"{SVG}rect")
        if one.get("x")
    ]
    assert len(boxes) == len(unit.components)
    for n, (x, y, width, height) in enumerate(boxes):
        for other in boxes[n + 1 :]:
            assert abs(x - other[0]) >= width or abs(y - other[1]) >= height
    curves = [
        [float(number) for number in re.findall(r"-?[\d.]+", one.get("d", ""))]
        for one in root.iter(f"{SVG}path")
        if "C" in one.get("d", "")
    ]
    assert curves
    assert all(points[0] < points[-2] for points in curves)


def test_maps_are_to_scale(unit: UnitSheet) -> None:
    """Ratios of distances on the drawing are those of the sheet; y points up on the sheet and down in SVG."""
    drawn = 0
    for group in unit.fasteners.values():
        for small in (False, True):
            text = bolt_map(group, small=small)
            if text is None:
                assert not group.positions_mm
                continue
            drawn += 1
            circles = [
                (float(one.get("cx", "0")), float(one.get("cy", "0")))
                for one in ET.fromstring(text).iter(f"{SVG}circle")  # noqa: S314 (our own text)
            ]
            assert len(circles) == group.count
            if group.count < 3:
                continue
            scale = dist(circles[0], circles[1]) / dist(group.positions_mm[0], group.positions_mm[1])
            for n in range(2, group.count):
                assert dist(circles[0], circles[n]) == pytest.approx(
                    scale * dist(group.positions_mm[0], group.positions_mm[n]), rel=0.01
                )
            higher = max(range(group.count), key=lambda at: group.positions_mm[at][1])
            assert circles[higher][1] == min(y for _, y in circles)
    assert drawn


def test_drawings_load_nothing_and_say_what_they_are(unit: UnitSheet) -> None:
    for drawing in (graph_drawing(unit), *filter(None, map(bolt_map, unit.fasteners.values()))):
        assert "<title>" in drawing
        assert not re.search(r"href|url\(|<script|<image", drawing)


def test_names_are_escaped() -> None:
    made = sheet([component("a").replace("name: a", "name: 'Pump <2> & cover'")])
    assert "Pump <2> & cover" in texts(graph_drawing(made))


def test_an_arrow_that_others_already_say_is_left_out() -> None:
    """Hand-worked: a before b before c makes a before c; two arrows, not three."""
    made = sheet([component("a"), component("b", "blocked_by: [a]"), component("c", "blocked_by: [a, b]")])
    assert graph_drawing(made).count(" C") == 2


@pytest.mark.parametrize("small", [False, True])
def test_the_number_in_the_circle_is_when(unit: UnitSheet, small: bool) -> None:
    """A rule of this project: on every map the large number is the turn; without an order there is none to follow."""

    def words(text: str) -> list[tuple[float, str]]:
        return [
            (float(one.get("font-size", "0")), one.text or "")
            for one in ET.fromstring(text).iter(f"{SVG}text")  # noqa: S314 (our own text)
        ]

    for group in unit.fasteners.values():
        if len(group.positions_mm) < 3:
            continue
        order = tuple(range(group.count, 0, -1))
        plain, ordered = bolt_map(group, small=small), bolt_map(group, order=order, small=small)
        assert plain is not None
        assert ordered is not None
        bold = re.findall(r'font-weight="700"[^>]*>(\d+)<', ordered)
        assert bold == [str(group.count - n) for n in range(group.count)], (
            "the last of the sheet is the first"
        )
        assert not re.findall(r'font-weight="700"[^>]*>\d+<', plain)
        assert any("when" in said for _, said in words(ordered))
        assert any(said.startswith("numbers of the sheet") for _, said in words(plain))
        assert not any("when" in said for _, said in words(plain))
