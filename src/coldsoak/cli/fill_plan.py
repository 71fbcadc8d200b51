"""`coldsoak fill plan`: how much goes in and when, at which reading the level counts, and what happens at the plug."""

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from coldsoak.cli._output import OutFile, output
from coldsoak.cli.mistakes import loaded
from coldsoak.cli.paper_option import paper_option
from coldsoak.errors import InputError

if TYPE_CHECKING:
    from coldsoak.fill.ledger import Entry
    from coldsoak.fill.make import Conditions
    from coldsoak.sheet.prices import PriceList
    from coldsoak.sheet.unit import UnitSheet

PATH = click.Path(path_type=Path)


@click.command()
@click.argument("sheet", type=PATH)
@click.option(
    "--fluid", "on_bottle", metavar="NAME", help="What stands on the bottle; it must be what the sheet wants."
)
@click.option(
    "--out",
    "came_out",
    multiple=True,
    metavar="ENTRY",
    help="What came out: where, how much, how warm, how measured, as in 'drain=4.2L@55degC,bucket' or 'pan=0.5kg,scale'. "
    "Once for each.",
)
@click.option(
    "--in", "went_in", multiple=True, metavar="AMOUNT", help="What has gone in already, as in '3L,bottles'."
)
@click.option(
    "--opened",
    multiple=True,
    metavar="PART",
    help="A part that came off, its fluid not measured: the sheet's figure counts.",
)
@click.option(
    "--first-fill", is_flag=True, help="The unit was apart and is dry; the sheet's figure for that counts."
)
@click.option(
    "--before",
    type=click.Choice(["right", "unknown", "leaking"]),
    default="unknown",
    show_default=True,
    help="The level before the job.",
)
@click.option("--bottle-temp", metavar="T", help="Fluid in the bottle, as in '20degC'.")
@click.option("--air", metavar="T", help="Air under the vehicle; as the bottle when not given.")
@click.option(
    "--thermometer",
    metavar="KIND",
    help="What reads the fluid: contact, infrared_painted, infrared_bare, dipped, new_built_in, built_in, overnight.",
)
@click.option(
    "--thermometer-u",
    metavar="K",
    help="Its standard uncertainty when calibrated: half of what is stated for 95 %.",
)
@click.option(
    "--judged",
    metavar="VERDICT",
    help="Verdict on the built-in thermometer (believable, undecided, not_believable), or the JSON file that judge wrote.",
)
@click.option("--reading", metavar="T", help="What it reads now.")
@click.option(
    "--closes-in", metavar="TIME", help="Time until the window closes, where a forecast gave one: '6 min'."
)
@click.option(
    "--step",
    metavar="AMOUNT",
    help="What is poured at a time: '0.5 L', or '1 US quart' when quarts were typed.",
)
@click.option(
    "--exchange-to", metavar="SHARE", help="Old fluid that may stay, as in '10 %': how many further drains."
)
@click.option("--prices", type=PATH, metavar="FILE", help="The shop's prices: bottles to buy.")
@click.option("--svg", type=OutFile(".svg"), metavar="OUT.svg", help="Draw the level window.")
@click.option("--png", type=OutFile(".png"), metavar="OUT.png", help="The same as a picture.")
@click.option(
    "--pdf", type=OutFile(".pdf"), metavar="OUT.pdf", help="Write a fill sheet to print and write on."
)
@paper_option("the fill sheet")
@click.option("--json", "as_json", is_flag=True, help="Print one line of JSON.")
def command(
    sheet: Path,
    prices: Path | None,
    svg: Path | None,
    png: Path | None,
    pdf: Path | None,
    paper: Any,
    as_json: bool,
    **typed: Any,
) -> int:
    """Plan the filling of the unit of SHEET: how much before the start and after it, and when the level counts.

    Fluid, bottle temperature and thermometer have no default. Every amount has its unit: L, mL, US quart, kg.
    """
    from coldsoak.fill.make import plan_fill
    from coldsoak.sheet.load import load_prices, load_sheet

    found, status = loaded((load_sheet, sheet), (load_prices, prices))
    if status:
        return status
    plan = plan_fill(found[0], conditions(found[0], found[1], **typed))
    if as_json:
        click.echo(plan.to_json())
    else:
        from coldsoak.cli.fill_plan_view import show

        show(plan)
    if svg is not None:
        from coldsoak.fill.drawing import level_drawing

        _write(svg, level_drawing(plan.picture).encode("utf-8"))
    if png is not None:
        from coldsoak.fill.drawing import level_png

        _write(png, level_png(plan.picture))
    drawn = " and ".join(str(path.resolve()) for path in (svg, png) if path is not None)
    if drawn:
        click.echo(f"The level window lies at {drawn}", err=as_json)
    if pdf is not None:
        from coldsoak.fill.paper import fill_sheet_pdf

        _write(pdf, fill_sheet_pdf(plan, paper))
        click.echo(f"The fill sheet lies at {pdf.resolve()}", err=as_json)
    return 0


