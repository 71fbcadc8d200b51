"""What was understood of a log, as plain data (the contract `coldsoak.log/1`)."""

import json
from typing import Any

import numpy as np

from coldsoak.logs.log import Channel, Log

SCHEMA = "coldsoak.log/1"


def summary(log: Log) -> dict[str, Any]:
    """Return the summary of a log; every number in it is finite, None stands where there is none."""
    origin = log.provenance
    return {
        "schema": SCHEMA,
        "file": origin.file,
        "sha256": origin.sha256,
        "format": origin.format,
        "rows": origin.rows,
        "duration_s": log.duration_s,
        "trips": len(log.trip_rows),
        "gaps": [{"start_s": g.start_s, "end_s": g.end_s} for g in log.gaps],
        "channels": [_channel(c) for c in log.channels],
        "unreadable": [{"line": u.line, "column": u.column, "text": u.text} for u in origin.unreadable],
        "unreadable_count": origin.unreadable_count,
        "assumed": list(origin.assumed),
    }


def _channel(channel: Channel) -> dict[str, Any]:
    seen = channel.values[~np.isnan(channel.values)]
    some = len(seen) > 0
    return {
        "name": channel.name,
        "quantity": channel.quantity,
        "unit": channel.unit,
        "unit_settled": channel.unit_settled,
        "readings": channel.count,
        "first": float(seen[0]) if some else None,
        "last": float(seen[-1]) if some else None,
        "min": float(seen.min()) if some else None,
        "max": float(seen.max()) if some else None,
        "refresh_s": channel.refresh_s,
        "resolution": channel.resolution,
        "fresh_readings": len(channel.reading_rows),
        "lost": len(channel.lost_rows),
    }


def to_json(log: Log) -> str:
    """Return the summary of a log as one line of JSON."""
    return json.dumps(summary(log), ensure_ascii=False, allow_nan=False)
