"""Write a log in the layouts that real loggers leave behind."""

from pathlib import Path

import numpy as np

from coldsoak.errors import InputError
from coldsoak.logs.log import Channel, Floats, Log
from coldsoak.practice.candump import candump_text
from coldsoak.practice.style import STYLES, Style

CANDUMP = "candump"
FORMATS: tuple[str, ...] = (*STYLES, CANDUMP)

EPOCH_S = 1_700_000_000.0
FIRST_S_OF_DAY = 23 * 3600 + 51 * 60 + 7.25
DAY_S = 86_400.0
UNIT_TEXT = {"degC": "°C", "N*m": "Nm", "1": ""}


def write_log(log: Log, path: Path, layout: str = "plain", *, seed: int = 0) -> Path:
    """Write `log` to `path` in one of `FORMATS` and return the path."""
    path.write_bytes(log_text(log, layout, seed=seed))
    return path


def log_text(log: Log, layout: str = "plain", *, seed: int = 0) -> bytes:
    """Return the bytes of `log` in one of `FORMATS`; where dirt falls is drawn with `seed`.

    >>> from coldsoak.practice.run import simulate
    >>> text = log_text(simulate("healthy", seed=1, duration_s=60).log, "semicolon_decimal_comma")
    >>> text.decode().splitlines()[0][:50]
    'Time (s);Engine speed (rpm);Gearbox fluid temperat'
    """
    if layout == CANDUMP:
        return candump_text(log, EPOCH_S)
    if layout not in STYLES:
        raise InputError(f"There is no log layout {layout!r}; there are {', '.join(FORMATS)}.")
    style, rng = STYLES[layout], np.random.default_rng([seed, 7])
    channels = list(log.channels)
    if style.twice:
        channels += [c for c in channels if c.quantity == style.twice]
    columns = [_column(channel, style, rng) for channel in channels]
    names = [_head(channel, style) for channel in channels]
    if style.clock != "none":
        columns.insert(0, _clock(log.time_s, style))
        names.insert(0, style.clock_name)
    rows = [style.separator.join(cells) for cells in zip(*columns, strict=True)]
    if style.short_rows:
        for row in rng.choice(len(rows), max(len(rows) // 300, 1), replace=False).tolist():
            rows[row] = style.separator.join(
                rows[row].split(style.separator)[: int(rng.integers(1, len(names)))]
            )
    end = style.separator if style.trailing else ""
    header = style.separator.strip(" ").join(names)
    lines = [*style.banner, *(line + (end if line is not header else "") for line in (header, *rows))]
    text = style.newline.join(lines) + style.newline
    if style.mixed_newlines:
        parts = text.split(style.newline)
        joints = np.where(rng.random(len(parts) - 1) < 0.02, "\n", style.newline).tolist()
        text = "".join(part + joint for part, joint in zip(parts, [*joints, ""], strict=True))
    return text.encode("utf-8-sig" if style.bom else "utf-8")


def _unit(channel: Channel, style: Style) -> str:
    if channel.unit == "degC":
        return style.degree
    if style.fahrenheit and channel.unit == "km/h":
        return "mph"
    return UNIT_TEXT.get(channel.unit, channel.unit)


def _head(channel: Channel, style: Style) -> str:
    name = channel.name
    head = style.header.format(
        name=name,
        upper=name.upper().replace(" ", "_"),
        lower=name.lower().replace(" ", "_"),
        unit=_unit(channel, style),
    )
    return head.replace(" []", "").replace(" ()", "") if "()" not in style.header else head


def _column(channel: Channel, style: Style, rng: np.random.Generator) -> list[str]:
    """Return the cells of a channel."""
    values = np.array(channel.values)
    if style.fahrenheit and channel.unit == "degC":
        values = values * 1.8 + 32.0
    if style.fahrenheit and channel.unit == "km/h":
        values = values / 1.609344
    places = _decimals(channel, style)
    unit = _unit(channel, style)
    written: dict[float, str] = {}
    cells = []
    for value in values.tolist():
        if value not in written:
            plain = f"{value:.{places}f}".replace(".", style.decimal)
            written[value] = style.blank if value != value else style.cell.format(number=plain, unit=unit)  # noqa: PLR0124
        cells.append(written[value])
    if style.only_new:
        new = np.zeros(len(values), dtype=np.bool_)
        new[channel.reading_rows] = True
        new[channel.lost_rows] = True
        cells = [cell if fresh else style.blank for cell, fresh in zip(cells, new.tolist(), strict=True)]
    if style.foreign:
        for row in rng.choice(len(cells), 2, replace=False).tolist():
            cells[row] = str(rng.choice(style.foreign))
    return cells


def _decimals(channel: Channel, style: Style) -> int:
    """Return how many decimals show the steps of a channel."""
    if channel.resolution <= 0:
        return 3
    if style.fahrenheit and channel.unit in {"degC", "km/h"}:
        return 1
    for places in range(4):
        if abs(channel.resolution * 10**places - round(channel.resolution * 10**places)) < 1e-9:
            return places
    return 2


def _clock(time_s: Floats, style: Style) -> list[str]:
    """Return the cells of the time column."""
    time = time_s
    if style.restart is not None:
        first = int(style.restart * len(time))
        time = np.concatenate([time[:first], time[first:] - time[first]])
    if style.step_back_s:
        time = time - np.where(np.arange(len(time)) >= len(time) // 2, style.step_back_s, 0.0)
    match style.clock:
        case "whole_seconds":
            return [f"{int(second)}" for second in time.tolist()]
        case "epoch_s":
            return [f"{EPOCH_S + second:.3f}" for second in time.tolist()]
        case "epoch_ms":
            return [f"{(EPOCH_S + second) * 1000.0:.0f}" for second in time.tolist()]
        case "time_of_day":
            return [_time_of_day(second) for second in time.tolist()]
        case _:
            return [f"{second:.3f}".replace(".", style.decimal) for second in time.tolist()]


def _time_of_day(second: float) -> str:
    millis = round((FIRST_S_OF_DAY + second) * 1000.0) % round(DAY_S * 1000.0)
    hours, rest = divmod(millis, 3_600_000)
    minutes, rest = divmod(rest, 60_000)
    seconds, millis = divmod(rest, 1000)
    return f"{hours:02d}:{minutes:02d}:{seconds:02d}.{millis:03d}"
