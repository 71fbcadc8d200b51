"""Numbers on paper: every one with its unit spelled out, in SI or US units, written as the language writes them."""

import datetime as dt
import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from babel.dates import format_date, format_skeleton, format_time
from babel.numbers import format_currency, format_decimal

from coldsoak.record.handover_words import Units, Words
from coldsoak.units import convert, shown

_LETTER_AND_DIGIT = re.compile(r"(?<=[A-Za-z])(?=\d)")
LAST_INCH_TORQUE_NM = 20.0  # below it lbf·in is what a wrench of that size shows; our rule


@dataclass(frozen=True)
class Measures:
    """Writes quantities; inside they are SI.

    >>> Measures(Words(), "si").torque(11.976), Measures(Words(), "us").torque(11.976)
    ('11.98 N·m', '106 lbf·in (11.98 N·m)')
    """

    words: Words
    units: Units = "si"

    @property
    def us(self) -> bool:
        """Whether US units are shown."""
        return self.units == "us"

    def number(self, value: float | Decimal, places: int = 0, *, trim: bool = False) -> str:
        """Return a number with so many places after the point; `trim` leaves out zeros at its end.

        >>> Measures(Words()).number(1234.5, 2), Measures(Words()).number(8.40, 2, trim=True)
        ('1,234.50', '8.4')
        """
        pattern = "#,##0" + ("." + ("#" if trim else "0") * places if places else "")
        rounded = Decimal(str(round(value, places)))
        return str(format_decimal(rounded or abs(rounded), format=pattern, locale=self.words.locale))

    def temperature(self, value_c: float) -> str:
        """Return a temperature; whole degrees stay whole, others get one place.

        >>> Measures(Words(), "si").temperature(42.5), Measures(Words(), "us").temperature(100.0)
        ('42.5 °C', '212 °F')
        """
        places = 0 if abs(value_c - round(value_c)) < 0.05 else 1
        if self.us:
            return self.words.say("{number} °F", number=self.number(convert(value_c, "degC", "degF"), places))
        return self.words.say("{number} °C", number=self.number(value_c, places))

    def difference(self, value_k: float, places: int = 0) -> str:
        """Return a temperature difference; 10 K are 18 °F of difference.

        >>> Measures(Words(), "si").difference(10.0), Measures(Words(), "us").difference(10.0)
        ('10 K', '18 °F')
        """
        if self.us:
            return self.words.say("{number} °F", number=self.number(value_k * 1.8, places))
        return self.words.say("{number} K", number=self.number(value_k, places))

    def torque(self, torque_nm: float) -> str:
        """Return a torque, in US units with N·m beside it: lbf·in for small ones, lbf·ft for the others."""
        metric = self.words.say("{number} N·m", number=self.newton_metres(torque_nm))
        if not self.us:
            return metric
        return self.words.say("{torque} ({metric})", torque=self.us_torque(torque_nm), metric=metric)

    def us_torque(self, torque_nm: float) -> str:
        """Return a torque in its US unit alone."""
        return self.torque_unit(self.torque_values([torque_nm], torque_nm)[0], torque_nm)

    def newton_metres(self, torque_nm: float) -> str:
        """Return the number of newton metres, with as many places as a wrench can show."""
        return self.number(torque_nm, 1 if torque_nm >= 100 else 2, trim=True)

    def torque_values(self, torques_nm: Sequence[float], target_nm: float) -> list[str]:
        """Return the numbers of some torques, without their unit, in the unit that fits the target."""
        if not self.us:
            places = max(_places(one) for one in torques_nm)
            return [self.number(one, places) for one in torques_nm]
        unit, places = ("lbf*in", 0) if target_nm < LAST_INCH_TORQUE_NM else ("lbf*ft", 1)
        return [self.number(convert(one, "N*m", unit), places) for one in torques_nm]

    def torque_unit(self, numbers: str, target_nm: float) -> str:
        """Return numbers with the unit that `torque_values` has written them in.

        >>> Measures(Words(), "us").torque_unit("1: 76, 2: 77", 8.6)
        '1: 76, 2: 77 lbf·in'
        """
        if not self.us:
            return self.words.say("{number} N·m", number=numbers)
        if target_nm < LAST_INCH_TORQUE_NM:
            return self.words.say("{number} lbf·in", number=numbers)
        return self.words.say("{number} lbf·ft", number=numbers)

    def volume(self, volume_l: float, places: int = 2) -> str:
        """Return a volume of fluid.

        >>> Measures(Words(), "si").volume(6.25), Measures(Words(), "us").volume(1.892705892)
        ('6.25 L', '2.00 US quart (1.89 L)')
        """
        metric = self.words.say("{number} L", number=self.number(volume_l, places))
        if not self.us:
            return metric
        return self.words.say("{volume} ({metric})", volume=self.us_volume(volume_l, places), metric=metric)

    def volume_alone(self, volume_l: float) -> str:
        """Return a volume in one unit only, for narrow columns."""
        return self.us_volume(volume_l) if self.us else self.volume(volume_l)

    def us_volume(self, volume_l: float, places: int = 2) -> str:
        """Return a volume in US quarts alone."""
        quarts = self.number(convert(volume_l, "L", "quart"), places)
        return self.words.say("{number} US quart", number=quarts)

    def distance(self, distance_km: float) -> str:
        """Return what an odometer shows; it counts in whole ones.

        >>> Measures(Words(), "si").distance(148_212), Measures(Words(), "us").distance(16.09344)
        ('148,212 km', '10 miles (16 km)')
        """
        metric = self.words.say("{number} km", number=self.number(distance_km))
        if not self.us:
            return metric
        miles = self.number(convert(distance_km, "km", "mile"))
        return self.words.say("{number} miles ({metric})", number=miles, metric=metric)

    def speed(self, speed_km_h: float) -> str:
        """Return the speed of a vehicle.

        >>> Measures(Words(), "us").speed(96.56064)
        '60 miles per hour'
        """
        if self.us:
            return self.words.say(
                "{number} miles per hour", number=self.number(convert(speed_km_h, "km/h", "mph"))
            )
        return self.words.say("{number} km/h", number=self.number(speed_km_h))

    def reading(self, value: float, unit: str | None) -> str:
        """Return a value as a vehicle or an instrument gave it, in a unit by whatever name.

        >>> Measures(Words()).reading(-38, "degC"), Measures(Words()).reading(2490, "ohm")
        ('-38 °C', '2,490 ohm')
        """
        if unit is None:
            return self.number(value, 3, trim=True)
        name = shown(unit)
        if name == "°C":
            return self.temperature(value)
        if name == "km/h":
            return self.speed(value)
        return f"{self.number(value, 3, trim=True)} {name}"

    def heat(self, heat_w: float) -> str:
        """Return a heat flow, in kilowatts in both unit systems.

        >>> Measures(Words()).heat(48_300.0)
        '48 kW'
        """
        return self.words.say("{number} kW", number=self.number(heat_w / 1000, 0 if heat_w >= 9950 else 1))

    def duration(self, time_s: float) -> str:
        """Return a stretch of time in the unit that a person would use.

        >>> Measures(Words()).duration(42), Measures(Words()).duration(2520), Measures(Words()).duration(7500)
        ('42 s', '42 min', '2 h 5 min')
        """
        if time_s < 99.5:
            return self.words.say("{number} s", number=self.number(time_s))
        minutes = round(time_s / 60)
        if minutes < 60:
            return self.words.say("{number} min", number=self.number(minutes))
        hours, rest = divmod(minutes, 60)
        if not rest:
            return self.words.say("{number} h", number=self.number(hours))
        return self.words.say("{hours} h {minutes} min", hours=self.number(hours), minutes=self.number(rest))

    def minutes(self, time_s: float) -> str:
        """Return a place in a log as minutes and seconds.

        >>> Measures(Words()).minutes(540.9)
        '9 min 01 s'
        """
        minutes, seconds = divmod(round(time_s), 60)
        return self.words.say(
            "{minutes} min {seconds} s", minutes=self.number(minutes), seconds=f"{seconds:02}"
        )

    def chance(self, share: float) -> str:
        """Return a probability in words that do not promise more than it says.

        >>> Measures(Words()).chance(0.0034), Measures(Words()).chance(0.00002), Measures(Words()).chance(0.42)
        ('0.3 %', 'less than 0.1 %', '42 %')
        """
        percent = 100 * share
        if percent < 0.1:
            return self.words.say("less than {number} %", number=self.number(0.1, 1))
        if percent > 99.9:
            return self.words.say("more than {number} %", number=self.number(99.9, 1))
        places = 1 if percent < 9.95 or percent > 99 else 0
        return self.words.say("{number} %", number=self.number(percent, places))

    def date(self, when: dt.datetime | dt.date) -> str:
        """Return a day in full, which cannot be read two ways.

        >>> day = dt.date(2026, 11, 30)
        >>> Measures(Words()).date(day), Measures(Words(locale="en_US"), "us").date(day)
        ('30 November 2026', 'November 30, 2026')
        """
        return format_date(when, format="long", locale=self.words.locale)

    def short_moment(self, when: dt.datetime) -> str:
        """Return month, day and time of day, for tables.

        >>> Measures(Words()).short_moment(dt.datetime(2026, 11, 30, 14, 5))
        '30 Nov, 14:05'
        """
        day = format_skeleton("MMMd", when.replace(tzinfo=None), locale=self.words.locale)
        return self.words.say("{date}, {time}", date=day, time=self.time_of_day(when))

    def short_date(self, when: dt.date) -> str:
        """Return a day for tables, its month in letters.

        >>> Measures(Words()).short_date(dt.date(2026, 9, 1))
        '1 Sept 2026'
        """
        return format_date(when, format="medium", locale=self.words.locale)

    def moment(self, when: dt.datetime) -> str:
        """Return day and time of day, as the clock stood where it was written down.

        >>> Measures(Words()).moment(dt.datetime(2026, 11, 30, 14, 5))
        '30 November 2026, 14:05'
        """
        return self.words.say("{date}, {time}", date=self.date(when), time=self.time_of_day(when))

    def time_of_day(self, when: dt.datetime) -> str:
        """Return the time of day without seconds."""
        return format_time(when.replace(tzinfo=None), format="short", locale=self.words.locale)

    def money(self, amount: Decimal, currency: str) -> str:
        """Return an amount of money; a code of letters never touches the number.

        >>> Measures(Words(locale="en_US"), "us").money(Decimal("1234.5"), "USD")
        '$1,234.50'
        """
        said = str(format_currency(amount, currency, locale=self.words.locale))
        return _LETTER_AND_DIGIT.sub("\u00a0", said)


def _places(torque_nm: float) -> int:
    """Places after the point that a torque needs, and a wrench can show."""
    most = 1 if torque_nm >= 100 else 2
    return next((n for n in range(most) if abs(round(torque_nm, n) - torque_nm) < 1e-9), most)
