"""What the interface for programs takes and says, and who may ask; everything here stands in /api/openapi.json."""

import json
from collections.abc import Callable
from typing import Annotated, Any
from uuid import UUID

from fastapi import Depends, Path, Query, Request
from pydantic import BaseModel, ConfigDict, Field, TypeAdapter, ValidationError, WrapValidator

from coldsoak.errors import InputError
from coldsoak.record.events import Body, Opened
from coldsoak.record.refused import refused
from coldsoak.shop.summary import Summary
from coldsoak.web.bay.asked import LARGEST_NUMBER, door_of, may
from coldsoak.web.bay.door import Caller

MOST_READINGS = 2000


def _exactly(adapter: TypeAdapter[Any]) -> Callable[[Any, Any], Any]:
    """Forms send texts, programs send JSON: there `true` is no torque, and a text is no number."""

    def checked(value: Any, handler: Any) -> Any:  # noqa: ARG001 (the usual way, which is not taken)
        if not isinstance(value, dict) or "kind" not in value:
            raise InputError("this entry does not say its kind: see /api/openapi.json for what there is.")
        try:
            return adapter.validate_json(json.dumps(value), strict=True)
        except ValidationError as error:
            raise InputError(refused(error)) from None

    return checked


Exact = Annotated[Body, WrapValidator(_exactly(TypeAdapter(Body)))]
ExactOpened = Annotated[Opened, WrapValidator(_exactly(TypeAdapter(Opened)))]
At = Annotated[
    str | None,
    Field(
        min_length=1,
        max_length=40,
        description="when, by RFC 3339; now when left out",
        json_schema_extra={
            "anyOf": [{"type": "string", "format": "date-time", "maxLength": 40}, {"type": "null"}]
        },
    ),
]


class Refusal(BaseModel):
    """Why something was not taken, and what to do next."""

    sentence: str


class NewJob(BaseModel):
    """A job to open; `id` is made by whoever asks, so that asking twice opens one job."""

    model_config = ConfigDict(extra="forbid")
    id: UUID
    at: At = None
    body: ExactOpened


class NewEntry(BaseModel):
    """An entry to note; `id` is made by whoever asks, so that sending it twice notes it once."""

    model_config = ConfigDict(extra="forbid")
    id: UUID
    at: At = None
    body: Exact


class Acknowledged(BaseModel):
    """The entry is on the disk; `head` is the hash of the job's record after it."""

    job: int
    seq: int
    id: UUID
    head: str
    again: bool


Seconds = Annotated[float, Field(strict=True, ge=0, le=1e10, allow_inf_nan=False)]


class NewReading(BaseModel):
    """One reading of the fluid; `time_s` is what the sender's clock showed, from whatever it counts."""

    model_config = ConfigDict(extra="forbid")
    time_s: Seconds
    temp_c: Annotated[float, Field(strict=True, ge=-300, le=10_000, allow_inf_nan=False)]


class NewReadings(BaseModel):
    """Readings of one thermometer. The run has an `id` made by whoever sends; a reading that came before is known by its time.

    `now_s` is what the sender's clock shows as it sends; the time of the last reading when left out.
    """

    model_config = ConfigDict(extra="forbid")
    id: UUID
    thermometer: Annotated[
        str, Field(min_length=1, max_length=100, pattern=r"^[^\x00-\x1f\x7f]*\S[^\x00-\x1f\x7f]*$")
    ]
    readings: Annotated[list[NewReading], Field(max_length=MOST_READINGS)] = []
    now_s: Seconds | None = None
    ends: Annotated[bool, Field(strict=True)] = False


class TakenReadings(BaseModel):
    """How many readings the run has now; once it has ended it takes no more. `left_out` are none that a fluid can have."""

    job: int
    id: UUID
    count: int
    ended: bool
    left_out: int


class Job(BaseModel):
    """One line of the list of jobs."""

    id: int
    opened_at: str
    changed_at: str
    last_seq: int
    head: str
    summary: Summary


class JobPage(BaseModel):
    """Some jobs, the last changed first; `next` goes in as `after` for those that follow."""

    jobs: list[Job]
    next: str


class Kept(BaseModel):
    """A file that is on the disk, known by its content."""

    sha256: str
    size_bytes: int
    kind: str
    media_type: str
    name: str


class Imported(BaseModel):
    """A record that was taken in, and the files it speaks of that are not here."""

    job: int
    new_entries: int
    missing_files: list[str]


SAID: dict[int | str, dict[str, Any]] = {
    status: {"model": Refusal, "description": text}
    for status, text in {
        400: "the request cannot be read",
        401: "nobody has logged in",
        403: "not allowed",
        404: "not there",
        405: "this address does not take that",
        409: "noted before with other content",
        413: "too large",
        422: "cannot be taken",
        503: "the store cannot be used now",
    }.items()
}


def binary(media_type: str = "application/octet-stream") -> dict[str, Any]:
    """Return how a body of bytes is described."""
    content = {media_type: {"schema": {"type": "string", "format": "binary"}}}
    return {"requestBody": {"required": True, "content": content}}


def _looks(request: Request) -> Caller:
    return may(request, "look")


def _enters(request: Request) -> Caller:
    caller = may(request, "enter")
    door_of(request).must_be_a_program(request)
    return caller


def _leads(request: Request) -> Caller:
    caller = may(request, "lead")
    door_of(request).must_be_a_program(request)
    return caller


# Who asks is looked at before what was sent.
Enters = Annotated[Caller, Depends(_enters)]
Leads = Annotated[Caller, Depends(_leads)]
LOOKS = [Depends(_looks)]
JobId = Annotated[int, Path(ge=1, le=LARGEST_NUMBER)]
Since = Annotated[int, Query(ge=0, le=LARGEST_NUMBER)]
Sha256 = Annotated[str, Path(pattern="^[0-9a-f]{64}$")]


def described(openapi: dict[str, Any]) -> dict[str, Any]:
    """Say what the framework leaves out: `kind` decides what an entry is, so it must be there."""
    for schema in openapi.get("components", {}).get("schemas", {}).values():
        if "const" in schema.get("properties", {}).get("kind", {}):
            schema["required"] = sorted({*schema.get("required", ()), "kind"})
    return openapi
