"""The options with which `coldsoak judge` takes what was measured beside the log."""

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from coldsoak.errors import InputError

if TYPE_CHECKING:
    from coldsoak.judge.circuit.curves import SensorCurve
    from coldsoak.judge.circuit.inversion_values import Pair
    from coldsoak.judge.explain.trade_tests import Knowledge
    from coldsoak.judge.measured import Measured

TOLERANCE = 0.05
THERMOMETER_K = 1.0
CURVE_EXAMPLE = "--curve '5896ohm@0degC, 834ohm@50degC, 187ohm@100degC'"


def measured_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add what was measured, and the shop's own tables to weigh it with, to a command."""
    options = (
        click.option(
            "--evidence",
            multiple=True,
            metavar="TEST=RESULT",
            help="A test you did and what it showed, for instance unplug=reads_cold (repeatable).",
        ),
        click.option(
            "--bench",
            multiple=True,
            metavar="OHMS@TEMP",
            help="The sensor's resistance at a known temperature, such as 2.45kohm@20degC (repeatable; needs --curve).",
        ),
        click.option(
            "--pair",
            "pairs",
            multiple=True,
            metavar="READING@TRUE",
            help="What the log read and what a thermometer showed, such as 84.5degC@90degC (repeatable; needs --curve).",
        ),
        click.option(
            "--curve",
            metavar="CURVE",
            help="The sensor's curve: points of its table as for --bench, with commas between, or '2.5 kohm at 20 degC' or "
            "'10 kohm at 25 degC' to assume a common one.",
        ),
        click.option(
            "--causes",
            "causes_file",
            type=click.Path(path_type=Path, exists=True, dir_okay=False),
            metavar="FILE",
            help="Your shop's own copy of causes.toml: causes, how often they are, what they show.",
        ),
        click.option(
            "--trade-tests",
            "tests_file",
            type=click.Path(path_type=Path, exists=True, dir_okay=False),
            metavar="FILE",
            help="Your shop's own copy of trade_tests.toml: the tests, their minutes, what they show.",
        ),
    )
    for option in reversed(options):
        command = option(command)
    return command


def read_measured(
    evidence: Sequence[str],
    bench: Sequence[str],
    pairs: Sequence[str],
    curve: str | None,
    knowledge: "Knowledge",
) -> "Measured":
    """Return the `Measured` value of what was typed, or raise with what is missing."""
    from coldsoak.judge.circuit.bench import check_bench, parse_bench
    from coldsoak.judge.circuit.inversion import invert_circuit
    from coldsoak.judge.explain.evidence import parse_all_evidence
    from coldsoak.judge.measured import Measured

    results = parse_all_evidence(evidence, knowledge)
    if not bench and not pairs:
        return Measured(results)
    if curve is None:
        raise InputError(
            f"--bench and --pair need the sensor's curve to compare with: add points of its table, as in {CURVE_EXAMPLE}."
        )
    sensor = _curve(curve)
    return Measured(
        results,
        check_bench([parse_bench(text) for text in bench], sensor) if bench else None,
        invert_circuit([_pair(text) for text in pairs], sensor) if pairs else None,
    )


def _curve(text: str) -> "SensorCurve":
    from coldsoak.judge.circuit.bench import parse_bench
    from coldsoak.judge.circuit.curves import common_curve, curve_from_points

    if "@" not in text:
        return common_curve(text.strip())
    points = [parse_bench(part) for part in text.split(",")]
    return curve_from_points(
        [point.temp_c for point in points],
        [point.resistance_ohm for point in points],
        TOLERANCE,
        "the curve given, with 5 % tolerance assumed",
    )


def _pair(text: str) -> "Pair":
    from coldsoak.judge.circuit.inversion_values import Pair
    from coldsoak.units import parse

    reading, at, true = text.partition("@")
    if not at:
        raise InputError(f"the pair {text!r} is not of the form READING@TRUE, such as 84.5degC@90degC.")
    return Pair(reading_c=parse(reading, "degC"), true_c=parse(true, "degC"), true_u_k=THERMOMETER_K)
