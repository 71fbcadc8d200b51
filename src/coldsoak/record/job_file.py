"""A job file: what was found and done on a job, written down in one YAML file, in the order in which it happened."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BeforeValidator, ConfigDict, Field, model_validator

from coldsoak.errors import InputError, SheetError
from coldsoak.record.clock import Offset, When
from coldsoak.record.findings import CodeText
from coldsoak.record.job_entries import (
    AskedSteps,
    CautionSaid,
    CodesSaid,
    FillAsked,
    FluidSaid,
    HoursSaid,
    InvoiceAsked,
    JudgeAsked,
    LevelSaid,
    LogSaid,
    OverrideSaid,
    PartSaid,
    PhotoSaid,
    PlanAsked,
    ProveAsked,
    SignSaid,
    TestSaid,
    TorqueSaid,
    TraySaid,
    UndoSaid,
)
from coldsoak.record.kinds import Name
from coldsoak.record.kinds import Text as LongText
from coldsoak.sheet.document import Document, Problem, read_document
from coldsoak.sheet.figure import Id, SheetValue, as_text
from coldsoak.sheet.load import load_as
from coldsoak.units import parse

MOST_KM = 1e7


def _distance(text: str) -> str:
    if not 0 <= parse(text, "km") <= MOST_KM:
        raise InputError(f"{text} is no reading of an odometer: give what it shows, as in 84210 km.")
    return text


class ShopSaid(SheetValue):
    """The shop."""

    name: Name
    address: tuple[Name, ...] = ()
    contact: Name | None = None


class VehicleSaid(SheetValue):
    """The vehicle as entered."""

    name: Name
    plate: Name | None = None
    identification: Name | None = None
    year: int | None = Field(default=None, ge=1900, le=2200)
    notes: LongText | None = None


class PersonSaid(SheetValue):
    """Somebody on the job."""

    name: Name
    role: Name


class Files(SheetValue):
    """The shop's files, as paths from the job file."""

    sheet: Name
    crib: Name | None = None
    prices: Name | None = None


class Done(SheetValue):
    """One thing that was done: when, by whom, and exactly one of the names below."""

    at: When
    by: Id
    label: Id | None = Field(default=None, description="a name by which `undo` can take it back")

    codes: CodesSaid | None = None
    cleared: tuple[CodeText, ...] | None = None
    log: LogSaid | None = None
    judge: JudgeAsked | None = None
    test: TestSaid | None = None
    plan: PlanAsked | None = None
    steps: AskedSteps | None = None
    tray: TraySaid | None = None
    torque: TorqueSaid | None = None
    part: PartSaid | None = None
    fluid: FluidSaid | None = None
    fill: FillAsked | None = None
    level: LevelSaid | None = None
    prove: ProveAsked | None = None
    caution: CautionSaid | None = None
    override: OverrideSaid | None = None
    photo: PhotoSaid | None = None
    hours: HoursSaid | None = None
    note: LongText | None = None
    undo: UndoSaid | None = None
    invoice: InvoiceAsked | None = None
    sign: SignSaid | None = None

    @model_validator(mode="after")
    def _one_thing(self) -> "Done":
        said = self.said
        if len(said) != 1:
            names = ", ".join(KINDS)
            raise ValueError(
                f"this says {' and '.join(said)} at once: give each an entry of its own."
                if said
                else f"this does not say what was done: add one of {names}."
            )
        return self

    @property
    def said(self) -> tuple[str, ...]:
        """What it says, by name."""
        return tuple(name for name in KINDS if getattr(self, name) is not None)


KINDS = tuple(name for name in Done.model_fields if name not in ("at", "by", "label"))


class JobFile(SheetValue):
    """One job."""

    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        str_strip_whitespace=True,
        title="Job file",
        validate_by_alias=True,
        validate_by_name=True,
    )

    schema_: Literal["coldsoak.jobfile/1"] = Field(alias="schema")
    job: Name
    shop: ShopSaid | None = None
    customer: Name | None = None
    vehicle: VehicleSaid
    serial: Name | None = Field(default=None, description="number of the unit")
    complaint: LongText
    odometer: Annotated[str, BeforeValidator(as_text), AfterValidator(_distance)] | None = None
    offset: Offset = Field(description="of the clock on the wall from UTC, as in +02:00")
    opened: When
    by: Id
    people: dict[Id, PersonSaid] = Field(min_length=1)
    files: Files
    done: tuple[Done, ...] = Field(min_length=1)


@dataclass(frozen=True)
class LoadedJob:
    """A job file, where it lies, and where in it everything stands."""

    path: Path
    text: str
    job: JobFile
    document: Document

    def at(self, entry: int, message: str) -> str:
        """Return a mistake in one of the entries of `done` as a line that names file, line and column."""
        return self.document.problem(("done", entry), message).at(str(self.path))

    def beside(self, name: str) -> Path:
        """Return the path of a file that is named from the job file."""
        return self.path.parent / name


def load_job(path: Path) -> LoadedJob:
    """Read a job file, or raise SheetError with a line for every mistake."""
    try:
        job = load_as(path, JobFile, (_names,))
    except SheetError as error:
        hint = "see jobs/wo-2044.yaml, which `coldsoak demo` writes"
        raise SheetError(
            tuple(one.replace("see `coldsoak sheet new`", hint) for one in error.problems)
        ) from None
    text = path.read_text("utf-8-sig")
    return LoadedJob(path, text, job, read_document(text))


def _names(document: Document) -> Iterator[Problem]:
    """Yield a problem for every name that stands for nothing: people and labels."""
    data: Any = document.data
    people = data.get("people") if isinstance(data, dict) else None
    if not isinstance(people, dict):
        return
    known = ", ".join(str(one) for one in people)
    if isinstance(data.get("by"), str) and data["by"] not in people:
        yield document.problem(
            ("by",), f"by: there is nobody {data['by']!r} under people: there are {known}."
        )
    done = data.get("done")
    labels: list[str] = []
    for at, one in enumerate(done if isinstance(done, list) else []):
        if not isinstance(one, dict):
            continue
        who = one.get("by")
        if isinstance(who, str) and who not in people:
            yield document.problem(
                ("done", at, "by"),
                f"done[{at + 1}].by: there is nobody {who!r} under people: there are {known}.",
            )
        undo = one.get("undo")
        if isinstance(undo, dict) and isinstance(undo.get("label"), str) and undo["label"] not in labels:
            yield document.problem(
                ("done", at, "undo", "label"),
                f"done[{at + 1}].undo.label: no entry before this has the label {undo['label']!r}: give it one.",
            )
        if isinstance(one.get("label"), str):
            labels.append(one["label"])
