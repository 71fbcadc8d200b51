"""A forecast on the terminal: the sentence, the readings so far with the window, the odds, what to do."""

from rich.console import Console
from rich.text import Text

from coldsoak.cli._lines import indented
from coldsoak.cli.plot import small_plot
from coldsoak.fill.forecast.value import Forecast, Odds
from coldsoak.logs.log import Log

STYLES = {
    "not_yet": "yellow",
    "open_now": "bold green",
    "closing": "bold green",
    "missed": "bold red",
    "will_not_open": "bold red",
    "in_doubt": "bold red",
}
WIDTH = 48
LEAST_RATE_K_MIN = 0.05


def show(log: Log, forecast: Forecast) -> None:
    """Print one forecast."""
    console = Console(highlight=False)
    name = forecast.channel or forecast.quantity
    console.print(
        Text(f"{log.provenance.file}, {name}, at {forecast.at_s:.0f} s: ", style="bold")
        + Text(forecast.state_words, style=STYLES[forecast.state])
    )
    sentence = forecast.sentence[0].upper() + forecast.sentence[1:] + "."
    indented(console, sentence, style="bold")
    indented(console, f"{forecast.reading_c:.0f} °C now{_rate(forecast)}; window {forecast.window}.")
    time_s, value_c = log.readings(log.channel(name))
    for line in small_plot(time_s, value_c, []):
        console.print(Text(f"  {line}"), overflow="crop", no_wrap=True)
    console.print(Text(f"  {_ruler(forecast, float(value_c[0]))}"), overflow="crop", no_wrap=True)
    console.print(
        Text(f"  C cold {value_c[0]:.0f} °C, N now {forecast.reading_c:.0f} °C, = window"), overflow="crop"
    )
    for word, odds in (
        ("opens", forecast.opens_s),
        ("closes", forecast.closes_s),
        ("again", forecast.again_s),
    ):
        if odds is not None and not (forecast.state == "in_doubt" and odds.p10 is None):
            console.print(f"  {word:<7}{_odds(odds)}")
    for line in forecast.assumed:
        indented(console, line, style="dim")
    for hint in (*forecast.notes, *forecast.hints):
        indented(console, f"- {hint}")
    for line in forecast.cautions:
        indented(console, line, style="italic")


def _rate(forecast: Forecast) -> str:
    """Say how fast it moves; nothing of a thermometer that cannot be true."""
    if forecast.state == "in_doubt" and forecast.opens_s.p10 is None:
        return ""
    rate = forecast.rate_k_min
    return f", {rate:+.1f} K/min" if abs(rate) >= LEAST_RATE_K_MIN else ", standing"


def _odds(odds: Odds) -> str:
    if odds.p10 is not None and odds.p10 == odds.p90:
        return f"at {odds.p10:.0f} s"
    if odds.p10 is None:
        return "not as far as can be seen"
    late = f"{odds.p90:.0f} s" if odds.p90 is not None else "never"
    middle = f"{odds.p50:.0f} s" if odds.p50 is not None else "as likely as not never"
    return f"{middle}, early {odds.p10:.0f} s, late {late}"


def _ruler(forecast: Forecast, cold_c: float) -> str:
    """Draw the window on a line of temperature, from cold to hot: C the first reading, N the last, = the window."""
    low, high, now = forecast.window.low_c, forecast.window.high_c, forecast.reading_c
    left, right = min(low, now, cold_c) - 5.0, max(high, now, cold_c) + 5.0
    place = [round((c - left) / (right - left) * (WIDTH - 1)) for c in (low, high, cold_c, now)]
    cells = ["·"] * WIDTH
    cells[place[0] : place[1] + 1] = "=" * (place[1] - place[0] + 1)
    cells[place[2]], cells[place[3]] = "C", "N"
    return f"{left:.0f} °C {''.join(cells)} {right:.0f} °C"
