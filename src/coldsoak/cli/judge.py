"""`coldsoak judge`: say which temperature readings can be true, and why."""

from pathlib import Path

import click

from coldsoak.cli._edge import UNUSABLE, complain
from coldsoak.cli._output import OutFile, output
from coldsoak.cli.log_options import log_options
from coldsoak.cli.measured_options import measured_options, must_be_fluid, sensor_curve
from coldsoak.errors import ColdsoakError, InputError


@click.command()
@click.argument("files", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option(
    "--channel", "channels", multiple=True, metavar="NAME", help="Judge only this channel (repeatable)."
)
@click.option("--json", "as_json", is_flag=True, help="Print one line of JSON for each file.")
@click.option(
    "--report",
    type=OutFile(".html", ".htm"),
    metavar="OUT.html",
    help="Write a report with plots.",
)
@measured_options
@log_options
def command(
    files: tuple[Path, ...],
    channels: tuple[str, ...],
    as_json: bool,
    report: Path | None,
    evidence: tuple[str, ...],
    bench: tuple[str, ...],
    pairs: tuple[str, ...],
    curve: str | None,
    unit_file: Path | None,
    causes_file: Path | None,
    tests_file: Path | None,
    mapping: tuple[str, ...],
    rate_hz: float | None,
) -> int:
    """Say for every temperature channel of the logs FILES whether it can be true.

    The exit status is 0 when every file was judged, whatever the verdict, and 2 when one could not be read.
    """
    from coldsoak.judge.explain.trade_tests import load_knowledge
    from coldsoak.judge.judge import judge
    from coldsoak.judge.measured_text import measured_channel, read_measured
    from coldsoak.logs.read import read_log

    knowledge = load_knowledge(causes_file, tests_file)
    sensor = sensor_curve(curve, unit_file)
    measured = read_measured(evidence, bench, pairs, sensor, knowledge)
    if measured and len(files) > 1:
        raise InputError("What was measured belongs to one vehicle: judge its log alone with these options.")
    judged = []
    status = 0
    for file in files:
        try:
            log = read_log(file, mapping=mapping, rate_hz=rate_hz)
            if measured:
                named = channels or measured_channel(judge(log))
                if unit_file is not None:
                    must_be_fluid(log, named)
                judgement = judge(log, named, measured, knowledge)
            else:
                judgement = judge(log, channels, knowledge=knowledge)
        except (ColdsoakError, OSError) as error:
            status = complain(error)
            continue
        if as_json:
            click.echo(judgement.to_json())
        else:
            from coldsoak.cli.judge_view import show

            show(log, judgement)
        judged.append((log, judgement))
    if report is not None and judged:
        from coldsoak.web.judge_report import render_report

        page = render_report(judged)
        with output(report) as new:
            new.write_text(page, encoding="utf-8")
        click.echo(f"The report with plots lies at {report.resolve()}", err=as_json)
    return status or (0 if judged else UNUSABLE)
