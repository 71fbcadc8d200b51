"""What is done at the vehicle: entries by hand, cautions read, photos, readings, and what is taken back."""

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any, BinaryIO
from uuid import UUID, uuid5

from pydantic import ValidationError

from coldsoak.build.tray_items import items_of
from coldsoak.errors import InputError, NotThereError
from coldsoak.record.events import (
    Body,
    CautionAcknowledged,
    Event,
    FluidMoved,
    LevelSet,
    LogKept,
    Measure,
    Override,
    Photo,
    TestResult,
    TorqueEntered,
    TrayChange,
    Undone,
    body_from,
)
from coldsoak.record.findings import FLUID_READ
from coldsoak.record.job_record import Dated, JobRecord
from coldsoak.sheet.unit import UnitSheet
from coldsoak.shop.desk import asks, at_once, by_hand, live
from coldsoak.shop.desk.desk import Desk, moved
from coldsoak.shop.desk.read import newest_crib, sheet_with
from coldsoak.shop.desk.shelf import shelf_of
from coldsoak.shop.desk.tray_of import tray_of
from coldsoak.shop.entry import Noted
from coldsoak.shop.jobs import Draft

READING = FLUID_READ
TEMPERATURE = "fluid temperature"
# Fields that the shop adds to an entry: those that an earlier sending of the same entry got stay as they are.
ADDED = {
    "torque_entered": ("calibrated", "due"),
    "fluid_moved": (),
    "level_set": ("due", "low_c", "high_c", "method", "time"),
    "tray_change": ("name",),
}
NEXT_TO = ("although", "judged", *(str(n) for n in range(1, at_once.MOST)))
"""From the id of a deed come those of its other entries, by these words."""
REACH = at_once.MOST


