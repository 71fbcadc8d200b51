"""The whole plan: one sentence first, a drawing, one thing to do next; and it comes back equal from JSON."""

import json
import re
import xml.etree.ElementTree as ET

import pytest
from tests.fill.sheets import PRICES, bare, full

from coldsoak.cautions import closing
from coldsoak.errors import InputError
from coldsoak.fill import Conditions, FillPlan, level_drawing, level_png, plan_fill, read_out
from coldsoak.fill.drawing import level_drawing as drawn_by
from coldsoak.fill.ledger import Entry, read_in
from coldsoak.fill.words import at_least, degree_span, degrees
from coldsoak.sheet.load import load_prices
from coldsoak.sheet.unit import UnitSheet
from coldsoak.units import convert

OUT = (read_out("drain=5.5 L@20degC,bucket"), read_out("filter=0.4 L@20degC,jug"))


def known(**more: object) -> Conditions:
    values: dict[str, object] = {
        "on_bottle": "TT-9 test",
        "bottle_c": 20.0,
        "thermometer": "contact",
        "entries": OUT,
        **more,
    }
    return Conditions(**values)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "sheet", [full(), bare(), bare("off"), bare(method="dipstick")], ids=["full", "bare", "off", "stick"]
)
@pytest.mark.parametrize("reading_c", [None, 20.0, 38.0, 90.0])
def test_it_comes_back_equal_and_says_it_in_order(sheet: UnitSheet, reading_c: float | None) -> None:
    plan = plan_fill(sheet, known(reading_c=reading_c, exchange_to=0.2))
    assert FillPlan.from_json(plan.to_json()) == plan
    assert json.loads(plan.to_json())["schema"] == "coldsoak.fill/1"
    assert plan.to_dict()["balance"]["pour_l"] == plan.balance.pour_l
    assert str(plan).splitlines()[1] == plan.sentence
    assert plan.sentence.startswith("Put ")
    assert plan.next.count("Next: ") == 1
    assert plan.cautions[-1] == closing()


def test_the_cautions_of_this_stage_are_all_there() -> None:
    said = " ".join(plan_fill(full(), known()).cautions)
    for hazard in (
        "Engine running with the vehicle raised",
        "exhaust beside the fill plug is hot",
        "Hot fluid burns",
        "Exhaust gas indoors kills",
        "hand it in by local rules",
        "service information",
    ):
        assert hazard in said


@pytest.mark.parametrize(
    ("reading_c", "says"),
    [
        (None, "Next: read the bottle once more, then pour 5.00 L (5.28 US qt) in, engine off."),
        (37.5, "Next: open the level plug now."),
        (20.0, "outside the window, too cold. Next: do not set the level, let it warm up."),
        (60.0, "outside the window, too hot. Next: do not set the level, let it cool."),
        (33.0, "not to be known whether that is inside; the level would be set wrong with"),
    ],
)
def test_one_thing_to_do_next(reading_c: float | None, says: str) -> None:
    assert says in plan_fill(full(), known(reading_c=reading_c)).next


def entries(*out: str, gone_in: str | None = None) -> tuple[Entry, ...]:
    more = (read_in(gone_in, 20.0),) if gone_in is not None else ()
    return (*(read_out(text) for text in out), *more)


def test_a_guess_is_not_poured_by() -> None:
    """A rule of this project: a headline that its own limits contradict says so, and what to do instead."""
    plan = plan_fill(full(), known(entries=entries("drain=5 L@20degC,guess")))
    assert plan.balance.start.is_guess
    assert plan.sentence.startswith("Measure or weigh what came out before anything is poured: ")
    assert plan.next == "Next: measure or weigh what came out, and plan again; nothing is poured by a guess."
    measured = plan_fill(full(), known(entries=entries("drain=5 L@20degC,bucket")))
    assert measured.sentence.startswith("Put ")


def test_too_much_leads_before_everything_else() -> None:
    """Hand-worked: 5 L out and 6.2 L in are 1.2 L too much."""
    plan = plan_fill(
        full(), known(entries=entries("drain=5 L@20degC,bucket", gone_in="6.2 L,bottles"), reading_c=37.5)
    )
    assert plan.sentence.startswith("About 1.20 L (1.27 US qt) too much has gone in: do not start the engine")
    assert plan.next.startswith("Next: engine off, let about 1.20 L (1.27 US qt) out, ")


def test_a_doubtful_reading_says_how_wrong_the_level_could_be() -> None:
    said = plan_fill(full(), known(reading_c=33.0)).next
    assert re.search(
        r"by up to 0\.0\d L, 0\.\d\d mm \(0\.\d+ in\) too high\. Next: wait until it reads 3\d\.\d °C", said
    )


def test_what_to_wait_for_is_the_end_of_the_span_that_is_said() -> None:
    """One number, rounded inwards both times: 38.54 is 38.6 in the span and in the wait."""
    plan = plan_fill(full(), known(reading_c=33.0))
    assert plan.window.from_c is not None
    assert f"reads {at_least(plan.window.from_c).split()[0]} to" in plan.sentence
    assert f"wait until it reads {at_least(plan.window.from_c)}" in plan.next


def test_a_thermometer_that_is_too_unsure_says_neither_hot_nor_cold() -> None:
    """JCGM 106: with ±50 K as standard uncertainty neither end of a window of 10 K is passed with 95 %."""
    plan = plan_fill(full(), known(thermometer="infrared_bare", reading_c=50.0))
    assert plan.window.reading is not None
    assert plan.window.reading.uncertainty_k > 20
    assert plan.window.reading.state == "not_to_be_known"
    assert plan.next.endswith("which is too unsure to be used for anything. Next: use a surer thermometer.")


