"""One fill plan from a unit sheet and what is known in the bay."""

from dataclasses import dataclass, field

from coldsoak.cautions import closing, lines
from coldsoak.errors import InputError
from coldsoak.fill.at_plug import at_plug
from coldsoak.fill.balance import Before, balance
from coldsoak.fill.buying import Bottles, bottles_for
from coldsoak.fill.exchange import exchange, old_share_after
from coldsoak.fill.expansion import expansion_of
from coldsoak.fill.ledger import Entry
from coldsoak.fill.picture import level_picture
from coldsoak.fill.sentences import next_step, sentence
from coldsoak.fill.specification import check_specification, fluid_of
from coldsoak.fill.start import usual_step_l
from coldsoak.fill.thermometer import thermometer_of
from coldsoak.fill.value import FillPlan
from coldsoak.fill.window import window_of
from coldsoak.fill.words import litres
from coldsoak.sheet.prices import PriceList
from coldsoak.sheet.unit import UnitSheet

HAZARDS = (
    "engine_running",
    "vehicle_up",
    "exhaust_at_plug",
    "hot_fluid",
    "exhaust_gas",
    "waste_fluid",
    "wrong_fluid",
    "chemicals",
)
LONGEST_MIN = 24 * 60.0
SMALLEST_STEP_L, LARGEST_STEP_L = 0.05, 2.0


@dataclass(frozen=True)
class Conditions:
    """What is known in the bay: bottle, ledger, thermometer, and what is wanted.

    `judged` is the verdict on the built-in thermometer as a plain word; `closes_in_min` the time until the window closes
    where a forecast gave one.
    """

    on_bottle: str | None
    bottle_c: float
    thermometer: str | None
    entries: tuple[Entry, ...] = ()
    before: Before = "unknown"
    first_fill: bool = False
    step_l: float | None = None
    quarts_first: bool = False
    reading_c: float | None = None
    judged: str | None = None
    thermometer_u_k: float | None = None
    air_c: float | None = None
    closes_in_min: float | None = None
    exchange_to: float | None = None
    prices: PriceList | None = field(default=None, repr=False)


def plan_fill(sheet: UnitSheet, known: Conditions) -> FillPlan:
    """Return the fill plan of a unit, or raise one sentence where something is not known that has to be."""
    specification = check_specification(known.on_bottle, sheet)
    fluid = fluid_of(sheet)
    if not -30.0 <= known.bottle_c <= 60.0:
        raise InputError(
            f"a bottle is not poured from at {known.bottle_c:.0f} °C: give its temperature, as in '20 °C'."
        )
    if known.air_c is not None and not -50.0 <= known.air_c <= 70.0:
        raise InputError(
            f"nobody works in air of {known.air_c:.0f} °C: give the air under the vehicle, as in '18 °C'."
        )
    if known.closes_in_min is not None and not 0 < known.closes_in_min <= LONGEST_MIN:
        raise InputError(
            f"{known.closes_in_min:g} min is no time until the window closes: give what the forecast says, as in '6 min'."
        )
    step_l = known.step_l if known.step_l is not None else usual_step_l(fluid)
    if not SMALLEST_STEP_L <= step_l <= LARGEST_STEP_L:
        raise InputError(
            f"steps of {litres(step_l)} are none to fill with: give {SMALLEST_STEP_L:g} to {LARGEST_STEP_L:g} L."
        )
    air_c = known.air_c if known.air_c is not None else known.bottle_c
    thermometer = thermometer_of(
        known.thermometer, sheet, air_c, judged=known.judged, own_k=known.thermometer_u_k
    )
    expansion = expansion_of(fluid)
    done = balance(
        fluid,
        known.entries,
        expansion,
        known.bottle_c,
        before=known.before,
        first_fill=known.first_fill,
        step_l=step_l,
        quarts_first=known.quarts_first,
    )
    window = window_of(fluid, thermometer, expansion, known.reading_c)
    bottles, note = _bottles(done.at_hand_l, specification, known.prices)
    old = old_share_after(
        fluid.capacity.total.si if known.first_fill else done.out_l.litres,
        0.0 if known.first_fill else done.out_l.uncertainty_l,
        fluid,
    )
    return FillPlan(
        unit=sheet.unit.name,
        specification=specification,
        sentence=sentence(fluid, done, window, quarts_first=known.quarts_first),
        next=next_step(fluid, done, window, quarts_first=known.quarts_first),
        quarts_first=known.quarts_first,
        balance=done,
        bottles=bottles,
        bottles_note=note,
        exchange=exchange(old, fluid, known.exchange_to, known.prices),
        window=window,
        plug=at_plug(
            sheet,
            fluid,
            expansion,
            window.error,
            step_l,
            closes_in_min=known.closes_in_min,
            quarts_first=known.quarts_first,
        ),
        level_notes=tuple(note for note in (fluid.fill.notes, fluid.level.notes) if note),
        picture=level_picture(sheet.unit.name, fluid, expansion, window, known.bottle_c),
        cautions=(*lines(HAZARDS), closing()),
    )


def _bottles(
    need_l: float, specification: str, prices: PriceList | None
) -> tuple[Bottles | None, str | None]:
    if prices is None:
        return None, "no price list given: bottles are not worked out (--prices FILE)"
    listed = prices.fluid(specification)
    if listed is None:
        return None, f"the price list has no bottles of {specification}: add that very fluid"
    return bottles_for(need_l, listed, prices), None
