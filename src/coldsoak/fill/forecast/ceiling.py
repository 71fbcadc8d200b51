"""A thermostat holds coolant: what lies above where it opens is reached only by chance."""

from collections import deque

from scipy.special import ndtr

# Common practice, no source: thermostats of cars and light trucks hold coolant at some 80 to 95 °C.
HOLDS_C, HOLDS_SD_K = 88.0, 5.0
HELD_FROM_C = 75.0
LEVEL_S = 180.0
LEVEL_K = 3.0
LEAST_RISE_K = 1.5
WHEN_HELD = 0.1
THERMOSTATIC = frozenset({"coolant_temp"})


class Ceiling:
    """Follows the readings of one channel and says how likely the fluid is to get past a temperature at all."""

    def __init__(self, quantity: str) -> None:
        self._holds = quantity in THERMOSTATIC
        self._recent: deque[tuple[float, float]] = deque()

    def add(self, time_s: float, reading_c: float) -> None:
        """Take in one reading."""
        if not self._holds:
            return
        self._recent.append((time_s, reading_c))
        while len(self._recent) > 1 and self._recent[1][0] <= time_s - LEVEL_S:
            self._recent.popleft()

    def chance_past(self, level_c: float, now_c: float) -> float:
        """Return the chance that no thermostat holds the fluid below `level_c`.

        >>> round(Ceiling("fluid_temp").chance_past(100.0, 60.0), 3), round(Ceiling("coolant_temp").chance_past(88.0, 20.0), 3)
        (1.0, 0.5)
        """
        if not self._holds or level_c <= now_c:
            return 1.0
        past = float(ndtr((HOLDS_C - level_c) / HOLDS_SD_K) / ndtr((HOLDS_C - now_c) / HOLDS_SD_K))
        return past * (WHEN_HELD if self.held else 1.0)

    @property
    def held(self) -> bool:
        """Whether the fluid is warm and has stood still for minutes."""
        if not self._recent:
            return False
        (first_s, first_c), (last_s, last_c) = self._recent[0], self._recent[-1]
        readings = [reading for _, reading in self._recent]
        return (
            last_s - first_s >= 0.9 * LEVEL_S
            and min(readings) >= HELD_FROM_C
            and max(readings) - min(readings) <= LEVEL_K
            and last_c - first_c < LEAST_RISE_K
        )
