"""Check a sensor on the bench: measured resistances against its curve and tolerance."""

import math
import re
from collections.abc import Sequence
from typing import Literal

from coldsoak.errors import InputError, OutOfRangeError, UnitError
from coldsoak.judge.circuit.curves import SensorCurve
from coldsoak.logs.dictionary import find_unit
from coldsoak.value import Value

THERMOMETER_K = 1.0  # what a shop thermometer may be off by: common practice, no source
COLD_BELOW_C, HOT_ABOVE_C = (
    40.0,
    60.0,
)  # a measurement counts as the cold or the hot test: common practice, no source
FAR_TIMES = 4.0  # so far off is no sensor that is only worn, nor a slip in reading the thermometer: our rule
OHMS = {"ohm": 1.0, "ohms": 1.0, "ω": 1.0, "kohm": 1e3, "kohms": 1e3, "kω": 1e3, "mohm": 1e6, "mω": 1e6}
OPEN_WORDS = {"open", "ol"}
NUMBER = re.compile(r"\s*([-+]?\d+(?:\.\d+)?(?:[eE][-+]?\d+)?)\s*(.*?)\s*")
EXAMPLE = "write it like 2.45kohm@20degC, or open@20degC"

State = Literal["within", "high", "low", "open"]


class BenchPoint(Value):
    """One resistance measured at one temperature; infinity where the meter shows open."""

    resistance_ohm: float
    temp_c: float


class BenchResult(Value):
    """One measurement against the curve: expected resistance and its limits, and how far off it is in kelvin."""

    point: BenchPoint
    state: State
    expected_ohm: float
    low_ohm: float
    high_ohm: float
    off_k: float | None
    extrapolated: bool
    sentence: str

    def __str__(self) -> str:
        return self.sentence

    @property
    def far(self) -> bool:
        """Whether a resistance that is no open circuit lies off the curve by a multiple of what is allowed."""
        ohm = self.point.resistance_ohm
        if self.state not in ("low", "high"):
            return False
        limit_ohm = self.low_ohm if self.state == "low" else self.high_ohm
        return not ohm or abs(math.log(ohm / self.expected_ohm)) > FAR_TIMES * abs(
            math.log(limit_ohm / self.expected_ohm)
        )


class BenchCheck(Value):
    """All measurements of one sensor."""

    within: bool
    results: tuple[BenchResult, ...]
    sentence: str

    def __str__(self) -> str:
        return self.sentence


def parse_bench(text: str) -> BenchPoint:
    """Read OHMS@TEMP as it is typed; both need their unit.

    >>> parse_bench("2.45kohm@20degC")
    BenchPoint(resistance_ohm=2450.0, temp_c=20.0)
    >>> parse_bench("187 ohm @ 212degF").temp_c
    100.0
    """
    ohms, at, temp = text.partition("@")
    if not at:
        raise InputError(f"the measurement {text!r} is not of the form OHMS@TEMP: {EXAMPLE}.")
    resistance_ohm = _ohm(ohms)
    value, unit_text = _number(temp, "temperature")
    unit = find_unit(unit_text, "temperature")
    if unit is None:
        raise UnitError(
            f"the temperature {temp.strip()!r} came {_missing(unit_text)}: write degC, degF or K, as in 20degC."
        )
    temp_c = round(unit.scale * value + unit.offset, 9)
    if not -100 <= temp_c <= 400:
        raise InputError(
            f"{temp.strip()} is {temp_c:.0f} °C, where no such sensor lives: check the number and its unit."
        )
    return BenchPoint(resistance_ohm=resistance_ohm, temp_c=temp_c)


def _ohm(text: str) -> float:
    if text.strip().casefold() in OPEN_WORDS:
        return math.inf
    value, unit = _number(text, "resistance")
    if unit.startswith("m"):
        raise UnitError(
            f"the resistance {text.strip()!r} is in milliohm, which no such sensor has: write Mohm or ohm."
        )
    if unit.casefold() not in OHMS:
        raise UnitError(
            f"the resistance {text.strip()!r} came {_missing(unit)}: write ohm or kohm, as in 2.45kohm."
        )
    if value < 0:
        raise InputError(f"the resistance {text.strip()!r} is below 0: swap the leads, or zero the meter.")
    return value * OHMS[unit.casefold()]


