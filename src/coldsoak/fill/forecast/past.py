"""What the window has done so far: when it opened, when it closed, and on which side the reading is now."""

from typing import Literal

from coldsoak.fill.forecast.temp_window import TempWindow

Side = Literal["below", "inside", "above"]


def side(reading_c: float, window: TempWindow) -> Side:
    """Return where a reading lies.

    >>> side(45.0, TempWindow(low_c=35.0, high_c=45.0))
    'inside'
    """
    if reading_c < window.low_c:
        return "below"
    return "inside" if reading_c <= window.high_c else "above"


class Past:
    """Follows the readings of one window; a stay begins at the first reading inside it.

    Readings that flicker back over the edge for less than `SETTLE_S` do not end a stay, nor begin one anew.
    """

    SETTLE_S = 20.0

    def __init__(self) -> None:
        self.opened_s: float | None = None
        self.closed_s: float | None = None
        self.now: Side = "below"

    def add(self, time_s: float, reading_c: float, window: TempWindow) -> None:
        """Take in one reading."""
        self.now = side(reading_c, window)
        if self.now == "inside":
            if self.opened_s is None or (
                self.closed_s is not None and time_s - self.closed_s > self.SETTLE_S
            ):
                self.opened_s = time_s
            self.closed_s = None
        elif self.opened_s is not None and self.closed_s is None:
            self.closed_s = time_s
