"""The scale of a thermometer and its noise, learnt while it is read."""

import math

FINEST_C = 0.1
NOISE_OVER = 40.0  # readings
_NOISE = 1e-6


class Steps:
    """Readings so far, the step of their scale (1 °C for whole degrees until a smaller one is seen), and their noise.

    A warm-up goes one way from one reading to the next; noise goes back and forth, and the mean product of successive
    changes is minus its variance.

    >>> scale = Steps()
    >>> for reading in (20.0, 20.5):
    ...     scale.add(reading)
    >>> scale.step_c, scale.at_or_above(20.6), scale.above(20.5)
    (0.5, 21.0, 21.0)
    """

    def __init__(self) -> None:
        self._seen: list[float] = []
        self.step_c = 1.0
        self._anchor = 0.0
        self._last_c: float | None = None
        self._change_k = 0.0
        self._back_and_forth_k2 = 0.0

    @property
    def noise_k(self) -> float:
        """The standard deviation of the noise of a reading [K], as far as it shows."""
        return math.sqrt(max(self._back_and_forth_k2, 0.0))

    def add(self, reading_c: float) -> None:
        """Take in one reading."""
        change_k = 0.0 if self._last_c is None else reading_c - self._last_c
        self._back_and_forth_k2 -= (self._back_and_forth_k2 + self._change_k * change_k) / NOISE_OVER
        self._last_c, self._change_k = reading_c, change_k
        if any(abs(reading_c - seen) < _NOISE for seen in self._seen[-3:]):
            return
        if not self._seen:
            self._anchor = reading_c
            whole = abs(reading_c - round(reading_c)) < _NOISE
            fahrenheit = reading_c * 1.8 + 32.0
            self.step_c = 1.0 if whole or abs(fahrenheit - round(fahrenheit)) < 1e-3 else FINEST_C
        gaps = [gap for seen in self._seen if (gap := abs(reading_c - seen)) > _NOISE]
        if gaps:
            self.step_c = max(FINEST_C, min(self.step_c, *gaps))
        self._seen = [*self._seen[-40:], reading_c]

    def at_or_above(self, temp_c: float) -> float:
        """Return the lowest value of the scale that is at least `temp_c`."""
        return self._anchor + self.step_c * math.ceil((temp_c - self._anchor) / self.step_c - _NOISE)

    def above(self, temp_c: float) -> float:
        """Return the lowest value of the scale above `temp_c`."""
        return self._anchor + self.step_c * (math.floor((temp_c - self._anchor) / self.step_c + _NOISE) + 1)
