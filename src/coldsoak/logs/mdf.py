"""MDF4 measurement files (ASAM), through the optional library asammdf."""

import gc
import hashlib
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np

from coldsoak.errors import LogError, MissingExtraError
from coldsoak.logs.cells import NO_MEASUREMENT
from coldsoak.logs.clock import ClockKind
from coldsoak.logs.packed import refuse_too_large
from coldsoak.logs.raw import RawColumn, RawTable, Report

MAGIC = b"MDF     "


def read_mdf(path: Path) -> RawTable:
    """Read the numeric channels of a measurement file; rows are all times at which any of them was read."""
    try:
        import asammdf  # noqa: PLC0415 (heavy, and only there with the extra)
    except ImportError as problem:
        raise MissingExtraError(
            f"{path} is a measurement file (MDF), whose reader is not installed: run `pip install 'coldsoak[mdf]'` and read it again."
        ) from problem
    report = Report()
    with _quiet():
        try:
            with asammdf.MDF(path) as mdf:
                refuse_too_large(str(path), *_size(mdf))
                signals = _signals(mdf, report)
        except LogError:
            raise
        except Exception as problem:  # noqa: BLE001 (the library fails in its own ways on a damaged file)
            problem.__traceback__ = None
            said = str(problem) or type(problem).__name__
            signals = None
    if signals is None:
        raise LogError(
            f"{path} is a measurement file (MDF) that cannot be opened ({said}): record or export it again."
        )
    if not signals:
        raise LogError(f"{path} holds no numeric channels: export the measured channels again.")
    times = np.unique(np.concatenate([t for _, _, t, _ in signals]))
    columns = [RawColumn("Time", times, "s", ClockKind.NUMBER)]
    for name, unit, at, values in signals:
        spread = np.full(len(times), np.nan)
        spread[np.searchsorted(times, at)] = values
        columns.append(RawColumn(name, spread, unit or None))
    sparse = any(len(at) < len(times) for _, _, at, _ in signals)
    return RawTable(str(path), _sha256(path), "mdf", columns, report, held=not sparse)


@contextmanager
def _quiet() -> Iterator[None]:
    """Let a file object that was never opened be collected without its complaint on the terminal."""
    before = sys.unraisablehook
    sys.unraisablehook = lambda _: None
    try:
        yield
    finally:
        gc.collect()
        sys.unraisablehook = before


def _size(mdf: Any) -> tuple[int, int]:
    """How many times and how many channels it says that it has."""
    rows = sum(int(group.channel_group.cycles_nr) for group in mdf.groups)
    return rows, sum(len(group.channels) for group in mdf.groups)


def _sha256(path: Path) -> str:
    with path.open("rb") as handle:
        return hashlib.file_digest(handle, "sha256").hexdigest()


def _signals(mdf: Any, report: Report) -> list[tuple[str, str, np.ndarray[Any, Any], np.ndarray[Any, Any]]]:
    found = []
    for signal in mdf.iter_channels(skip_master=True):
        samples = np.asarray(signal.samples)
        if samples.ndim != 1 or samples.dtype.kind not in "fiub":
            report.assume(f"Channel {signal.name!r} holds no numbers: left out.")
            continue
        if not len(samples):
            continue
        values = samples.astype(np.float64)
        if signal.invalidation_bits is not None:
            values[np.asarray(signal.invalidation_bits, dtype=bool)] = np.nan
        huge = np.abs(values) >= NO_MEASUREMENT
        if huge.any():
            report.assume(
                f"{np.count_nonzero(huge)} values of {signal.name!r} are too large to be measured: blank."
            )
            values[huge] = np.nan
        found.append(
            (
                str(signal.name),
                str(signal.unit or ""),
                np.asarray(signal.timestamps, dtype=np.float64),
                values,
            )
        )
    return found
