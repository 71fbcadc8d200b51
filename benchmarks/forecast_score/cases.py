"""Which forecasts are asked for: logs, windows, and times before, in and after the window."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from coldsoak.logs.log import Floats, Log
from coldsoak.logs.read import read_log
from coldsoak.practice.drive import drive_from_speed
from coldsoak.practice.logger import Logger
from coldsoak.practice.run import PracticeRun, simulate
from coldsoak.practice.write import log_text

LOWS_C = (30.0, 35.0, 40.0, 50.0, 60.0, 70.0)
WIDE_K = 10.0
LEADS_S = (60.0, 90.0, 120.0, 180.0, 240.0, 300.0, 420.0, 600.0, 900.0)
FIRST_S = 30.0  # of readings before the first forecast
SURE_WITHIN_S = 10.0  # how exactly an opening must be known
SHUT_AT_S = (120.0, 300.0, 600.0, 1200.0)
BAY = "idling in the bay"
DRIVEN = ("cold_soak", "city", "motorway", "healthy")
POLL_S, PRACTICE_S, BAY_S = 2.0, 2700.0, 3600.0


@dataclass(frozen=True)
class Source:
    """One log to forecast from: a file, the group it counts in, the channel's quantity, and families left out."""

    group: str
    file: Path
    quantity: str
    without: tuple[str, ...] = ()


@dataclass(frozen=True)
class Case:
    """One forecast: as of `at_s` for a window from `low_c`; what happens at `true_s`, or not before `end_s` (None)."""

    at_s: float
    low_c: float
    true_s: float | None
    end_s: float
    closing: bool = False


def real_sources(folder: Path) -> list[Source]:
    """Return the real logs, first as they are, then with those families left out that were set on that vehicle."""
    files = sorted(folder.glob("*.csv"))
    set_on = {"car-a": ("petrol",), "car-b": ("diesel",)}
    known = [Source(f"real, {file.stem[:5]}", file, "coolant_temp") for file in files]
    unknown = [
        Source(f"real, {file.stem[:5]}, as an unknown vehicle", file, "coolant_temp", set_on[file.stem[:5]])
        for file in files
        if file.stem[:5] in set_on
    ]
    return known + unknown


def practice_sources(folder: Path, runs: int, seed: int) -> list[Source]:
    """Write practice warm-ups to files, in whole °C and asked every 2 s, and return them."""
    sources = []
    for k in range(runs):
        for what, run in (("driven", _driven(seed + k)), (BAY, _in_the_bay(seed + k))):
            file = folder / f"practice-{what[:3]}-{k}.csv"
            file.write_bytes(log_text(_whole_degrees(run.log), "plain", seed=seed))
            sources += [
                Source(f"practice gearbox fluid, {what}", file, "fluid_temp"),
                Source(f"practice coolant, {what}", file, "coolant_temp"),
                Source(f"practice engine oil, {what}", file, "oil_temp"),
            ]
    return sources


def _driven(seed: int) -> PracticeRun:
    scenario = DRIVEN[seed % len(DRIVEN)]
    return simulate(scenario, seed=seed, duration_s=PRACTICE_S, rate_hz=2.0, logger=Logger(refresh_s=POLL_S))


def _in_the_bay(seed: int) -> PracticeRun:
    time_s = np.arange(0.0, BAY_S, 0.5)
    drive = drive_from_speed(time_s, np.zeros(len(time_s)))
    if seed % 2:
        drive = replace(drive, in_park=np.ones(len(time_s), dtype=np.bool_))
    return simulate("cold_soak", seed=seed, rate_hz=2.0, logger=Logger(refresh_s=POLL_S), drive=drive)


def _whole_degrees(log: Log) -> Log:
    channels = tuple(
        replace(c, values=np.round(c.values), resolution=1.0) if c.unit == "degC" else c for c in log.channels
    )
    return replace(log, channels=channels)


def cases_of(source: Source) -> Iterator[Case]:
    """Yield the forecasts to ask of one log."""
    log = read_log(source.file)
    time_s, value_c = log.readings(log.of_quantity(source.quantity)[0])
    for low_c in LOWS_C:
        if value_c[0] < low_c:
            yield from _openings(time_s, value_c, low_c)
        yield from _closings(time_s, value_c, low_c)


def _openings(time_s: Floats, value_c: Floats, low_c: float) -> Iterator[Case]:
    first = int(np.argmax(value_c >= low_c))
    if value_c[first] < low_c:
        for at_s in SHUT_AT_S:
            if at_s - time_s[0] >= FIRST_S and at_s < time_s[-1] - 60.0:
                yield Case(at_s, low_c, None, float(time_s[-1]))
        return
    for lead_s in LEADS_S:
        at_s = float(time_s[first]) - lead_s
        if at_s >= time_s[0] + FIRST_S and _no_gap(time_s, at_s, first):
            yield Case(at_s, low_c, float(time_s[first]), float(time_s[-1]))


def _closings(time_s: Floats, value_c: Floats, low_c: float) -> Iterator[Case]:
    inside = np.flatnonzero(value_c >= low_c)
    out = np.flatnonzero(value_c > low_c + WIDE_K)
    if not len(inside) or not len(out) or out[0] <= inside[0]:
        return
    opened_s, closed_s = float(time_s[inside[0]]), float(time_s[out[0]])
    at_s = opened_s + 1.0
    if at_s >= time_s[0] + FIRST_S and closed_s - at_s >= LEADS_S[0] and _no_gap(time_s, at_s, int(out[0])):
        yield Case(at_s, low_c, closed_s, float(time_s[-1]), closing=True)


def _no_gap(time_s: Floats, at_s: float, event: int) -> bool:
    from_row = max(int(np.searchsorted(time_s, at_s)) - 1, 0)
    steps = np.diff(time_s[from_row : event + 1])
    return bool(np.all(steps <= 30.0)) and bool(steps[-1] <= SURE_WITHIN_S)
