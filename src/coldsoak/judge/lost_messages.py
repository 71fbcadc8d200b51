"""Single readings at a raw zero that a lost message leaves behind, and that the reader could not tell for sure."""

from dataclasses import replace

import numpy as np

from coldsoak.judge.vehicle.medium import media
from coldsoak.logs.log import Channel, Floats, Log, Rows

RAW_ZEROS_C = (0.0, -40.0)  # a byte of zero, with the scaling of SAE J1979 or without any
NEAR_K = 0.05
SAME_K, AWAY_K = 3.0, 4.0
OF_GEARBOX = ("gear", "turbine_speed", "output_speed", "line_pressure")
OF_ENGINE = ("engine_speed", "engine_load", "air_flow", "manifold_pressure", "module_voltage")


def without_lost_messages(log: Log) -> tuple[Log, dict[str, int]]:
    """Return the log without readings that lost messages explain, and by channel how many were left out on suspicion.

    A reading goes when a temperature falls to a raw zero for one reading, and another channel of the same control unit
    is at zero at that moment and not before and after. Where all of those are at zero anyway nobody can tell: the
    reading goes too, but it is counted as suspicious. It stays where one of them shows that the unit was heard.
    """
    suspicious: dict[str, int] = {}
    channels = []
    for channel in log.channels:
        cleaned = channel
        if channel.quantity in media():
            cleaned, doubtful = _clean(log, channel)
            if doubtful:
                suspicious[channel.name] = doubtful
        channels.append(cleaned)
    if all(new is old for new, old in zip(channels, log.channels, strict=True)):
        return log, {}
    return replace(log, channels=tuple(channels)), suspicious


def _clean(log: Log, channel: Channel) -> tuple[Channel, int]:
    value_c = channel.values[channel.reading_rows]
    at = _lonely_zeros(value_c)
    if not len(at):
        return channel, 0
    unit = OF_GEARBOX if channel.quantity in ("fluid_temp", "case_temp", "cooler_temp") else OF_ENGINE
    answers = [_heard(log, channel.reading_rows, int(i), unit) for i in at]
    lost = [i for i, heard in zip(at, answers, strict=True) if heard is False]
    unsure = [i for i, heard in zip(at, answers, strict=True) if heard is None]
    if any(
        answers
    ):  # it happens while the unit is heard, so the circuit does it; the unsure ones are its too
        unsure = []
    gone = np.array([*lost, *unsure], dtype=np.int64)
    if not len(gone):
        return channel, 0
    return replace(channel, reading_rows=np.delete(channel.reading_rows, gone)), len(unsure)


def _lonely_zeros(value_c: Floats) -> Rows:
    if len(value_c) < 3:
        return np.empty(0, dtype=np.int64)
    before, now, after = value_c[:-2], value_c[1:-1], value_c[2:]
    lonely = np.zeros(len(now), dtype=bool)
    for zero in RAW_ZEROS_C:
        lonely |= (np.abs(now - zero) < NEAR_K) & (np.abs(before - zero) > AWAY_K)
    return np.flatnonzero(lonely & (np.abs(before - after) < SAME_K)) + 1


def _heard(log: Log, rows: Rows, at: int, unit: tuple[str, ...]) -> bool | None:
    """Whether the control unit was heard at reading `at`: True, False (another of its channels fell to zero), or None."""
    first, last = int(rows[at - 1]), int(rows[at + 1])
    alive = False
    for witness in log.of_quantity(*unit):
        near = witness.values[first : last + 1]
        near = near[~np.isnan(near)]
        around = witness.values[[max(first - 1, 0), min(last + 1, len(log.time_s) - 1)]]
        if len(near) and np.any(near == 0.0) and np.all(np.nan_to_num(around) != 0.0):
            return False
        alive |= bool(len(near)) and not np.any(near == 0.0)
    return True if alive or not log.of_quantity(*unit) else None
