"""`coldsoak fill forecast`: when the window opens and closes, from the readings so far."""

import math
from pathlib import Path

import click

from coldsoak.cli._output import OutFile, output
from coldsoak.cli.log_options import log_options
from coldsoak.errors import InputError


@click.command()
@click.argument("file", metavar="LOG", type=click.Path(path_type=Path))
@click.option(
    "--window",
    "window_text",
    required=True,
    metavar="LOW..HIGH",
    help="The window of the sheet, as in 35..45 (°C) or 93..113degF.",
)
@click.option("--channel", metavar="NAME", help="The fluid's channel; needed where the log has several.")
@click.option(
    "--at",
    "at_s",
    type=float,
    metavar="SECONDS",
    help="Forecast as of this time from the first row, from the rows up to it alone; the end of the log when not given.",
)
@click.option(
    "--svg",
    type=OutFile(".svg"),
    metavar="OUT.svg",
    help="Draw the readings, the window and the odds.",
)
@click.option("--json", "as_json", is_flag=True, help="Print one line of JSON.")
@log_options
def command(
    file: Path,
    window_text: str,
    channel: str | None,
    at_s: float | None,
    svg: Path | None,
    as_json: bool,
    mapping: tuple[str, ...],
    rate_hz: float | None,
) -> None:
    """Say from the log LOG when the level window opens and closes, with odds, and what to do until then.

    Times are in seconds from the first row. Of three numbers the first is early (1 in 10), the second as likely as
    not, the third late (9 in 10).
    """
    from coldsoak.fill.forecast.from_log import forecast_from_log
    from coldsoak.fill.forecast.temp_window import parse_window
    from coldsoak.fill.forecast.trust import held_against
    from coldsoak.logs.read import read_log
    from coldsoak.shop.desk.trusted import trust_in_log

    if at_s is not None and not math.isfinite(at_s):
        raise InputError(
            f"{at_s} is no time to forecast at: give seconds from the first row, as in --at 120."
        )
    window = parse_window(window_text)
    log = read_log(file, mapping=mapping, rate_hz=rate_hz, until_s=at_s)
    forecast = forecast_from_log(log, window, channel, at_s)
    forecast = held_against(forecast, trust_in_log(log, forecast.channel or forecast.quantity))
    if as_json:
        click.echo(forecast.to_json())
    else:
        from coldsoak.cli.fill_forecast_view import show

        show(log, forecast)
    if svg is not None:
        from coldsoak.fill.course import course_drawing
        from coldsoak.fill.forecast.from_log import fluid_readings

        drawn = course_drawing(window, None, fluid_readings(log, channel), forecast)
        with output(svg) as new:
            new.write_text(drawn, encoding="utf-8")
        click.echo(f"The drawing lies at {svg.resolve()}", err=as_json)
