"""The balance of fluid: what came out, what is still inside, what has to go in, and when."""

import math
from collections.abc import Sequence
from typing import Literal

from coldsoak.errors import InputError
from coldsoak.fill.band import NINETY_FIVE, Band
from coldsoak.fill.expansion import Expansion
from coldsoak.fill.figures import places, share_of, table
from coldsoak.fill.ledger import Entry, Line, Total, line, total
from coldsoak.fill.start import StartFill, start_fill
from coldsoak.fill.words import litres
from coldsoak.sheet.figure import Volume
from coldsoak.sheet.fluid import Fluid
from coldsoak.value import Value

Before = Literal["right", "unknown", "leaking"]
FULL_L = 1e-9
MOST_EXCESS_OF_PAN = 0.5
"""More than half the pan above the level is taken for a mistake in the ledger (judgement)."""


class Balance(Value):
    """What came out, what is still inside and what has to go in; every volume as it comes out of the bottle.

    `refill_l` is everything that is missing for the right level when nothing has gone in yet, `missing_l` what still is.
    `pour_l` goes in now, before the start; `rest_l` with the engine running. `excess_l` is what has gone in beyond the right
    level, 0 where that is not sure.
    """

    bottle_c: float
    out: tuple[Line, ...]
    gone_in: tuple[Line, ...]
    out_l: Total
    in_l: Total
    inside_l: Band
    refill_l: Band
    missing_l: Band
    start: StartFill
    pour_l: float
    rest_l: Band
    at_hand_l: float
    excess_l: float = 0.0
    findings: tuple[str, ...] = ()
    assumptions: tuple[str, ...] = ()


def balance(
    fluid: Fluid,
    entries: Sequence[Entry],
    expansion: Expansion,
    bottle_c: float,
    *,
    before: Before = "unknown",
    first_fill: bool = False,
    step_l: float = 0.5,
    quarts_first: bool = False,
) -> Balance:
    """Return the balance of a unit.

    `before` says what is known of the level before the job. With `first_fill` the unit was apart and is dry: the sheet's
    figure for that counts, and what came out does not.
    """
    lines = [line(entry, expansion, bottle_c) for entry in entries]
    out = tuple(one for one in lines if one.entry.way == "out")
    gone_in = tuple(one for one in lines if one.entry.way == "in")
    out_l, in_l = total(out), total(gone_in)
    whole, whole_u = _figure(fluid.capacity.total)
    refill_l, refill_u, dry = _refill(fluid, out_l, before, first_fill=first_fill)
    if not first_fill and out_l.litres - NINETY_FIVE * out_l.uncertainty_l > whole + NINETY_FIVE * whole_u:
        raise InputError(
            f"{litres(out_l.litres)} came out by the ledger, and the whole unit holds {litres(whole)}: check the entries "
            "for amounts that were counted twice."
        )
    refill = Band.around(refill_l, refill_u, least=0.0)
    excess_l = _excess(fluid, refill, in_l)
    missing = Band.around(refill_l - in_l.litres, math.hypot(refill_u, in_l.uncertainty_l), least=0.0)
    start = start_fill(refill, fluid, step_l, quarts_first=quarts_first)
    pour_l = max(start.start_l - in_l.litres, 0.0)
    beyond = fluid.reserve.si if fluid.reserve is not None else step_l
    inside_u = math.hypot(whole_u, out_l.uncertainty_l, in_l.uncertainty_l)
    kept = in_l.litres if dry else max(whole - out_l.litres, 0.0) + in_l.litres
    return Balance(
        bottle_c=bottle_c,
        out=out,
        gone_in=gone_in,
        out_l=out_l,
        in_l=in_l,
        inside_l=Band.around(kept, in_l.uncertainty_l if dry else inside_u, least=0.0),
        refill_l=refill,
        missing_l=missing,
        start=start,
        pour_l=pour_l,
        rest_l=Band(
            low=max(missing.low - pour_l, 0.0),
            likely=max(missing.likely - pour_l, 0.0),
            high=max(missing.high - pour_l, 0.0),
        ),
        at_hand_l=max(missing.high, missing.likely + beyond) if missing.likely > FULL_L else beyond,
        excess_l=excess_l,
        findings=() if first_fill else _findings(fluid, out, in_l, refill),
        assumptions=_assumptions(fluid, expansion, before, out, first_fill=first_fill),
    )


