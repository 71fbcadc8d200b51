"""Whether the vehicle is driven or stands with its engine running, from its speed where that is known."""

MOVES_KMH = 5.0
DRIVEN_FOR_S = 180.0  # a longer halt is more than a traffic light
STANDS_FROM_S, STANDS_FULL_S = 30.0, 150.0
# How much likelier a steady idle is where the vehicle has stood for minutes, and how much less where it drives.
STANDS, DRIVES = 2.0, -2.0


class Motion:
    """Follows the vehicle speed; `idles` is the log odds it lends to a steady idle against driving.

    >>> motion = Motion()
    >>> motion.add(0.0, None), motion.idles
    (None, 0.0)
    >>> for time_s in range(0, 300, 2):
    ...     motion.add(time_s, 0.0)
    >>> motion.idles
    2.0
    >>> motion.add(300.0, 40.0), motion.idles
    (None, -2.0)
    """

    def __init__(self) -> None:
        self.idles = 0.0
        self._stands_since_s: float | None = None
        self._moved_s: float | None = None

    def add(self, time_s: float, speed_kmh: float | None) -> None:
        """Take in a vehicle speed."""
        if speed_kmh is None:
            return
        if speed_kmh >= MOVES_KMH:
            self._moved_s, self._stands_since_s = time_s, None
        elif self._stands_since_s is None:
            self._stands_since_s = time_s
        self.idles = self._log_odds(time_s)

    def _log_odds(self, time_s: float) -> float:
        if self._moved_s is not None and time_s - self._moved_s < DRIVEN_FOR_S:
            return DRIVES
        stood_s = time_s - (time_s if self._stands_since_s is None else self._stands_since_s)
        share = (stood_s - STANDS_FROM_S) / (STANDS_FULL_S - STANDS_FROM_S)
        return STANDS * min(max(share, 0.0), 1.0)
