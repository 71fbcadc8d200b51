"""The proof of a fault that comes and goes: episodes and time where it used to fail, before and after."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from coldsoak.cautions import closing, lines
from coldsoak.prove.assumptions import Assumptions
from coldsoak.prove.chance import Model, learn
from coldsoak.prove.codes import held_back
from coldsoak.prove.conditions import Condition, weigh, where_it_failed
from coldsoak.prove.dated import out_of_order
from coldsoak.prove.driven import counts, driven, like_before
from coldsoak.prove.evidence import evidence
from coldsoak.prove.exposure import Exposure, observe
from coldsoak.prove.held import held_by_kind, held_by_soak, held_by_standing_still, unsettled
from coldsoak.prove.proof import Codes, Point, Possible, Proof, Verdict
from coldsoak.prove.put_together import CAUTIONS, put_together
from coldsoak.prove.say import Said, doubtful
from coldsoak.prove.seen import OWN, Band, Seen, Spell
from coldsoak.prove.sides import Apart, Side, readings, side_of
from coldsoak.prove.spells import bursts_p
from coldsoak.prove.standing import check_standing
from coldsoak.prove.troubles import new_troubles, same_kind
from coldsoak.prove.words import medium, road_test, where

SHOWN_CONDITIONS = 6


def comes_and_goes(
    before: Sequence[Seen],
    after: Sequence[Seen],
    found: Apart,
    assume: Assumptions,
    codes: Codes,
) -> Proof:
    """Return the proof of a fault of which the logs before show episodes; `found` are the spells of both sides."""
    spells, all_after = found.before, found.after
    quantity = before[0].quantity
    label = medium(quantity)
    kinds = frozenset(spell.kind for one in spells for spell in one)
    same = [[spell for spell in one if same_kind(spell, kinds)] for one in all_after]
    first, weighed, bands, apart_s = _learn_conditions(before, after, spells, label, assume)
    second = side_of(after, same, apart_s)
    usable, unlike_s = like_before(first.exposure, second.exposure)
    model = learn(first.exposure, weighed, bands, assume)
    spent_s = model.spent_s(usable)
    count = second.exposure.events
    chance = model.chance_after(spent_s, count, usable.total_s)
    standing = check_standing(before, after, assume)
    troubles = new_troubles(before, after, kinds, all_after)
    there, there_s = counts(first.exposure, bands)
    there_s = (
        max(there_s, assume.apart_s) if there else there_s
    )  # as in the model: a rate is never learned from less
    short_s = max(assume.least_expected * there_s / max(there, 1) - counts(usable, bands)[1], 0.0)
    held = (
        *unsettled(after),
        *held_by_soak(before, standing),
        *held_by_kind(troubles, after),
        *held_by_standing_still(kinds, after),
        *out_of_order(before, after),
        *held_back(codes),
    )
    verdict: Verdict
    more_s: float | None
    if count or codes.back or standing.back:
        verdict, more_s = "back", None
        chance = 1.0 if codes.back else max(chance, assume.prior)
    elif chance <= assume.limit and not held and not short_s:
        verdict, more_s = "proven", None
    else:
        verdict, more_s = "not_proven", max(model.drive_more_s(spent_s), short_s)
    sides = (
        driven(before, first.exposure, first.events, bands, 0.0),
        driven(after, usable, second.events, bands, unlike_s),
    )
    warm_s = _warm_up_s(first.exposure, bands)
    said = Said(
        verdict,
        "comes_and_goes",
        before,
        after,
        count,
        sides,
        bands,
        chance,
        more_s,
        standing,
        codes,
        troubles,
        held,
        least_s=assume.apart_s,
    )
    ahead = model.ahead(spent_s, sides[1].exposure_s, more_s) if more_s else ()
    return put_together(
        said,
        (first.exposure, usable),
        assume,
        evidence=evidence(there, there_s, count, sides[1].exposure_s, model.silence(spent_s), assume),
        possible=_possible(weighed),
        growth=tuple(Point(exposure_s=t, chance=c) for t, c in model.growth(_quiet(usable), bands)),
        ahead=tuple(Point(exposure_s=t, chance=c) for t, c in ahead),
        notes=_notes(before, after, first, apart_s, assume, model, unlike_s, found.left_out),
        road_test=road_test(bands, more_s, warm_s) if verdict == "not_proven" else (),
        cautions=(*lines(CAUTIONS[:1] if verdict == "proven" else CAUTIONS), closing()),
    )


def _quiet(after: Exposure) -> Exposure:
    """Return the drive up to its first episode."""
    begun = np.flatnonzero(after.onset)
    if not len(begun):
        return after
    counted = np.where(np.arange(len(after.time_s)) < begun[0], after.exposure_s, 0.0)
    return replace(after, exposure_s=counted)


def _learn_conditions(
    before: Sequence[Seen],
    after: Sequence[Seen],
    spells: Sequence[Sequence[Spell]],
    label: str,
    assume: Assumptions,
) -> tuple[Side, tuple[Condition, ...], tuple[Band, ...], float]:
    """Return the side before the repair, the conditions, those that are said, and how far apart events have to be."""
    judged = tuple(dict.fromkeys(bands for seen in before for bands in seen.conditions))
    known = frozenset.intersection(*(_known(s) for s in after if readings(s)))
    apart_s = assume.apart_s
    while True:
        side = side_of(before, spells, apart_s)
        weighed = weigh(side.exposure, judged, known, label, assume)
        bands = where_it_failed(side.exposure, weighed, judged, label, known)
        inside = side.exposure.inside(bands)
        passed = np.cumsum(np.where(inside, side.exposure.exposure_s, 0.0))
        at_s = passed[side.exposure.onset & inside].tolist()
        if (
            2.0 * apart_s > assume.longest_apart_s
            or not len(passed)
            or bursts_p(at_s, float(passed[-1])) > assume.bursts_p
        ):
            return side, weighed, bands, apart_s
        apart_s *= 2.0


def _known(seen: Seen) -> frozenset[str]:
    values = observe(seen, (), 0.0).values
    return frozenset(name for name, column in values.items() if np.isfinite(column).mean() > 0.5)


def _possible(weighed: Sequence[Condition]) -> tuple[Possible, ...]:
    return tuple(
        Possible(words=where(c.bands) or "everywhere", weight=c.weight) for c in weighed[:SHOWN_CONDITIONS]
    )


def _warm_up_s(before: Exposure, bands: Sequence[Band]) -> float | None:
    """Return how long it took before the repair to get as warm as it has to be."""
    low = next((band.low for band in bands if band.quantity == OWN), None)
    own = before.values[OWN]
    if low is None or not np.isfinite(own).any() or own[np.isfinite(own)][0] >= low:
        return None
    reached = np.flatnonzero(own >= low)
    return float(before.time_s[reached[0]] - before.time_s[0]) if len(reached) else None


def _notes(
    before: Sequence[Seen],
    after: Sequence[Seen],
    first: Side,
    apart_s: float,
    assume: Assumptions,
    model: Model,
    unlike_s: float,
    left_out: int,
) -> tuple[str, ...]:
    found = sum(len(s.spells) for s in before)
    notes = []
    if left_out:
        notes.append(
            "Single readings at a raw zero, with all well around them, are left out: a lost message reads so, and the "
            "fault looks otherwise. Log a second channel of the same control unit to tell them apart."
        )
    if (missed := sum(s.missed for s in before)) and (pace := max(s.read_every_s or 0.0 for s in before)):
        notes.append(
            f"Read every {pace:.2g} s, as after the repair, {missed} of the {missed + found} episodes before it would not "
            "have shown: only the others count. Log as fast as before and fewer will be missed."
        )
    if apart_s > assume.apart_s:
        notes.append(
            f"The episodes come in bursts: those less than {apart_s / 60:.0f} min apart count as one, {first.exposure.events} "
            f"in all of {found} found."
        )
    if first.exposure.events == 1:
        notes.append(
            "One episode says little about how often it comes: a second log from before would shorten the drive."
        )
    if unlike_s > 60.0:
        notes.append(
            f"{unlike_s / 60:.0f} min of the drive after the repair count for nothing: it was never driven like that before."
        )
    notes += [f"{one.file}: {one.sentence} {one.next_test}" for one in after if doubtful(one)]
    floor = 1.0 - sum(
        c.weight for c, gain in zip(model.conditions, model.gain, strict=True) if gain > 2 * assume.outside
    )
    if floor > 0.1:
        notes.append(
            "Where it fails is not clear from so few episodes; vary speed, load and temperature on the drive."
        )
    return tuple(notes)
