"""From clock values to seconds from the first row: never falling, trips found, whole seconds spread."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coldsoak.errors import LogError
from coldsoak.logs.clock import DAY_S, ClockKind
from coldsoak.logs.columns import blanks, steps_in_blocks, usual_step
from coldsoak.logs.log import Gap

Floats = NDArray[np.float64]

GAP_FACTOR = 5.0
GAP_LEAST_S = 3.0
LONGEST_GAP_S = 7 * DAY_S
_DATED_S = (6.3e8, 3.1e9)  # 1989 to 2068: no clock gets there that counts from a start or from 1900
_LOOK_ROWS = 200_000
_EPOCH_UNITS = (
    (5e8, 5e9, 1.0, "seconds"),
    (5e11, 5e12, 1e-3, "milliseconds"),
    (5e14, 5e15, 1e-6, "microseconds"),
    (5e17, 5e18, 1e-9, "nanoseconds"),
)
_SHEET_DAYS, _SHEET_STEP = (36526.0, 73051.0), 0.042  # the years 2000 to 2099; an hour
_ROUND_INTERVALS_S = (30.0, 60.0, 120.0, 300.0, 600.0, 900.0, 1800.0, 3600.0)


@dataclass(frozen=True)
class Timeline:
    """Seconds from the first row, where trips start, where the logger wrote nothing, and what was assumed."""

    time_s: Floats
    row_interval_s: float
    trip_rows: tuple[int, ...]
    gaps: tuple[Gap, ...]
    gap_rows: tuple[int, ...]
    assumed: tuple[str, ...]
    began_s: float | None = None


def regular(rows: int, rate_hz: float) -> Timeline:
    """Return the time line of a log without a clock, written `rate_hz` times a second.

    >>> regular(3, 10.0).time_s
    array([0. , 0.1, 0.2])
    """
    note = f"No clock was read: the rows are taken as {rate_hz:g} a second, as --rate says."
    return Timeline(np.arange(rows) / rate_hz, 1.0 / rate_hz, (0,), (), (), (note,))


def clock_scale(values: Floats, name: str) -> tuple[float, str]:
    """Decide the unit of a clock of plain numbers without a unit: factor to seconds, and the sentence that says so."""
    shown = values[:_LOOK_ROWS]
    shown = shown[~np.isnan(shown)]
    if not len(shown):
        return 1.0, ""
    first = float(shown[0])
    for low, high, scale, word in _EPOCH_UNITS:
        if low <= first < high:
            return (
                scale,
                f"The clock {name!r} is taken as {word} since 1970: its first value is {first:.0f}.",
            )
    steps = np.diff(shown)
    moving = steps[steps > 0]
    usual = float(np.median(moving)) if len(moving) else 0.0
    if _SHEET_DAYS[0] <= first < _SHEET_DAYS[1] and 0.0 < usual < _SHEET_STEP:
        return (
            DAY_S,
            f"The clock {name!r} is taken as days of a spreadsheet since 1900: its first value is {first:.4f}.",
        )
    whole = bool(np.all(shown == np.round(shown)))
    constant = len(moving) > 2 and bool(np.all(moving == usual))
    if whole and usual >= 20 and not (constant and usual in _ROUND_INTERVALS_S):
        return (
            1e-3,
            f"The clock {name!r} has no unit; whole numbers in steps of about {usual:g} are taken as milliseconds.",
        )
    return 1.0, f"The clock {name!r} has no unit; steps of about {usual:g} are taken as seconds."


def timeline(clock_s: Floats, kind: ClockKind, name: str, trip_starts: tuple[int, ...] = ()) -> Timeline:
    """Turn clock values in seconds into a time line.

    `trip_starts` are rows at which the file itself says that something new begins (its header comes again).
    """
    assumed: list[str] = []
    clock = _filled(_without_strays(clock_s), name, assumed)
    clock = _spread(clock, name, assumed) if len(clock) > 2 and _stands_still(clock) else clock
    usual = usual_step(clock) or 1.0
    trips = {0, *trip_starts}
    clock = _without_leaps(clock, usual, name, trips, assumed)
    if any(float(steps.min()) < 0 for _, steps in steps_in_blocks(clock)):
        clock = _unfold(clock, kind, usual, name, trips, assumed)
    time = clock - clock[0] if clock[0] else clock
    limit = max(GAP_FACTOR * usual, GAP_LEAST_S)
    rows = [row + int(k) for row, steps in steps_in_blocks(clock) for k in np.flatnonzero(steps > limit)]
    gap_rows = tuple(row for row in rows if row not in trips)
    gaps = tuple(Gap(float(time[r - 1]), float(time[r])) for r in gap_rows)
    began_s = float(clock[0]) if _DATED_S[0] < clock[0] < _DATED_S[1] else None
    return Timeline(time, usual, tuple(sorted(trips)), gaps, gap_rows, tuple(assumed), began_s)


def _stands_still(clock: Floats) -> bool:
    """Say whether a clock of whole seconds shows the same second in neighbouring rows."""
    still = any(not steps.all() for _, steps in steps_in_blocks(clock))
    return still and bool(np.all(clock == np.round(clock)))


def _without_strays(clock: Floats) -> Floats:
    """Blank single clock values that lie more than a week from both their neighbours, which are near each other."""
    if not any(np.any(np.abs(steps) > LONGEST_GAP_S) for _, steps in steps_in_blocks(clock)):
        return clock
    known = np.flatnonzero(~np.isnan(clock))
    values = clock[known]
    there, back = np.diff(values)[:-1], np.diff(values)[1:]
    far = (np.abs(there) > LONGEST_GAP_S) & (np.abs(back) > LONGEST_GAP_S)
    stray = np.flatnonzero(far & (np.abs(there + back) <= LONGEST_GAP_S)) + 1
    clock = clock.copy()
    clock[known[stray]] = np.nan
    return clock


def _without_leaps(clock: Floats, usual: float, name: str, trips: set[int], assumed: list[str]) -> Floats:
    """Let what comes after more than a week without a row follow as a trip of its own: nothing in between is known."""
    leaps = [
        row + int(k) for row, steps in steps_in_blocks(clock) for k in np.flatnonzero(steps > LONGEST_GAP_S)
    ]
    if not leaps:
        return clock
    shift = np.zeros(len(clock))
    for row in leaps:
        shift[row:] += clock[row - 1] - clock[row] + usual
    trips.update(leaps)
    assumed.append(
        f"The clock {name!r} leaps by more than a week {len(leaps)} time{'s' * (len(leaps) > 1)} (first at row {leaps[0] + 1}): "
        f"each is a new trip, which follows the one before after one row interval ({usual:.3g} s)."
    )
    return clock + shift


def _filled(clock: Floats, name: str, assumed: list[str]) -> Floats:
    missing = blanks(clock)
    if missing is None:
        return clock
    if missing.all():
        raise LogError(
            f"No time could be read from {name!r}; say how often a row was written with --rate HZ."
        )
    count = int(missing.sum())
    rows = np.arange(len(clock))
    known = rows[~missing]
    filled = np.interp(rows, known, clock[known])
    pace = np.diff(clock[known]) / np.diff(known)
    step = float(np.median(pace[pace > 0])) if np.any(pace > 0) else 1.0
    filled[: known[0]] = clock[known[0]] - step * (known[0] - rows[: known[0]])
    filled[known[-1] + 1 :] = clock[known[-1]] + step * (rows[known[-1] + 1 :] - known[-1])
    assumed.append(
        f"{count} row{'s have' if count > 1 else ' has'} no readable time in {name!r}; it is taken from the rows around."
    )
    return filled


def _unfold(
    clock: Floats, kind: ClockKind, usual: float, name: str, trips: set[int], assumed: list[str]
) -> Floats:
    """Undo midnight, restarts and steps back, one after the other."""
    shift = np.zeros(len(clock))
    midnights = restarts = 0
    back: list[tuple[int, float]] = []
    first_of_trip = float(clock[0])
    for row in (np.flatnonzero(np.diff(clock) < 0) + 1).tolist():
        drop = float(clock[row - 1] - clock[row])
        if kind is ClockKind.TIME_OF_DAY and drop > DAY_S / 2:
            midnights += 1
            shift[row:] += DAY_S
            continue
        shift[row:] += drop + usual
        near_start = clock[row] <= max(first_of_trip, 0.0) + max(1.5 * usual, 0.01)
        restarted = kind is ClockKind.NUMBER and (
            near_start or (clock[row] < 5 and drop > max(5.0, 10 * usual))
        )
        if restarted or row in trips or drop > 3 * 3600:
            restarts += 1
            trips.add(row)
            first_of_trip = float(clock[row])
        else:
            back.append((row, drop))
    if midnights:
        assumed.append(
            f"The clock {name!r} passes midnight {midnights} time{'s' * (midnights > 1)}: a day is added."
        )
    if restarts:
        assumed.append(
            f"The clock {name!r} starts again {restarts} time{'s' * (restarts > 1)}: each is a new trip, which follows "
            f"the one before after one row interval ({usual:.3g} s)."
        )
    if back:
        row, drop = back[0]
        assumed.append(
            f"The clock {name!r} steps back {len(back)} time{'s' * (len(back) > 1)} (first by {drop:.3g} s at row {row + 1}): "
            f"it goes on after the usual row interval ({usual:.3g} s)."
        )
    return clock + shift


def _spread(clock: Floats, name: str, assumed: list[str]) -> Floats:
    """Spread rows over a clock that stands still for several rows (whole seconds, several rows a second)."""
    steps = np.diff(clock)
    starts = np.concatenate(([0], np.flatnonzero(steps != 0) + 1))
    lengths = np.diff(np.append(starts, len(clock)))
    ticks = np.diff(clock[starts])
    if not np.any(ticks > 0):
        raise LogError(f"The clock {name!r} never moves on; say how often a row was written with --rate HZ.")
    per_row = ticks / lengths[:-1]
    inner = per_row[1:][per_row[1:] > 0]
    usual = float(np.median(inner if len(inner) else per_row[per_row > 0]))
    spacing = np.where((per_row > 3 * usual) | (per_row < usual / 3), usual, per_row)
    within = np.arange(len(clock)) - np.repeat(starts, lengths)
    out = np.asarray(clock + within * np.repeat(np.append(spacing, usual), lengths), dtype=np.float64)
    lead = int(lengths[0])
    if ticks[0] > 0:  # the first second may have begun before the first row, or the clock not yet have run
        out[:lead] = clock[lead] - usual * np.arange(lead, 0, -1)
    stood = (per_row < usual / 3) & (ticks > 0)
    stood[0] = False
    for k in np.flatnonzero(stood).tolist():
        out[starts[k + 1] :] += lengths[k] * usual - ticks[k]
    assumed.append(
        f"The clock {name!r} counts whole seconds with several rows in each: rows are spread evenly, about {usual:.3g} s apart."
    )
    tick = float(np.median(ticks[ticks > 0]))
    if stood.any() or lead * usual > 2 * tick or lengths[-1] * usual > 2 * tick:
        assumed.append(
            f"Where the clock {name!r} stands still for much longer than usual, rows are spaced at the usual {usual:.3g} s."
        )
    return out
