"""Readings that are none: a raw zero that a lost message leaves behind, a value still held after a gap.

The reader of logs could not tell them for sure; beside the other channels of the same log judge can.
"""

from dataclasses import replace

import numpy as np

from coldsoak.judge.middle import median
from coldsoak.judge.vehicle.grid import GAP_S, longest_together_s
from coldsoak.judge.vehicle.medium import media
from coldsoak.logs.log import Channel, Floats, Log, Rows

RAW_ZEROS_C = (0.0, -40.0)  # a byte of zero, with the scaling of SAE J1979 or without any
NEAR_K = 0.05
SAME_K, AWAY_K = 3.0, 2.5
DRIFTS_K_S, MOST_DRIFT_K = 0.2, 40.0  # over a gap in the log the temperature goes on
MOST_LOST, MOST_SUSPICIOUS = 12, 3  # answers in a row
SUSPICIOUS_S = 2.5  # or so long, where a logger repeats the answer until it asks again
# Load and air flow that are often at zero by themselves, as in overrun, are no sign of a lost message, unless they are asked so
# often that one zero alone cannot be.
SELDOM, OFTEN_ASKED_S = 0.05, 3.0
HELD_S = 11.0  # a channel that is asked every ten seconds among others that are asked often
OF_GEARBOX = ("gear", "turbine_speed", "output_speed", "line_pressure")
OF_ENGINE = ("engine_speed", "engine_load", "air_flow", "manifold_pressure", "module_voltage")


