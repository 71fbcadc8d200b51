"""Whether the thermometer that a forecast goes by can be true: judge asked about the very readings it goes by."""

from collections.abc import Sequence

import numpy as np

from coldsoak.fill.forecast.trust import Trust, trust_of
from coldsoak.judge.judge import judge
from coldsoak.judge.vehicle.medium import media
from coldsoak.logs.assemble import assemble
from coldsoak.logs.log import Log
from coldsoak.logs.raw import RawColumn, RawTable, Report

NAME = "fluid temperature [°C]"


def trust_in_log(log: Log, channel: str, *, probe: bool = False) -> Trust | None:
    """Return what speaks against a channel of a log that ends at the moment of the forecast, None where nothing does."""
    chosen = log.channel(channel)
    if chosen.quantity not in media() or not len(chosen.reading_rows):
        return None
    judged = judge(log, [chosen.name]).channels[0]
    return trust_of(judged, float(log.time_s[chosen.reading_rows[-1]]), probe=probe)


def trust_in_readings(readings: Sequence[tuple[float, float]], *, probe: bool = False) -> Trust | None:
    """Return what speaks against a thermometer of which nothing but its readings is known: times [s] and °C."""
    time_s, temp_c = np.array(readings, dtype=float).T
    columns = [RawColumn("time [s]", time_s), RawColumn(NAME, temp_c)]
    return trust_in_log(assemble(RawTable("", "", "readings", columns, Report())), NAME, probe=probe)
