"""`coldsoak prove`: is it fixed, or has it just not happened yet?"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from coldsoak.cli._output import OutFile, output
from coldsoak.cli.log_options import log_options
from coldsoak.cli.measured_options import must_be_fluid, sensor_curve, unit_option
from coldsoak.errors import InputError

if TYPE_CHECKING:
    from coldsoak.judge.circuit.curves import SensorCurve
    from coldsoak.prove.assumptions import Assumptions
    from coldsoak.prove.seen import Circuit

LOG = click.Path(path_type=Path)


def code_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add what a scan of trouble codes showed to a command."""
    options = (
        ("--codes-before", "Trouble codes before the repair, as in P0711,P0740."),
        ("--codes-after", "Codes stored after clearing and driving, or none."),
        ("--pending-after", "Pending codes after clearing and driving, or none."),
        (
            "--readiness",
            "Monitor status after the drive: bytes A to D of PID 01, or components=ready,catalyst=open.",
        ),
    )
    for name, said in reversed(options):
        command = click.option(name, metavar="CODES" if "readiness" not in name else "STATUS", help=said)(
            command
        )
    return command


@click.command()
@click.argument("before", type=LOG)
@click.argument("after", type=LOG)
@click.option(
    "--also-before", multiple=True, type=LOG, metavar="LOG", help="One more log from before (repeatable)."
)
@click.option(
    "--also-after", multiple=True, type=LOG, metavar="LOG", help="One more log from after (repeatable)."
)
@click.option(
    "--channel", metavar="NAME", help="The channel that failed; the one with most episodes otherwise."
)
@click.option("--same-vehicle", is_flag=True, help="Both are of one vehicle, whatever the logs look like.")
@click.option("--prior", metavar="SHARE", help="Chance that a repair does not cure, as in '30 %'.")
@click.option(
    "--limit", metavar="SHARE", help="Proven once the chance that it is still there is at most this."
)
@click.option(
    "--assumptions",
    "assumptions_file",
    type=click.Path(path_type=Path, exists=True, dir_okay=False),
    metavar="FILE",
    help="Your shop's own copy of assumptions.toml.",
)
@code_options
@click.option(
    "--pair-before", multiple=True, metavar="READING@TRUE", help="Reading beside a thermometer, before."
)
@click.option(
    "--pair-after",
    multiple=True,
    metavar="READING@TRUE",
    help="The same after the repair (needs --curve or --unit).",
)
@click.option("--curve", metavar="CURVE", help="The sensor's curve, as for `coldsoak judge`.")
@unit_option
@click.option(
    "--svg",
    type=OutFile(".svg"),
    metavar="OUT.svg",
    help="Draw how the evidence grew.",
)
@click.option("--json", "as_json", is_flag=True, help="Print one line of JSON.")
@log_options
def command(
    before: Path,
    after: Path,
    also_before: tuple[Path, ...],
    also_after: tuple[Path, ...],
    channel: str | None,
    same_vehicle: bool,
    prior: str | None,
    limit: str | None,
    assumptions_file: Path | None,
    codes_before: str | None,
    codes_after: str | None,
    pending_after: str | None,
    readiness: str | None,
    pair_before: tuple[str, ...],
    pair_after: tuple[str, ...],
    curve: str | None,
    unit_file: Path | None,
    svg: Path | None,
    as_json: bool,
    mapping: tuple[str, ...],
    rate_hz: float | None,
) -> int:
    """Say from a log BEFORE and one AFTER a repair whether the fault is gone, back, or has only not shown itself yet.

    The exit status is 0 whatever the verdict, and 2 when a log cannot be used.
    """
    from coldsoak.prove.codes import parse_codes, parse_readiness, weigh_codes
    from coldsoak.prove.make import prove
    from coldsoak.shop.desk.seen import see_all

    assume = _assumptions(assumptions_file, prior, limit)
    read = [parse_codes(text) for text in (codes_before, codes_after, pending_after)]
    status = parse_readiness(readiness)
    sensor = sensor_curve(curve, unit_file)
    circuits = [_circuit(pairs, sensor) for pairs in (pair_before, pair_after)]
    first, second = see_all(
        (before, *also_before), (after, *also_after), channel, mapping, rate_hz, any_vehicle=same_vehicle
    )
    if unit_file is not None:
        must_be_fluid(first[0].log, (first[0].channel,))
    first[0], second[-1] = replace(first[0], circuit=circuits[0]), replace(second[-1], circuit=circuits[1])
    proof = prove(first, second, assume, weigh_codes(first[0].quantity, read[0], read[1], read[2], status))
    if as_json:
        click.echo(proof.to_json())
    else:
        from coldsoak.cli.prove_view import show

        show(proof)
    if svg is not None:
        from coldsoak.prove.drawing import evidence_drawing

        drawn = evidence_drawing(proof)
        with output(svg) as new:
            new.write_text(drawn, encoding="utf-8")
        click.echo(f"The drawing lies at {svg.resolve()}", err=as_json)
    return 0


def _assumptions(path: Path | None, prior: str | None, limit: str | None) -> "Assumptions":
    from coldsoak.prove.assumptions import load_assumptions

    changed: dict[str, float] = {}
    for name, text, most in (("prior", prior, 0.99), ("limit", limit, 0.2)):
        if text is not None:
            changed[name] = _share(name, text, most)
    return load_assumptions(path).model_copy(update=changed)


def _share(name: str, text: str, most: float) -> float:
    from coldsoak.sheet.quantities import quantity

    share = quantity(text, "share")
    if not 0.0001 <= share <= most:
        raise InputError(f"--{name} is {text}: give a share from 0.01 % to {100 * most:g} %.")
    return share


def _circuit(pairs: Sequence[str], curve: "str | SensorCurve | None") -> "Circuit | None":
    if not pairs:
        return None
    from coldsoak.judge.explain.trade_tests import load_knowledge
    from coldsoak.judge.measured_text import read_measured
    from coldsoak.shop.desk.seen import circuit_of
    from coldsoak.units import parse

    found = read_measured((), (), pairs, curve, load_knowledge(None, None)).circuit
    return circuit_of(found, [parse(text.rpartition("@")[2], "degC") for text in pairs])
