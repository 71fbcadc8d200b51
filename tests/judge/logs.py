"""Small logs with exactly known readings, for the tests of judge."""

import numpy as np

from coldsoak.logs.log import Channel, Floats, Log, Provenance

UNITS = {"engine_speed": "rpm", "vehicle_speed": "km/h", "engine_load": "%", "air_flow": "g/s"}


def channel(name: str, quantity: str, values: Floats, resolution: float = 1.0) -> Channel:
    """A channel of which every row is a reading."""
    return Channel(
        name, quantity, UNITS.get(quantity, "degC"), values, np.arange(len(values)), None, resolution
    )


def log_of(time_s: Floats, *channels: Channel, trip_rows: tuple[int, ...] = (0,)) -> Log:
    """A log of these channels."""
    return Log(
        time_s, channels, Provenance("invented.csv", "0" * 64, len(time_s), "csv"), trip_rows=trip_rows
    )


def warm_up(time_s: Floats, start_c: float = 20.0, end_c: float = 85.0, tau_s: float = 500.0) -> Floats:
    """A healthy warm-up, in whole degrees."""
    return np.round(end_c + (start_c - end_c) * np.exp(-time_s / tau_s))
