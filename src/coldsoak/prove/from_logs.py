"""What the logs themselves tell of codes and monitors, where their logger recorded it."""

from collections.abc import Iterator, Sequence

import numpy as np

from coldsoak.logs.log import Floats
from coldsoak.prove.codes import decode_readiness, names_of, weigh_codes
from coldsoak.prove.proof import Codes, Readiness
from coldsoak.prove.same_vehicle import plain_name
from coldsoak.prove.seen import Seen

# Largest values of the standard counters since clearing (SAE J1979, PIDs 30h, 31h, 4Eh): there they stop.
FULL = {"warm-ups": 255.0, "distance": 65535.0, "time": 65535.0}
STATUS_BYTES = 4


def with_logs(codes: Codes, before: Sequence[Seen], after: Sequence[Seen]) -> Codes:
    """Return the codes with what the logs tell besides: monitors, how many codes are stored, whether they were cleared.

    What was typed goes before what was logged. A stored code that was never cleared since the log before says nothing
    of the repair; it is not taken as back then, and has to be cleared first.
    """
    readiness = codes.readiness or _status(after)
    cleared, how = _cleared(before, after)
    counted = _counted(after) if readiness is None else None
    if readiness is codes.readiness and counted is None and cleared is None and not _lamp(after):
        return codes
    found = weigh_codes(before[0].quantity, codes.before, codes.after, codes.pending, readiness)
    stale = (
        tuple(c for c in found.back if c in (codes.before or ()) and c not in (codes.pending or ()))
        if cleared is False
        else ()
    )
    said = [*found.sentences, *how]
    if counted is not None:
        said.append(f"the log after the repair counts {counted} stored {'code' if counted == 1 else 'codes'}")
    if lamp := _lamp(after):
        said.append(f"the lamp was on during {lamp}")
    return found.model_copy(
        update={
            "back": tuple(c for c in found.back if c not in stale),
            "stale": stale,
            "counted": counted,
            "cleared": cleared,
            "sentences": tuple(said),
        }
    )


def _read(seen: Seen, kind: str) -> Floats | None:
    """Return the readings of the channel that counts something, None where the log has none."""
    for channel in seen.log.channels:
        if plain_name(channel.name) in names_of(kind):
            _, values = seen.log.readings(channel)
            values = values[np.isfinite(values)]
            if len(values):
                return np.asarray(values)
    return None


def _status(after: Sequence[Seen]) -> Readiness | None:
    for seen in reversed(after):
        values = _read(seen, "status")
        if values is not None and 0 <= values[-1] < 256**STATUS_BYTES:
            return decode_readiness(int(values[-1]).to_bytes(STATUS_BYTES, "big"))
    return None


def _counted(after: Sequence[Seen]) -> int | None:
    found = [values for seen in after if (values := _read(seen, "stored codes")) is not None]
    return int(found[-1][-1]) if found else None


def _lamp(after: Sequence[Seen]) -> str:
    """Return the name of the first log in which the counters of the warning lamp went up."""
    for seen in after:
        for kind in ("lamp time", "lamp distance"):
            values = _read(seen, kind)
            if values is not None and values[-1] > values[0]:
                return seen.file
    return ""


def _cleared(before: Sequence[Seen], after: Sequence[Seen]) -> tuple[bool | None, tuple[str, ...]]:
    """Return whether codes were cleared between the two sides, None where no counter tells."""
    known: bool | None = None
    for kind, old, new in _counters(before, after):
        if new < old:
            return True, (
                f"codes were cleared between the logs: {kind} since clearing went from {old:g} to {new:g}",
            )
        if old < FULL[kind]:
            known = False
    return known, ("no codes were cleared between the logs",) if known is False else ()


def _counters(before: Sequence[Seen], after: Sequence[Seen]) -> Iterator[tuple[str, float, float]]:
    """Yield each counter since clearing: its kind, where the last log before left it, where the first after began."""
    for kind in FULL:
        old, new = (_read(one, f"{kind} since clearing") for one in (before[-1], after[0]))
        if old is not None and new is not None:
            yield kind, float(old[-1]), float(new[0])
