"""What comes off, upright for a narrow screen: words and frames say it, not the colour alone.

Source of what is expected: the parts of the sheet, counted here; SVG 1.1 for the shapes.
"""

import xml.etree.ElementTree as ET
from importlib.resources import files

from coldsoak.sheet.coming_off import coming_off_drawing
from coldsoak.sheet.load import parse_sheet
from coldsoak.sheet.title import unit_title

TEXTS = [
    files("coldsoak").joinpath("demo", "units", f"{name}.yaml").read_text("utf-8")
    for name in ("orrin-r6", "kestane-v2", "haldor-t3")
]
SHEET = parse_sheet(TEXTS[0])


def test_the_drawing_says_by_words_and_frames_what_comes_off() -> None:
    text = coming_off_drawing(SHEET, {"pan": "comes off", "filter": "off, back new"})
    root = ET.fromstring(text)  # noqa: S314 (our own text)
    space = "{http://www.w3.org/2000/svg}"
    pale, dark = (one for one in root.findall(f"{space}g") if one.find(f"{space}rect") is not None)
    assert "stroke-dasharray" in pale.attrib, "pale ones have a broken frame"
    assert "stroke-dasharray" not in dark.attrib
    assert (len(pale), len(dark)) == (len(SHEET.components) - 2, 2)
    said = [one.text for one in root.iter(f"{space}text")]
    assert said.count("comes off") == 1
    assert said.count("off, back new") == 1
    assert "Fluid pan comes off" in (root.findtext(f"{space}title") or "")
    assert "style" not in text
    width = float(root.attrib["width"])
    for one in (*pale, *dark):
        assert float(one.attrib["x"]) >= 0
        assert float(one.attrib["x"]) + float(one.attrib["width"]) <= width


def test_boxes_do_not_lie_on_one_another() -> None:
    for text in TEXTS:
        drawn = ET.fromstring(coming_off_drawing(parse_sheet(text), {}))  # noqa: S314 (our own text)
        boxes = list(drawn.iter("{http://www.w3.org/2000/svg}rect"))[1:]  # the first is the paper
        places = [tuple(float(one.attrib[name]) for name in ("x", "y", "width", "height")) for one in boxes]
        for n, (x, y, wide, tall) in enumerate(places):
            for other_x, other_y, *_ in places[n + 1 :]:
                assert abs(other_x - x) >= wide or abs(other_y - y) >= tall


def test_the_title_of_a_sheet_is_the_name_of_its_unit() -> None:
    for text in TEXTS:
        assert unit_title(text) == parse_sheet(text).unit.name
