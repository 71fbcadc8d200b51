"""Which log is older, where their loggers wrote the date."""

import datetime as dt
from collections.abc import Sequence

from coldsoak.logs.log import Log
from coldsoak.prove.seen import Seen

# Clocks of two kinds of logger may keep the time of two zones (14 h is the farthest from UTC that one is).
OTHER_CLOCK_S = 14 * 3600.0


def out_of_order(before: Sequence[Seen], after: Sequence[Seen]) -> tuple[str, ...]:
    """Return why a log is no log from after the repair: it began before the last one from before it did."""
    dated = [one for one in before if one.log.began_s is not None]
    if not dated:
        return ()
    last = max(dated, key=lambda one: one.log.began_s or 0.0)
    return tuple(
        f"{one.file} is dated {_day(one.log)}, earlier than {last.file} from before the repair ({_day(last.log)}): give the "
        "log of a later drive, or set the clock of the logger right"
        for one in after
        if one.log.began_s is not None and one.log.began_s < (last.log.began_s or 0.0) - _slack_s(one, last)
    )


def _slack_s(one: Seen, other: Seen) -> float:
    names = [{channel.name for channel in seen.log.channels} for seen in (one, other)]
    return 0.0 if names[0] == names[1] else OTHER_CLOCK_S


def _day(log: Log) -> str:
    return f"{dt.datetime.fromtimestamp(log.began_s or 0.0, dt.UTC):%Y-%m-%d %H:%M}"
