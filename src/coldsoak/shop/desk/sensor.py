"""What was measured at a sensor: resistances, and readings beside a thermometer, held against the curve on its sheet."""

from collections.abc import Iterable, Sequence
from typing import Any

from coldsoak.errors import InputError
from coldsoak.judge.circuit.bench import BenchPoint, check_bench
from coldsoak.judge.circuit.curves import SensorCurve
from coldsoak.judge.circuit.inversion import invert_circuit
from coldsoak.judge.circuit.inversion_values import Pair
from coldsoak.judge.detect.soak import HIGH_ONE_K, LOW_APART_K
from coldsoak.judge.measured_text import THERMOMETER_K
from coldsoak.prove.seen import Soak
from coldsoak.record.findings import AT, BESIDE, OHMS, READ, RESISTANCE, TRUE, Measure, TestResult
from coldsoak.record.kinds import Plain
from coldsoak.units import parse

LEAST_C, MOST_C = -60.0, 200.0
CELSIUS = "°C"
DEGREES = ("°C", "degC", "°F", "degF")
COLD_SOAK = "cold_soak"


def resistance(curve: SensorCurve, ohm: float, temp_c: float, tool: str | None = None) -> TestResult:
    """Return the entry of a resistance [ohm] measured at a temperature [degC], with what the curve says of it."""
    if not 0 < ohm <= 1e8:
        raise InputError(
            f"{ohm:g} Ω is no resistance of such a sensor: type what the meter shows, with its unit; where it shows an open "
            "circuit, choose that result of the test."
        )
    point = BenchPoint(resistance_ohm=ohm, temp_c=_sane(temp_c))
    measures = (
        Measure(name=OHMS, value=ohm, unit="ohm"),
        Measure(name=AT, value=temp_c, unit=CELSIUS),
    )
    return TestResult(
        test=RESISTANCE, result=check_bench([point], curve).sentence, measures=measures, tool=tool or None
    )


def beside(curve: SensorCurve, reading_c: float, true_c: float, tool: str | None = None) -> TestResult:
    """Return the entry of a reading and what a thermometer showed beside it [degC], with what the circuit does to it."""
    pair = Pair(reading_c=_sane(reading_c), true_c=_sane(true_c), true_u_k=THERMOMETER_K)
    measures = (
        Measure(name=READ, value=reading_c, unit=CELSIUS),
        Measure(name=TRUE, value=true_c, unit=CELSIUS),
    )
    return TestResult(
        test=BESIDE,
        result=f"It {invert_circuit([pair], curve).sentence}.",
        measures=measures,
        tool=tool or None,
    )


def measured(tests: Iterable[TestResult]) -> Plain:
    """Return what was measured at the sensor as the stages take it; nothing where nothing was.

    >>> from coldsoak.judge.circuit.curves import common_curve
    >>> measured([resistance(common_curve("2.5 kohm at 20 degC"), 2450.0, 20.0)])
    {'bench': [[2450.0, 20.0]]}
    """
    found: dict[str, Any] = {}
    for test in tests:
        values = {one.name: one.value for one in test.measures}
        if test.test == RESISTANCE and values.keys() >= {OHMS, AT}:
            found.setdefault("bench", []).append([values[OHMS], values[AT]])
        if test.test == BESIDE and values.keys() >= {READ, TRUE}:
            found.setdefault("pairs", []).append([values[READ], values[TRUE]])
    return found


def soaks(tests: Iterable[TestResult]) -> list[float]:
    """Return how far the reading was off its witnesses [K] in every cold-soak comparison that was noted as a test.

    The channel in doubt is measured first, then what it is compared with; without measures the result itself has to be that
    they agree, `cold_soak=agrees`.

    >>> fluid, air = Measure(name="Fluid", value=12.0, unit="°C"), Measure(name="Air", value=54.5, unit="°F")
    >>> soaks([TestResult(test="After a night", result="As measured.", key="cold_soak", measures=(fluid, air))])
    [-0.5]
    """
    found = []
    for test in tests:
        name, _, outcome = (test.key or "").partition("=")
        read = [parse(f"{one.value} {one.unit}", "degC") for one in test.measures if one.unit in DEGREES]
        if name == COLD_SOAK and len(read) > 1:
            found.append(round(read[0] - min(max(read[0], min(read[1:])), max(read[1:])), 3))
        elif name == COLD_SOAK and outcome == "agrees":
            found.append(0.0)
    return found


def soak_of(said: object) -> Soak | None:
    """Return the comparison that is furthest off as prove takes it; None where there is none."""
    offs = [float(one) for one in said] if isinstance(said, list) else []
    if not offs:
        return None
    off_k = max(offs, key=abs)
    return Soak(None, off_k, low=off_k < -LOW_APART_K, high=off_k > HIGH_ONE_K)


def points(said: object) -> Sequence[BenchPoint]:
    """Return resistances as judge takes them."""
    return [BenchPoint(resistance_ohm=ohm, temp_c=temp_c) for ohm, temp_c in _rows(said)]


def pairs(said: object) -> Sequence[Pair]:
    """Return readings beside a thermometer as judge takes them."""
    return [Pair(reading_c=read, true_c=true, true_u_k=THERMOMETER_K) for read, true in _rows(said)]


def _rows(said: object) -> list[tuple[float, float]]:
    return [(float(one), float(other)) for one, other in said] if isinstance(said, list) else []


def _sane(temp_c: float) -> float:
    if not LEAST_C <= temp_c <= MOST_C:
        raise InputError(f"{temp_c:g} °C is no temperature of a gearbox: check the number and its unit.")
    return temp_c
