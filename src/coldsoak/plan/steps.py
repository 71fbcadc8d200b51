"""Moves become steps: numbered, worded, with torque, renewal and cautions."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from coldsoak.cautions import lines
from coldsoak.plan import words
from coldsoak.plan.conditions import Conditions
from coldsoak.plan.moves import Bay, Move
from coldsoak.plan.network import Job, base
from coldsoak.plan.sequence import LEVEL, TRAY
from coldsoak.plan.tools import torque_words
from coldsoak.plan.value import Span, Step
from coldsoak.sheet.component import ASIDE
from coldsoak.sheet.fastener import FastenerGroup
from coldsoak.sheet.graph import COOL, FLUID

BACK = ("on", "close")


@dataclass(frozen=True)
class Writer:
    """What the wording of one plan needs to know."""

    job: Job
    bay: Bay
    conditions: Conditions
    torque_unit: str
    cooling_known: bool
    orders: words.Orders = field(default_factory=dict)

    def steps(self, moves: Sequence[Move], waits_min: Sequence[float]) -> tuple[Step, ...]:
        """Return the steps; `waits_min` has for each move the minutes it is expected to wait."""
        last = self._last_of_heavy(moves)
        lift = "down"
        found: list[Step] = []
        for n, (move, wait_min) in enumerate(zip(moves, waits_min, strict=True), start=1):
            step = self._step(n, move, wait_min, heavy=n - 1 in last)
            raised = move.labels[2] is not None and move.labels[2] != lift
            lift = move.labels[2] or lift
            cautions = (*lines(["vehicle_up"] if raised and lift == "up" else []), *step.cautions)
            found.append(step.model_copy(update={"lift": lift, "cautions": cautions}))
        return tuple(_said_once(found))

    def _step(self, n: int, move: Move, wait_min: float, *, heavy: bool) -> Step:
        sheet = self.job.sheet
        if move.action == "wait":
            text = words.wait_sentence(
                move.key, wait_min, self.conditions.handling_c, known=self.cooling_known
            )
            name = "Cooling down" if move.key == COOL else "Dripping"
            return Step(
                n=n,
                action="wait",
                item=move.key,
                name=name,
                sentence=text,
                wait_min=round(wait_min, 1),
                cautions=lines(["hot_exhaust"]) if move.key == COOL else (),
            )
        if move.key in (FLUID, LEVEL, TRAY):
            return self._fluid_step(n, move)
        if move.key in sheet.aids:
            return self._aid_step(n, move)
        if move.key in sheet.fasteners:
            return self._group_step(n, move, sheet.fasteners[move.key], heavy=heavy)
        return self._part_step(n, move)

    def _group_step(self, n: int, move: Move, group: FastenerGroup, *, heavy: bool) -> Step:
        back = move.action == "on"
        torque = torque_words(group.torque.value, group.torque.si, self.torque_unit)
        notes: list[str] = []
        if back and group.torque.sure == "estimated":
            notes.append("This torque is only an estimate on the sheet: look it up first.")
        if back and group.count > 1:
            notes.append(f"Start all {group.count} by hand before any is run down.")
        if back and group.friction != "dry":
            notes.append(f"Threads {group.friction.replace('_', ' ')}.")
        if back and group.passes > 1:
            notes.append("Then go over all of them once more at full torque.")
        if group.notes and back:
            notes.append(group.notes)
        fluid = self.job.sheet.fluid
        if not back and move.key in self.job.late and fluid is not None:
            notes.append("Only at the readings of the thermometer that the fill sheet gives.")
        if not back and group.renewed:
            notes.append("Throw these away: they go back new.")
        if heavy and not back:
            notes.append(words.last_two(group, self.orders.get(move.key)))
        angle = group.angle.si if group.angle is not None else None
        turn = f" + {angle:.0f}°" if angle is not None else ""
        fields = {
            "torque_nm": round(group.torque.si, 3),
            "angle_deg": angle,
            "torque": f"{torque}{turn}",
            "passes": group.passes,
            "sequence": group.sequence,
            "renew": group.renewed,
            "wrench": self.bay.wrenches.get(move.key),
        }
        return Step(
            n=n,
            action="on" if back else "off",
            item=move.key,
            name=group.name,
            sentence=words.on_group(group, torque) if back else words.off_group(group),
            count=group.count,
            tool=group.tool,
            minutes=_span(move),
            notes=tuple(notes),
            cautions=lines(["yield_bolts"] if group.torque_to_yield else []),
            **(fields if back else {}),
        )

    def _part_step(self, n: int, move: Move) -> Step:
        key = base(move.key)
        part = self.job.sheet.components[key]
        back = move.action in BACK
        aside = move.key.endswith(ASIDE)
        renew = back and not aside and self.renewed(key)
        hazards = (
            part.hazards if not back else tuple(h for h in part.hazards if h in ("heavy", "hot_exhaust"))
        )
        return Step(
            n=n,
            action=move.action,
            item=key,
            name=part.name,
            sentence=words.part_sentence(self.job, move, part, renew=renew),
            way="aside" if aside else "bench" if part.comes_with else "off",
            renew=renew,
            place=part.place,
            minutes=_span(move),
            notes=tuple(words.part_notes(self.job, move, part)),
            look_for=self._look_for(key, move),
            cautions=lines(hazards),
        )

    def renewed(self, key: str) -> bool:
        """Whether a part goes back new in this job."""
        part = self.job.sheet.components[key]
        return key in self.job.targets.replace or part.renewal in ("always", "with_access")

    def _look_for(self, key: str, move: Move) -> str | None:
        part = self.job.sheet.components[key]
        if part.may_stay_behind is None:
            return None
        if move.action in BACK:
            return f"The old one was found? If not, look {part.may_stay_behind}."
        return f"Account for it: it can stay {part.may_stay_behind}."

    def _aid_step(self, n: int, move: Move) -> Step:
        aid = self.job.sheet.aids[move.key]
        back = move.action == "out"
        return Step(
            n=n,
            action="out" if back else "in",
            item=move.key,
            name=aid.name,
            sentence=f"{'Take out' if back else 'Put in'} the {words.lower(aid.name)}.",
            minutes=_span(move),
            notes=tuple([aid.notes] if aid.notes and not back else []),
        )

    def _fluid_step(self, n: int, move: Move) -> Step:
        if move.key == TRAY:
            text = words.tray_sentence(self.job)
            return Step(n=n, action="check", item=TRAY, name="Tray", sentence=text, minutes=_span(move))
        fluid = self.job.sheet.fluid
        running = fluid is not None and fluid.level.engine == "running"
        hot_engine = ["engine_running", "exhaust_gas", "hot_exhaust"] if running else []
        keys = {
            "drain": ["hot_fluid", "chemicals", "waste_fluid"],
            "fill": ["wrong_fluid", *hot_engine],
            "check": [*hot_engine, "hot_fluid"],
        }
        notes = words.state_notes(self.job, move)
        torque_nm = None
        plug = fluid.level.plug if fluid is not None else None
        if move.action == "check" and plug is not None and plug not in self.job.late:
            group = next((g for g in self.job.graph.tasks[plug].groups), None)
            if group is not None and plug not in self.job.outer:
                torque = self.job.sheet.fasteners[group].torque
                torque_nm = round(torque.si, 3)
                notes.append(
                    f"Open the {words.lower(self.job.sheet.components[plug].name)} for it and close it with "
                    f"{torque_words(torque.value, torque.si, self.torque_unit)}."
                )
        return Step(
            n=n,
            action=move.action,
            item=move.key,
            name="Fluid" if move.key == FLUID else "Level",
            sentence=words.fluid_sentence(self.job, move.action),
            torque_nm=torque_nm,
            minutes=_span(move),
            notes=tuple(notes),
            cautions=lines(keys[move.action]),
        )

    def _last_of_heavy(self, moves: Sequence[Move]) -> set[int]:
        """Which moves undo the last group of something heavy."""
        found: set[int] = set()
        for key in self.job.off:
            part = self.job.sheet.components.get(base(key))
            if part is None or not part.heavy:
                continue
            groups = set(self.job.graph.tasks[key].groups)
            undone = [at for at, move in enumerate(moves) if move.action == "off" and move.key in groups]
            found.update(undone[-1:])
        return found


def _said_once(steps: Sequence[Step]) -> Iterator[Step]:
    """Leave out the rule of cleanliness where the part before had it too."""
    clean = False
    for step in steps:
        if words.CLEAN in step.notes and clean:
            yield step.model_copy(update={"notes": tuple(one for one in step.notes if one != words.CLEAN)})
        else:
            yield step
        if step.place is not None:
            clean = words.CLEAN in step.notes


def numbers(steps: Iterable[Step]) -> dict[str, list[int]]:
    """Return the numbers of the steps by item."""
    found: dict[str, list[int]] = {}
    for step in steps:
        found.setdefault(step.item, []).append(step.n)
    return found


def _span(move: Move) -> Span | None:
    m = move.minutes
    return Span(low=m.low, likely=m.likely, high=m.high) if m is not None else None