def _refill(fluid: Fluid, out_l: Total, before: Before, *, first_fill: bool) -> tuple[float, float, bool]:
    """Return what is missing after draining, its standard uncertainty, and whether the unit is dry."""
    if first_fill:
        if fluid.capacity.dry is None:
            raise InputError(
                "the sheet has no figure for a first fill: add capacity.dry from the service information, or list what "
                "came out with --out."
            )
        return (*_figure(fluid.capacity.dry), True)
    if out_l.litres <= 0:
        raise InputError(
            "nothing came out by the ledger, so nothing can be said of what goes in: list it with --out, as in "
            "'drain=4.2L@55degC,bucket', or say --first-fill for a unit that was apart."
        )
    unknown = float(table("methods.toml")["before"][before]["share"]) * fluid.capacity.total.si
    return out_l.litres, math.hypot(out_l.uncertainty_l, unknown), False


def _excess(fluid: Fluid, refill: Band, in_l: Total) -> float:
    """Return how much stands above the right level, 0 where that is not sure; refuse what no unit can hold."""
    sure_l = in_l.litres - NINETY_FIVE * in_l.uncertainty_l - refill.high
    if sure_l > MOST_EXCESS_OF_PAN * fluid.capacity.pan.si:
        raise InputError(
            f"{litres(in_l.litres)} have gone in by the ledger where {litres(refill.likely)} were missing, and that is more "
            "than the unit can take: check the entries. If it really is in there, do not start the engine, let it out and "
            "list that with --out."
        )
    return max(in_l.litres - refill.likely, 0.0) if sure_l > 0 else 0.0


def _figure(volume: Volume) -> tuple[float, float]:
    return volume.si, volume.si * share_of(volume)


def _findings(fluid: Fluid, out: Sequence[Line], in_l: Total, refill: Band) -> tuple[str, ...]:
    """Say where what came out does not fit the sheet."""
    found = []
    stood = total([one for one in out if places()[one.entry.place].sump])
    pan, pan_u = _figure(fluid.capacity.pan)
    reach = NINETY_FIVE * math.hypot(stood.uncertainty_l, pan_u)
    if stood.litres and stood.litres > pan + reach:
        found.append(
            f"{litres(stood.litres - pan)} more came out of the pan than the sheet has for it: the level was too high, or "
            "the converter ran back; refill by the level, not by this sum alone."
        )
    elif stood.litres and stood.litres < pan - reach:
        found.append(
            f"{litres(pan - stood.litres)} less came out of the pan than the sheet has for it: look for a leak, or for "
            "fluid that is still in the pan; more may be missing than came out."
        )
    if in_l.litres > refill.high:
        found.append(
            "more has gone in than came out; fluid that stands too high is beaten to foam and runs hot: let it out before "
            "the engine runs for long."
        )
    return tuple(found)


def _assumptions(
    fluid: Fluid, expansion: Expansion, before: Before, out: Sequence[Line], *, first_fill: bool
) -> tuple[str, ...]:
    said = ["capacities on the sheet count as they come out of the bottle"]
    if not first_fill:
        said.append(f"the level was {table('methods.toml')['before'][before]['says']}")
    if expansion.assumed:
        said.append(
            f"the sheet has no density: {expansion.density_15c_kg_m3:.0f} kg/m³ at 15 °C, in the middle of gearbox fluids"
        )
    if fluid.reserve is None:
        said.append("the sheet has no reserve: one more step is kept at hand")
    guessed = [one.label for one in out if one.entry.method == "guess"]
    if guessed:
        said.append(f"not measured, counted as guessed: {', '.join(dict.fromkeys(guessed))}")
    return tuple(said)
