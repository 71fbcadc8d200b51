"""The work of one process: every forecast asked of one log."""

import time
from dataclasses import dataclass

import numpy as np

from coldsoak.fill.forecast.forecaster import Forecaster
from coldsoak.fill.forecast.from_log import forecast_from_log
from coldsoak.fill.forecast.temp_window import temp_window
from coldsoak.logs.read import read_log

from .cases import WIDE_K, Case, Source, cases_of
from .methods import exponential_s, hindsight_s, straight_line_s


@dataclass(frozen=True)
class Result:
    """One forecast of each method; infinity stands for "never"."""

    source: Source
    case: Case
    ours_s: tuple[float, float, float]
    line_s: float
    exponential_s: float
    hindsight_s: float


def run(source: Source) -> list[Result]:
    """Return the results of one log; each forecast is made from the rows up to its time alone.

    The unit is said beforehand: some logs have none, and the rows of a cold engine alone do not settle it.
    """
    results = []
    whole = read_log(source.file)
    whole_channel = whole.of_quantity(source.quantity)[0]
    whole_time_s, whole_c = whole.readings(whole_channel)
    unit = f"{whole_channel.name}={source.quantity}[{whole_channel.unit}]"
    for case in cases_of(source):
        log = read_log(source.file, mapping=[unit], until_s=case.at_s)
        channel = log.of_quantity(source.quantity)[0]
        window = temp_window(case.low_c, case.low_c + WIDE_K)
        forecast = forecast_from_log(log, window, channel.name, case.at_s, source.without)
        odds = forecast.closes_s if case.closing else forecast.opens_s
        time_s, value_c = log.readings(channel)
        level_c = case.low_c + WIDE_K + 1.0 if case.closing else case.low_c
        results.append(
            Result(
                source,
                case,
                (_time(odds.p10), _time(odds.p50), _time(odds.p90)),
                straight_line_s(time_s, value_c, level_c, case.at_s),
                exponential_s(time_s, value_c, level_c, case.at_s),
                np.nan
                if case.true_s is None
                else hindsight_s(whole_time_s, whole_c, level_c, case.at_s, case.true_s),
            )
        )
    return results


def _time(time_s: float | None) -> float:
    return np.inf if time_s is None else time_s


def update_ms(source: Source) -> list[float]:
    """Return how long each update of one log takes, reading in and forecast out [ms]."""
    log = read_log(source.file)
    forecaster = Forecaster(temp_window(50.0, 60.0), source.quantity)
    took = []
    for when, value in zip(
        *(a.tolist() for a in log.readings(log.of_quantity(source.quantity)[0])), strict=True
    ):
        start_s = time.perf_counter()
        forecaster.update(when, value)
        took.append(1000.0 * (time.perf_counter() - start_s))
    return took
