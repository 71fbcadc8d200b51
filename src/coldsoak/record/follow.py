"""Follow the chain from line to line and say where it breaks and how: changed, dropped, doubled, moved."""

from collections.abc import Sequence

from coldsoak.record.chain import START
from coldsoak.record.checked import Trouble
from coldsoak.record.lines import Line

CHANGED = "was changed after it was written"


def follow(header: Line, events: Sequence[Line]) -> list[Trouble]:
    """Return everything that is wrong with the lines; nothing means that each follows from the one before."""
    found = []
    if header.problem is not None:
        found.append(Trouble(line=1, what=f"the header {CHANGED}: {header.problem}"))
    elif not header.follows(START):
        found.append(Trouble(line=1, what=f"the header {CHANGED}: it does not give the hash beside it"))
    return found + _Walk(header, events).troubles()


class _Walk:
    """The walk along the events; `before` holds the hashes that the next line may follow from."""

    def __init__(self, header: Line, events: Sequence[Line]) -> None:
        self.events = events
        self.before = [header.hash, header.hash_after(START)]
        self.expected = 1
        self.found: list[Trouble] = []
        self.lines_of: dict[int, list[Line]] = {}
        for one in events:
            if one.seq is not None:
                self.lines_of.setdefault(one.seq, []).append(one)

    def troubles(self) -> list[Trouble]:
        for at, line in enumerate(self.events):
            after = self.events[at + 1] if at + 1 < len(self.events) else None
            seq = line.seq
            if seq is None or (seq != self.expected and self._renumbered(line, after)):
                what = line.problem or f"the number {seq} of the event is not the one it had"
                self._say(line, f"{self._named(line, self.expected)} {CHANGED}: {what}")
                self._step(line, self.expected)
            elif seq < self.expected:
                self._seen_before(line)
            elif seq > self.expected:
                self._something_missing(line)
                self._step(line, seq)
            else:
                self._in_its_place(line, after)
                self._step(line, seq)
        return self.found

    def _say(self, line: Line, what: str) -> None:
        self.found.append(Trouble(line=line.number, event=line.seq or self.expected, what=what))

    def _step(self, line: Line, seq: int) -> None:
        self.before = [line.hash, *(line.hash_after(one) for one in self.before)]
        self.before = [one for one in dict.fromkeys(self.before) if one is not None]
        self.expected = seq + 1

    def _renumbered(self, line: Line, after: Line | None) -> bool:
        """Whether only the number of a line is wrong: the next one follows from its hash and has the next number."""
        return after is not None and after.seq == self.expected + 1 and after.follows(line.hash)

    def _seen_before(self, line: Line) -> None:
        others = [one for one in self.lines_of[line.seq or 0] if one.number < line.number]
        if not others:
            return  # said already where it was missing
        name = self._named(line, line.seq)
        same = "stands there twice" if others[0].raw == line.raw else "is there twice with different contents"
        self._say(line, f"{name} {same}, first in line {others[0].number}")

    def _something_missing(self, line: Line) -> None:
        missing = list(range(self.expected, line.seq or 0))
        later = [
            seq for seq in missing if any(one.number > line.number for one in self.lines_of.get(seq, []))
        ]
        gone = [seq for seq in missing if seq not in later]
        if gone:
            self._say(line, f"{_several(gone)} missing before it")
        if later:
            places = ", ".join(str(self.lines_of[seq][-1].number) for seq in later[:3])
            more = " …" if len(later) > 3 else ""
            self._say(
                line,
                f"the order was changed: {_several(later)} in line{'s' * (len(later) > 1)} {places}{more}, after event "
                f"{line.seq}",
            )
        if line.problem is not None:
            self._say(line, f"{self._named(line, line.seq)} {CHANGED}: {line.problem}")
        self.before = []

    def _in_its_place(self, line: Line, after: Line | None) -> None:
        name = self._named(line, line.seq)
        if line.problem is not None:
            self._say(line, f"{name} {CHANGED}: {line.problem}")
        elif self.before and not any(line.follows(one) for one in self.before):
            if after is not None and any(after.follows(line.hash_after(one)) for one in self.before):
                self._say(line, f"the hash of {name} {CHANGED}; what the event says is right")
            elif self.expected > 1 and after is not None and after.follows(line.hash):
                other = f"or event {self.expected - 1} was replaced together with its hash"
                self._say(line, f"{name} {CHANGED}, {other}: the one does not follow from the other")
            else:
                self._say(line, f"{name} or its hash {CHANGED}: the one does not give the other")

    @staticmethod
    def _named(line: Line, seq: int | None) -> str:
        """The event with what it says it is, as far as that can be read."""
        entry = line.entry or {}
        body = entry.get("body")
        kind, by = body.get("kind") if isinstance(body, dict) else None, entry.get("by")
        if not isinstance(kind, str) or not isinstance(by, str):
            return f"event {seq}"
        return f"event {seq} ({' '.join(kind.replace('_', ' ').split())[:40]}, {' '.join(by.split())[:60]})"


def _several(seqs: Sequence[int]) -> str:
    if len(seqs) == 1:
        return f"event {seqs[0]} is"
    if list(seqs) == list(range(seqs[0], seqs[-1] + 1)):
        return f"events {seqs[0]} {'and' if len(seqs) == 2 else 'to'} {seqs[-1]} are"
    return f"events {', '.join(str(one) for one in seqs[:5])}{' …' if len(seqs) > 5 else ''} are"
