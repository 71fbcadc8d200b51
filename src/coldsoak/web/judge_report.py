"""A judgement as one self-contained HTML file: sentence, drawing, what to do next, with plots that need no network."""

from collections.abc import Sequence
from dataclasses import dataclass

from bokeh.embed import components
from bokeh.model import Model
from bokeh.resources import Resources
from jinja2 import Environment, PackageLoader, StrictUndefined

from coldsoak._version import __version__
from coldsoak.judge.explain.inference import percent
from coldsoak.judge.judgement import ChannelJudgement, Judgement
from coldsoak.logs.log import Log
from coldsoak.web.energy_bars import Bar, energy_bars
from coldsoak.web.log_plot import channel_plot

VERDICT_WORDS = {
    "not_believable": "cannot be true",
    "undecided": "cannot be told from this log",
    "believable": "can be true",
}
MOST_CAUSES = 6


@dataclass(frozen=True)
class CauseRow:
    """One cause: its probability as text and as the width of a bar in percent, and what it is and why."""

    percent: str
    width: float
    text: str


@dataclass(frozen=True)
class ChannelView:
    """What the page shows of one channel."""

    judged: ChannelJudgement
    word: str
    plot_html: str
    bars: tuple[Bar, ...]
    causes: tuple[CauseRow, ...]


@dataclass(frozen=True)
class LogView:
    """What the page shows of one log."""

    judgement: Judgement
    headline: str
    assumed: tuple[str, ...]
    unreadable_count: int
    channels: tuple[ChannelView, ...]


@dataclass(frozen=True)
class ReportView:
    """The whole page: every name that the template may use."""

    logs: tuple[LogView, ...]
    version: str
    plot_library: str
    plot_script: str


def render_report(judged: Sequence[tuple[Log, Judgement]]) -> str:
    """Return the report of one or more judged logs as HTML that loads nothing from anywhere."""
    figures: dict[str, Model] = {
        f"{at}/{channel.name}": channel_plot(log, channel)
        for at, (log, judgement) in enumerate(judged)
        for channel in judgement.channels
    }
    script, boxes = components(figures)
    view = ReportView(
        logs=tuple(_log_view(at, log, judgement, boxes) for at, (log, judgement) in enumerate(judged)),
        version=__version__,
        plot_library=Resources(mode="inline", components=["bokeh"]).render_js(),
        plot_script=script,
    )
    environment = Environment(
        loader=PackageLoader("coldsoak.web"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    return environment.get_template("judge_report.html.j2").render(page=view)


def headline(judgement: Judgement) -> str:
    """Return the one sentence that says what matters about a log."""
    false = [c.title for c in judgement.channels if c.verdict == "not_believable"]
    hot = [c.title for c in judgement.channels if c.is_truly_hot]
    open_ = [c.title for c in judgement.channels if c.verdict == "undecided"]
    if false:
        return f"{_listed(false)} cannot be true."
    if hot:
        return f"{_listed(hot)} really {'is' if len(hot) == 1 else 'are'} hot: do not replace the sensor."
    if open_:
        return f"Nothing here is impossible; whether {_listed(open_)} {'is' if len(open_) == 1 else 'are'} true cannot be told from this log."
    return "Every temperature in this log is one that the machine could have had."


def _listed(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def _log_view(at: int, log: Log, judgement: Judgement, boxes: dict[str, str]) -> LogView:
    channels = sorted(judgement.channels, key=lambda one: one.place)
    return LogView(
        judgement=judgement,
        headline=headline(judgement),
        assumed=log.provenance.assumed,
        unreadable_count=log.provenance.unreadable_count,
        channels=tuple(
            ChannelView(
                judged=channel,
                word=VERDICT_WORDS[channel.verdict],
                plot_html=boxes[f"{at}/{channel.name}"],
                bars=energy_bars(channel),
                causes=tuple(
                    CauseRow(
                        percent(cause.probability),
                        round(100.0 * cause.probability, 1),
                        f"{cause.label}: {cause.reason}. {cause.advice}",
                    )
                    for cause in channel.causes[:MOST_CAUSES]
                ),
            )
            for channel in channels
        ),
    )
