"""Small logs whose every second is known, and what was seen in them."""

import hashlib
from collections.abc import Sequence

import numpy as np

from coldsoak.logs.log import Channel, Floats, Log, Provenance
from coldsoak.prove.seen import Other, Seen, Soak, Spell

FLUID = "Fluid temperature"
UNITS = {
    "fluid_temp": "degC",
    "coolant_temp": "degC",
    "vehicle_speed": "km/h",
    "engine_speed": "rpm",
    "gear": "1",
}


def log(
    time_s: Floats, file: str = "log.csv", trip_rows: tuple[int, ...] = (0,), **values: Floats | float
) -> Log:
    """A log that is read at every row; a channel is named after its quantity, but for the fluid."""
    channels = tuple(
        Channel(
            name=FLUID if quantity == "fluid_temp" else quantity,
            quantity=quantity,
            unit=UNITS[quantity],
            values=np.broadcast_to(np.asarray(column, dtype=float), time_s.shape).copy(),
            reading_rows=np.arange(len(time_s)),
            refresh_s=1.0,
            resolution=1.0,
        )
        for quantity, column in values.items()
    )
    sha = hashlib.sha256(file.encode()).hexdigest()
    return Log(time_s, channels, Provenance(file, sha, len(time_s), "test"), (), trip_rows)


def drive(
    file: str,
    lasts_s: float,
    at_s: Sequence[float] = (),
    *,
    kind: str = "toward_open",
    fluid_c: Floats | float = 90.0,
    soak: Soak | None = None,
    settled: bool = True,
    others: tuple[Other, ...] = (),
    **values: Floats | float,
) -> Seen:
    """A drive with an episode of two seconds at each of `at_s`; as little moves in it as it is asked to."""
    made = log(np.arange(0.0, lasts_s + 1.0), file, fluid_temp=fluid_c, **values)
    return Seen(
        log=made,
        channel=FLUID,
        doubted=bool(at_s),
        sentence="Too short." if not settled else "",
        settled=settled,
        spells=tuple(Spell(at, at + 2.0, kind) for at in at_s),  # type: ignore[arg-type]
        soak=soak,
        others=others,
    )
