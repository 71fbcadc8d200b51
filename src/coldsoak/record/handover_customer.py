"""The customer's page: exactly one, in plain words."""

from collections.abc import Sequence
from dataclasses import dataclass

from coldsoak.cautions import lines
from coldsoak.record.handover_blocks import Fact, Frame, Plot
from coldsoak.record.handover_frame import Press, frame, signature, vehicle_facts
from coldsoak.record.handover_headline import headline
from coldsoak.record.handover_plots import plots
from coldsoak.record.handover_read import texts
from coldsoak.record.handover_verdicts import how_we_know, is_it_fixed, what_was_wrong
from coldsoak.record.plots_source import MOMENTS, Plotted
from coldsoak.record.stamp import local
from coldsoak.sheet.svg import clipped

PLOT_WIDE, PLOT_TALL = 360.0, 150.0
LONGEST = 420
MOST_PARTS = 9
MOST_LINES = 5
CAUTIONS = ("owner_stop", "owner_leave", "owner_fluid")


@dataclass(frozen=True)
class Part:
    """One part of the page: its name in the margin, paragraphs, and lines with a mark before each."""

    name: str
    said: tuple[str, ...] = ()
    listed: tuple[str, ...] = ()
    plots: tuple[Plot, ...] = ()


@dataclass(frozen=True)
class CustomerPage:
    """Everything that the template of the customer's page may use."""

    frame: Frame
    kicker: str
    headline: str
    facts: tuple[Fact, ...]
    parts: tuple[Part, ...]
    cautions_name: str
    cautions: tuple[str, ...]
    signature: tuple[Fact, ...]
    sign_here: str
    shop: tuple[str, ...]


def customer_page(of: Press, sources: Sequence[Plotted]) -> CustomerPage:
    """Return what the customer's page shows."""
    say, opened = of.words.say, of.record.opened.body
    shop = opened.shop
    wrong = (say("You told us: “{complaint}”", complaint=clipped(opened.complaint, LONGEST)),)
    shown = [one for moment in MOMENTS for one in [s for s in sources if s.moment == moment][-1:]]
    wide = PLOT_WIDE if sum(one.curve is not None for one in shown) > 1 else 2 * PLOT_WIDE
    parts = (
        Part(say("What was wrong"), (*wrong, *what_was_wrong(of))),
        Part(say("How we know"), _clipped(how_we_know(of)), plots=plots(of, shown, wide, PLOT_TALL)),
        Part(say("What was done"), listed=what_was_done(of)),
        Part(say("Is it fixed?"), is_it_fixed(of)),
        Part(say("What to watch"), listed=what_to_watch(of)),
    )
    return CustomerPage(
        frame=frame(of, say("Your vehicle")),
        kicker=say(
            "Work order {job}, {date}", job=opened.job, date=of.measures.date(local(of.record.last_at))
        ),
        headline=headline(of),
        facts=_facts(of),
        parts=tuple(part for part in parts if part.said or part.listed or part.plots),
        cautions_name=say("Cautions"),
        cautions=owner_cautions(of),
        signature=signature(of),
        sign_here=say("Signature"),
        shop=(shop.name, *shop.address, *((shop.contact,) if shop.contact else ())) if shop else (),
    )


def owner_cautions(of: Press) -> tuple[str, ...]:
    """Return the cautions for the owner; the one about the fluid only where one is named."""
    named = any(one.body.fluid for one in of.record.fluid)
    return tuple(
        of.words.say(line) for line in lines([key for key in CAUTIONS if named or key != "owner_fluid"])
    )


def what_was_done(of: Press) -> tuple[str, ...]:
    """Return the parts that went in, the fluid and the level, each as one line."""
    words, measures, record = of.words, of.measures, of.record
    parts = [
        words.say("{count} ×\u00a0{part}", count=measures.number(one.body.count), part=one.body.name)
        if one.body.count > 1
        else one.body.name
        for one in record.parts
    ]
    said: list[str] = []
    if parts:
        shown = parts[:MOST_PARTS]
        more = len(parts) - len(shown)
        listed = ", ".join(shown)
        if more:
            listed = words.many("{listed} and {n} more", "{listed} and {n} more", more, listed=listed)
        said.append(words.say("New: {parts}.", parts=clipped(listed, LONGEST)))
    if (sentence := _fluid(of)) is not None:
        said.append(sentence)
    if record.level is not None:
        level = record.level.body
        said.append(
            words.say(
                "Fluid level set at {temperature}, measured with: {thermometer}.",
                temperature=measures.temperature(level.temp_c),
                thermometer=level.thermometer,
            )
        )
    if record.torque_table:
        said.append(
            words.many(
                "One bolt was tightened with a torque wrench, and the value is on record.",
                "Bolts and plugs were tightened with a torque wrench {n} times, and every value is on record.",
                len(record.torque_table),
            )
        )
    done = len({one.body.n for one in record.steps if one.body.n is not None})
    if done:
        said.append(
            words.many(
                "The work took {n} step, with who did it and when on record.",
                "The work took {n} steps, with who did each of them and when on record.",
                done,
            )
        )
    elif record.steps and not said:
        said += [clipped(one.body.sentence, LONGEST // 3) for one in record.steps[:MOST_LINES]]
    return tuple(said)


def what_to_watch(of: Press) -> tuple[str, ...]:
    """Return what the driver should look out for, and the checks that the plan asks for afterwards."""
    say, record = of.words.say, of.record
    said = [say("The warning lamp: if it comes back, write down when, how warm and how fast, and call us.")]
    if record.fluid or record.levels:
        said.append(
            say(
                "The ground below the vehicle: drops of fluid after standing overnight are a reason to call us."
            )
        )
    said.append(say("How it shifts: slipping, knocking or a delay that was not there before."))
    plan = record.planned.body.plan if record.planned is not None else {}
    open_checks = record.proved is None
    said += [clipped(one, LONGEST // 3) for one in texts(plan, "afterwards")[:2] if open_checks]
    return tuple(said)


def _fluid(of: Press) -> str | None:
    moves = [one.body for one in of.record.fluid if one.body.direction == "in"]
    if not moves:
        return None
    kinds = list(dict.fromkeys(one.fluid for one in moves if one.fluid))
    volume = of.measures.volume(sum(one.volume_l for one in moves), 1)
    if kinds:
        return of.words.say("Fluid filled in: {volume} of {fluid}.", volume=volume, fluid=", ".join(kinds))
    return of.words.say("Fluid filled in: {volume}.", volume=volume)


def _facts(of: Press) -> tuple[Fact, ...]:
    customer = of.record.opened.body.customer
    first = (Fact(of.words.say("Customer"), customer),) if customer else ()
    return (*first, *vehicle_facts(of))


def _clipped(said: Sequence[str]) -> tuple[str, ...]:
    return tuple(clipped(one, LONGEST) for one in said[:MOST_LINES])
