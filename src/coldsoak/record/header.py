"""The first line of a record: what it is and which program began it."""

from typing import Any, Literal

from pydantic import Field

from coldsoak._version import __version__
from coldsoak.record.chain import START, link
from coldsoak.record.kinds import Input, Name
from coldsoak.value import Value


class Header(Value):
    """The schema, the program that began the record, and the files that were known then.

    The hash chain begins with the header: its hash is what the first event's hash is linked to. A field that is added
    later has None where it is not said, so that the bytes of older records stay.
    """

    schema_: Literal["coldsoak.record/1"] = Field(default="coldsoak.record/1", alias="schema")
    program: Name = "coldsoak"
    version: Name = __version__
    inputs: tuple[Input, ...] = ()

    def to_dict(self) -> dict[str, Any]:
        """Return the header as plain values."""
        return self.model_dump(mode="json", by_alias=True, exclude_none=True)

    @property
    def hash(self) -> str:
        """The hash that the first event is linked to."""
        return link(START, self.to_dict())
