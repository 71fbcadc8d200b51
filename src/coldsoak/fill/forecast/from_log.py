"""A forecast from a log: the readings of one channel, in the order in which they were taken."""

import numpy as np

from coldsoak.errors import InputError
from coldsoak.fill.forecast.forecaster import Forecaster
from coldsoak.fill.forecast.temp_window import TempWindow
from coldsoak.fill.forecast.value import Forecast
from coldsoak.logs.log import Channel, Floats, Log, Rows

LIKELY = ("fluid_temp", "oil_temp", "coolant_temp")
FEWEST_READINGS = 5
SHORTEST_S = 10.0


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
    chosen = _channel(log, channel)
    time_s, value_c, rows = _readings(log, chosen)
    if len(time_s) < FEWEST_READINGS or log.time_s[-1] - time_s[0] < SHORTEST_S:
        raise InputError(
            f"{chosen.name!r} has {len(time_s)} reading{'s' * (len(time_s) != 1)} in the {log.duration_s:.0f} s up to then, too "
            f"few to forecast from: record at least {FEWEST_READINGS} over {SHORTEST_S:.0f} s."
        )
    engine, ambient = _beside(log, "engine_speed", rows), _beside(log, "ambient_temp", rows)
    forecaster = Forecaster(window, chosen.quantity or "other_temp", channel=chosen.name, without=without)
    for when, value, rpm, air in zip(time_s.tolist(), value_c.tolist(), engine, ambient, strict=True):
        forecaster.add(when, value, engine_speed_rpm=rpm, ambient_c=air)
    return forecaster.forecast(float(log.time_s[-1]) if at_s is None else at_s)


def _channel(log: Log, name: str | None) -> Channel:
    if name is not None:
        chosen = log.channel(name)
        if chosen.unit != "degC":
            raise InputError(
                f"{name!r} is no temperature ({chosen.unit or 'no unit'}): name one of {_names(log)}, or say what it is with "
                f"--map '{name}=fluid_temp[degC]'."
            )
        return chosen
    likely = log.of_quantity(*LIKELY)
    fluid = [c for c in likely if c.quantity == LIKELY[0]] or likely
    if len(fluid) != 1:
        raise InputError(f"Say which channel the fluid is with --channel; the log has {_names(log)}.")
    return fluid[0]


def _names(log: Log) -> str:
    return ", ".join(repr(c.name) for c in log.channels if c.unit == "degC") or "no temperature"


def _readings(log: Log, channel: Channel) -> tuple[Floats, Floats, Rows]:
    """Return times, values and rows of the readings of the last trip."""
    rows = channel.reading_rows[channel.reading_rows >= log.trip_rows[-1]]
    rows = rows[~np.isnan(channel.values[rows])]
    return log.time_s[rows], channel.values[rows], rows


def _beside(log: Log, quantity: str, rows: Rows) -> list[float | None]:
    """Return what a channel of a quantity showed at some rows, None where it showed nothing."""
    found = log.of_quantity(quantity)
    if not found:
        return [None] * len(rows)
    return [None if np.isnan(value) else float(value) for value in found[0].values[rows]]
