"""What a plan is made under: the day, the heat of the unit, how long it may be touched, the seed of the simulation."""

import datetime as dt
from dataclasses import dataclass

from coldsoak.plan.order import SEARCH_LIMIT

TOUCH_C = 48.0  # bare metal for more than a minute, IEC 62368-1 table 42 after ISO 13732-1


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
