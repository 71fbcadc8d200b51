"""Readings of real outdoor sensors, one of which fails.

Source: La Haute Borne wind farm, two years of 10-minute values, published by ENGIE under the Open Licence 2.0 and
carried by the wheel openoa 3.2. Four turbines stand a few hundred metres apart. On 8 to 10 June 2014 the outdoor
sensor of R80721 freezes, drops to -273.2 degC, recovers and freezes again, while its three neighbours agree.
"""

from datetime import datetime

import numpy as np
import polars as pl
import pytest

from coldsoak.judge import judge
from coldsoak.logs.log import Channel, Log, Provenance

FAILING = "R80721"


@pytest.fixture(scope="module")
def outdoor(openoa_data):
    table = pl.read_csv(
        openoa_data / "la-haute-borne-data-2014-2015.csv",
        columns=["Wind_turbine_name", "Date_time", "Ot_avg"],
    )
    table = table.with_columns(pl.col("Date_time").str.to_datetime("%Y-%m-%dT%H:%M:%S%z", time_zone="UTC"))
    return table.drop_nulls().unique(["Wind_turbine_name", "Date_time"], keep="first").sort("Date_time")


def as_log(table, turbine):
    own = table.filter(pl.col("Wind_turbine_name") == turbine)
    time_s = own["Date_time"].dt.epoch("s").to_numpy().astype(float)
    values = own["Ot_avg"].to_numpy().astype(float)
    outdoors = Channel("Ot_avg", "ambient_temp", "degC", values, np.arange(len(values)), 600.0, 0.01)
    return Log(time_s - time_s[0], (outdoors,), Provenance(f"{turbine}.csv", "0" * 64, len(values), "csv"))


def test_the_failing_sensor_is_condemned_in_its_three_days(outdoor):
    days = outdoor.filter(
        pl.col("Date_time").is_between(
            pl.datetime(2014, 6, 7, 22, time_zone="UTC"), pl.datetime(2014, 6, 10, 22, time_zone="UTC")
        )
    )
    (judged,) = judge(as_log(days, FAILING)).channels
    assert judged.verdict == "not_believable"
    start = datetime.fromisoformat("2014-06-08T00:00:00+02:00")
    hours = [(e.start_s / 3600, e.end_s / 3600, e.kind) for e in judged.episodes]
    assert start.tzinfo
    # it reads -273.2 from 22:40 on the first day to 04:00 on the second, and freezes from 14:00 that day
    assert any(a <= 22.7 and b >= 28.0 for a, b, _ in hours)
    assert any(a <= 38.2 and b >= 49.9 for a, b, _ in hours)


def test_none_of_the_neighbours_is_condemned_in_two_years(outdoor):
    for turbine in ("R80711", "R80736", "R80790"):
        (judged,) = judge(as_log(outdoor, turbine)).channels
        assert judged.verdict != "not_believable", str(judged)


def test_the_failing_sensor_is_condemned_in_two_years_too(outdoor):
    (judged,) = judge(as_log(outdoor, FAILING)).channels
    assert judged.verdict == "not_believable"
