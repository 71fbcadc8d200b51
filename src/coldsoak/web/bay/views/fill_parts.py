"""What stands behind a filling: its amounts, its reasons, and what came out and went in."""

from dataclasses import dataclass

from coldsoak.fill.exchange import Split
from coldsoak.fill.figures import methods
from coldsoak.fill.value import FillPlan
from coldsoak.fill.words import litre_band, litres, percent
from coldsoak.record.job_record import JobRecord
from coldsoak.web.bay.views.shown import Shown, clock
from coldsoak.web.bay.wording import for_pages

OUT_WAYS = (
    ("drain", "drained"),
    ("spill", "spilled, or ran out with a part"),
    ("overflow", "ran out at the level plug"),
    ("other", "otherwise"),
)
IN_WAYS = (
    ("first_fill", "before the engine is started"),
    ("top_up", "engine running, or topped up"),
    ("other", "otherwise"),
)


@dataclass(frozen=True)
class LedgerRow:
    """One line of the ledger."""

    when: str
    what: str
    volume: str
    temp: str
    measured: str


@dataclass(frozen=True)
class Fact:
    """A figure with its name."""

    name: str
    says: str


@dataclass(frozen=True)
class Part:
    """A part of the plan in sentences."""

    title: str
    lines: tuple[str, ...]


def facts_of(plan: FillPlan, *, us: bool) -> tuple[Fact, ...]:
    """Return the amounts of a plan."""
    done = plan.balance
    found = [
        Fact("missing", litre_band(done.missing_l, quarts_first=us)),
        Fact(
            "before the start" if done.start.below_mm is not None else "first",
            litres(done.pour_l, quarts_first=us),
        ),
        Fact("then, in steps", litre_band(done.rest_l, quarts_first=us)),
        Fact("have at hand", litres(done.at_hand_l, quarts_first=us)),
        Fact("still inside", litre_band(done.inside_l, quarts_first=us)),
    ]
    if plan.bottles is not None:
        buy = [f"{one.to_buy} × {one.size}" for one in plan.bottles.lines if one.to_buy]
        found.append(
            Fact(
                "bottles",
                f"{plan.bottles}" + (f"; to buy: {', '.join(buy)}" if buy else "; all on the shelf"),
            )
        )
    old = plan.exchange.old_share
    found.append(
        Fact(
            "old fluid that stays", f"about {percent(old.likely)} ({percent(old.low)} to {percent(old.high)})"
        )
    )
    return tuple(found)


def parts_of(plan: FillPlan) -> tuple[Part, ...]:
    """Return what stands behind a plan, part by part."""
    window, used = plan.window, plan.window.thermometer
    middle = (window.low_c + window.high_c) / 2
    found = [
        Part("Why so much before the start", plan.balance.start.reasons),
        Part("Mind", (*plan.balance.start.warnings, *plan.balance.findings)),
        Part(
            "Thermometer",
            (
                f"{used.label}: {used.says}",
                f"sure to ± {1.96 * used.uncertainty_k(middle):.1f} K ({used.grade})",
                f"each K outside the window sets the level wrong by {1000 * window.error.per_kelvin_l:.1f} mL",
            ),
        ),
    ]
    if plan.plug is not None:
        at = plan.plug
        found.append(Part(f"At the plug ({at.plug})", (at.runs, at.longer, at.nothing, at.close, at.recheck)))
    found.append(Part("Less old fluid", tuple(_exchange(plan))))
    found.append(Part("Level", plan.level_notes))
    notes = tuple(for_pages(one) for one in (plan.bottles_note,) if one)
    found.append(Part("Taken for granted", (*plan.balance.assumptions, *notes)))
    return tuple(Part(one.title, tuple(_capital(line) for line in one.lines)) for one in found if one.lines)


def _exchange(plan: FillPlan) -> list[str]:
    done = plan.exchange
    if done.target is None:
        return []
    if not done.splits:
        return [f"old fluid down to {percent(done.target)}: reached with this filling"]
    return [
        f"{'cheapest' if n == 0 else 'or'}: {_split(one, done.currency)}" for n, one in enumerate(done.splits)
    ]


def _split(split: Split, currency: str | None) -> str:
    drains = " + ".join(f"{one:.1f}" for one in split.drains_l)
    money = f", {split.price} {currency} before tax" if split.price is not None else ""
    return f"{drains} L ({split.way}), {split.minutes:.0f} min of work{money}"


def ledger_of(job: JobRecord, shown: Shown) -> list[LedgerRow]:
    """Return what came out and went in."""
    ways = {("out", key): words for key, words in OUT_WAYS} | {("in", key): words for key, words in IN_WAYS}
    labels = {key: one.label for key, one in methods().items()}
    return [
        LedgerRow(
            clock(row.at),
            f"{row.direction}: {ways.get((row.direction, row.way), row.way.replace('_', ' '))}",
            shown.volume(row.volume_l),
            shown.temp(row.temp_c),
            labels.get(row.measured_with or "", row.measured_with or ""),
        )
        for row in job.fluid_ledger
    ]


def _capital(line: str) -> str:
    return line[:1].upper() + line[1:] + ("" if line.endswith(".") else ".")