def _number(text: str, what: str) -> tuple[float, str]:
    match = NUMBER.fullmatch(text)
    if match is None or match[2].startswith((",", ".")):
        raise InputError(f"the {what} {text.strip()!r} does not start with a plain number: {EXAMPLE}.")
    return float(match[1]), match[2]


def _missing(unit: str) -> str:
    return f"with the unit {unit!r}, which is none for it" if unit else "without its unit"


def check_bench(
    points: Sequence[BenchPoint], curve: SensorCurve, thermometer_k: float = THERMOMETER_K
) -> BenchCheck:
    """Hold measurements against a curve, its tolerance and what the thermometer may be off by.

    >>> from coldsoak.judge.circuit.curves import common_curve
    >>> print(check_bench([parse_bench("2.45kohm@20degC")], common_curve("2.5 kohm at 20 degC")))
    The sensor is within 5 % of the common curve of 2.5 kΩ at 20 °C, which is an assumption: 2450 Ω at 20 °C, expected 2520 Ω.
    """
    if not points:
        raise InputError(f"there is no measurement to check: {EXAMPLE}.")
    results = tuple(_result(point, curve, thermometer_k) for point in points)
    wrong = [result for result in results if result.state != "within"]
    verdict = (
        f"The sensor is {'not ' if wrong else ''}within {curve.within} of {curve.words}: "
        + "; ".join(result.sentence for result in wrong or results)
        + "."
    )
    return BenchCheck(within=not wrong, results=results, sentence=verdict)


def _result(point: BenchPoint, curve: SensorCurve, thermometer_k: float) -> BenchResult:
    expected = curve.resistance_ohm(point.temp_c)
    low, high = curve.limits_ohm(point.temp_c, thermometer_k)
    ohm = point.resistance_ohm
    off_k = _off_k(point, curve)
    state: State = "open" if ohm == math.inf else "high" if ohm > high else "low" if ohm < low else "within"
    extrapolated = not curve.holds(point.temp_c)
    words = f"{_ohms(ohm)} at {point.temp_c:.0f} °C, expected {_ohms(expected)}"
    if state != "within":
        words += " (" + (off(off_k) if off_k is not None else "an open or a short") + ")"
    if extrapolated:
        words += " (beyond the points of the curve)"
    return BenchResult(
        point=point,
        state=state,
        expected_ohm=expected,
        low_ohm=low,
        high_ohm=high,
        off_k=off_k,
        extrapolated=extrapolated,
        sentence=words,
    )


def _off_k(point: BenchPoint, curve: SensorCurve) -> float | None:
    """How far off the temperature is that the resistance stands for; None where it stands for none."""
    if not 0 < point.resistance_ohm < math.inf:
        return None
    try:
        return curve.temp_c(point.resistance_ohm) - point.temp_c
    except OutOfRangeError:
        return None


def off(off_k: float) -> str:
    """Say how far off the temperature is that a resistance stands for [K]."""
    return f"as if it were {abs(off_k):.1f} K {'hotter' if off_k > 0 else 'colder'}"


def _ohms(ohm: float) -> str:
    return "open" if ohm == math.inf else f"{float(f'{ohm:.3g}'):.10g} Ω"


def bench_evidence(check: BenchCheck) -> dict[str, str]:
    """Return the check as results of the resistance tests; of several in one range the worst counts.

    >>> from coldsoak.judge.circuit.curves import common_curve
    >>> bench_evidence(check_bench([parse_bench("260ohm@95degC")], common_curve("2.5 kohm at 20 degC")))
    {'resistance_hot': 'high'}
    """
    found: dict[str, str] = {}
    for result in sorted(
        check.results, key=lambda one: abs(one.off_k) if one.off_k is not None else math.inf
    ):
        name = _test_name(result.point.temp_c)
        if name and (result.state != "within" or name not in found):
            found[name] = result.state
    return found


def _test_name(temp_c: float) -> str | None:
    if temp_c < COLD_BELOW_C:
        return "resistance_cold"
    return "resistance_hot" if temp_c > HOT_ABOVE_C else None
