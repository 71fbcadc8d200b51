"""Numbers as one person reads them; torque always in every unit that is mixed up with another."""

import re
from dataclasses import dataclass
from datetime import datetime

from coldsoak.build.words import FOOT, INCH, METRIC, torque
from coldsoak.sheet.quantities import shown

SMALL_TORQUE_NM = 20.0
_CELSIUS = re.compile(r"(-?\d+(?:\.\d+)?)(?: (to|and) (-?\d+(?:\.\d+)?))? °C")
_NUMBER = r"([+-]?\d+(?:\.\d+)?) °C"
_STEP = re.compile(
    rf"(\b(?:down|up|by|within|went|leave|less than) ){_NUMBER}"
    rf"|(){_NUMBER}(?= (?:off|below|above|low|high|of it|is the most|it climbed)\b)"
)
_SPEED = re.compile(r"(\d+(?:\.\d+)?)(?: (to|and) (\d+(?:\.\d+)?))? km/h")
KM = 1.609_344


@dataclass(frozen=True)
class Shown:
    """How somebody reads numbers: `us` for °F, US quart, lbf·in and lbf·ft first."""

    us: bool = False

    @property
    def temp_unit(self) -> str:
        """The unit of temperatures."""
        return "°F" if self.us else "°C"

    @property
    def temp_units(self) -> tuple[str, str]:
        """The units of temperatures, one's own first."""
        return ("°F", "°C") if self.us else ("°C", "°F")

    @property
    def volume_unit(self) -> str:
        """The unit of volumes."""
        return "US quart" if self.us else "L"

    def torque_unit(self, torque_nm: float) -> str:
        """Return the unit in which somebody expects a torque."""
        return METRIC if not self.us else INCH if torque_nm < SMALL_TORQUE_NM else FOOT

    def torque(self, torque_nm: float) -> str:
        """Return a torque in all units, one's own first.

        >>> Shown(us=True).torque(8.5868)
        '76 lbf·in (8.59 N·m, 6.33 lbf·ft)'
        """
        return torque(torque_nm, self.torque_unit(torque_nm))

    def temp(self, temp_c: float | None, places: int = 0) -> str:
        """Return a temperature, nothing where there is none.

        >>> Shown().temp(42.4), Shown(us=True).temp(42.4)
        ('42 °C', '108 °F')
        """
        return "" if temp_c is None else shown(temp_c, "temperature", self.temp_unit, places)

    def distance(self, km: float) -> str:
        """Return a distance.

        >>> Shown().distance(16.1), Shown(us=True).distance(16.1)
        ('16 km', '10 miles')
        """
        return f"{km / KM:.0f} miles" if self.us else f"{km:.0f} km"

    def said(self, sentence: str) -> str:
        """Return a sentence that has temperatures in °C alone with them in one's own unit.

        >>> Shown(us=True).said("Wait: it opens at 38 °C, closes above 48.5 °C; window 38 to 48 °C.")
        'Wait: it opens at 100 °F, closes above 119.3 °F; window 100 to 118 °F.'
        """
        return _SPEED.sub(_miles, _CELSIUS.sub(_fahrenheit, sentence)) if self.us else sentence

    def judged(self, sentence: str) -> str:
        """Return what judge says with its temperatures, and the steps between them, in one's own unit.

        >>> Shown(us=True).judged("It works at 136 °C; down 103 °C and back within 1.0 s, 12 °C below the coldest.")
        'It works at 277 °F; down 185 °F and back within 1.0 s, 22 °F below the coldest.'
        """
        return self.said(_STEP.sub(_step, sentence)) if self.us else sentence

    def temp_number(self, temp_c: float | None) -> str:
        """Return the number alone, for a field whose unit stands beside it."""
        return "" if temp_c is None else self.temp(temp_c, 1).split()[0].removesuffix(".0")

    def volume(self, litres: float) -> str:
        """Return a volume.

        >>> Shown().volume(4.1), Shown(us=True).volume(4.1)
        ('4.10 L', '4.33 US quart')
        """
        return shown(litres, "volume", self.volume_unit)


def _fahrenheit(found: re.Match[str]) -> str:
    ends = [
        f"{float(one) * 1.8 + 32:.{len(one.partition('.')[2])}f}"
        for one in (found[1], found[3])
        if one is not None
    ]
    return f"{f' {found[2]} '.join(ends)} °F"


def _step(found: re.Match[str]) -> str:
    """A difference grows by the factor alone (NIST SP 811, B.8: a kelvin is 1.8 degrees Fahrenheit)."""
    number = found[2] or found[4]
    sign = "+" if number.startswith("+") else ""
    return f"{found[1] or ''}{sign}{float(number) * 1.8:.{len(number.partition('.')[2])}f} °F"


def _miles(found: re.Match[str]) -> str:
    ends = [f"{float(one) / KM:.0f}" for one in (found[1], found[3]) if one is not None]
    return f"{f' {found[2]} '.join(ends)} mph"


def clock(at: str) -> str:
    """Return a time of day as it was on the wall."""
    return f"{datetime.fromisoformat(at):%H:%M}"


def day_and_clock(at: str) -> str:
    """Return day and time as they were on the wall."""
    return f"{datetime.fromisoformat(at):%Y-%m-%d %H:%M}"


def count(number: int, word: str, plural: str = "") -> str:
    """Return a count and its noun.

    >>> count(1, "bolt"), count(2, "bolt"), count(2, "piece of news", "pieces of news")
    ('1 bolt', '2 bolts', '2 pieces of news')
    """
    return f"{number} {word if number == 1 else plural or word + 's'}"


def capital(said: str) -> str:
    """Return words with a capital at their beginning, the rest as it is.

    >>> capital("lead frame of the Orrin R6")
    'Lead frame of the Orrin R6'
    """
    return said[:1].upper() + said[1:]
