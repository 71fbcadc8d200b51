"""SocketCAN candump text: frames, put together by ISO 15765-2 and decoded by SAE J1979 service 01."""

import hashlib
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from coldsoak.errors import LogError
from coldsoak.logs.clock import ClockKind
from coldsoak.logs.isotp import Reassembly
from coldsoak.logs.obd import ANSWER, AnswerError, Decoded, decode
from coldsoak.logs.raw import RawColumn, RawTable, Report

_LINE = re.compile(
    r"\((?P<time>\d+\.\d+)\)\s+(?P<bus>\S+)\s+(?P<id>[0-9A-Fa-f]{3}|[0-9A-Fa-f]{5}|[0-9A-Fa-f]{8})(?P<rest>#\S*)(?:\s+[RT])?\s*"
)
_SHOWN = re.compile(
    r"\((?P<time>\d+\.\d+)\)\s+(?P<bus>\S+)\s+(?:[RT][XB]\S*\s+\S+\s+)?(?P<id>[0-9A-Fa-f]{3}|[0-9A-Fa-f]{8})\s+\[\d+\]\s+(?P<data>(?:[0-9A-Fa-f]{2}\s*)*)(?:'.*')?\s*"
)
_ERROR_FLAG = 0x20000000
_FIRST_WALL_CLOCK_S = 1e9


def looks_like_candump(head: str) -> bool:
    """Say whether a text begins with candump lines.

    >>> looks_like_candump("(000.000000) can0 7E8#0341057B"), looks_like_candump("Time,RPM")
    (True, False)
    """
    lines = [line.strip() for line in head.splitlines() if line.strip()][:20]
    return bool(lines) and sum(bool(_LINE.fullmatch(s) or _SHOWN.fullmatch(s)) for s in lines) >= 0.5 * len(
        lines
    )


@dataclass(frozen=True)
class Frame:
    """One data frame of the bus."""

    time_s: float
    bus: str
    identifier: int
    extended: bool
    data: bytes

    @property
    def sender(self) -> str | None:
        """The control unit that answers in this frame, None if it is no diagnostic answer (ISO 15765-4)."""
        if not self.extended and 0x7E8 <= self.identifier <= 0x7EF:
            return f"{self.identifier:03X}"
        if self.extended and self.identifier >> 8 == 0x18DAF1:
            return f"{self.identifier:08X}"
        return None


@dataclass
class Tally:
    """What was passed over."""

    other: int = 0
    not_data: int = 0
    undecoded: int = 0


def parse_line(line: str) -> Frame | bool | None:
    """Return the frame of a line, None for a line without data (remote, error, CAN XL), False if it is no candump line.

    >>> parse_line("(1700000000.131000) can0 7E8#0341057B R").data.hex()
    '0341057b'
    >>> parse_line("(1700000000.131000) can0 123#R7"), parse_line("hello")
    (None, False)
    """
    m = _LINE.fullmatch(line)
    if m is None:
        m = _SHOWN.fullmatch(line)
        if m is None:
            return False
        return _frame(m["time"], m["bus"], m["id"], m["data"].replace(" ", ""))
    rest = m["rest"]
    if len(m["id"]) == 5 or rest.count("#") > 2:
        return None
    if rest.startswith("##"):
        return _frame(m["time"], m["bus"], m["id"], rest[3:]) if len(rest) > 2 else False
    body = rest[1:]
    if body[:1] in {"R", "r"}:
        return None
    return _frame(m["time"], m["bus"], m["id"], body.split("_")[0])


def _frame(time: str, bus: str, identifier: str, data: str) -> Frame | bool | None:
    number, extended = int(identifier, 16), len(identifier) == 8
    if extended and number & _ERROR_FLAG:
        return None
    try:
        return Frame(float(time), bus, number, extended, bytes.fromhex(data.replace(".", "")))
    except ValueError:
        return False


@dataclass
class _Answers:
    """Collects decoded values, one row for each answer."""

    times: list[float] = field(default_factory=list)
    cells: dict[tuple[str, str], list[tuple[int, float]]] = field(default_factory=dict)
    units: dict[tuple[str, str], str] = field(default_factory=dict)

    def add(self, time_s: float, sender: str, values: list[Decoded]) -> None:
        row = len(self.times)
        self.times.append(time_s)
        for d in values:
            key = (d.item.name, sender)
            self.cells.setdefault(key, []).append((row, d.value))
            self.units[key] = d.item.unit

    def columns(self) -> Iterator[RawColumn]:
        yield RawColumn("Time", np.array(self.times), "s", ClockKind.NUMBER)
        names = [name for name, _ in self.cells]
        for (name, sender), cells in self.cells.items():
            values = np.full(len(self.times), np.nan)
            rows, numbers = zip(*cells, strict=True)
            values[list(rows)] = numbers
            shown = f"{name} ({sender})" if names.count(name) > 1 else name
            yield RawColumn(shown, values, self.units[name, sender])


def read_candump(path: Path) -> RawTable:
    """Read a capture of the bus: every answer to service 01 becomes a row."""
    file, report, tally, answers = str(path), Report(), Tally(), _Answers()
    senders: dict[tuple[str, str], Reassembly] = {}
    digest = hashlib.sha256()
    with path.open("rb") as handle:
        for number, raw in enumerate(handle, start=1):
            digest.update(raw)
            line = raw.decode("ascii", errors="replace").strip()
            if line:
                _take(line, number, senders, answers, tally, report)
    if not answers.times:
        raise LogError(
            f"{file} holds CAN frames but no answers to SAE J1979 service 01 (ids 7E8 to 7EF or 18DAF1xx): record while a reader "
            "asks for live data."
        )
    _notes(senders, answers, tally, report)
    return RawTable(file, digest.hexdigest(), "candump", list(answers.columns()), report, held=False)


def _take(
    line: str,
    number: int,
    senders: dict[tuple[str, str], Reassembly],
    answers: _Answers,
    tally: Tally,
    report: Report,
) -> None:
    frame = parse_line(line)
    if isinstance(frame, bool):
        report.cannot_read(number, "(whole row)", line)
        return
    if frame is None:
        tally.not_data += 1
        return
    sender = frame.sender
    if sender is None:
        tally.other += 1
        return
    message = senders.setdefault((frame.bus, sender), Reassembly()).feed(frame.data)
    if message is None or message[0] != ANSWER:
        return
    values: list[Decoded] = []
    try:
        values.extend(decode(message))
    except AnswerError:
        report.cannot_read(number, sender, message.hex().upper())
        return
    if values:
        answers.add(frame.time_s, sender, values)
    else:
        tally.undecoded += 1


def _notes(
    senders: dict[tuple[str, str], Reassembly], answers: _Answers, tally: Tally, report: Report
) -> None:
    if answers.times[0] < _FIRST_WALL_CLOCK_S:
        report.assume("The capture counts time from its own start: it has no wall clock.")
    if tally.other:
        report.assume(f"{tally.other} frames are no diagnostic answers: passed over.")
    if tally.not_data:
        report.assume(f"{tally.not_data} lines are remote, error or CAN XL frames: passed over.")
    if tally.undecoded:
        report.assume(f"{tally.undecoded} answers hold parameters that are not decoded: passed over.")
    incomplete = sum(r.incomplete for r in senders.values())
    if incomplete:
        report.assume(f"{incomplete} messages are incomplete (a frame is missing): passed over.")
