"""What a log is too short to show is left open. No source: from one to ten readings nobody can tell a fault."""

from dataclasses import replace

import numpy as np
import pytest
from tests.judge.logs import channel, log_of

from coldsoak.judge.judge import judge
from coldsoak.logs.dictionary import quantities
from coldsoak.logs.log import Channel, Floats


def read_where_known(name: str, values: Floats) -> Channel:
    return replace(channel(name, name, values), reading_rows=np.flatnonzero(~np.isnan(values)))


@pytest.mark.parametrize("count", [1, 2, 3, 10])
@pytest.mark.parametrize("row_s", [0.0, 1.0])
@pytest.mark.parametrize("one_each", [False, True], ids=["all read", "one reading of each"])
def test_a_few_rows_of_everything_are_undecided(count: int, row_s: float, one_each: bool) -> None:
    """A log of one row ended in an IndexError where it held a road speed."""
    everything = []
    for place, (name, quantity) in enumerate(quantities().items()):
        values = np.full(count, 20.0 if quantity.unit == "degC" else max(quantity.minimum, 1.0))
        if one_each:
            values[np.arange(count) != place % count] = np.nan
        everything.append(read_where_known(name, values))
    judgement = judge(log_of(row_s * np.arange(count), *everything))
    assert {one.verdict for one in judgement.channels} == {"undecided"}


def test_a_number_that_no_thermometer_shows_fills_no_memory() -> None:
    """One damaged cell of 1e13 made room for 8 TB."""
    values = 60.0 + np.arange(200) % 3
    values[100] = 1e13
    log = log_of(1.0 * np.arange(200), read_where_known("fluid_temp", values))
    assert [one.verdict for one in judge(log).channels] == ["not_believable"]


@pytest.mark.parametrize("count", [1, 2, 3, 10])
def test_a_channel_without_a_reading_is_undecided(count: int) -> None:
    nothing = np.full(count, np.nan)
    log = log_of(
        1.0 * np.arange(count),
        read_where_known("fluid_temp", nothing),
        read_where_known("vehicle_speed", nothing),
    )
    assert [one.verdict for one in judge(log).channels] == ["undecided"]
