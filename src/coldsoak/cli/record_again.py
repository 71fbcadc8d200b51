"""Compute the verdicts of a record again from its inputs, found by their hashes."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from coldsoak.errors import ColdsoakError
from coldsoak.record.canonical import canonical
from coldsoak.record.checked import Again
from coldsoak.record.differs import first_difference
from coldsoak.record.kinds import Computed
from coldsoak.record.ledger import Ledger
from coldsoak.record.stands_on import sha256_of, versions
from coldsoak.record.undo import taken_back
from coldsoak.shop.desk.stages import STAGES, Shelf

MOST_FILES = 10_000
ROUNDING = 1e-6  # what processors of different make do to the last digits


def compute_again(ledger: Ledger, folder: Path) -> tuple[Again, ...]:
    """Return for every computed result that stands whether it comes out the same."""
    gone = taken_back(ledger.events)
    bodies = [
        (event.seq, event.body)
        for event in ledger.events
        if isinstance(event.body, Computed) and event.seq not in gone
    ]
    wanted = {one.sha256: one.file for _, body in bodies for one in body.inputs}
    found, changed = _find(folder, wanted)
    shelf = Shelf(found)
    return tuple(_again(seq, body, shelf, changed) for seq, body in bodies)


def _find(folder: Path, wanted: Mapping[str, str]) -> tuple[dict[str, Path], dict[str, str]]:
    """Return files below a folder by the hashes that are wanted, and hashes of others that only have the name of one."""
    left = dict(wanted)
    found: dict[str, Path] = {}
    named: dict[str, str] = {}
    for n, path in enumerate(sorted(folder.rglob("*"))):
        if not left or n >= MOST_FILES:
            break
        if not path.is_file() or path.is_symlink():
            continue
        sha256 = sha256_of(path)
        if sha256 in left:
            found[sha256] = path
            del left[sha256]
        elif path.name in wanted.values():
            named[path.name] = sha256
    return found, {sha256: named[name] for sha256, name in left.items() if name in named}


def _again(seq: int, body: Any, shelf: Shelf, changed: Mapping[str, str]) -> Again:
    stage = STAGES[body.kind]
    name = f"{stage.name} (event {seq})"
    then: Any = getattr(body, stage.result)
    other = next((one for one in body.inputs if one.sha256 in changed), None)
    if other is not None:
        why = (
            f"{other.file} is another file than then (SHA-256 {changed[other.sha256][:16]} …, then "
            f"{other.sha256[:16]} …): put the one of that day there."
        )
        return Again(
            event=seq, stage=stage.name, same=False, sentence=f"{name} cannot be computed again: {why}"
        )
    try:
        now = stage.run(body.settings, body.inputs, shelf)
    except ColdsoakError as problem:
        return Again(
            event=seq, stage=stage.name, same=False, sentence=f"{name} cannot be computed again: {problem}"
        )
    moved = _moved(body)
    if canonical(now) == canonical(then):
        though = f", although {moved}" if moved else ""
        return Again(
            event=seq,
            stage=stage.name,
            same=True,
            sentence=f"{name} comes out the same, to the last digit{though}.",
        )
    why = f" ({moved})" if moved else " although the versions are the same"
    if stage.verdict(now) != stage.verdict(then):
        return Again(
            event=seq, stage=stage.name, same=False, sentence=f"{name} comes to another verdict now{why}."
        )
    large = first_difference(then, now, ROUNDING)
    what = large or first_difference(then, now)
    beside = "but " if large else "with nothing beyond rounding beside it: "
    return Again(
        event=seq,
        stage=stage.name,
        same=bool(moved) or large is None,
        sentence=f"{name} comes to the same verdict, {beside}{what}{why}.",
    )


def _moved(body: Any) -> str:
    """Return in words which libraries have another version than when the result was computed."""
    own = versions()
    return ", ".join(
        f"{lib} was {was} and is {own.get(lib, 'not there')}"
        for lib, was in body.versions.items()
        if own.get(lib) != was
    )
