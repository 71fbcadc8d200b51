"""A group as a whole: settings, map and passes; the drawing; what the sheet does not say."""

import datetime as dt
import re
import xml.etree.ElementTree as ET
from typing import Any

import pytest
from tests.build.sheets import sheet, tools

from coldsoak.build.interact import AROUND
from coldsoak.build.map_drawing import tightening_drawing
from coldsoak.build.tighten import Conditions, orders_of, tighten
from coldsoak.build.tightening import Tightening
from coldsoak.build.tray import Tray
from coldsoak.build.tray_items import items_of
from coldsoak.build.words import NEVER_AGAIN
from coldsoak.cautions import closing
from coldsoak.errors import InputError

DAY = dt.date(2026, 6, 1)


def done(key: str, **conditions: Any) -> Tightening:
    return tighten(sheet(), key, Conditions(day=DAY, **conditions), tools())


def test_a_group_says_what_to_set_in_which_order_and_how_often() -> None:
    cover = done("cover_bolts")
    assert cover.sentence == (
        "8 fasteners: cover bolts, star, 2 passes. Set Small wrench to 9 N·m for 80 lbf·in (9.04 N·m, 6.67 lbf·ft)."
    )
    assert cover.sequence is not None
    assert cover.sequence.order == (1, 5, 3, 7, 2, 6, 4, 8)
    assert cover.sequence.standing == "standard"
    assert [row.number for row in cover.passes] == [1, 2]
    assert cover.open_questions == ()
    assert Tightening.from_json(cover.to_json()) == cover


def test_the_order_for_other_papers_is_the_one_that_is_said_here() -> None:
    """The star of eight by ASME PCC-1; and of every group what tighten itself says."""
    orders = orders_of(sheet())
    assert orders["cover_bolts"] == (1, 5, 3, 7, 2, 6, 4, 8)
    assert set(orders) == {"cover_bolts", "stretch_bolts"}
    for key, order in orders.items():
        said = done(key).sequence
        assert said is not None
        assert said.order == order


def test_what_is_standard_generated_and_model_is_said() -> None:
    interaction = done("cover_bolts").interaction
    assert interaction is not None
    assert {one.name: one.standing for one in interaction.comparison} == {
        AROUND: "generated",
        "cross": "generated",
        "star": "standard",
        "spiral": "generated",
        "as listed": "sheet",
        "optimised": "our model",
    }


def test_a_second_pass_is_worth_it_with_the_numbers_of_this_joint() -> None:
    interaction = done("cover_bolts", seat="soft", plate_mm=9.3, sequence="around the clock").interaction
    assert interaction is not None
    first, second = interaction.passes[:2]
    assert second.worst < first.worst
    low = 100 * min(first.left)
    assert f"is left with {low:.0f} % of its preload" in interaction.sentence
    assert f"brings the worst bolt to {100 * min(second.left):.0f} %" in interaction.sentence
    clock = next(one for one in interaction.comparison if one.name == AROUND)
    assert f"and takes {clock.passes or 'more than 6'}." in interaction.gain


def test_bolts_that_go_slack_are_said_to_be_beyond_the_model() -> None:
    interaction = done("cover_bolts", seat="5 N/mm³").interaction
    assert interaction is not None
    assert interaction.slack
    assert "is left with nothing" in interaction.sentence
    assert interaction.sentence.endswith(
        "Some bolts go slack, which is beyond the model: take its figures as a warning only."
    )


def test_the_optimised_sequence_is_never_behind() -> None:
    interaction = done("cover_bolts", seat="soft").interaction
    assert interaction is not None
    best = len(interaction.best_levels)
    assert all(best <= (one.passes or 99) for one in interaction.comparison)


def test_bolts_that_are_stretched_go_back_new() -> None:
    ends = done("stretch_bolts")
    assert ends.torque_to_yield
    assert ends.renew
    assert NEVER_AGAIN in ends.cautions
    assert ends.cautions[-1] == closing()
    assert "then turn 45° more" in ends.sentence
    assert any("Low-profile bit" in note for note in ends.setting.notes)
    assert any(one.startswith("Single use: after ") for one in ends.clamp.warnings if ends.clamp)


def test_what_the_sheet_does_not_say_is_asked_for() -> None:
    plug = done("plug")
    assert plug.clamp is None
    assert plug.sequence is None
    assert plug.open_questions[0] == (
        "clamp force: for coated threads the nut factor differs from product to product: give it with --nut-factor LOW HIGH "
        "(tables hold for dry, oiled, anti_seize)"
    )
    assert len(plug.open_questions) == 1
    assert done("plug", nut_factor=(0.14, 0.2)).clamp is not None


def test_another_sequence_can_be_asked_for() -> None:
    assert done("cover_bolts", sequence="optimised").sequence is not None
    assert done("cover_bolts", sequence="optimised").sequence.name == "optimised"  # type: ignore[union-attr]
    with pytest.raises(
        InputError, match=r"there is no sequence 'zigzag' for these positions: there are around"
    ):
        done("cover_bolts", sequence="zigzag")
    with pytest.raises(
        InputError, match=r"^there is no fastener group 'cover' on this sheet: there are cover_bolts, "
    ):
        done("cover")


def test_the_drawing_shows_every_bolt_in_its_turn_in_every_sequence() -> None:
    cover = done("cover_bolts")
    drawn = tightening_drawing(cover)
    assert drawn is not None
    root = ET.fromstring(drawn)  # noqa: S314 (our own text)
    words = [element.text or "" for element in root.iter("{http://www.w3.org/2000/svg}text")]
    orders = {one.order for one in cover.alternatives} - {cover.sequence.order if cover.sequence else ()}
    circles = list(root.iter("{http://www.w3.org/2000/svg}circle"))
    assert len(circles) == 8 * (1 + len(orders))
    assert any(
        word.startswith("Pass 1, set for 80 lbf·in (9.04 N·m, 6.67 lbf·ft): loosest bolt") for word in words
    )
    assert {"Other sequences", closing(), "around the clock, spiral, as listed", "optimised"} <= set(words)


def test_nothing_of_the_drawing_lies_outside_it() -> None:
    drawn = tightening_drawing(done("cover_bolts")) or ""
    wide, tall = map(float, re.findall(r'viewBox="0 0 (\d+) (\d+)"', drawn)[0])
    for x, y in re.findall(r'<(?:text|circle) c?x="([\d.-]+)" c?y="([\d.-]+)"', drawn):
        assert 0 <= float(x) <= wide
        assert 0 <= float(y) <= tall
    assert tightening_drawing(done("plug")) is None


def test_the_tray_of_a_sheet_has_everything_of_it() -> None:
    items = {item.key: item for item in items_of(sheet())}
    assert set(items) == {
        "cover", "cover_seal", "body", "drain", "cover_bolts", "stretch_bolts", "plug", "tie",
    }  # fmt: skip
    assert items["stretch_bolts"].single_use
    assert items["cover_seal"].single_use
    assert (items["cover_bolts"].count, items["cover_bolts"].passes) == (8, 2)
    assert items["tie"].aid
    assert Tray(items=tuple(items.values())).open_points() == ()
