"""What was measured beside the log, read from the words in which people say it."""

from collections.abc import Sequence

from coldsoak.errors import InputError
from coldsoak.judge.circuit.bench import check_bench, parse_bench
from coldsoak.judge.circuit.curves import USUAL_TOLERANCE, SensorCurve, common_curve, curve_from_points
from coldsoak.judge.circuit.inversion import invert_circuit
from coldsoak.judge.circuit.inversion_values import Pair
from coldsoak.judge.explain.evidence import parse_all_evidence
from coldsoak.judge.explain.trade_tests import Knowledge
from coldsoak.judge.judgement import Judgement
from coldsoak.judge.measured import Measured
from coldsoak.units import parse

THERMOMETER_K = 1.0
CURVE_EXAMPLE = "--curve '5896ohm@0degC, 834ohm@50degC, 187ohm@100degC'"


def read_measured(
    evidence: Sequence[str],
    bench: Sequence[str],
    pairs: Sequence[str],
    curve: str | SensorCurve | None,
    knowledge: Knowledge,
) -> Measured:
    """Return the `Measured` value of what was typed, or raise with what is missing.

    `curve` is the sensor's, as points or the name of a common one, or as it is known already.
    """
    results = parse_all_evidence(evidence, knowledge)
    if not bench and not pairs:
        return Measured(results)
    if curve is None:
        raise InputError(
            f"--bench and --pair need the sensor's curve to compare with: add points of its table, as in {CURVE_EXAMPLE}, or "
            "name the unit sheet that has it with --unit."
        )
    sensor = curve if isinstance(curve, SensorCurve) else _curve(curve)
    return Measured(
        results,
        check_bench([parse_bench(text) for text in bench], sensor) if bench else None,
        invert_circuit([_pair(text) for text in pairs], sensor) if pairs else None,
    )


def _curve(text: str) -> SensorCurve:
    if "@" not in text:
        return common_curve(text.strip())
    points = [parse_bench(part) for part in text.split(",")]
    return curve_from_points(
        [point.temp_c for point in points],
        [point.resistance_ohm for point in points],
        USUAL_TOLERANCE,
        "the curve given, with 5 % tolerance assumed",
    )


def _pair(text: str) -> Pair:
    reading, at, true = text.partition("@")
    if not at:
        raise InputError(f"the pair {text!r} is not of the form READING@TRUE, such as 84.5degC@90degC.")
    return Pair(reading_c=parse(reading, "degC"), true_c=parse(true, "degC"), true_u_k=THERMOMETER_K)


def measured_channel(judgement: Judgement) -> tuple[str]:
    """Return the one channel that what was measured must belong to, or ask for it."""
    doubted = [c.name for c in judgement.channels if c.verdict == "not_believable"]
    doubted = doubted or [c.name for c in judgement.channels if c.causes]
    if len(doubted) != 1:
        names = ", ".join(repr(c.name) for c in judgement.channels)
        raise InputError(f"Say which channel was measured with --channel; the log has {names}.")
    return (doubted[0],)
