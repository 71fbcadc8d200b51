"""Sections of the technical record: steps, tray, torque, parts, fluid and level."""

from collections.abc import Sequence
from itertools import groupby

from coldsoak.record.handover_blocks import Block, Column, Fact, Facts, Listed, Said, Section, Table
from coldsoak.record.handover_frame import Press
from coldsoak.record.handover_read import entries, number, text
from coldsoak.record.handover_spoken import spoken
from coldsoak.record.handover_words import mark
from coldsoak.record.tables import TorqueRow, TrayRow

FAR_OFF = 0.15  # of the target: wider than any wrench, narrow enough for a wrong unit; our rule
WAYS = {
    "drain": mark("drained"),
    "overflow": mark("ran over at the level plug"),
    "spill": mark("spilled"),
    "first_fill": mark("first fill"),
    "top_up": mark("topped up"),
    "other": mark("moved"),
}
ENGINE = {"running": mark("running"), "off": mark("off")}
METHODS = {
    "overflow": mark("overflow at the level plug"),
    "window": mark("temperature window"),
    "dipstick": mark("dipstick"),
    "sight_glass": mark("sight glass"),
}


def steps_section(of: Press) -> Section | None:
    """Return the steps as they were done, and those of the plan that nobody entered."""
    say, record = of.words.say, of.record
    plan = record.planned.body.plan if record.planned is not None else {}
    if not record.steps and not plan:
        return None
    rows = tuple(
        (
            str(one.body.n or "–"),
            of.short_moment(one.at),
            one.by,
            spoken(of.measures, one.body.sentence) + (f" {one.body.note}" if one.body.note else ""),
        )
        for one in record.steps
    )
    columns = (
        Column(say("Step"), align="right"),
        Column(say("When")),
        Column(say("By")),
        Column(say("What was done"), 1.0),
    )
    blocks: list[Block] = [Table(columns, rows)] if rows else []
    done = {one.body.n for one in record.steps}
    undone = [one for one in entries(plan, "steps") if number(one, "n") not in done]
    if undone:
        blocks.append(Said(say("Planned, and not entered as done:"), "flag"))
        blocks.append(
            Listed(tuple(f"{number(one, 'n') or 0:.0f}  {text(one, 'sentence')}" for one in undone))
        )
    elif plan:
        blocks.insert(0, Said(say("Every step of the plan is entered as done."), "strong"))
    return Section(say("Steps"), tuple(blocks))


def tray_section(of: Press) -> Section | None:
    """Return the ledger of everything that came off: is all back, once?"""
    words, rows = of.words, plain_rows(of.record.on_tray)
    say = words.say
    if not rows:
        return None
    off = [row for row in rows if row.left]
    if off:
        listed = ", ".join(say("{count} × {name}", count=row.left, name=row.name) for row in off)
        verdict = Said(say("Not all is back: {listed}.", listed=listed), "flag")
    else:
        verdict = Said(
            words.many(
                "{n} item came off or was put in for a while, and it is back or out again.",
                "{n} items came off or were put in for a while, and all of them are back or out again, each once.",
                len(rows),
            ),
            "strong",
        )
    columns = (
        Column(say("Item"), 1.0),
        Column(say("Came off"), align="right"),
        Column(say("Went back"), align="right"),
        Column(say("of these new"), align="right"),
        Column(say("Thrown away"), align="right"),
        Column(say("Aid in"), align="right"),
        Column(say("Aid out"), align="right"),
        Column(say("Still off"), align="right"),
    )
    shown = tuple(
        (
            row.name,
            *(
                str(count or "")
                for count in (row.off, row.back, row.new, row.thrown_away, row.aid_in, row.aid_out)
            ),
            str(row.left),
        )
        for row in rows
    )
    return Section(say("Tray"), (verdict, Table(columns, shown)))


def plain_rows(rows: Sequence[TrayRow]) -> tuple[TrayRow, ...]:
    """Return the rows of the tray, without the thread of a plug that has the name and the counts of the plug itself."""
    kept: dict[TrayRow, TrayRow] = {}
    for row in rows:
        kept.setdefault(row.model_copy(update={"item": ""}) if row.off == 1 else row, row)
    return tuple(kept.values())


def torque_section(of: Press) -> Section | None:
    """Return what every fastener got in every pass, against its target, by which tool."""
    words, table = of.words, of.record.torque_table
    say = words.say
    if not table:
        return None
    rows = tuple(
        _torque_row(of, list(group))
        for _, group in groupby(
            table, key=lambda row: (row.fastener, row.pass_number, row.tool, row.target_nm, row.target_deg)
        )
    )
    columns = (
        Column(say("Fasteners"), 0.95),
        Column(say("Pass"), align="right"),
        Column(say("Target")),
        Column(say("Entered, by position"), 1.2),
        Column(say("Tool"), 1.2),
        Column(say("Calibration due")),
    )
    off = [row for row in table if _far_off(row)]
    blocks: list[Block] = [Table(columns, rows)]
    if off:
        listed = ", ".join(
            say("{name} no. {position}", name=row.name, position=row.position) for row in off[:12]
        )
        said = say("Further than 15 % from the target: {listed}.", listed=listed)
        blocks.insert(0, Said(said, "flag"))
    return Section(say("Torque"), tuple(blocks))


