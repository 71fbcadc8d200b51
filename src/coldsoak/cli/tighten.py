"""`coldsoak tighten`: settings, sequence, passes and clamp force of one group of fasteners."""

import datetime as dt
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from coldsoak.cli._output import OutFile, output
from coldsoak.cli.mistakes import mistakes
from coldsoak.cli.wrench_options import adapter_of, crib_of, crib_path, wrench_options
from coldsoak.errors import InputError

if TYPE_CHECKING:
    from coldsoak.build.tighten import Conditions


@click.command()
@click.argument("sheet", type=click.Path(path_type=Path))
@click.argument("group", required=False)
@click.option(
    "--wrench", metavar="NAME", help="A wrench of the crib, or the marks of its scale: '10 to 60 N·m'."
)
@click.option("--adapter", metavar="LENGTH", help="Crowfoot: from the square to the fastener.")
@click.option("--at", "at_angle", metavar="DEG", help="Angle of the adapter to the handle.")
@click.option(
    "--sequence", metavar="NAME", help="Another sequence than the sheet's: cross, spiral, star, optimised …"
)
@click.option(
    "--seat", metavar="SEAT", help="What the part lies on: soft, paper, metal, or as in '40 N/mm³'."
)
@click.option(
    "--plate", metavar="LENGTH", help="Thickness of the part between the bolts, when not what they clamp."
)
@click.option(
    "--band", default="5 %", show_default=True, metavar="SHARE", help="How even the bolts should be."
)
@click.option(
    "--nut-factor",
    nargs=2,
    type=float,
    metavar="LOW HIGH",
    help="Nut factor, when measured or looked up.",
)
@click.option(
    "--shear-strength", metavar="STRESS", help="Shear strength of the internal thread, as in '200 MPa'."
)
@click.option("--warmer", metavar="K", help="What this much warmer does to the clamp force, as in '80 K'.")
@click.option(
    "--svg",
    type=OutFile(".svg"),
    metavar="OUT.svg",
    help="Draw map, passes and other sequences.",
)
@click.option("--json", "as_json", is_flag=True, help="Print one line of JSON.")
@wrench_options
def command(
    sheet: Path,
    group: str | None,
    svg: Path | None,
    as_json: bool,
    crib: Path | None,
    day: dt.date,
    **options: Any,
) -> int:
    """Show how GROUP, fasteners of the unit sheet SHEET, is tightened; without GROUP, which groups there are.

    The exit status is 0 when there is an
    answer, also where a wrench is missing.
    """
    from coldsoak.sheet.load import load_sheet

    with mistakes() as said:
        known = load_sheet(sheet)
    if said.status:
        return said.status
    if group is None:
        from coldsoak.cli.tighten_view import groups_json, show_groups

        if as_json:
            click.echo(groups_json(known))
        else:
            show_groups(known, sheet)
        return 0
    from coldsoak.build.tighten import tighten

    shop = None
    with mistakes() as said:
        shop = crib_of(crib, needed=False, sheet=sheet)
    if said.status:
        return said.status
    done = tighten(known, group, conditions(day, **options), shop)
    if as_json:
        click.echo(done.to_json())
    else:
        from coldsoak.cli.tighten_view import show

        show(done)
    if svg is not None:
        from coldsoak.build.map_drawing import tightening_drawing

        drawn = tightening_drawing(done)
        if drawn is None:
            raise InputError(
                f"the sheet gives no positions of {group}, so there is no map: add positions_mm, one for each fastener."
            )
        with output(svg, (crib_path(crib, sheet),)) as new:
            new.write_text(drawn, encoding="utf-8")
        click.echo(f"The map lies at {svg.resolve()}", err=as_json)
    return 0


def conditions(
    day: dt.date,
    wrench: str | None = None,
    adapter: str | None = None,
    at_angle: str | None = None,
    sequence: str | None = None,
    seat: str | None = None,
    plate: str | None = None,
    band: str = "5 %",
    nut_factor: tuple[float, float] | None = None,
    shear_strength: str | None = None,
    warmer: str | None = None,
) -> "Conditions":
    """Return what was typed as values."""
    from coldsoak.build.tighten import Conditions
    from coldsoak.sheet.quantities import quantity
    from coldsoak.units import parse, parse_difference_k

    share = quantity(band, "share")
    if not 0.005 <= share <= 0.5:
        raise InputError(f"a band of {band} is none to work with: give one from 0.5 % to 50 %.")
    return Conditions(
        day=day,
        wrench=wrench,
        adapter=adapter_of(adapter, at_angle),
        seat=seat,
        plate_mm=quantity(plate, "length") if plate is not None else None,
        band=share,
        nut_factor=nut_factor,
        shear_strength_mpa=parse(shear_strength, "MPa") if shear_strength is not None else None,
        warmer_k=parse_difference_k(warmer) if warmer is not None else None,
        sequence=sequence.replace("_", " ") if sequence is not None else None,
    )
