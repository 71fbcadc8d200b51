"""Compute the verdicts of a record again from its inputs, found by their hashes."""

from collections.abc import Iterable
from pathlib import Path
from typing import Any

from coldsoak.errors import ColdsoakError
from coldsoak.record.canonical import canonical
from coldsoak.record.checked import Again
from coldsoak.record.kinds import Computed
from coldsoak.record.ledger import Ledger
from coldsoak.record.stands_on import sha256_of, versions
from coldsoak.record.undo import taken_back
from coldsoak.shop.desk.stages import STAGES, Shelf

MOST_FILES = 10_000


def compute_again(ledger: Ledger, folder: Path) -> tuple[Again, ...]:
    """Return for every computed result that stands whether it comes out the same."""
    gone = taken_back(ledger.events)
    bodies = [
        (event.seq, event.body)
        for event in ledger.events
        if isinstance(event.body, Computed) and event.seq not in gone
    ]
    wanted = {one.sha256 for _, body in bodies for one in body.inputs}
    shelf = Shelf(_find(folder, wanted))
    return tuple(_again(seq, body, shelf) for seq, body in bodies)


def _find(folder: Path, wanted: Iterable[str]) -> dict[str, Path]:
    """Files below a folder by the hashes that are wanted."""
    left = set(wanted)
    found: dict[str, Path] = {}
    for n, path in enumerate(sorted(folder.rglob("*"))):
        if not left or n >= MOST_FILES:
            break
        if not path.is_file() or path.is_symlink():
            continue
        sha256 = sha256_of(path)
        if sha256 in left:
            found[sha256] = path
            left.discard(sha256)
    return found


def _again(seq: int, body: Any, shelf: Shelf) -> Again:
    stage = STAGES[body.kind]
    name = f"{stage.name} (event {seq})"
    then: Any = getattr(body, stage.result)
    try:
        now = stage.run(body.settings, body.inputs, shelf)
    except ColdsoakError as problem:
        return Again(
            event=seq, stage=stage.name, same=False, sentence=f"{name} cannot be computed again: {problem}"
        )
    if canonical(now) == canonical(then):
        return Again(
            event=seq, stage=stage.name, same=True, sentence=f"{name} comes out the same, to the last digit."
        )
    own = versions()
    moved = ", ".join(
        f"{lib} {was} then and {own.get(lib, 'none')} now"
        for lib, was in body.versions.items()
        if own.get(lib) != was
    )
    why = f" ({moved})" if moved else " although the versions are the same"
    if stage.verdict(now) == stage.verdict(then):
        sentence = f"{name} comes to the same verdict, with other figures beside it{why}."
        return Again(event=seq, stage=stage.name, same=True, sentence=sentence)
    return Again(
        event=seq, stage=stage.name, same=False, sentence=f"{name} comes to another verdict now{why}."
    )
