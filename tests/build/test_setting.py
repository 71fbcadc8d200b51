"""Torque on this wrench: settings, wrenches that cannot, and targets that ask back."""

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.build.sheets import tools

from coldsoak.build.ask_back import doubt, needed_nm
from coldsoak.build.setting import Setting, best_setting, set_wrench
from coldsoak.build.words import in_unit, torque
from coldsoak.build.wrench import Adapter, InHand, all_of, by_range, find
from coldsoak.errors import InputError
from coldsoak.sheet.crib import Crib
from coldsoak.sheet.thread import read_thread

DAY = dt.date(2026, 6, 1)
INCH = 0.112_984_829_027_616_7


@pytest.fixture(scope="module")
def crib() -> Crib:
    return tools()


@pytest.mark.parametrize(
    ("inch", "nm", "fits", "word"),
    [
        (80, 9.04, False, "it counts from 10 N·m"),
        (106, 11.98, True, "Below a fifth of its top"),
        (89, 10.06, True, "This is the lowest mark"),
        (35, 3.95, False, "it counts from 10 N·m"),
    ],
)
def test_a_wrench_of_10_to_60_cannot_make_two_of_four_and_just_holds_a_third(
    inch: float, nm: float, fits: bool, word: str
) -> None:
    """Common practice, no source: 80, 106, 89 and 35 lbf·in are 9.04, 11.98, 10.06 and 3.95 N·m."""
    setting = set_wrench(inch * INCH, "lbf·in", by_range("10 to 60 N·m"), DAY)
    assert setting.target_nm == pytest.approx(nm, abs=0.005)
    assert setting.fits is fits
    assert word in " ".join((setting.sentence, *setting.notes))
    assert f"{inch} lbf·in" in setting.sentence
    assert (setting.set is None) is not fits


def test_the_crowfoot_of_the_army_manual() -> None:
    """US Army TM 1-1500-204-23-9, figure 8-16: 300 lbf·in, handle 10 in, adapter 4 in: set 214."""
    wrench = by_range("100 to 500 lbf·in", handle_mm=254.0)
    setting = set_wrench(300 * INCH, "lbf·in", wrench, DAY, adapter=Adapter(101.6, 0.0))
    assert setting.set == pytest.approx(214, abs=0.5)
    assert setting.unit == "lbf·in"


def test_an_adapter_can_take_a_setting_below_the_lowest_mark() -> None:
    """By hand: 11 N·m · 254/(254 + 101.6) = 7.86 N·m, and the wrench begins at 10."""
    wrench = by_range("10 to 60 N·m", handle_mm=254.0)
    assert set_wrench(11.0, "N·m", wrench, DAY).fits
    setting = set_wrench(11.0, "N·m", wrench, DAY, adapter=Adapter(101.6, 0.0))
    assert not setting.fits
    assert "7.86 N·m" in setting.sentence


def test_without_the_handle_an_adapter_cannot_be_reckoned() -> None:
    with pytest.raises(
        InputError, match=r"square to the middle of the grip, is not known: give it with --handle"
    ):
        set_wrench(11.0, "N·m", by_range("10 to 60 N·m"), DAY, adapter=Adapter(40.0, 0.0))


def test_the_best_wrench_and_why_not_the_others(crib: Crib) -> None:
    setting = best_setting(80 * INCH, "lbf·in", all_of(crib), DAY)
    assert (setting.wrench, setting.set, setting.unit) == ("Small wrench", 9.0, "N·m")
    assert {one.wrench: one.why.split(",")[0] for one in setting.others} == {
        "Middle wrench": "it counts from 10 N·m",
        "Inch wrench": "its calibration ran out on 2025-01-10",
    }
    assert Setting.from_json(setting.to_json()) == setting


def test_a_lowest_mark_is_avoided_where_another_wrench_does_it(crib: Crib) -> None:
    assert best_setting(10.06, "N·m", all_of(crib), DAY).wrench == "Small wrench"
    assert best_setting(14.9, "N·m", all_of(crib), DAY).wrench == "Small wrench"
    assert best_setting(15.1, "N·m", all_of(crib), DAY).wrench == "Middle wrench"
    assert best_setting(80.0, "N·m", all_of(crib), DAY).fits is False


def test_the_band_of_the_fastener_is_the_deviation_of_the_wrench(crib: Crib) -> None:
    """ISO 6789-1: ±6 % on the marked 9.0 N·m."""
    setting = best_setting(80 * INCH, "lbf·in", all_of(crib), DAY)
    assert setting.low_nm == pytest.approx(9.0 * 0.94, abs=1e-3)
    assert setting.high_nm == pytest.approx(9.0 * 1.06, abs=1e-3)
    assert by_range("2 to 10 N·m").deviation_percent == 6.0
    assert by_range("2 to 11 N·m").deviation_percent == 4.0


@given(st.floats(2.0, 200.0), st.floats(0.0, 150.0), st.floats(0.0, 180.0))
def test_what_is_set_gives_the_torque_back(target_nm: float, offset_mm: float, angle_deg: float) -> None:
    """By the moment of the hand: force at the grip times its distance from the fastener along the handle."""
    import math  # noqa: PLC0415

    wrench = InHand("w", 0.1, 1000.0, "N·m", 4.0, handle_mm=300.0)
    setting = wrench.setting_nm(target_nm, Adapter(offset_mm, angle_deg))
    hand_n = setting / 0.3
    assert hand_n * (0.3 + offset_mm / 1000 * math.cos(math.radians(angle_deg))) == pytest.approx(target_nm)


def test_every_torque_shows_both_pound_units() -> None:
    assert torque(9.0388, "lbf·in") == "80 lbf·in (9.04 N·m, 6.67 lbf·ft)"
    assert in_unit(12 * INCH, "lbf·ft") == "1 lbf·ft"
    assert in_unit(12 * INCH, "lbf·in") == "12 lbf·in"


def test_targets_that_cannot_be_meant_ask_back() -> None:
    """Proof load of M6 8.8 is 11.6 kN (ISO 898-1): 0.75 · 11.6 kN · 0.12 · 6 mm = 6.3 N·m, a tenth of it 0.63."""
    m6 = read_thread("M6")
    assert m6 is not None
    assert needed_nm(m6, "8.8", None) == pytest.approx(6.3, abs=0.05)
    assert "did you mean 80 lbf·in?" in (doubt(80 * 12 * INCH, "lbf·ft", m6, "M6", "8.8") or "")
    assert "did you mean 5 lbf·ft?" in (doubt(5 * INCH, "lbf·in", m6, "M6", "8.8") or "")
    assert doubt(80 * INCH, "lbf·in", m6, "M6", "8.8") is None
    assert doubt(106 * INCH, "lbf·in", m6, "M6") is None


@pytest.mark.parametrize("text", ["60 to 10 N·m", "10 to 60", "10", "0 to 5 N·m", "10 to 60 lb"])
def test_what_is_no_range_is_refused(text: str) -> None:
    with pytest.raises(InputError):
        by_range(text)


def test_an_unknown_wrench_names_the_known(crib: Crib) -> None:
    with pytest.raises(InputError, match=r"there is no wrench 'tiny': the crib has small \(Small wrench\)"):
        find("tiny", crib)
    assert find("SMALL", crib).name == "Small wrench"
