"""From readings and independent temperatures back to the circuit: resistance in series, leakage, or neither.

The module turns the resistance it sees into a reading, so a reading is a resistance. Held against the resistance that
the sensor has at the true temperature, resistance in series adds ohms everywhere, and shows when hot; a leakage path
beside the sensor takes them away, and shows when cold.
"""

from collections.abc import Sequence

import numpy as np

from coldsoak.errors import InputError
from coldsoak.judge.circuit.circuit_fit import Measured, fit
from coldsoak.judge.circuit.curves import SensorCurve
from coldsoak.judge.circuit.inversion_values import Beside, CircuitModel, Explanation, Inversion, Limits, Pair

ROUNDING_K = 0.29  # standard uncertainty of a reading in whole degrees, 1/√12
PULLUP_TOLERANCE = 0.01  # of the module's pull-up: common practice, no source
REFUSED_BELOW = 0.05  # a model whose chi-square is rarer than this is not believed
LEAST_K = 0.5
LEAST_APART_K = 20.0  # pairs closer than this say nothing of how an error changes with temperature


def invert_circuit(
    pairs: Sequence[Pair],
    curve: SensorCurve,
    *,
    reading_u_k: float = ROUNDING_K,
    pullup_tolerance: float = PULLUP_TOLERANCE,
) -> Inversion:
    """Return what in the circuit explains readings beside true temperatures, with its uncertainty.

    One pair gives the one explanation that has the right sign; two or more at different temperatures tell resistance in
    series from leakage. Tolerances are taken as limits, everything between them equally likely.

    >>> from coldsoak.judge.circuit.curves import common_curve
    >>> curve = common_curve("10 kohm at 25 degC", assumed=False)
    >>> pairs = [Pair(reading_c=19.65, true_c=20, true_u_k=0.5), Pair(reading_c=84.52, true_c=90, true_u_k=0.5)]
    >>> found = invert_circuit(pairs, curve)
    >>> found.explanation, round(found.model("series").series.value_ohm, -1)
    ('series', 200.0)
    """
    if not pairs:
        raise InputError(
            "there is no pair of temperatures: give at least one reading with the true temperature beside it."
        )
    if not (reading_u_k >= 0 and 0 <= pullup_tolerance < 1):
        raise InputError(
            f"the uncertainty of a reading is {reading_u_k:g} K and the tolerance of the pull-up {pullup_tolerance:g}: "
            "give numbers of at least 0, the tolerance as a share such as 0.01."
        )
    measured = _measured(pairs, curve, reading_u_k, pullup_tolerance)
    models = {kind: model for kind in ("none", "series", "leakage", "both") if (model := fit(kind, measured))}
    apart_k = max(pair.true_c for pair in pairs) - min(pair.true_c for pair in pairs)
    explanation, decided = _choose(models, apart_k)
    extrapolated = not all(curve.holds(t) for pair in pairs for t in (pair.reading_c, pair.true_c))
    return Inversion(
        explanation=explanation,
        models=tuple(models.values()),
        decided=decided,
        extrapolated=extrapolated,
        sentence=_sentence(pairs, models, explanation, curve, decided=decided, extrapolated=extrapolated),
        beside="agrees" if explanation == "agrees" else _beside(pairs),
    )


def _beside(pairs: Sequence[Pair]) -> Beside:
    worst = max((pair.reading_c - pair.true_c for pair in pairs), key=abs)
    return "reads_low" if worst < 0 else "reads_high"


