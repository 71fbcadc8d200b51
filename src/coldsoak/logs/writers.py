"""Write a log out clean: as Parquet, which comes back equal, or as CSV with the units in the header."""

import csv
import io
import json
from pathlib import Path

import polars as pl

from coldsoak.errors import InputError
from coldsoak.logs.dictionary import find_unit
from coldsoak.logs.log import Channel, Log
from coldsoak.logs.names import bracketed, mend_degree
from coldsoak.logs.parquet import KEY, pack_rows

_ROWS_AT_ONCE = 200_000
_UNIT_SHOWN = {"degC": "°C", "N*m": "N·m", "1": "1"}


def write_log(log: Log, path: str | Path) -> Path:
    """Write a log to a .parquet or .csv file and return the path."""
    path = Path(path)
    suffix = path.suffix.casefold()
    if suffix == ".parquet":
        write_parquet(log, path)
    elif suffix == ".csv":
        write_csv(log, path)
    else:
        raise InputError(f"{path.name} names no format that can be written: end it in .parquet or .csv.")
    return path


def write_parquet(log: Log, path: Path) -> None:
    """Write a log as Parquet; quantities, readings, gaps and provenance go into the file's metadata."""
    rows = len(log.time_s)
    taken = {c.name for c in log.channels}
    time_name = "time_s" if "time_s" not in taken else "time_s of the row"
    columns = [pl.Series(time_name, log.time_s), *(pl.Series(c.name, c.values) for c in log.channels)]
    said = {
        "schema": "coldsoak.log/1",
        "channels": [
            {
                "name": c.name,
                "quantity": c.quantity,
                "unit": c.unit,
                "refresh_s": c.refresh_s,
                "resolution": c.resolution,
                "reading_rows": pack_rows(c.reading_rows, rows),
                "lost_rows": pack_rows(c.lost_rows, rows),
                "unit_settled": c.unit_settled,
                "assumed": list(c.assumed),
            }
            for c in log.channels
        ],
        "gaps": [[g.start_s, g.end_s] for g in log.gaps],
        "trip_rows": list(log.trip_rows),
        "began_s": log.began_s,
        "provenance": {
            "file": log.provenance.file,
            "sha256": log.provenance.sha256,
            "rows": log.provenance.rows,
            "format": log.provenance.format,
            "assumed": list(log.provenance.assumed),
            "unreadable": [[u.line, u.column, u.text] for u in log.provenance.unreadable],
            "unreadable_count": log.provenance.unreadable_count,
            "assumed_of_clock": list(log.provenance.assumed_of_clock),
        },
    }
    pl.DataFrame(columns).write_parquet(path, metadata={KEY: json.dumps(said)})


def write_csv(log: Log, path: Path) -> None:
    """Write a log as plain CSV: comma, decimal point, UTF-8, blank where there is no number."""
    head = io.StringIO()
    csv.writer(head, lineterminator="\n").writerow(["Time (s)", *(csv_name(c) for c in log.channels)])
    frame = pl.DataFrame(
        [pl.Series("0", log.time_s), *(pl.Series(f"{i + 1}", c.values) for i, c in enumerate(log.channels))]
    )
    with path.open("wb") as out:
        out.write(head.getvalue().encode("utf-8"))
        for start in range(0, frame.height, _ROWS_AT_ONCE):
            part = frame.slice(start, _ROWS_AT_ONCE).fill_nan(None)
            out.write(part.write_csv(include_header=False).encode("utf-8"))


def csv_name(channel: Channel) -> str:
    """Return the header text of a channel: its name with the unit its values are in now.

    >>> import numpy as np
    >>> csv_name(Channel("Coolant (bank 1) [°F]", "coolant_temp", "degC", np.empty(0), np.empty(0, dtype=np.int64)))
    'Coolant (bank 1) [°C]'
    """
    bare, inside = bracketed(mend_degree(channel.name))
    kept = [f"({text})" for text in reversed(inside) if text and not find_unit(text)]
    unit = _UNIT_SHOWN.get(channel.unit, channel.unit) if channel.unit_settled else ""
    name = " ".join([bare, *kept]) or channel.name
    return f"{name} [{unit}]" if unit else name
