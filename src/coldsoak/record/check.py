"""Check a record: is it as it was written, and if not, what was done to it and where?"""

import re
from collections.abc import Sequence
from pathlib import Path

from coldsoak.errors import InputError
from coldsoak.record import check_words as words
from coldsoak.record.checked import Checked, State, Trouble
from coldsoak.record.contents import NEWER, contents
from coldsoak.record.follow import follow
from coldsoak.record.ledger import Ledger
from coldsoak.record.lines import Line, read_line, read_lines

SHORTEST_HASH = 8
LARGEST_BYTES = 500_000_000
_SCHEMA = re.compile(r"coldsoak\.record/(\d{1,6})", re.ASCII)


def check(data: bytes, file: str, paper: str | None = None) -> Checked:
    """Check the bytes of a record; `paper` is the hash on the hand-over, or at least its first 8 digits."""
    return _look(data, file, paper)[0]


def read_record(path: Path) -> Ledger:
    """Read a record that is intact, or raise the one sentence that says what is wrong with it."""
    return parse_record(read_bytes(path), path.name)


def parse_record(data: bytes, file: str) -> Ledger:
    """Read the bytes of a record that is intact, or raise the one sentence that says what is wrong with it."""
    checked, ledger = _look(data, file, None)
    if not checked.good:
        raise InputError(checked.sentence)
    return ledger


def intact_part(data: bytes) -> Ledger:
    """Return the events from the first on that are intact, as a record of their own; nothing is guessed."""
    return _look(data, "", None)[1]


def read_bytes(path: Path) -> bytes:
    """Return the bytes of a file that may be a record."""
    if path.stat().st_size > LARGEST_BYTES:
        raise InputError(f"{path.name} is too large to be a record: name the right file.")
    return path.read_bytes()


def _look(data: bytes, file: str, paper: str | None) -> tuple[Checked, Ledger]:
    """What the check says, and the events that are intact."""
    digits = _digits(paper)
    lines, rest = read_lines(data)
    other = _other_file(lines, rest, file)
    if other is not None:
        return other, Ledger()
    troubles = follow(lines[0], lines[1:]) if lines else []
    if rest:
        troubles.append(_cut(len(lines) + 1, rest))
    ledger, unread = contents(lines, min((one.line for one in troubles if one.line > 1), default=None))
    troubles += unread
    troubles.sort(key=lambda one: one.line)
    job = no_job = None
    if not troubles:
        try:
            job = ledger.fold()
        except InputError as problem:
            no_job = str(problem)
            troubles.append(Trouble(line=1, what=no_job.rstrip(".")))
    state: State = "newer" if troubles and all(one.what.endswith(NEWER) for one in troubles) else "broken"
    if job is not None:
        state = "signed" if job.signed is not None else "open"
    count = max(0, len(lines) - 1)
    if job is not None:
        sentence = words.good(file, job)
    elif no_job is not None:
        sentence = words.no_job(file, no_job)
    else:
        sentence = words.bad(file, troubles, len(ledger.events), count)
    checked = Checked(
        file=file,
        state=state,
        sentence=sentence,
        events=count,
        intact=len(ledger.events),
        head=lines[len(ledger.events)].hash if ledger.events else None,
        troubles=tuple(troubles),
    )
    if job is None and _line_ends(data, file):
        return checked.model_copy(update={"sentence": words.line_ends(file)}), ledger
    if job is not None and digits is not None:
        return words.against_paper(checked, digits, ledger.hashes), ledger
    return checked, ledger


def _cut(number: int, rest: bytes) -> Trouble:
    event = number - 1
    where = f"event {event}" if event else "the header"
    if read_line(number, rest).problem is None:
        return Trouble(
            line=number, event=event or None, what=f"the line feed after {where} is missing at the end"
        )
    what = f"the file is cut off in the middle of {where}, of which {len(rest)} bytes are left"
    return Trouble(line=number, event=event or None, what=what)


def _other_file(lines: Sequence[Line], rest: bytes, file: str) -> Checked | None:
    """What to say of a file that is no record, or one of a newer schema."""
    if not lines and not rest:
        return Checked(file=file, state="no_record", sentence=f"{file} is empty: there is no record in it.")
    first = lines[0] if lines else read_line(1, rest)
    schema = first.entry.get("schema") if first.entry is not None else None
    version = _SCHEMA.fullmatch(schema) if isinstance(schema, str) else None
    if version is not None and int(version[1]) > 1:
        return Checked(file=file, state="newer", sentence=words.newer(file, str(schema), len(lines) - 1))
    if version is not None or any(one.entry is not None for one in lines[1:]):
        return None
    if not lines and rest.startswith(b'{"hash":"'):
        return None
    return Checked(file=file, state="no_record", sentence=words.no_record(file, first))


def _digits(paper: str | None) -> str | None:
    """The hash as typed from paper: blanks between groups and capitals do not matter."""
    if paper is None:
        return None
    digits = re.sub(r"[\s:-]", "", paper).lower()
    if not re.fullmatch(r"[0-9a-f]{1,64}", digits, re.ASCII):
        raise InputError(
            f"{paper!r} is no hash: type the digits 0 to 9 and letters a to f that the paper shows."
        )
    if len(digits) < SHORTEST_HASH:
        raise InputError(
            f"{paper!r} is too short: type at least the first {SHORTEST_HASH} digits of the hash."
        )
    return digits


def _line_ends(data: bytes, file: str) -> bool:
    """Whether the record is right but for its line ends or a mark before it, as mail programs and editors leave them."""
    plain = data.removeprefix(b"\xef\xbb\xbf").replace(b"\r\n", b"\n")
    return plain != data and check(plain, file).good
