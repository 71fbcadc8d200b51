"""The balance: what is missing, what stays inside, what to have at hand."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.fill.sheets import bare, full

from coldsoak.errors import InputError
from coldsoak.fill.balance import Balance, balance
from coldsoak.fill.band import Band
from coldsoak.fill.expansion import expansion_of
from coldsoak.fill.ledger import read_in, read_out
from coldsoak.fill.specification import check_specification, fluid_of
from coldsoak.fill.start import start_fill
from coldsoak.sheet.unit import UnitSheet


def made(sheet: UnitSheet, *out: str, gone_in: tuple[str, ...] = (), **more: object) -> Balance:
    fluid = fluid_of(sheet)
    entries = [*map(read_out, out), *(read_in(text, 20.0) for text in gone_in)]
    return balance(fluid, entries, expansion_of(fluid), 20.0, **more)  # type: ignore[arg-type]


def test_a_hand_worked_ledger() -> None:
    """Hand-worked: 5.0 L and 0.8 L out at the bottle's temperature, 11 L in all.

    u: bucket √(0.02²·5² + 0.1²) = 0.1414, jug √(0.008² + 0.03²) = 0.0310, both with 3 K · 7.4e-4; level checked before
    0.005 · 11 = 0.055.
    """
    done = made(full(), "drain=5 L@20degC,bucket", "filter=0.8 L@20degC,jug", before="right")
    assert done.out_l.litres == pytest.approx(5.8)
    warm = 3 * 7.4e-4
    out_u = math.sqrt(0.1414**2 + (5 * warm) ** 2 + 0.0310**2 + (0.8 * warm) ** 2)
    assert done.out_l.uncertainty_l == pytest.approx(out_u, rel=2e-3)
    refill_u = math.hypot(out_u, 0.055)
    assert done.refill_l.high - done.refill_l.likely == pytest.approx(1.96 * refill_u, rel=2e-3)
    assert done.inside_l.likely == pytest.approx(11 - 5.8)
    assert done.at_hand_l == pytest.approx(5.8 + 0.5)
    assert done.pour_l == pytest.approx(5.0)
    assert done.pour_l + done.rest_l.likely == pytest.approx(5.8)


@given(st.floats(0.6, 9.0), st.floats(0.0, 1.1))
def test_nothing_is_made_or_lost(out_l: float, share: float) -> None:
    """Conservation: inside + missing is the whole unit, whatever came out and went in."""
    in_l = share * out_l
    gone_in = (f"{in_l} L,bottles",) if in_l > 0.001 else ()
    done = made(full(), f"drain={out_l} L@20degC,bucket", gone_in=gone_in)
    missing = done.refill_l.likely - done.in_l.litres
    assert done.inside_l.likely + missing == pytest.approx(11.0)
    assert done.pour_l >= 0
    assert done.missing_l.likely >= done.rest_l.likely >= 0


def test_what_has_gone_in_is_taken_off_the_start_fill() -> None:
    whole = made(full(), "drain=5 L@20degC,bucket")
    part = made(full(), "drain=5 L@20degC,bucket", gone_in=("3 L,bottles",))
    assert part.pour_l == pytest.approx(whole.pour_l - 3.0)
    assert part.rest_l.likely == pytest.approx(whole.rest_l.likely)


def test_a_first_fill_goes_by_the_sheet() -> None:
    done = made(full(), first_fill=True)
    assert done.refill_l.likely == pytest.approx(10.4)
    assert done.inside_l.likely == 0
    with pytest.raises(InputError, match="no figure for a first fill"):
        made(bare(), first_fill=True)


def test_more_than_the_unit_holds_is_refused() -> None:
    with pytest.raises(
        InputError, match=r"9\.50 L \(10\.04 US qt\) came out by the ledger, and the whole unit holds 8\.00 L"
    ):
        made(bare(), "drain=9.5 L@20degC,bucket")


def test_nothing_out_is_refused() -> None:
    with pytest.raises(InputError, match="nothing came out by the ledger"):
        made(full())


def test_what_does_not_fit_the_pan_is_said() -> None:
    """Hand-worked: the sheet's pan gives 6 US quart, 5.68 L; bucket and figure are sure to about 0.5 L together."""
    assert not made(full(), "suction=5.5 L@20degC,bucket").findings
    assert "less came out of the pan" in made(full(), "suction=4.6 L@20degC,bucket").findings[0]
    assert "more came out of the pan" in made(full(), "suction=6.9 L@20degC,bucket").findings[0]