def test_an_engine_that_is_off_has_no_start() -> None:
    plan = plan_fill(
        bare("off"), known(thermometer="overnight", entries=(read_out("drain=3 L@20degC,bucket"),))
    )
    assert "with the engine off" in plan.sentence
    assert plan.balance.start.below_mm is None


def test_bottles_are_bought_for_what_has_to_be_at_hand(tmp_path: "object") -> None:
    """Hand-worked: 5.9 L and half a litre are 6.4 L: one 5 L and two 1 L, 74 EUR; three of 1 L stand on the shelf."""
    path = tmp_path / "prices.yaml"  # type: ignore[operator]
    path.write_text(PRICES, encoding="utf-8")
    plan = plan_fill(full(), known(before="right", prices=load_prices(path)))
    assert plan.balance.at_hand_l == pytest.approx(6.4)
    assert plan.bottles is not None
    assert {(one.size, one.count, one.to_buy) for one in plan.bottles.lines} == {("5 L", 1, 1), ("1 L", 2, 0)}
    assert (plan.bottles.price, plan.bottles.currency) == (74, "EUR")
    assert FillPlan.from_json(plan.to_json()) == plan
    assert plan_fill(full(), known()).bottles_note is not None


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        ({"on_bottle": "TT-8 test"}, "pour nothing in"),
        ({"thermometer": None}, "no accurate level check"),
        ({"bottle_c": 90.0}, "a bottle is not poured from at 90 °C"),
        ({"step_l": 5.0}, "are none to fill with: give 0.05 to 2 L"),
        ({"entries": ()}, "nothing came out by the ledger"),
    ],
)
def test_what_stops_the_stage(more: dict[str, object], sentence: str) -> None:
    with pytest.raises(InputError) as caught:
        plan_fill(full(), known(**more))
    assert sentence in str(caught.value)


@pytest.mark.parametrize("sheet", [full(), bare()], ids=["millimetres", "litres"])
@pytest.mark.parametrize("reading_c", [None, 38.0, 85.0])
def test_the_drawing_says_what_it_shows(sheet: UnitSheet, reading_c: float | None) -> None:
    plan = plan_fill(sheet, known(reading_c=reading_c))
    drawn = level_drawing(plan.picture)
    root = ET.fromstring(drawn)  # noqa: S314 (our own text)
    words = " ".join(node.text or "" for node in root.iter("{http://www.w3.org/2000/svg}text"))
    for said in (
        "window of the fluid",
        "opens",
        "closes",
        "cold",
        "hot",
        "edge of",
        "Opened too cold",
        "Opened too hot",
        "°F",
    ):
        assert said in words
    assert ("now, " in words) is (reading_c is not None)
    assert ("mm hole" in words) is plan.picture.in_mm
    assert plan.window.from_c is not None
    assert plan.window.to_c is not None
    shows = degree_span(plan.window.from_c, plan.window.to_c)
    assert f"reads {shows}" in words, "what the person sees on the thermometer"
    assert f"reads {shows}" in plan.sentence, "and the same as the sentence says"
    assert "temperature of the fluid" in words, "what the axis is"
    if reading_c is not None:
        assert f"it reads {degrees(reading_c)}" in words
    assert drawn == drawn_by(FillPlan.from_json(plan.to_json()).picture)


def test_nothing_in_the_drawing_lies_outside_it() -> None:
    for reading_c in (None, -20.0, 38.0, 120.0):
        root = ET.fromstring(level_drawing(plan_fill(full(), known(reading_c=reading_c)).picture))  # noqa: S314
        wide, tall = float(root.get("width", "0")), float(root.get("height", "0"))
        for node in root.iter():
            for name, end in (
                ("x", wide),
                ("cx", wide),
                ("x1", wide),
                ("x2", wide),
                ("y", tall),
                ("cy", tall),
            ):
                if node.get(name) is not None:
                    assert 0 <= float(node.get(name, "0")) <= end


def test_contrast_is_at_least_seven() -> None:
    """WCAG 2: (L1 + 0.05)/(L2 + 0.05) with the luminance of sRGB; all words are dark on white or on the pale field."""
    drawn = level_drawing(plan_fill(full(), known()).picture)
    inks = set(re.findall(r'<text[^>]* fill="(#[0-9a-f]{6})"', drawn))
    assert inks
    for ink in inks:
        for paper in ("#ffffff", "#f2f4f5"):
            assert (luminance(paper) + 0.05) / (luminance(ink) + 0.05) >= 7


def luminance(colour: str) -> float:
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def test_the_level_line_crosses_the_hole_in_the_middle_of_the_window_and_rises() -> None:
    picture = plan_fill(full(), known()).picture
    heights = [picture.height(point) for point in picture.line]
    assert heights == sorted(heights)
    middle_c = (convert(93, "degF", "degC") + convert(113, "degF", "degC")) / 2
    near = min(picture.line, key=lambda point: abs(point.temp_c - middle_c))
    assert abs(near.level_l) <= 2.0 * picture.per_kelvin_l


def test_the_picture_is_a_png() -> None:
    made = level_png(plan_fill(full(), known(reading_c=38.0)).picture, 40.0)
    assert made[:8] == b"\x89PNG\r\n\x1a\n"  # PNG signature, ISO/IEC 15948
