"""The page of the work: one step at a time, with its drawing, its wrench setting, its cautions and the tray."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from coldsoak.plan.value import Plan, Step
from coldsoak.record.job_record import JobRecord
from coldsoak.record.words import event_words
from coldsoak.sheet.bolt_map import bolt_map
from coldsoak.sheet.crib import Crib
from coldsoak.sheet.unit import UnitSheet
from coldsoak.shop.desk.read import tightening
from coldsoak.web.bay.again import Typed
from coldsoak.web.bay.views.group import Group, got_by, group_view
from coldsoak.web.bay.views.job import JobHead, job_head
from coldsoak.web.bay.views.shown import Shown, capital, clock, day_and_clock
from coldsoak.web.bay.views.tray import TrayView, old_sentence

AHEAD = 3
"""How many steps after the one in hand are on the page too, so that work goes on while the connection is away."""
NO_SHEET = "This job has no unit sheet, so it has no steps: what is done is noted in words."
FLUID_WORK = ("drain", "fill")
PUT_ON = ("on", "close", "out")
NEVER_TAKEN_BACK = ("opened", "signatures", "undone")


@dataclass(frozen=True)
class StepView:
    """One step, big."""

    n: int
    says: str
    place: str
    tool: str
    notes: tuple[str, ...]
    look_for: str
    cautions: tuple[str, ...]
    cautions_left: bool
    done: str
    undo_seq: int | None
    drawing: Markup | None
    group: Group | None
    fluid: bool
    photos: tuple["PhotoView", ...]


@dataclass(frozen=True)
class PhotoView:
    """One photo; `here` is false where its file is not in this shop."""

    sha256: str
    caption: str
    when: str
    here: bool


@dataclass(frozen=True)
class StepLine:
    """One step in the list of all."""

    n: int
    says: str
    done: bool


@dataclass(frozen=True)
class OpenPoint:
    """What is open although every step is done, and the step in which it belongs."""

    says: str
    step: int | None


@dataclass(frozen=True)
class Last:
    """The last entry, which can be taken back."""

    seq: int
    says: str


@dataclass(frozen=True)
class BuildView:
    """The page."""

    head: JobHead
    sentence: str
    next_link: tuple[str, str] | None
    step: StepView | None
    ahead: tuple[StepView, ...]
    steps: tuple[StepLine, ...]
    done: int
    tray: TrayView
    last: Last | None
    photos: tuple[PhotoView, ...]
    typed: Typed
    here: str
    open: tuple[OpenPoint, ...]


@dataclass(frozen=True)
class Known:
    """What the page is made from, beside the job."""

    plan: Plan | None
    sheet: UnitSheet | None
    sheet_sha256: str
    crib: Crib | None
    crib_sha256: str
    day: dt.date
    photos_here: frozenset[str] = frozenset()


def build_view(
    job_id: int, job: JobRecord, known: Known, tray: TrayView, shown: Shown, wanted: int | None, typed: Typed
) -> BuildView:
    """Return the page, with the step that is wanted or the first that is not done."""
    steps = known.plan.steps if known.plan is not None else ()
    done = {one.body.n for one in job.steps if one.body.n is not None}
    left = [one for one in steps if one.n not in done]
    chosen = next((one for one in steps if one.n == wanted), left[0] if left else None)
    maker = _Maker(job, known, shown)
    after = [one for one in left if chosen is not None and one.n > chosen.n][:AHEAD]
    view = maker.step(chosen) if chosen is not None else None
    ours = chosen.n if chosen is not None else None
    return BuildView(
        head=job_head(job_id, job, "build"),
        sentence=_sentence(view, known.plan, tray, has_sheet=job.opened.body.unit.sheet is not None),
        next_link=_next_link(job, known.plan) if view is None else None,
        step=view,
        ahead=tuple(maker.step(one) for one in after),
        steps=tuple(StepLine(one.n, one.sentence, one.n in done) for one in steps),
        done=len(done & {one.n for one in steps}),
        tray=tray,
        last=last_entry(job),
        photos=tuple(maker.photo(one.at, one.body) for one in job.photos if one.body.step != ours),
        typed=typed,
        here=f"/jobs/{job_id}/build"
        + (f"?step={wanted}" if chosen is not None and chosen.n == wanted else ""),
        open=_open(tray, steps) if view is None else (),
    )


def last_entry(job: JobRecord) -> Last | None:
    """Return the last entry that stands and can be taken back by a thumb."""
    found = [
        one
        for name in type(job).model_fields
        if name not in NEVER_TAKEN_BACK and isinstance(many := getattr(job, name), tuple)
        for one in many
        if hasattr(one, "seq")
    ]
    last = max(found, key=lambda one: int(one.seq), default=None)
    return Last(last.seq, event_words(last.body)) if last is not None and last.body.kind != "opened" else None


def _sentence(view: StepView | None, plan: Plan | None, tray: TrayView, *, has_sheet: bool) -> str:
    if view is not None:
        return f"{view.n}. {view.says}"
    if plan is None:
        return (
            NO_SHEET
            if not has_sheet
            else "There is no plan yet whose steps could be done: plan the job first."
        )
    if tray.rest:
        return f"All {len(plan.steps)} steps are done, but {tray.rest[0][1]}."
    if tray.old:
        return f"All {len(plan.steps)} steps are done; {old_sentence(tray.old)}."
    return f"All {len(plan.steps)} steps are done."


def _open(tray: TrayView, steps: Sequence[Step]) -> tuple[OpenPoint, ...]:
    """What is open, each with the last step in which its item is put on."""
    found = {one.item: one.n for one in steps if one.action in PUT_ON}
    return tuple(OpenPoint(f"{capital(said)}.", found.get(item)) for item, said in tray.rest)


def _next_link(job: JobRecord, plan: Plan | None) -> tuple[str, str]:
    if plan is None:
        return (
            ("plan", "Plan the job")
            if job.opened.body.unit.sheet is not None
            else ("entries", "Note what is done")
        )
    if job.level is None and (job.fluid or any(one.action in FLUID_WORK for one in plan.steps)):
        return "fill", "Fill and set the level"
    proven = job.proved is not None and job.proved.body.proof.get("verdict") == "proven"
    return ("record", "Hand it over") if proven else ("prove", "Prove the repair")


@dataclass(frozen=True)
class _Maker:
    """Makes steps into what the page shows of them."""

    job: JobRecord
    known: Known
    shown: Shown

    def step(self, step: Step) -> StepView:
        done = next((one for one in self.job.steps if one.body.n == step.n), None)
        read = {one.body.caution for one in self.job.cautions if one.body.step == step.n}
        sheet_group = self.known.sheet.fasteners.get(step.item) if self.known.sheet is not None else None
        group = self._group(step) if step.action == "on" and sheet_group is not None else None
        drawn = (
            bolt_map(sheet_group, small=True)
            if sheet_group is not None and (group is None or group.map is None)
            else None
        )
        return StepView(
            n=step.n,
            says=step.sentence,
            place=step.place or "",
            tool=step.tool or "",
            notes=step.notes,
            look_for=step.look_for or "",
            cautions=step.cautions,
            cautions_left=any(line not in read for line in step.cautions),
            done=f"{clock(done.at)}, {done.by}" if done is not None else "",
            undo_seq=done.seq if done is not None else None,
            drawing=Markup(drawn) if drawn is not None else None,  # noqa: S704 (our own, escaped where it is made)
            group=group,
            fluid=step.action in FLUID_WORK or step.item == "level",
            photos=tuple(self.photo(one.at, one.body) for one in self.job.photos if one.body.step == step.n),
        )

    def photo(self, at: str, body: object) -> PhotoView:
        """One photo."""
        sha256, caption = str(getattr(body, "sha256", "")), str(getattr(body, "caption", ""))
        return PhotoView(sha256, caption, day_and_clock(at), sha256 in self.known.photos_here)

    def _group(self, step: Step) -> Group:
        known = self.known
        if known.sheet is None:
            raise TypeError  # pragma: no cover
        done = tightening(
            known.sheet, known.sheet_sha256, step.item, known.crib, known.crib_sha256, known.day
        )
        return group_view(step, done, known.crib, self.shown, got_by(self.job, step.item, self.shown))
