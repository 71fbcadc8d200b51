"""A forecast from a log: the readings of one channel, in the order in which they were taken."""

import numpy as np

from coldsoak.errors import InputError
from coldsoak.fill.forecast.forecaster import LEAST_C, MOST_C, Forecaster
from coldsoak.fill.forecast.temp_window import TempWindow
from coldsoak.fill.forecast.value import Forecast
from coldsoak.logs.log import Channel, Floats, Log, Rows

LIKELY = ("fluid_temp", "oil_temp", "coolant_temp")
FEW_READINGS = 5
SHORT_S = 10.0
_FEW = "Few readings so far: these are the odds of such a unit in general."


def forecast_from_log(
    log: Log,
    window: TempWindow,
    channel: str | None = None,
    at_s: float | None = None,
    without: tuple[str, ...] = (),
) -> Forecast:
    """Return the forecast as of `at_s`, or of the end of a log; of several trips only the last counts.

    The log must have been cut at that time already: `read_log` does so with `until_s`. `without` leaves out families
    that are known beforehand.
    """
    forecaster, time_s, _ = follow_log(log, window, channel, without)
    forecast = forecaster.forecast(float(log.time_s[-1]) if at_s is None else at_s)
    few = len(time_s) < FEW_READINGS or log.time_s[-1] - time_s[0] < SHORT_S
    assumed = (*log.provenance.assumed_of_clock, *fluid_channel(log, channel).assumed)
    return forecast.model_copy(update={"notes": (_FEW,) if few else forecast.notes, "assumed": assumed})


def follow_log(
    log: Log, window: TempWindow, channel: str | None = None, without: tuple[str, ...] = ()
) -> tuple[Forecaster, Floats, Floats]:
    """Return a forecaster that has taken in the readings of a log, with their times [s] and temperatures [°C]."""
    chosen = fluid_channel(log, channel)
    if not chosen.unit_settled:
        raise InputError(
            f"{chosen.name!r} has no unit, and °C and °F are both possible, so it cannot be held against the window: say which "
            f"with --map '{chosen.name}=fluid_temp[degC]' or --map '{chosen.name}=fluid_temp[degF]'."
        )
    time_s, value_c, rows = _readings(log, chosen)
    if not len(time_s):
        raise InputError(
            f"{chosen.name!r} has no reading in the {log.duration_s:.0f} s up to then: give a later time, or name "
            "another channel with --channel."
        )
    engine, ambient, speed = (
        _beside(log, quantity, rows) for quantity in ("engine_speed", "ambient_temp", "vehicle_speed")
    )
    forecaster = Forecaster(window, chosen.quantity or "other_temp", channel=chosen.name, without=without)
    for when, value, rpm, air, kmh in zip(
        time_s.tolist(), value_c.tolist(), engine, ambient, speed, strict=True
    ):
        forecaster.add(when, value, engine_speed_rpm=rpm, ambient_c=air, vehicle_speed_kmh=kmh)
    return forecaster, time_s, value_c


def fluid_readings(log: Log, channel: str | None) -> list[tuple[float, float]]:
    """Return times [s] and temperatures [°C] of the readings that a forecast goes by."""
    time_s, value_c, _ = _readings(log, fluid_channel(log, channel))
    return list(zip(time_s.tolist(), value_c.tolist(), strict=True))


def fluid_channel(log: Log, name: str | None) -> Channel:
    """Return the channel of the fluid: the one that is named, or the only one that can be it."""
    if name is not None:
        chosen = log.channel(name)
        if chosen.unit != "degC":
            raise InputError(
                f"{name!r} is no temperature ({chosen.unit or 'no unit'}): name one of {_names(log)}, or say what it is with "
                f"--map '{name}=fluid_temp[degC]'."
            )
        return chosen
    if not any(one.unit == "degC" for one in log.channels):
        raise InputError(
            f"no temperature was recognised in {log.provenance.file}: say which channel is one with "
            "--map NAME=fluid_temp[degC], or record one."
        )
    likely = log.of_quantity(*LIKELY)
    fluid = [c for c in likely if c.quantity == LIKELY[0]] or likely
    if len(fluid) != 1:
        raise InputError(f"Say which channel the fluid is with --channel; the log has {_names(log)}.")
    return fluid[0]


def _names(log: Log) -> str:
    return ", ".join(repr(c.name) for c in log.channels if c.unit == "degC") or "no temperature"


def _readings(log: Log, channel: Channel) -> tuple[Floats, Floats, Rows]:
    """Return times, values and rows of the readings of the last trip, without what no thermometer of a fluid can show."""
    rows = channel.reading_rows[channel.reading_rows >= log.trip_rows[-1]]
    rows = rows[(channel.values[rows] >= LEAST_C) & (channel.values[rows] <= MOST_C)]
    return log.time_s[rows], channel.values[rows], rows


def _beside(log: Log, quantity: str, rows: Rows) -> list[float | None]:
    """Return what a channel of a quantity showed at some rows, None where it showed nothing."""
    found = log.of_quantity(quantity)
    if not found:
        return [None] * len(rows)
    return [None if np.isnan(value) else float(value) for value in found[0].values[rows]]
