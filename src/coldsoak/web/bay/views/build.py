"""The page of the work: one step at a time, with its drawing, its wrench setting, its cautions and the tray."""

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from markupsafe import Markup

from coldsoak.build.setting import Setting
from coldsoak.build.tightening import Tightening
from coldsoak.build.words import METRIC, in_unit
from coldsoak.plan.value import Plan, Step
from coldsoak.record.job_record import JobRecord
from coldsoak.record.words import event_words
from coldsoak.sheet.bolt_map import bolt_map
from coldsoak.sheet.crib import Crib
from coldsoak.sheet.unit import UnitSheet
from coldsoak.shop.desk.read import tightening
from coldsoak.web.bay.again import Typed
from coldsoak.web.bay.views.bolts import Bolt, touch_map
from coldsoak.web.bay.views.job import JobHead, job_head
from coldsoak.web.bay.views.shown import Shown, clock, count, day_and_clock
from coldsoak.web.bay.views.tray import TrayView

AHEAD = 3
"""How many steps after the one in hand are on the page too, so that work goes on while the connection is away."""
FLUID_WORK = ("drain", "fill")
NEVER_TAKEN_BACK = ("opened", "signatures", "undone")


@dataclass(frozen=True)
class Group:
    """A group of fasteners that is tightened in a step."""

    key: str
    name: str
    count: int
    setting: str
    big: str
    wrench: str
    both: str
    fits: bool
    notes: tuple[str, ...]
    passes: int
    pass_number: int
    says: str
    all_done: bool
    next: int
    bolts: tuple[Bolt, ...]
    map: Markup | None
    torque: str
    torque_unit: str
    torque_units: tuple[str, ...]
    tools: tuple[str, ...]
    angle: str
    target_nm: float
    target_deg: float | None
    form: str


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
    groups: tuple[tuple[str, str], ...] = ()
    todo: str = field(default="")


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
        sentence=_sentence(view, known.plan, tray),
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


def _sentence(view: StepView | None, plan: Plan | None, tray: TrayView) -> str:
    if view is not None:
        return f"{view.n}. {view.says}"
    if plan is None:
        return "There is no plan yet whose steps could be done: plan the job first."
    if tray.open_points:
        first = tray.open_points[0]
        return f"All {len(plan.steps)} steps are done, but {first}."
    return f"All {len(plan.steps)} steps are done."


def _next_link(job: JobRecord, plan: Plan | None) -> tuple[str, str]:
    if plan is None:
        return "plan", "Plan the job"
    return ("fill", "Fill and set the level") if job.level is None else ("prove", "Prove the repair")


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
            bolt_map(sheet_group)
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
        passes = max(step.passes or 1, 1)
        got = self._got(step.item)
        numbers = range(1, done.count + 1)
        current = next((n for n in range(1, passes + 1) if any((b, n) not in got for b in numbers)), passes)
        order = (
            done.sequence.order
            if done.sequence is not None and len(done.sequence.order) == done.count
            else tuple(numbers)
        )
        bolts = tuple(
            Bolt(number, turn, got.get((number, current), "")) for turn, number in enumerate(order, 1)
        )
        all_done = all((b, n) in got for b in numbers for n in range(1, passes + 1))
        form = f"torque-{step.n}"
        drawn = (
            touch_map(done.name, bolts, done.positions_mm, done.outline_mm, form)
            if len(done.positions_mm) == done.count and done.count > 1
            else None
        )
        return _group(
            step, done, known.crib, self.shown, passes, current, bolts, drawn, form, all_done=all_done
        )

    def _got(self, fastener: str) -> Mapping[tuple[int, int], str]:
        """What each bolt got in each pass, in words; taken off since then, it got nothing."""
        off = max(
            (one.seq for one in self.job.tray if one.body.item == fastener and one.body.action == "off"),
            default=0,
        )
        return {
            (one.body.position, one.body.pass_number): self.shown.torque(one.body.torque_nm)
            + (f" and {one.body.angle_deg:g}°" if one.body.angle_deg is not None else "")
            for one in self.job.torques
            if one.body.fastener == fastener and one.seq > off
        }


def _group(
    step: Step,
    done: Tightening,
    crib: Crib | None,
    shown: Shown,
    passes: int,
    current: int,
    bolts: Sequence[Bolt],
    drawn: Markup | None,
    form: str,
    *,
    all_done: bool,
) -> Group:
    setting = done.setting
    unit = setting.unit or shown.torque_unit(setting.target_nm)
    number = f"{setting.set:g}" if setting.set is not None else in_unit(setting.target_nm, unit).split()[0]
    turn = f" + {done.angle_deg:g}°" if done.angle_deg is not None else ""
    return Group(
        key=step.item,
        name=done.name,
        count=done.count,
        setting=setting.sentence,
        big=f"{number} {unit}{turn}",
        wrench=_wrench(setting),
        both=shown.torque(setting.target_nm),
        fits=setting.fits,
        notes=setting.notes,
        passes=passes,
        pass_number=current,
        says=_pass_words(bolts, passes, current, all_done=all_done),
        all_done=all_done,
        next=next((one.number for one in bolts if not one.done), 0),
        bolts=tuple(bolts),
        map=drawn,
        torque=number,
        torque_unit=unit,
        torque_units=tuple(dict.fromkeys([unit, METRIC, "lbf·in", "lbf·ft"])),
        tools=tuple(
            dict.fromkeys(
                [
                    *([setting.wrench] if setting.wrench else []),
                    *(one.name for one in (crib.wrenches if crib else {}).values()),
                ]
            )
        ),
        angle=f"{done.angle_deg:g}" if done.angle_deg is not None else "",
        target_nm=round(setting.target_nm, 4),
        target_deg=done.angle_deg,
        form=form,
    )


def _wrench(setting: Setting) -> str:
    return f"on the {setting.wrench}" if setting.fits and setting.wrench else "no wrench of the crib makes it"


def _pass_words(bolts: Sequence[Bolt], passes: int, current: int, *, all_done: bool) -> str:
    many = len(bolts)
    if all_done:
        return (
            f"All {many} noted" + (f" in {passes} passes." if passes > 1 else ".") if many > 1 else "Noted."
        )
    noted = sum(one.done for one in bolts)
    which = f"Pass {current} of {passes}: " if passes > 1 else ""
    following = next(one for one in bolts if not one.done)
    after = f" Next: no. {following.number}." if many > 1 else ""
    said = f"{noted} of {many} noted." if many > 1 else "not noted yet."
    return f"{which}{said}{after}" if which else f"{said[0].upper()}{said[1:]}{after}"


def photo_word(photos: Sequence[PhotoView]) -> str:
    """Return how many photos there are."""
    return count(len(photos), "photo")
