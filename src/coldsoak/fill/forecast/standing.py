"""How long a reading has stood, against how long it used to stand before it moved on."""

from collections import deque

LEAST_STAND_S = 300.0
STANDS_OUT = 5.0  # times the longest of the last stands
FEWEST_STANDS = 3
MOST_STANDS = 6
_SAME = 1e-6


class Standing:
    """Follows the readings of one thermometer; a stand is a run of equal ones.

    A fluid that levels off stands longer at each degree than at the one before. A reading that moved on every minute and
    then stands for five or more has most likely stuck.

    >>> standing = Standing()
    >>> for time_s in range(0, 600, 10):
    ...     standing.add(float(time_s), 20.0 + min(time_s, 240) // 60)
    >>> standing.stood_s, standing.usual_s, standing.stands_out
    (350.0, 60.0, True)
    """

    def __init__(self) -> None:
        self._stands: deque[float] = deque(maxlen=MOST_STANDS)
        self._value_c: float | None = None
        self._since_s = 0.0
        self._last_s = 0.0

    def add(self, time_s: float, reading_c: float) -> None:
        """Take in one reading."""
        if self._value_c is None or abs(reading_c - self._value_c) > _SAME:
            if self._value_c is not None:
                self._stands.append(time_s - self._since_s)
            self._value_c, self._since_s = reading_c, time_s
        self._last_s = time_s

    @property
    def stood_s(self) -> float:
        """How long the last reading has stood [s]."""
        return self._last_s - self._since_s

    @property
    def usual_s(self) -> float:
        """The longest of the last stands before it [s], 0 where there was none."""
        return max(self._stands, default=0.0)

    @property
    def stands_out(self) -> bool:
        """Whether it has stood far longer than before."""
        known = len(self._stands) >= FEWEST_STANDS
        return known and self.stood_s >= max(LEAST_STAND_S, STANDS_OUT * self.usual_s)

    def shown_rate(self, rate_k_min: float, step_c: float) -> float:
        """Return a rate [K/min] as far as the readings allow it: one that stands has not moved by a step of its scale.

        >>> standing = Standing()
        >>> for time_s in (0.0, 60.0, 120.0):
        ...     standing.add(time_s, 43.0)
        >>> standing.shown_rate(0.2, 1.0), standing.shown_rate(0.8, 1.0), standing.shown_rate(-3.0, 1.0)
        (0.2, 0.5, 0.0)
        """
        moved_k = abs(rate_k_min) * self.stood_s / 60.0
        if moved_k <= step_c:
            return rate_k_min
        return 0.0 if moved_k > 2.0 * step_c else rate_k_min * step_c / moved_k
