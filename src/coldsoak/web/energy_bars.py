"""Needed against available heat flow of the worst episodes, as bars."""

from dataclasses import dataclass

from coldsoak.judge.judgement import ChannelJudgement

MOST_BARS = 3
FULL_WIDTH = 100.0


@dataclass(frozen=True)
class Bar:
    """One episode's pair of bars; widths in percent of the longer one, heat flows as text with their unit."""

    when: str
    needed: str
    available: str
    needed_width: float
    available_width: float


def energy_bars(judged: ChannelJudgement) -> tuple[Bar, ...]:
    """Return the bars of the episodes that need most beyond what there is, worst first."""
    with_heat = [e for e in judged.episodes if e.needed_w is not None and e.available_w is not None]
    worst = sorted(with_heat, key=lambda e: -(e.needed_w or 0.0) / max(e.available_w or 0.0, 1.0))[:MOST_BARS]
    bars = []
    for episode in worst:
        needed, available = float(episode.needed_w or 0.0), float(episode.available_w or 0.0)
        longest = max(needed, available, 1.0)
        bars.append(
            Bar(
                when=minutes_text(episode.start_s),
                needed=heat_text(needed),
                available=heat_text(available),
                needed_width=round(FULL_WIDTH * needed / longest, 1),
                available_width=round(FULL_WIDTH * available / longest, 1),
            )
        )
    return tuple(bars)


def minutes_text(time_s: float) -> str:
    """Return a time in the log as minutes and seconds, as the axis of its plot counts them.

    >>> minutes_text(541.0), minutes_text(59.7)
    ('9 min 01 s', '1 min 00 s')
    """
    minutes, seconds = divmod(round(time_s), 60)
    return f"{minutes} min {seconds:02d} s"


def heat_text(heat_w: float) -> str:
    """Return a heat flow with its unit.

    >>> heat_text(12_340.0), heat_text(90.0)
    ('12.3 kW', '90 W')
    """
    if heat_w >= 100_000:
        return f"{heat_w / 1000:.0f} kW"
    return f"{heat_w / 1000:.1f} kW" if heat_w >= 1000 else f"{heat_w:.0f} W"
