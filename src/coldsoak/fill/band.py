"""A value with its range."""

from coldsoak.value import Value

NINETY_FIVE = (
    1.96  # standard uncertainties on either side that hold 95 % of a normal distribution; [gum] table G.1
)


class Band(Value):
    """Low end, likely, high end: 95 of 100 lie between the ends.

    >>> print(Band.around(5.0, 0.1))
    5.00 (4.80 to 5.20)
    """

    low: float
    likely: float
    high: float

    @classmethod
    def around(cls, likely: float, uncertainty: float, *, least: float = -float("inf")) -> "Band":
        """Return the band of a value with a standard uncertainty, cut off at `least`."""
        reach = NINETY_FIVE * uncertainty
        return cls(low=max(likely - reach, least), likely=max(likely, least), high=max(likely + reach, least))

    @property
    def uncertainty(self) -> float:
        """Standard uncertainty, from the upper half."""
        return (self.high - self.likely) / NINETY_FIVE

    def __str__(self) -> str:
        return f"{self.likely:.2f} ({self.low:.2f} to {self.high:.2f})"