def without_lost_messages(log: Log) -> tuple[Log, dict[str, int]]:
    """Return the log without readings that lost messages explain, and by channel how many were left out on suspicion.

    A reading goes when a temperature falls to a raw zero for a few readings, and another channel of the same control
    unit is at zero at that moment and not before and after. Where all of those are at zero anyway nobody can tell: up
    to three readings, or 2.5 s, go too, but they are counted as suspicious unless they are at 0 °C, which no circuit falls
    to by itself. They stay where one of them shows that the unit was heard, and at the end of the log. The first readings
    after a gap go while they only repeat the last one before.
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
    time_s, value_c = log.readings(channel)
    runs = _lonely_zeros(time_s, value_c)
    unit = OF_GEARBOX if channel.quantity in ("fluid_temp", "case_temp", "cooler_temp") else OF_ENGINE
    answers = [_heard(log, channel.reading_rows, first, last, unit) for first, last in runs]
    # Where it happens while the unit is heard the circuit does it, and then the others are its doing too.
    forgiving = not any(answers)
    gone, unsure = _held_after_gaps(time_s, value_c), 0
    for (first, last), heard in zip(runs, answers, strict=True):
        long = last - first >= MOST_SUSPICIOUS and time_s[last] - time_s[first] > SUSPICIOUS_S
        if heard is None and (not forgiving or long or last + 1 == len(value_c)):
            continue
        if not heard:
            gone += range(first, last + 1)
            unsure += last - first + 1 if heard is None and not _bare(value_c[first : last + 1]) else 0
    if not gone:
        return channel, 0
    return replace(channel, reading_rows=np.delete(channel.reading_rows, gone)), unsure


def _bare(value_c: Floats) -> bool:
    """Return whether readings are 0 °C to the last digit: -40 is also where an open circuit ends, 0 is no place of its own."""
    return bool(np.all(value_c == 0.0))


def _held_after_gaps(time_s: Floats, value_c: Floats) -> list[int]:
    """Return the readings after a gap that are still what was read last before it, for as long as a logger may hold one."""
    if len(time_s) < 3:
        return []
    spacing, gone = np.diff(time_s), list[int]()
    for after in (np.flatnonzero(spacing > longest_together_s(spacing, GAP_S)) + 1).tolist():
        end = min(max(int(np.searchsorted(time_s, time_s[after] + HELD_S)), after + 1), len(time_s) - 1)
        same = value_c[after:end] == value_c[after - 1]
        fresh = after + int(np.argmin(np.append(same, False)))
        # An answer that came after the last row before the gap is held over it, too: near to what was, and far from what is.
        if fresh < end and abs(value_c[fresh] - value_c[after - 1]) <= SAME_K < abs(
            value_c[fresh + 1] - value_c[fresh]
        ):
            fresh += 1
        gone += range(after, fresh)
    return gone


def _lonely_zeros(time_s: Floats, value_c: Floats) -> list[tuple[int, int]]:
    """Return first and last reading of every short run at a raw zero that its neighbours on both sides are far from."""
    found: list[tuple[int, int]] = []
    if value_c.min(initial=np.inf) >= max(RAW_ZEROS_C) + NEAR_K:
        return found
    for zero in RAW_ZEROS_C:
        near = np.abs(value_c - zero) < NEAR_K
        if not near.any():
            continue
        at_zero = np.concatenate(([False], near, [False]))
        edges = np.flatnonzero(np.diff(at_zero.astype(np.int8)))
        for first, end in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True):
            if first == 0 or end - first > MOST_LOST:
                continue
            after = end if end < len(value_c) else first - 1  # the last answers of a log have only one side
            before_c, after_c = float(value_c[first - 1]), float(value_c[after])
            drift_k = min(DRIFTS_K_S * float(time_s[after] - time_s[first - 1]), MOST_DRIFT_K)
            if abs(before_c - zero) > AWAY_K and abs(before_c - after_c) < max(SAME_K, drift_k):
                found.append((first, end - 1))
    return found


def _heard(log: Log, rows: Rows, first_at: int, last_at: int, unit: tuple[str, ...]) -> bool | None:
    """Whether the control unit was heard at these readings: True, False (another of its channels fell to zero), or None."""
    ends = last_at + 1 == len(rows)
    first, last = int(rows[first_at - 1]), len(log.time_s) - 1 if ends else int(rows[last_at + 1])
    alive = False
    for witness in log.of_quantity(*unit):
        near = witness.values[first : last + 1]
        near = near[~np.isnan(near)]
        around = witness.values[[max(first - 1, 0), *([] if ends else [min(last + 1, len(log.time_s) - 1)])]]
        if not len(near):
            continue
        if not np.any(near == 0.0):
            alive = True
        elif _tells_by_zero(log, witness) and (
            np.all(np.nan_to_num(around) != 0.0) or _falls_for_a_moment(log, witness, first, last, ends=ends)
        ):
            return False
    return True if alive or not log.of_quantity(*unit) else None


def _tells_by_zero(log: Log, witness: Channel) -> bool:
    """Whether a channel is seldom at zero by itself, or asked so often that it does not get there and back between two rows."""
    values = witness.values[witness.reading_rows]
    return bool(np.mean(values == 0.0) <= SELDOM) or _wait_s(log, witness) <= OFTEN_ASKED_S


def _wait_s(log: Log, channel: Channel) -> float:
    """Return how long a channel usually waits from one answer to the next [s]."""
    asked_s = log.time_s[channel.reading_rows]
    return median(np.diff(asked_s)) if len(asked_s) > 1 else np.inf


def _falls_for_a_moment(log: Log, witness: Channel, first: int, last: int, *, ends: bool) -> bool:
    """Whether a channel that is at zero in these rows was not at its readings before and after, where the log goes on.

    It may have been asked earlier or later, by as much as it usually waits from one answer to the next.
    """
    rows, wait_s = witness.reading_rows, _wait_s(log, witness)
    if len(rows) < 2:
        return False
    asked_s = log.time_s[rows]
    a, b = np.searchsorted(asked_s, [log.time_s[first] - wait_s, log.time_s[last] + wait_s])
    beyond = witness.values[rows[[max(a - 1, 0), *([] if ends else [min(b, len(rows) - 1)])]]]
    return bool(np.all(np.nan_to_num(beyond) != 0.0))