class AtVehicle(Desk):
    """What somebody does at one job, by hand."""

    def known(self, id: UUID) -> Noted | None:  # noqa: A002 (the word of the record)
        """Return what was acknowledged when this deed was sent before."""
        return self._done(id)

    def enter(
        self,
        said: Mapping[str, Any],
        id: UUID | str,  # noqa: A002 (the word of the record)
        at: str | None = None,
        although: str = "",
        kinds: frozenset[str] | None = None,
    ) -> Noted:
        """Note one entry as it was typed, once it holds against sheet, crib and tray.

        Where something speaks against it, `although` is the reason that is noted with it.
        """
        body: dict[str, Any] = dict(said)
        key = _uuid(id)
        doubts: list[str] = []
        if key is not None and (kinds is None or body.get("kind") in kinds):
            earlier = self._earlier(key)
            if earlier is None:
                body, doubts = self._checked(body, at)
            else:
                added = ADDED.get(str(body.get("kind")), ())
                body = {**{name: getattr(earlier, name, None) for name in added}, **body}
        by_hand.refuse_unless(doubts, although)
        drafts = [Draft(body, id, at)]
        if doubts and key is not None:
            what = Override(what="; ".join(doubts)[:4000], reason=although.strip()[:4000])
            drafts.insert(0, Draft(what, uuid5(key, "although"), at))
            kinds = kinds | {"override"} if kinds is not None else None
        noted = self.shop.jobs.append_all(self.job_id, drafts, by=self.by, kinds=kinds)[-1]
        if body.get("kind") == "level_set":
            live.end_of(self.shop, self.job_id)
        return noted

    def cautions_read(self, n: int, id: UUID, at: str | None = None) -> Noted:  # noqa: A002
        """Note that the cautions of a step were read, those that nobody has confirmed yet."""
        if (done := self._done(id)) is not None:
            return done
        job = self.job()
        left = self.cautions_left(job, n)
        if not left:
            return Noted(self.job_id, job.count, str(id), job.head, again=True)
        return self._note([CautionAcknowledged(caution=line, step=n) for line in left], id, at)

    def read_and_done(self, n: int, note: str | None, id: UUID, at: str | None = None) -> Noted:  # noqa: A002
        """Note the cautions of a step as read, then the step as done."""
        if (done := self._done(id)) is not None:
            return done
        self.cautions_read(n, uuid5(id, "cautions"), at)
        return self.step_done(n, note, id, at)

    def cautions_left(self, job: JobRecord, n: int) -> list[str]:
        """Return the cautions of a step that nobody has confirmed yet."""
        step = next((one for one in self.plan_of(job).steps if one.n == n), None)
        read = {one.body.caution for one in job.cautions if one.body.step == n}
        return [line for line in (step.cautions if step is not None else ()) if line not in read]

    def old_parts_away(self, id: UUID, at: str | None = None) -> Noted:  # noqa: A002
        """Note that everything old on the tray whose new one is in was thrown away."""
        if (done := self._done(id)) is not None:
            return done
        moves = at_once.old_parts(self.tray(self.job()))
        if not moves:
            raise InputError("no old part lies on the tray whose new one is in: look at the tray.")
        return self._note(list(moves), id, at)

    def planned_parts_in(self, id: UUID, at: str | None = None) -> Noted:  # noqa: A002
        """Note that every part of the plan that is not noted yet went in."""
        if (done := self._done(id)) is not None:
            return done
        job = self.job()
        left = at_once.parts_left(job, self.plan_of(job))
        if not left:
            raise InputError("every part of the plan is noted already: look at the parts used.")
        return self._note(list(left), id, at)

    def photo(
        self,
        content: bytes | BinaryIO,
        name: str,
        caption: str,
        step: int | None,
        id: UUID,  # noqa: A002
        at: str | None = None,
    ) -> Noted:
        """Keep a photo and note it."""
        kept = self.shop.blobs.put(content, "photo", name, by=self.by)
        body = {"kind": "photo", "sha256": kept.sha256, "file": kept.name, "caption": caption, "step": step}
        return self.shop.jobs.append(self.job_id, body, by=self.by, id=id, at=at)

    def photo_of(self, job: JobRecord, sha256: str) -> Photo:
        """Return a photo of this job, or raise where it has none such."""
        found = next((one.body for one in job.photos if one.body.sha256 == sha256), None)
        if found is None:
            raise NotThereError("there is no such photo with this job: look at its steps.")
        return found

    def reading(self, temp_c: float, thermometer: str, id: UUID, at: str | None = None) -> Noted:  # noqa: A002
        """Note what a thermometer read of the fluid, for the forecast of the window."""
        if not thermometer.strip():
            raise InputError(by_hand.NO_THERMOMETER)
        by_hand.refuse_unreadable(temp_c)
        value = round(temp_c, 2)
        body = TestResult(
            test=READING,
            result=f"{value:g} °C",
            measures=(Measure(name=TEMPERATURE, value=value, unit="degC"),),
            tool=thermometer.strip(),
        )
        return self._note([body], id, at)

    def prove_with(
        self,
        log: LogKept,
        id: UUID,  # noqa: A002
        channel: str | None = None,
        at: str | None = None,
        *,
        any_vehicle: bool = False,
    ) -> Noted:
        """Note a log from after the repair and what is proven with it; a log that proves nothing is not noted."""
        if (done := self._done(id)) is not None:
            return done
        job = self.job()
        if not job.logs_at("before"):
            return self._note([log], id, at)
        added = Dated[LogKept](seq=job.count + 1, at=job.last_at, by=self.by, body=log)
        after = job.model_copy(update={"logs": (*job.logs, added)})
        proved = asks.proved(after, shelf_of(self.shop, after), channel, any_vehicle=any_vehicle)
        return self._note([log, proved], id, at)

    def take_back(self, seq: int, reason: str, id: UUID) -> Noted:  # noqa: A002
        """Take back an entry with everything that was noted by the same deed."""
        if (done := self._done(id)) is not None:
            return done
        gone = {one.body.takes_back for one in self.job().undone}
        deed = [one for one in self.deed(seq) if one.seq not in gone] or self.deed(seq)
        drafts: list[Body] = [Undone(takes_back=one.seq, reason=reason) for one in reversed(deed)]
        self._refuse_broken_tray({one.seq for one in deed})
        return self._note(drafts, id)

    def deed(self, seq: int) -> list[Event]:
        """Return the entries of the deed that an entry belongs to, in order."""
        around = [one.event for one in self.shop.jobs.entries(self.job_id, max(seq - REACH, 0), 2 * REACH)]
        chosen = next((one for one in around if one.seq == seq), None)
        if chosen is None:
            raise InputError(f"there is no entry {seq} on this job: look at the list of its entries.")
        parent = next((one for one in around if chosen.id in _next_to(one.id)), chosen)
        return [one for one in around if one is parent or one.id in _next_to(parent.id)]

    def _checked(self, said: dict[str, Any], at: str | None) -> tuple[dict[str, Any], list[str]]:
        """The entry with what the shop adds, and what speaks against it."""
        kind = said.get("kind")
        if kind == "undone":
            if isinstance(seq := said.get("takes_back"), int | str) and str(seq).isdigit():
                self._refuse_broken_tray({int(seq)})
            return said, []
        if kind not in ADDED:
            return said, []
        sheet = self._sheet_opened()
        if kind == "level_set":
            if not str(said.get("thermometer", "")).strip() or str(said["thermometer"]).casefold() == "none":
                raise InputError(by_hand.NO_THERMOMETER)
            said = {"time": at or self.shop.now().astimezone().isoformat(timespec="milliseconds"), **said}
        if kind == "tray_change" and sheet is not None and "name" not in said:
            names = {item.key: item.name for item in items_of(sheet)}
            said |= {"name": names[said["item"]]} if said.get("item") in names else {}
        try:
            body = body_from(said)
        except ValidationError:
            return said, []  # the store says what is wrong with it
        day = (
            dt.date.fromisoformat(at[:10]) if at and _is_day(at[:10]) else self.shop.now().astimezone().date()
        )
        doubts: list[str] = []
        if isinstance(body, TorqueEntered):
            body, doubts = by_hand.torque_entered(body, sheet, newest_crib(self.shop)[0], day)
        elif isinstance(body, LevelSet):
            body, doubts = by_hand.level_set(body, sheet, newest_crib(self.shop)[0], day)
        elif isinstance(body, FluidMoved):
            doubts = by_hand.fluid_moved(body, sheet, [one.body for one in self.job().fluid])
        elif isinstance(body, TrayChange) and sheet is not None:
            moved(tray_of(items_of(sheet), self.job()), body, self.by, at or "now")
        return body.model_dump(mode="json", exclude_none=True), doubts

    def _sheet_opened(self) -> UnitSheet | None:
        """The unit sheet of the job, None where it has none or the shop does not have it."""
        first = self.shop.jobs.entries(self.job_id, 0, 1)[0].event.body
        said = getattr(getattr(first, "unit", None), "sheet", None)
        if said is None:
            return None
        try:
            return sheet_with(self.shop, said)
        except InputError:
            return None

    def _refuse_broken_tray(self, gone: set[int]) -> None:
        """Refuse to take back what later moves build on, and to bring back what can no longer have happened."""
        job = self.job()
        sheet = self._sheet_opened()
        if sheet is None:
            return
        back = {one.body.takes_back for one in job.undone if one.seq in gone}
        moves = [one for one in job.tray if one.seq not in gone]
        for seq in back:
            for one in self.shop.jobs.entries(self.job_id, seq - 1, 1):
                event = one.event
                if isinstance(event.body, TrayChange):
                    moves.append(Dated[TrayChange](seq=seq, at=event.at, by=event.by, body=event.body))
        if len(moves) == len(job.tray) and not back:
            return
        after = job.model_copy(update={"tray": tuple(sorted(moves, key=lambda one: one.seq))})
        try:
            tray_of(items_of(sheet), after)
        except InputError as error:
            raise InputError(
                f"this cannot be taken back by itself, later entries build on it: {error}"
            ) from None

    def _earlier(self, id: UUID) -> Body | None:  # noqa: A002
        """The body that was noted on this job under an id, None where there is none."""
        noted = self.shop.jobs.noted(id)
        if noted is None or noted.job_id != self.job_id:
            return None
        return self.shop.jobs.entries(self.job_id, noted.seq - 1, 1)[0].event.body


def temperatures(job: JobRecord) -> Sequence[tuple[str, float, str]]:
    """Return the readings for the forecast in order: when, what [°C], by which thermometer."""
    return [
        (one.at, measure.value, one.body.tool or "")
        for one in job.tests
        if one.body.test == READING
        for measure in one.body.measures
        if measure.name == TEMPERATURE
    ]


def _next_to(id: UUID) -> set[UUID]:  # noqa: A002
    return {uuid5(id, word) for word in NEXT_TO}


def _uuid(id: UUID | str) -> UUID | None:  # noqa: A002
    try:
        return UUID(str(id))
    except ValueError:
        return None


def _is_day(text: str) -> bool:
    try:
        dt.date.fromisoformat(text)
    except ValueError:
        return False
    return True
