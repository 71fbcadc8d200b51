"""Plots of kept logs, drawn once for each log, channel and size: what has one hash has one drawing."""

import json
import re
from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import numpy as np

from coldsoak.judge.judgement import ChannelJudgement
from coldsoak.logs.log import Log
from coldsoak.logs.read import read_log
from coldsoak.record.findings import LogKept
from coldsoak.record.handover_blocks import Plot
from coldsoak.record.handover_frame import press
from coldsoak.record.handover_plots import plots
from coldsoak.record.job_record import JobRecord
from coldsoak.record.plots import Curve, Scale, Span, temperature_plot, value_range
from coldsoak.record.plots_source import MOMENTS, plotted
from coldsoak.units import convert

WIDE, TALL = 360.0, 210.0
MOST_DRAWN = 64
_FINE = re.compile(r"(\d\.\d)\d+")
_ZERO = re.compile(r"(?<=\d)\.0(?!\d)")
MOST_LIVE = 8


def log_plot(path: Path, kept: LogKept, channel: str, episodes: tuple[Span, ...] | None, *, us: bool) -> str:
    """Return the readings of one channel of a kept log as SVG, its episodes hatched and numbered."""
    return _drawn(path, kept.sha256, kept.map, kept.rate_hz, channel, episodes, us)


def live_plot(path: Path, kept: LogKept, judged: ChannelJudgement, *, us: bool) -> str:
    """Return the plot of one judged channel as the plot library reads it, to be put where the page has `plot`."""
    return _live(path, kept.sha256, kept.map, kept.rate_hz, judged.model_dump_json(), us)


def hand_over_plots(record: JobRecord, folder: Path, *, us: bool) -> tuple[Plot, ...]:
    """Return the plots of the hand-over: the last log before and after the repair, as the customer's page has them."""
    of = press(record, units="us" if us else "si")
    sources = plotted(record, folder)
    shown = [one for moment in MOMENTS for one in [s for s in sources if s.moment == moment][-1:]]
    return tuple(replace(one, svg=_light(one.svg)) for one in plots(of, shown, WIDE, TALL))


@lru_cache(maxsize=MOST_DRAWN)
def _drawn(
    path: Path,
    sha256: str,  # noqa: ARG001 (what has one hash is drawn once)
    mapping: tuple[str, ...],
    rate_hz: float | None,
    channel: str,
    episodes: tuple[Span, ...] | None,
    us: bool,
) -> str:
    log = _read(path, mapping, rate_hz)
    time_s, value_c = log.readings(log.channel(channel))
    start_s = float(log.time_s[0]) if len(log.time_s) else 0.0
    curve = Curve(time_s - start_s, value_c, episodes or (), judged=episodes is not None)
    scale = Scale(
        time_name="minutes from the start of the log",
        value_name="°F" if us else "°C",
        value=(lambda one: convert(one, "degC", "degF")) if us else (lambda one: one),
        number=lambda one: f"{one:g}",
    )
    return _light(
        temperature_plot(curve, scale, _title(curve, us=us), value_range([curve], scale), WIDE, TALL)
    )


def _light(svg: str) -> str:
    """Leave out digits that no screen shows: a page is to be light.

    >>> _light('<path d="M40.25 151.07 L40.75 150.00"/>')
    '<path d="M40.2 151 L40.7 150"/>'
    """
    return _ZERO.sub("", _FINE.sub(r"\1", svg))


def _title(curve: Curve, *, us: bool) -> str:
    """The plot in words, for whoever does not see it."""
    if not len(curve.value_c):
        return "No reading of this channel."
    unit = "°F" if us else "°C"
    low, high = (float(pick(curve.value_c)) for pick in (np.min, np.max))
    ends = [convert(one, "degC", "degF") if us else one for one in (low, high)]
    minutes = float(curve.time_s[-1] - curve.time_s[0]) / 60
    many = len(curve.episodes)
    marked = (
        "not judged"
        if not curve.judged
        else f"{many} hatched stretch{'es' * (many != 1)} that cannot be true"
    )
    return f"Readings over {minutes:.0f} minutes, from {ends[0]:.0f} to {ends[1]:.0f} {unit}; {marked}."


@lru_cache(maxsize=MOST_LIVE)
def _live(
    path: Path,
    sha256: str,  # noqa: ARG001 (same)
    mapping: tuple[str, ...],
    rate_hz: float | None,
    judged: str,
    us: bool,
) -> str:
    from bokeh.core.types import ID  # noqa: PLC0415 (only where somebody opens the plot)
    from bokeh.embed import json_item  # noqa: PLC0415 (same)

    from coldsoak.web.log_plot import channel_plot  # noqa: PLC0415 (same)

    log = _read(path, mapping, rate_hz)
    figure = channel_plot(log, ChannelJudgement.model_validate_json(judged), us=us)
    return json.dumps(json_item(figure, ID("plot")), separators=(",", ":"))


def _read(path: Path, mapping: tuple[str, ...], rate_hz: float | None) -> Log:
    return read_log(path, mapping=mapping, rate_hz=rate_hz)