def _measured(
    pairs: Sequence[Pair], curve: SensorCurve, reading_u_k: float, pullup_tolerance: float
) -> Measured:
    seen_c = np.array([pair.reading_c for pair in pairs])
    true_c = np.array([pair.true_c for pair in pairs])
    slope = np.array([curve.slope_ohm_k(t) for t in true_c])
    return Measured(
        seen_ohm=np.asarray(curve.curve.resistance_ohm(seen_c)),
        sensor_ohm=np.asarray(curve.curve.resistance_ohm(true_c)),
        own_ohm=np.array([curve.slope_ohm_k(t) for t in seen_c]) * reading_u_k,
        true_ohm=slope * np.array([pair.true_u_k for pair in pairs]),
        curve_share=np.array([curve.share_at(t) for t in true_c]) / 3**0.5,
        pullup_share=pullup_tolerance / 3**0.5,
    )


def _choose(models: dict[str, CircuitModel], apart_k: float) -> tuple[Explanation, bool]:
    """Return the simplest explanation that is believed, and whether it is the only one so simple."""
    if _believed(models["none"]):
        return "agrees", True
    singles = [models[kind] for kind in ("series", "leakage") if kind in models and _believed(models[kind])]
    if singles:
        best = min(singles, key=lambda model: model.chi2)
        return ("series" if best.kind == "series" else "leakage"), len(
            singles
        ) == 1 and apart_k >= LEAST_APART_K
    if "both" in models and _believed(models["both"]):
        return "both", models["both"].freedom > 0
    return "unexplained", False


def _believed(model: CircuitModel) -> bool:
    return model.p_value is None or model.p_value >= REFUSED_BELOW


def _sentence(
    pairs: Sequence[Pair],
    models: dict[str, CircuitModel],
    explanation: Explanation,
    curve: SensorCurve,
    *,
    decided: bool,
    extrapolated: bool,
) -> str:
    by_heat = sorted(pairs, key=lambda pair: pair.true_c)
    shown = by_heat if len(by_heat) < 3 else [by_heat[0], by_heat[-1]]
    head = "reads " + " and ".join(_difference(pair) for pair in shown)
    basis = f", taking {curve.words}" + (", beyond its points" if extrapolated else "")
    if explanation == "agrees":
        return f"{head}: no more than sensor, pull-up and thermometers may differ by{basis}"
    if explanation == "unexplained":
        return f"{head}: neither resistance in series nor leakage does this{basis}; measure the sensor itself, cold and hot"
    model = models[explanation]
    parts = []
    if model.series is not None:
        parts.append(
            f"about {_ohms(model.series.value_ohm)} in series ({_range(model.series)}), as a connector or contact adds"
        )
    if model.leakage is not None:
        parts.append(
            f"about {_ohms(model.leakage.value_ohm)} of leakage ({_range(model.leakage)}), as fluid in a connector makes"
        )
    return f"{head}: {', and '.join(parts)}{basis}{_caveat(explanation, decided=decided, count=len(pairs))}"


def _caveat(explanation: Explanation, *, decided: bool, count: int) -> str:
    if decided:
        return ""
    if explanation == "both":
        return "; two pairs always fit both at once, so measure at a third temperature"
    if count == 1:
        return "; one temperature cannot tell this from a sensor that is off, so measure again at least 40 K away"
    return "; the pairs lie too close to tell resistance in series from leakage, so measure further apart"


def _difference(pair: Pair) -> str:
    off = pair.reading_c - pair.true_c
    if abs(off) < LEAST_K:
        return f"right at {pair.true_c:.0f} °C"
    return f"{_kelvin(abs(off))} °C {'low' if off < 0 else 'high'} at {pair.true_c:.0f} °C"


def _kelvin(size: float) -> str:
    return f"{size:.0f}" if size >= 10 or abs(size - round(size)) < 0.05 else f"{size:.1f}"


def _range(limits: Limits) -> str:
    low, high = _ohms(limits.low_ohm), _ohms(limits.high_ohm)
    return f"at least {low}" if limits.high_ohm == float("inf") else f"{low} to {high}"


def _ohms(ohm: float) -> str:
    rounded = float(f"{ohm:.2g}")
    return f"{rounded / 1000:g} kΩ" if rounded >= 1000 else f"{rounded:g} Ω"
