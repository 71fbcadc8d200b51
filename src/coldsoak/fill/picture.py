"""The level window as values: how high the fluid stands at each temperature, and where the hole is."""

from typing import Literal

import numpy as np

from coldsoak.fill.expansion import Expansion
from coldsoak.fill.window import LITRES_PER_CM2_MM, Window
from coldsoak.fill.words import degree_span
from coldsoak.sheet.fluid import Fluid
from coldsoak.value import Value

Mark = Literal["cold", "opens", "now", "closes", "hot"]
STEP_K = 2.0
HOT_C = 100.0
BEYOND_K = 25.0


class Point(Value):
    """One point of the level line; heights are above the hole, below it negative."""

    temp_c: float
    level_l: float
    level_mm: float | None = None


class Marked(Value):
    """A point with a name and what it means there."""

    mark: Mark
    point: Point
    says: str


class LevelPicture(Value):
    """The level over temperature of a unit that was filled right in the middle of its window, engine as on the sheet.

    `low_c` and `high_c` are the window of the sheet; `sure_low_c` and `sure_high_c` the fluid temperatures at the ends
    of what the thermometer makes sure of. `thermometer` shows `from_c` to `to_c` there, and `shows_now_c` now: what a person
    sees, where every other temperature is that of the fluid.
    """

    title: str
    line: tuple[Point, ...]
    marks: tuple[Marked, ...]
    low_c: float
    high_c: float
    sure_low_c: float | None
    sure_high_c: float | None
    now_low_c: float | None = None
    now_high_c: float | None = None
    thermometer: str = ""
    from_c: float | None = None
    to_c: float | None = None
    shows_now_c: float | None = None
    hole_mm: float | None
    per_kelvin_l: float

    @property
    def open_at(self) -> str | None:
        """The readings at which the level counts, as they are said to the person who reads; None where there are none."""
        if self.from_c is None or self.to_c is None:
            return None
        return f"{self.thermometer} reads {degree_span(self.from_c, self.to_c)}"

    @property
    def in_mm(self) -> bool:
        """Whether heights are known in millimetres; otherwise the line is in litres."""
        return all(point.level_mm is not None for point in self.line)

    def height(self, point: Point) -> float:
        """Return the height of a point, in mm where known and in litres otherwise."""
        return point.level_mm if point.level_mm is not None else point.level_l


def level_picture(
    title: str, fluid: Fluid, expansion: Expansion, window: Window, cold_c: float
) -> LevelPicture:
    """Return the picture of the level window."""
    middle_c = (window.low_c + window.high_c) / 2
    area = fluid.level.pan_area

    def point(temp_c: float) -> Point:
        level_l = expansion.volume_l(fluid.capacity.total.si, middle_c, temp_c) - fluid.capacity.total.si
        level_mm = level_l / (area.si * LITRES_PER_CM2_MM) if area is not None else None
        return Point(temp_c=temp_c, level_l=level_l, level_mm=level_mm)

    read = window.reading
    now = (read.fluid_c,) if read is not None else ()
    start_c = min(cold_c, window.low_c - BEYOND_K / 2, *now)
    warm_c = HOT_C if fluid.level.engine == "running" else window.high_c + BEYOND_K
    end_c = max(warm_c, window.high_c + BEYOND_K, *now)
    temps = np.append(np.arange(start_c, end_c, STEP_K), end_c)
    marks = [
        Marked(
            mark="cold",
            point=point(start_c),
            says="opened here nothing comes; filled up here it is too full when warm",
        ),
        Marked(mark="opens", point=point(window.low_c), says="the window opens"),
        Marked(mark="closes", point=point(window.high_c), says="the window closes"),
        Marked(
            mark="hot", point=point(end_c), says="opened here good fluid runs out; it is short when cooled"
        ),
    ]
    if read is not None:
        state = {
            "inside": "inside the window",
            "outside": f"outside: {read.side}",
            "not_to_be_known": "not to be known",
        }
        marks.insert(2, Marked(mark="now", point=point(read.fluid_c), says=f"now, {state[read.state]}"))
    sure = [
        window.thermometer.fluid_c(end) if end is not None else None for end in (window.from_c, window.to_c)
    ]
    return LevelPicture(
        title=title,
        line=tuple(point(float(temp)) for temp in temps),
        marks=tuple(marks),
        low_c=window.low_c,
        high_c=window.high_c,
        sure_low_c=sure[0],
        sure_high_c=sure[1],
        now_low_c=read.fluid_c - 1.96 * read.uncertainty_k if read is not None else None,
        now_high_c=read.fluid_c + 1.96 * read.uncertainty_k if read is not None else None,
        thermometer=window.thermometer.label,
        from_c=window.from_c,
        to_c=window.to_c,
        shows_now_c=read.reading_c if read is not None else None,
        hole_mm=fluid.level.hole_diameter.si if fluid.level.hole_diameter is not None else None,
        per_kelvin_l=window.error.per_kelvin_l,
    )
