"""An interactive plot of one judged channel: readings, possible band, episodes."""

from itertools import pairwise

import numpy as np
from bokeh.models import HoverTool, Range1d
from bokeh.models.annotations import BoxAnnotation, Legend
from bokeh.plotting import figure
from numpy.typing import NDArray

from coldsoak.judge.band import expected_bands, possible_band
from coldsoak.judge.judgement import ChannelJudgement
from coldsoak.logs.log import Floats, Log

MOST_POINTS = 4000
INK, BAND, MARK, EXPECTED = "#1a1a1a", "#2f6f8f", "#a32020", "#8a6d1a"


def channel_plot(log: Log, judged: ChannelJudgement, *, us: bool = False) -> figure:
    """Return the plot of the channel that `judged` speaks of; `us` for °F."""
    channel = log.channel(judged.name)
    time_s, value_c = log.readings(channel)
    unit = "°F" if us else "°C"

    def shown(temp_c: Floats) -> Floats:
        return temp_c * 1.8 + 32.0 if us else temp_c

    value = shown(value_c)
    low, high = (float(value.min()), float(value.max())) if len(value) else (0.0, 100.0)
    room = max(0.1 * (high - low), 2.0)
    plot = figure(
        y_range=Range1d(start=low - room, end=high + room),
        height=370,
        sizing_mode="stretch_width",
        x_axis_label="time [s from the first row]",
        y_axis_label=f"{judged.title} [{unit}]",
        tools="pan,wheel_zoom,box_zoom,reset,save",
        active_drag="box_zoom",
        toolbar_location="above",
        background_fill_color="#ffffff",
    )
    plot.toolbar.logo = None
    # one below the other: side by side they are wider than a phone
    plot.add_layout(Legend(orientation="vertical", border_line_alpha=0.0, spacing=0), "below")
    if not len(time_s):
        return plot
    band = possible_band(log, channel, judged)
    keep = shown_rows(value_c)
    plot.varea(
        band.time_s[keep],
        shown(band.low_c[keep]),
        shown(band.high_c[keep]),
        fill_color=BAND,
        fill_alpha=0.25,
        legend_label="what the machine could reach",
    )
    for expected in expected_bands(log, channel):
        rows = shown_rows(expected.high_c)
        plot.varea(
            expected.time_s[rows],
            shown(expected.low_c[rows]),
            shown(expected.high_c[rows]),
            fill_color=EXPECTED,
            fill_alpha=0.2,
            legend_label="what load and speed lead to expect",
        )
    for at, episode in enumerate(judged.episodes):
        least = 0.002 * float(time_s[-1] - time_s[0])
        plot.add_layout(
            BoxAnnotation(
                left=episode.start_s - least,
                right=episode.end_s + least,
                fill_color=MARK,
                fill_alpha=0.15,
                hatch_pattern="right_diagonal_line",
                hatch_color=MARK,
                hatch_alpha=0.5,
                name=f"episode {at + 1}",
            )
        )
    line = plot.line(time_s[keep], value[keep], line_color=INK, line_width=1.5, legend_label="reading")
    plot.add_tools(
        HoverTool(
            renderers=[line], tooltips=[("time", "@x{0.0} s"), ("reading", f"@y{{0.0}} {unit}")], mode="vline"
        )
    )
    return plot


def shown_rows(value: Floats) -> NDArray[np.int64]:
    """Return the readings to draw: all, or of a long log the lowest and highest of each of many short stretches."""
    if len(value) <= MOST_POINTS:
        return np.arange(len(value))
    edges = np.linspace(0, len(value), MOST_POINTS // 2 + 1).astype(np.int64)
    picks = [0, len(value) - 1]
    for start, end in pairwise(edges):
        picks += [int(start + np.argmin(value[start:end])), int(start + np.argmax(value[start:end]))]
    return np.unique(picks)
