"""Parquet: logs that this project wrote come back equal; other tables are read like any log."""

import base64
import hashlib
import json
import zlib
from pathlib import Path
from typing import Any

import numpy as np
import polars as pl
from numpy.typing import NDArray

from coldsoak.errors import LogError
from coldsoak.logs.cells import NO_MEASUREMENT
from coldsoak.logs.clock import ClockKind
from coldsoak.logs.log import Channel, Gap, Log, Provenance, Unreadable
from coldsoak.logs.packed import refuse_too_large
from coldsoak.logs.raw import RawColumn, RawTable, Report

MAGIC = b"PAR1"
KEY = "coldsoak.log"
Rows = NDArray[np.int64]


def pack_rows(rows: Rows, count: int) -> str:
    """Write row numbers below `count` as a short text.

    >>> unpack_rows(pack_rows(np.array([0, 2]), 4), 4)
    array([0, 2])
    """
    mask = np.zeros(count, dtype=bool)
    mask[rows] = True
    return base64.b85encode(zlib.compress(np.packbits(mask).tobytes(), 1)).decode("ascii")


def unpack_rows(text: str, count: int) -> Rows:
    """Read row numbers that `pack_rows` wrote."""
    packed = zlib.decompressobj().decompress(base64.b85decode(text), count // 8 + 1)
    bits = np.frombuffer(packed, dtype=np.uint8)
    return np.flatnonzero(np.unpackbits(bits, count=count))


def read_parquet(path: Path) -> Log | RawTable:
    """Read a Parquet file: a Log if this project wrote it, else its columns for the usual understanding."""
    try:
        metadata = pl.read_parquet_metadata(path)
        packed = pl.scan_parquet(path)
        rows = int(packed.select(pl.len()).collect().item())
        refuse_too_large(str(path), rows, len(packed.collect_schema()))
        frame = pl.read_parquet(path)
    except (pl.exceptions.PolarsError, OSError) as problem:
        raise LogError(
            f"{path} is a Parquet file that cannot be opened ({problem}): write it again."
        ) from problem
    if KEY in metadata:
        try:
            return _own(frame, json.loads(metadata[KEY]))
        except (
            ValueError,
            KeyError,
            TypeError,
            IndexError,
            AttributeError,
            zlib.error,
            pl.exceptions.PolarsError,
        ):
            raise LogError(
                f"{path} says that coldsoak wrote it and does not hold what it says: write it again."
            ) from None
    return _foreign(path, frame)


def _own(frame: pl.DataFrame, said: dict[str, Any]) -> Log:
    count = frame.height
    channels = tuple(
        Channel(
            entry["name"],
            entry["quantity"],
            entry["unit"],
            frame.to_series(1 + i).to_numpy(),
            unpack_rows(entry["reading_rows"], count),
            entry["refresh_s"],
            entry["resolution"],
            unpack_rows(entry["lost_rows"], count),
            entry.get("unit_settled", True),
            tuple(entry.get("assumed", ())),
        )
        for i, entry in enumerate(said["channels"])
    )
    origin = said["provenance"]
    provenance = Provenance(
        origin["file"],
        origin["sha256"],
        origin["rows"],
        origin["format"],
        tuple(origin["assumed"]),
        tuple(Unreadable(*u) for u in origin["unreadable"]),
        origin["unreadable_count"],
        tuple(origin.get("assumed_of_clock", ())),
    )
    gaps = tuple(Gap(*g) for g in said["gaps"])
    trips, began_s = tuple(said["trip_rows"]), said.get("began_s")
    return Log(frame.to_series(0).to_numpy(), channels, provenance, gaps, trips, began_s)


def _foreign(path: Path, frame: pl.DataFrame) -> RawTable:
    report = Report()
    columns: list[RawColumn] = []
    for series in frame.iter_columns():
        column = _column(series, report)
        if column is None:
            report.assume(f"Column {series.name!r} holds no numbers: left out.")
        else:
            columns.append(column)
    if not columns or not frame.height:
        raise LogError(f"{path} holds no rows of numbers: choose the table your logger wrote.")
    with path.open("rb") as handle:
        sha256 = hashlib.file_digest(handle, "sha256").hexdigest()
    return RawTable(str(path), sha256, "parquet", columns, report)


def _column(series: pl.Series, report: Report) -> RawColumn | None:
    if series.dtype == pl.Datetime:
        micros = series.dt.timestamp("us").cast(pl.Float64).to_numpy()
        return RawColumn(series.name, micros / 1e6, "s", ClockKind.DATE_TIME)
    if series.dtype == pl.Duration:
        micros = series.dt.total_microseconds().cast(pl.Float64).to_numpy()
        return RawColumn(series.name, micros / 1e6, "s", ClockKind.NUMBER)
    if series.dtype == pl.Time:
        nanos = series.cast(pl.Int64).cast(pl.Float64).to_numpy()
        return RawColumn(series.name, nanos / 1e9, None, ClockKind.TIME_OF_DAY)
    if not (series.dtype.is_numeric() or series.dtype == pl.Boolean):
        return None
    values = series.cast(pl.Float64).to_numpy()
    infinite = np.abs(values) >= NO_MEASUREMENT
    for row in np.flatnonzero(infinite).tolist():
        report.cannot_read(row + 1, series.name, str(values[row]))
    return RawColumn(series.name, np.where(infinite, np.nan, values) if infinite.any() else values)