def _torque_row(of: Press, group: Sequence[TorqueRow]) -> tuple[str, ...]:
    say, measures, first = of.words.say, of.measures, group[0]
    size = first.target_nm or first.torque_nm
    values = measures.torque_values([row.torque_nm for row in group], size)
    entered = measures.torque_unit(_by_position(of, group, values), size)
    if any(row.angle_deg is not None for row in group):
        turns = [measures.number(row.angle_deg or 0.0, 1, trim=True) for row in group]
        entered = say("{torque}; then {angle}°", torque=entered, angle=_by_position(of, group, turns))
    target = measures.torque(first.target_nm) if first.target_nm is not None else "–"
    if first.target_deg is not None:
        angle = measures.number(first.target_deg, 1, trim=True)
        target = say("{torque}, then {angle}°", torque=target, angle=angle)
    return (
        first.name,
        str(first.pass_number),
        target,
        entered,
        first.tool,
        of.day(first.due) if first.due is not None else "–",
    )


def _by_position(of: Press, group: Sequence[TorqueRow], values: Sequence[str]) -> str:
    """Return values as "1–2: 8.6, 3: 8.7", or one value alone where all positions have it."""
    if len(set(values)) == 1 and len(group) > 1:
        return of.words.say(
            "{first}–{last}:\u00a0{value}", first=group[0].position, last=group[-1].position, value=values[0]
        )
    if len(group) == 1:
        return values[0]
    said = []
    for value, run in groupby(zip(group, values, strict=True), key=lambda one: one[1]):
        places = [row.position for row, _ in run]
        if len(places) == 1:
            said.append(of.words.say("{first}:\u00a0{value}", first=places[0], value=value))
        else:
            said.append(
                of.words.say("{first}–{last}:\u00a0{value}", first=places[0], last=places[-1], value=value)
            )
    return ", ".join(said)


def _far_off(row: TorqueRow) -> bool:
    return row.target_nm is not None and abs(row.torque_nm / row.target_nm - 1) > FAR_OFF


def parts_section(of: Press) -> Section | None:
    """Return the parts that went in, with part number, lot and the supplier's invoice."""
    say = of.words.say
    if not of.record.parts:
        return None
    columns = (
        Column(say("Count"), align="right"),
        Column(say("Part"), 1.0),
        Column(say("Part number")),
        Column(say("Lot")),
        Column(say("Supplier's invoice")),
    )
    rows = tuple(
        (
            of.measures.number(one.body.count),
            one.body.name,
            one.body.number or "–",
            one.body.lot or "–",
            one.body.invoice or "–",
        )
        for one in of.record.parts
    )
    return Section(say("Parts"), (Table(columns, rows),))


def fluid_section(of: Press) -> Section | None:
    """Return fluid out and in, and how the level was set."""
    say, measures, record = of.words.say, of.measures, of.record
    blocks: list[Block] = []
    ledger = record.fluid_ledger
    if ledger:
        blocks.append(Said(_balance(of), "strong"))
        columns = (
            Column(say("When")),
            Column(say("Fluid"), 1.0),
            Column(say("Out"), align="right"),
            Column(say("In"), align="right"),
            Column(say("At"), align="right"),
            Column(say("Lot")),
            Column(say("Measured with"), 0.8),
            Column(say("Balance"), align="right"),
        )
        rows = tuple(
            (
                of.short_moment(row.at),
                say("{way}, {fluid}", way=say(WAYS[row.way]), fluid=row.fluid)
                if row.fluid
                else say(WAYS[row.way]),
                measures.volume_alone(row.volume_l) if row.direction == "out" else "",
                measures.volume_alone(row.volume_l) if row.direction == "in" else "",
                measures.temperature(row.temp_c) if row.temp_c is not None else "–",
                row.lot or "–",
                row.measured_with or "–",
                measures.volume_alone(row.balance_l),
            )
            for row in ledger
        )
        blocks.append(Table(columns, rows))
    blocks += _level(of)
    if record.fills and (sentence := text(record.fills[-1].body.result, "sentence")):
        blocks.append(Said(spoken(measures, sentence), "quiet"))
    return Section(say("Fluid and level"), tuple(blocks)) if blocks else None


def _balance(of: Press) -> str:
    ledger = of.record.fluid_ledger
    sums = {way: sum(row.volume_l for row in ledger if row.direction == way) for way in ("out", "in")}
    return of.words.say(
        "{out} came out, {filled} went in.",
        out=of.measures.volume(sums["out"]),
        filled=of.measures.volume(sums["in"]),
    )


def _level(of: Press) -> list[Block]:
    say, measures = of.words.say, of.measures
    if of.record.level is None:
        return [Said(say("No level is on record as set."), "flag")] if of.record.fluid else []
    level = of.record.level.body
    window = "–"
    if level.low_c is not None and level.high_c is not None:
        window = say(
            "{low} to {high}", low=measures.temperature(level.low_c), high=measures.temperature(level.high_c)
        )
    facts = [
        Fact(say("Level set"), of.moment(level.time)),
        Fact(say("By"), of.record.level.by),
        Fact(say("Fluid temperature"), measures.temperature(level.temp_c)),
        Fact(say("Window"), window),
        Fact(say("Thermometer"), level.thermometer),
        Fact(say("Its calibration is due"), of.day(level.due) if level.due else "–"),
        Fact(say("Engine"), say(ENGINE[level.engine])),
        Fact(say("Method"), say(METHODS[level.method])),
        Fact(say("Seen at the plug"), level.drip),
    ]
    outside = level.low_c is not None and level.high_c is not None and not level.low_c <= level.temp_c <= level.high_c  # fmt: skip
    warned: list[Block] = [Said(say("The level was set outside its window."), "flag")] if outside else []
    return [*warned, Facts(tuple(facts), columns=2)]
