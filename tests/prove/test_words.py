"""How conditions are said in the middle of a sentence, by the rules of plain English (common practice, no source)."""

import pytest

from coldsoak.prove.seen import Band
from coldsoak.prove.words import driving, road_test, where

WARM = Band(quantity="own_temp", label="fluid", low=70, high=None, unit="degC")
GEAR = Band(quantity="gear", label="gear", low=4, high=None, unit="1")
MOVING = Band(quantity="vehicle_speed", label="vehicle speed", low=5, high=None, unit="km/h")
STANDING = Band(quantity="vehicle_speed", label="vehicle speed", low=None, high=0, unit="km/h")
LATE = Band(quantity="time", label="time", low=660, high=None, unit="s")
PULLING = Band(quantity="engine_load", label="engine load", low=40, high=None, unit="%")


@pytest.mark.parametrize(
    ("bands", "said"),
    [
        ((WARM, GEAR), "with fluid above 70 °C, in gear 4 or higher"),
        ((MOVING,), "while moving"),
        ((STANDING,), "standing still"),
        ((LATE,), "more than 11 min after the start"),
        ((WARM, PULLING), "with fluid above 70 °C and engine load above 40 %"),
        ((), ""),
    ],
)
def test_conditions_end_the_sentence(bands: tuple[Band, ...], said: str) -> None:
    assert driving(bands) == said


def test_standing_is_no_speed_below_nought() -> None:
    assert where((STANDING,)) == "standing still"
    assert "Let it stand with the engine running: moving does not count." in road_test(
        (STANDING,), 600.0, None
    )
