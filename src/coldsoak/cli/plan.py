"""`coldsoak plan`: what comes off, in what order, with which tools, parts, time and price."""

from pathlib import Path
from typing import Any

import click

from coldsoak.cli._output import OutFile, output
from coldsoak.cli.mistakes import loaded
from coldsoak.cli.paper_option import paper_option
from coldsoak.cli.wrench_options import crib_option, crib_path, day_of

MANY = ("--replace", "--service")


class _ManyNames(click.Command):
    """A command whose `--replace` and `--service` take one or more names, also separated by commas."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Give every further name after such an option an option of its own."""
        spread: list[str] = []
        option, first = None, False
        for word in args:
            if word.startswith("-") and len(word) > 1:
                option, first = (word, True) if word in MANY else (None, False)
                spread.append(word)
            elif option is not None and not word.endswith((".yaml", ".yml")):
                spread += [word] if first else [option, word]
                first = False
            else:
                option = None
                spread.append(word)
        return super().parse_args(ctx, spread)


def _temperature(_ctx: click.Context, _param: click.Parameter, text: str | None) -> float | None:
    from coldsoak.sheet.quantities import quantity

    return quantity(text, "temperature") if text is not None else None


@click.command(cls=_ManyNames)
@click.argument("sheet", type=click.Path(path_type=Path))
@click.option(
    "--replace", "replace", multiple=True, metavar="PART...", help="Parts to renew, by name on the sheet."
)
@click.option("--service", "services", multiple=True, metavar="NAME...", help="Services named on the sheet.")
@crib_option
@click.option("--prices", type=click.Path(path_type=Path), metavar="FILE", help="The shop's prices.")
@click.option("--json", "as_json", is_flag=True, help="Print one line of JSON.")
@click.option(
    "--pdf",
    type=OutFile(".pdf"),
    metavar="OUT.pdf",
    help="Write a tear-down sheet.",
)
@paper_option("the tear-down sheet")
@click.option(
    "--date", "day", callback=day_of, metavar="DATE", help="Day of the work, for calibrations; today."
)
@click.option(
    "--unit-temp",
    "unit_c",
    default="90 °C",
    show_default=True,
    callback=_temperature,
    metavar="T",
    help="The unit as it comes in.",
)
@click.option(
    "--handling",
    "handling_c",
    default="48 °C",
    show_default=True,
    callback=_temperature,
    metavar="T",
    help="Cool enough to work on.",
)
@click.option(
    "--ambient",
    "ambient_c",
    default="20 °C",
    show_default=True,
    callback=_temperature,
    metavar="T",
    help="Air in the bay.",
)
def command(
    sheet: Path,
    replace: tuple[str, ...],
    services: tuple[str, ...],
    crib: Path | None,
    prices: Path | None,
    as_json: bool,
    pdf: Path | None,
    paper: Any,
    **conditions: Any,
) -> int:
    """Plan a job on the unit of SHEET: the least to take off, in the best order, with kit, time and price.

    The exit status is 0 when there is a plan, also where tools are missing, and 2 when something cannot be used.
    """
    from coldsoak.build.tighten import orders_of
    from coldsoak.plan.conditions import Conditions
    from coldsoak.plan.make import make_plan
    from coldsoak.sheet.load import load_crib, load_prices, load_sheet

    crib = crib_path(crib, sheet)
    found, status = loaded((load_sheet, sheet), (load_crib, crib), (load_prices, prices))
    if status:
        return status
    names = [_split(words) for words in (replace, services)]
    orders = orders_of(found[0])
    plan = make_plan(found[0], Conditions(**conditions), names[0], names[1], found[1], found[2], orders)
    if as_json:
        click.echo(plan.to_json())
    else:
        from coldsoak.cli.plan_view import show

        show(plan)
    if pdf is not None:
        from coldsoak.plan.teardown import teardown_pdf

        printed = teardown_pdf(plan, found[0], paper, orders)
        with output(pdf, (crib,)) as new:
            new.write_bytes(printed)
        click.echo(f"The tear-down sheet lies at {pdf.resolve()}", err=as_json)
    elif not as_json:
        click.echo("To print it: the same command with --pdf OUT.pdf")
    return 0


def _split(words: tuple[str, ...]) -> list[str]:
    return [name for word in words for name in word.split(",") if name]