def test_a_leak_widens_what_is_missing() -> None:
    widths = [
        made(full(), "drain=5 L@20degC,jug", before=before).refill_l.uncertainty
        for before in ("right", "unknown", "leaking")
    ]
    assert widths == sorted(widths)
    assert widths[2] > 2 * widths[0]


def test_a_guess_is_wider_than_a_bucket_and_a_bucket_than_a_scale() -> None:
    widths = [
        made(full(), text).out_l.uncertainty_l
        for text in ("drain=4.2 kg,scale", "drain=5 L@20degC,bucket", "drain=5 L@20degC,guess")
    ]
    assert widths == sorted(widths)


@given(st.floats(0.3, 9.0), st.floats(0.01, 0.6), st.sampled_from([0.25, 0.5, 0.946352946, 1.0]))
def test_the_start_fill_is_sure_or_says_so(likely: float, width: float, step: float) -> None:
    """Never more than is sure to be missing, never so little that the pump may draw air, unless it warns."""
    fluid = fluid_of(full(pickup="40 mm"))
    refill = Band.around(likely, width, least=0.0)
    start = start_fill(refill, fluid, step)
    assert start.start_l / step == pytest.approx(round(start.start_l / step), abs=1e-6)
    if not start.warnings:
        assert start.start_l <= refill.low + 1e-6
        assert refill.high - start.start_l <= 0.1 * 40 * 0.8 + 1e-6  # 40 mm over 800 cm² are 3.2 L


def test_too_little_room_with_the_engine_off_is_said() -> None:
    """Hand-worked: 5 L missing, 4 L of it drawn up by the engine, the fill hole at the level: 1 L goes in, 3.2 L may lack."""
    start = start_fill(
        Band(low=4.8, likely=5.0, high=5.2), fluid_of(full(drawn="4 L", above="0.1 mm", pickup="40 mm")), 0.5
    )
    assert start.start_l == pytest.approx(1.0)
    assert not start.safe
    assert "within the first minute" in start.warnings[0]


@pytest.mark.parametrize("said", ["TT-9 test", "  tt-9   TEST "])
def test_the_right_fluid_passes(said: str) -> None:
    assert check_specification(said, full()) == "TT-9 test"


@pytest.mark.parametrize(
    ("said", "sentence"),
    [
        (None, "which fluid is on the bottle is not known: read it off the bottle and give it with --fluid"),
        (" ", "which fluid is on the bottle is not known"),
        ("TT-9", "the bottle says 'TT-9' and the sheet of Test gearbox wants 'TT-9 test': pour nothing in"),
        ("TT-9 tests", "pour nothing in, the wrong fluid can destroy the unit"),
    ],
)
def test_a_wrong_or_unknown_fluid_stops(said: str | None, sentence: str) -> None:
    with pytest.raises(InputError) as caught:
        check_specification(said, full())
    assert sentence in str(caught.value)


def test_a_sheet_without_fluid_stops() -> None:
    with pytest.raises(InputError, match="says nothing of its fluid"):
        fluid_of(full().model_copy(update={"fluid": None}))


def test_when_both_ends_cannot_be_kept_the_pump_is_kept_from_air() -> None:
    """Hand-worked: 2 to 6 L are missing, 40 mm over 800 cm² are 3.2 L: 2.8 L at least, though only 2 L are sure."""
    start = start_fill(Band(low=2.0, likely=4.0, high=6.0), fluid_of(full(pickup="40 mm")), 0.5)
    assert start.start_l == pytest.approx(3.0)
    assert start.safe
    assert "measure or weigh what came out" in start.warnings[0]
    assert start.is_guess


def test_more_than_fits_beside_what_stayed_inside_is_refused() -> None:
    """Hand-worked: of 11 L 4.3 L came out, so 6.7 L stayed; 9 L more are 15.7 L in a unit of 11 L."""
    with pytest.raises(InputError) as caught:
        made(full(), "drain=4.3 L@20degC,bucket", gone_in=("9 L,bottles",))
    assert "9.00 L (9.51 US qt) have gone in by the ledger where 4.30 L (4.54 US qt) were missing" in str(
        caught.value
    )
    assert "do not start the engine" in str(caught.value)


def test_what_stands_too_high_is_let_out_first() -> None:
    """Hand-worked: 4.3 L out and 5.5 L in are 1.2 L too much; a bucket and 2 % of 11 L are sure to half a litre."""
    done = made(full(), "drain=4.3 L@20degC,bucket", gone_in=("5.5 L,bottles",))
    assert done.excess_l == pytest.approx(1.2)
    assert done.pour_l == 0
    assert made(full(), "drain=4.3 L@20degC,bucket", gone_in=("4.4 L,bottles",)).excess_l == 0
