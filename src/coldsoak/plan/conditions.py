"""What a plan is made under: the day, the heat of the unit, how long it may be touched, the seed of the simulation."""

import datetime as dt
from dataclasses import dataclass

from coldsoak.errors import InputError
from coldsoak.plan.order import SEARCH_LIMIT

TOUCH_C = 48.0  # bare metal for more than a minute, IEC 62368-1 table 42 after ISO 13732-1
MOST_TOUCH_C = 60.0  # bare metal for up to ten seconds, the same table


@dataclass(frozen=True)
class Conditions:
    """Where and when the work is done. `unit_c` is the temperature of the unit when the vehicle comes in."""

    day: dt.date
    unit_c: float = 90.0
    handling_c: float = TOUCH_C
    ambient_c: float = 20.0
    draws: int = 4000
    seed: int = 20
    search_limit: int = SEARCH_LIMIT

    def __post_init__(self) -> None:
        """Refuse what was mistyped, and a unit that is too hot to touch called cool enough."""
        for value_c, low_c, high_c, what in (
            (self.unit_c, -60.0, 250.0, "the unit as it comes in"),
            (self.handling_c, 0.0, MOST_TOUCH_C, "cool enough to work on"),
            (self.ambient_c, -60.0, 60.0, "the air in the bay"),
        ):
            if not low_c <= value_c <= high_c:
                raise InputError(f"{what} is {value_c:g} °C: give {low_c:g} °C to {high_c:g} °C.")
