"""An entry that was refused, as it was typed: it can be put right and sent again."""

from collections.abc import Mapping
from dataclasses import dataclass

from coldsoak.errors import ColdsoakError, ConflictError
from coldsoak.web.bay.views.job import new_id

# Of these nobody typed anything.
UNSEEN = ("id", "at", "kind", "takes_back")
LONG = 80


@dataclass(frozen=True)
class FieldAgain:
    """One field as it was typed."""

    name: str
    label: str
    value: str
    long: bool


@dataclass(frozen=True)
class EntryAgain:
    """The whole form, with what is sent unseen."""

    job_id: int
    what: str
    to: str
    hidden: tuple[tuple[str, str], ...]
    fields: tuple[FieldAgain, ...]


def entry_again(job_id: int, typed: Mapping[str, str], error: ColdsoakError) -> EntryAgain:
    """Return the form; an id that stands for another entry already is not used again."""
    hidden = {name: typed[name] for name in UNSEEN if name in typed}
    if isinstance(error, ConflictError) or "id" not in hidden:
        hidden["id"] = new_id()
    shown = (name for name in typed if name not in {*UNSEEN, "to"})
    return EntryAgain(
        job_id=job_id,
        what=typed.get("kind", "entry").replace("_", " ")[:LONG],
        to=typed.get("to", ""),
        hidden=tuple(hidden.items()),
        fields=tuple(
            FieldAgain(name, _label(name), typed[name], "\n" in typed[name] or len(typed[name]) > LONG)
            for name in shown
        ),
    )


def _label(name: str) -> str:
    words = name.replace("_", " ").replace(".", " ")
    return words[:1].upper() + words[1:]
