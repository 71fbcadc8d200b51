"""What was driven on each side of the repair, for people and for the drawing."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from coldsoak.prove.exposure import STEP_S, Exposure, distance_km, warm_ups
from coldsoak.prove.proof import Driven, Event, Stretch
from coldsoak.prove.seen import OWN, Band, Seen, Spell

BEYOND_K, BEYOND_SPEED, BEYOND_KMH = 10.0, 1.25, 10.0
ENGINE_RPM, OFF_S = 100.0, 60.0
MOSTLY = 0.5
BINS = 160


def like_before(before: Exposure, after: Exposure) -> tuple[Exposure, float]:
    """Return the drive after the repair without what was never driven before it, and how long that was [s].

    Colder or hotter by more than 10 K, faster by more than a quarter, or with the engine off where it never was: of
    such driving the log before says nothing, so it proves nothing. Where the reading was wrong for most of
    the log before, nobody knows how hot it was then, and no temperature is called new.
    """
    alike = np.ones(len(after.time_s), dtype=bool)
    for quantity in (OWN, "vehicle_speed", "engine_speed"):
        old, new = before.values.get(quantity), after.values.get(quantity)
        if old is None or new is None:
            continue
        seen = old[np.isfinite(old) & (before.exposure_s > 0)]
        if not seen.size:
            continue
        if quantity == OWN and np.isfinite(old).mean() < MOSTLY:
            continue
        if quantity == OWN:
            alike &= ~((new < seen.min() - BEYOND_K) | (new > seen.max() + BEYOND_K))
        elif quantity == "vehicle_speed":
            alike &= ~(new > BEYOND_SPEED * seen.max() + BEYOND_KMH)
        elif before.exposure_s[np.isfinite(old) & (old < ENGINE_RPM)].sum() < OFF_S:
            alike &= ~(new < ENGINE_RPM)
    counted = np.where(alike, after.exposure_s, 0.0)
    return replace(after, exposure_s=counted), after.total_s - float(counted.sum())


def counts(exposure: Exposure, bands: Sequence[Band]) -> tuple[int, float]:
    """Return events and time [s] where `bands` hold."""
    inside = exposure.inside(bands)
    return int(np.count_nonzero(exposure.onset & inside)), float(exposure.exposure_s[inside].sum())


def driven(
    seen: Sequence[Seen],
    exposure: Exposure,
    events: Sequence[Sequence[Spell]],
    bands: Sequence[Band],
    unlike_s: float,
) -> Driven:
    """Return what was observed in logs whose exposure, laid end to end, is `exposure`."""
    there, there_s = counts(exposure, bands)
    warm = [count for s in seen if (count := warm_ups(s.log)) is not None]
    far = [km for s in seen if (km := distance_km(s.log)) is not None]
    return Driven(
        files=tuple(s.file for s in seen),
        sha256=tuple(s.log.provenance.sha256 for s in seen),
        logged_s=sum(s.log.duration_s for s in seen),
        exposure_s=there_s,
        elsewhere_s=exposure.total_s - there_s,
        unlike_s=unlike_s,
        episodes=exposure.events,
        episodes_there=there,
        found=sum(len(s.spells) for s in seen),
        warm_ups=sum(warm) if warm else None,
        distance_km=round(sum(far), 3) if far else None,
        events=tuple(_events(seen, events)),
    )


def _events(seen: Sequence[Seen], events: Sequence[Sequence[Spell]]) -> list[Event]:
    """Return the events with where they lie when the readings of all logs are laid end to end."""
    found, offset_s = [], 0.0
    for one, own in zip(seen, events, strict=True):
        time_s, _ = one.log.readings(one.log.channel(one.channel))
        if not len(time_s):
            continue
        found += [
            Event(
                file=one.file,
                start_s=event.start_s,
                end_s=event.end_s,
                kind=event.kind,
                at_s=event.start_s - float(time_s[0]) + offset_s,
            )
            for event in own
        ]
        offset_s += float(np.floor(time_s[-1] - time_s[0])) + STEP_S
    return found


def timeline(exposure: Exposure, bands: Sequence[Band]) -> tuple[Stretch, ...]:
    """Return the drive as stretches that count and that do not, at most 160 of them."""
    inside = np.where(exposure.inside(bands) & (exposure.exposure_s > 0), 1.0, 0.0)
    end_s = float(exposure.time_s[-1] - exposure.time_s[0]) + STEP_S
    edges = np.linspace(0.0, end_s, BINS + 1)
    at = np.clip(np.searchsorted(edges, exposure.time_s - exposure.time_s[0], side="right") - 1, 0, BINS - 1)
    count = np.bincount(at, minlength=BINS)
    there = np.bincount(at, weights=inside, minlength=BINS) > 0.5 * np.maximum(count, 1)
    stretches: list[Stretch] = []
    for number in range(BINS):
        start, end = float(edges[number]), float(edges[number + 1])
        if stretches and stretches[-1].there == bool(there[number]):
            start = stretches.pop().start_s
        stretches.append(Stretch(start_s=round(start, 1), end_s=round(end, 1), there=bool(there[number])))
    return tuple(stretches)