def _write(path: Path, data: bytes) -> None:
    with output(path) as new:
        new.write_bytes(data)


def conditions(
    sheet: "UnitSheet",
    prices: "PriceList | None",
    *,
    on_bottle: str | None,
    came_out: tuple[str, ...],
    went_in: tuple[str, ...],
    opened: tuple[str, ...],
    first_fill: bool,
    before: Any,
    bottle_temp: str | None,
    air: str | None,
    thermometer: str | None,
    thermometer_u: str | None,
    judged: str | None,
    reading: str | None,
    closes_in: str | None,
    step: str | None,
    exchange_to: str | None,
) -> "Conditions":
    """Return what was typed as values."""
    from coldsoak.fill.make import Conditions
    from coldsoak.fill.specification import check_specification
    from coldsoak.fill.words import QUART_L
    from coldsoak.sheet.quantities import quantity
    from coldsoak.units import parse_difference_k

    check_specification(on_bottle, sheet)
    if bottle_temp is None:
        raise InputError(
            "how warm the fluid in the bottle is decides how much it grows: give it with --bottle-temp, as in '20degC'."
        )
    bottle_c = quantity(bottle_temp, "temperature")
    quarts = any(
        "quart" in text.casefold() or "usqt" in text.casefold().replace(" ", "")
        for text in (*came_out, *went_in)
    )
    return Conditions(
        on_bottle=on_bottle,
        bottle_c=bottle_c,
        thermometer=thermometer,
        entries=_entries(sheet, came_out, went_in, opened, bottle_c),
        before=before,
        first_fill=first_fill,
        step_l=quantity(step, "volume") if step is not None else QUART_L if quarts else None,
        quarts_first=quarts,
        reading_c=quantity(reading, "temperature") if reading is not None else None,
        judged=verdict_of(judged) if judged is not None else None,
        thermometer_u_k=parse_difference_k(thermometer_u) if thermometer_u is not None else None,
        air_c=quantity(air, "temperature") if air is not None else None,
        closes_in_min=quantity(closes_in, "time") if closes_in is not None else None,
        exchange_to=quantity(exchange_to, "share") if exchange_to is not None else None,
        prices=prices,
    )


def _entries(
    sheet: "UnitSheet",
    came_out: tuple[str, ...],
    went_in: tuple[str, ...],
    opened: tuple[str, ...],
    bottle_c: float,
) -> "tuple[Entry, ...]":
    from coldsoak.fill.ledger import read_in, read_out, spills_of

    return (
        *(read_out(text) for text in came_out),
        *spills_of(sheet, opened, bottle_c),
        *(read_in(text, bottle_c) for text in went_in),
    )


def verdict_of(said: str) -> str:
    """Return the verdict on the fluid thermometer: the word itself, or the one in a judgement that was saved."""
    if not said.endswith(".json"):
        return said
    from pydantic import ValidationError

    from coldsoak.judge.judgement import Judgement

    try:
        lines = [line for line in Path(said).read_text("utf-8").splitlines() if line.strip()]
        found = [Judgement.from_json(line) for line in lines] or [Judgement.from_json("")]
    except (ValidationError, UnicodeDecodeError) as problem:
        raise InputError(
            f"{said} is no judgement: write one with `coldsoak judge LOG --json > {said}`, or say the verdict as a word."
        ) from problem
    if len(found) > 1:
        raise InputError(
            f"{said} holds {len(found)} judgements, of {', '.join(one.log.file for one in found)}: save that of the log "
            "of this very thermometer alone, with `coldsoak judge LOG --json`, or say the verdict as a word."
        )
    judgement = found[0]
    verdicts = [channel.verdict for channel in judgement.channels if channel.quantity == "fluid_temp"]
    if not verdicts:
        raise InputError(
            f"{said} judges no gearbox fluid temperature: judge a log that has one, or say the verdict as a word."
        )
    verdict = next((word for word in ("not_believable", "undecided") if word in verdicts), "believable")
    click.echo(
        f"The built-in thermometer was judged {verdict.replace('_', ' ')}, by the log {judgement.log.file}.",
        err=True,
    )
    return verdict
