"""Volumes, temperatures, lengths and torques as people read them, in both worlds."""

from coldsoak.fill.band import Band
from coldsoak.sheet.quantities import UNITS, shown

QUART = "US quart"
QUART_L = UNITS["volume"][QUART].factor


def litres(volume_l: float, *, quarts_first: bool = False) -> str:
    """Return a volume in litres and US quarts.

    >>> litres(0.946352946), litres(1.892705892, quarts_first=True)
    ('0.95 L (1.00 US qt)', '2.00 US qt (1.89 L)')
    """
    said = [f"{volume_l:.2f} L", f"{volume_l / QUART_L:.2f} US qt"]
    if quarts_first:
        said.reverse()
    return f"{said[0]} ({said[1]})"


def litre_band(band: Band, *, quarts_first: bool = False) -> str:
    """Return a volume with its range in litres and US quarts.

    >>> litre_band(Band(low=4.6, likely=5.0, high=5.4))
    '5.0 L (4.6 to 5.4), 5.3 US qt (4.9 to 5.7)'
    """
    quarts = Band(low=band.low / QUART_L, likely=band.likely / QUART_L, high=band.high / QUART_L)
    said = [
        f"{one.likely:.1f} {unit} ({one.low:.1f} to {one.high:.1f})"
        for one, unit in ((band, "L"), (quarts, "US qt"))
    ]
    if quarts_first:
        said.reverse()
    return ", ".join(said)


def degrees(temp_c: float) -> str:
    """Return a temperature in °C and °F.

    >>> degrees(50.0), degrees(-0.4)
    ('50 °C (122 °F)', '0 °C (31 °F)')
    """
    celsius, fahrenheit = round(temp_c), round(temp_c * 1.8 + 32)
    return f"{celsius} °C ({fahrenheit} °F)"


def degree_span(low_c: float, high_c: float) -> str:
    """Return a span of temperatures in °C and °F, rounded inwards so that it never grows.

    >>> degree_span(34.2, 44.9)
    '34.2 to 44.9 °C (93.6 to 112.8 °F)'
    """
    fahrenheit = low_c * 1.8 + 32, high_c * 1.8 + 32
    ends = [_up(low_c), _down(high_c), _up(fahrenheit[0]), _down(fahrenheit[1])]
    return f"{ends[0]} to {ends[1]} °C ({ends[2]} to {ends[3]} °F)"


def at_least(temp_c: float) -> str:
    """Return a temperature in °C and °F to a tenth, rounded up: the lower end of a span as `degree_span` says it.

    >>> at_least(38.54), at_most(43.16)
    ('38.6 °C (101.4 °F)', '43.1 °C (109.6 °F)')
    """
    return f"{_up(temp_c)} °C ({_up(temp_c * 1.8 + 32)} °F)"


def at_most(temp_c: float) -> str:
    """Return the same, rounded down: the upper end of a span.

    >>> at_most(50.0)
    '50.0 °C (122.0 °F)'
    """
    return f"{_down(temp_c)} °C ({_down(temp_c * 1.8 + 32)} °F)"


def millimetres(length_mm: float) -> str:
    """Return a length in millimetres and inches.

    >>> millimetres(12.7), millimetres(0.11)
    ('12.7 mm (0.50 in)', '0.11 mm (0.004 in)')
    """
    if length_mm < 1:
        return f"{length_mm:.2f} mm ({length_mm / 25.4:.3f} in)"
    return f"{length_mm:.1f} mm ({length_mm / 25.4:.2f} in)"


def torque(torque_nm: float) -> str:
    """Return a torque in the three units that people read.

    >>> torque(11.9764)
    '12.0 N·m (106 lbf·in, 8.8 lbf·ft)'
    """
    said = [shown(torque_nm, "torque", unit) for unit in ("N·m", "lbf·in", "lbf·ft")]
    return f"{said[0]} ({said[1]}, {said[2]})"


def span_s(time_s: float) -> str:
    """Return a time as people say it.

    >>> span_s(0.2), span_s(42.0), span_s(200.0), span_s(360.0), span_s(1500.0)
    ('at once', '42 s', '3 min 20 s', '6 min', '25 min')
    """
    if time_s < 1:
        return "at once"
    if time_s < 90:
        return f"{time_s:.0f} s"
    if time_s < 600:
        tens = round(time_s / 10)
        return f"{tens // 6} min" + (f" {tens % 6 * 10} s" if tens % 6 else "")
    return f"{time_s / 60:.0f} min"


def percent(share: float) -> str:
    """Return a share in percent, with no more certainty than there is.

    >>> percent(0.996), percent(0.42), percent(0.004)
    ('over 99 %', '42 %', 'under 1 %')
    """
    if share > 0.99:
        return "over 99 %"
    if 0 < share < 0.01:
        return "under 1 %"
    return f"{100 * share:.0f} %"


def _up(value: float) -> str:
    return f"{-(-round(value * 1000) // 100) / 10:.1f}"


def _down(value: float) -> str:
    return f"{round(value * 1000) // 100 / 10:.1f}"
