"""Whatever is done to a record shows, and the check says what and where.

Expected: the rule that nothing may pass (ours), and for each kind of damage the line that was damaged by hand.
"""

import hashlib
import json
import string
from collections.abc import Callable
from uuid import UUID

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.record.samples import AT, BODIES, BOLT, PART, ledger, small

from coldsoak.errors import InputError
from coldsoak.record import events as of
from coldsoak.record.canonical import canonical
from coldsoak.record.chain import START, link
from coldsoak.record.check import check, intact_part, parse_record
from coldsoak.record.checked import Checked
from coldsoak.record.ledger import Ledger

DATA = small().to_bytes()
LINES = DATA.splitlines(keepends=True)


def said(lines: list[bytes]) -> Checked:
    return check(b"".join(lines), "x.record")


def test_an_untouched_record_is_intact() -> None:
    found = check(DATA, "x.record")
    assert (found.state, found.events, found.intact, found.troubles) == ("signed", 8, 8, ())
    head = small().head
    assert found.sentence == (
        f"x.record is intact and signed by Ana Sorel on 2027-03-31 at 15:05: 8 events of WO-1, hash "
        f"{head[:4]} {head[4:8]} {head[8:12]} {head[12:16]} …."
    )
    assert parse_record(DATA, "x.record") == small()
    assert Checked.from_json(found.to_json()) == found


def test_a_second_reader_finds_the_same_chain() -> None:
    """A second method: json and hashlib of the standard library, on the file alone."""
    previous = START
    for number, line in enumerate(LINES):
        row = json.loads(line)
        entry = row["header" if number == 0 else "event"]
        text = json.dumps(entry, sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode()
        previous = hashlib.sha256(bytes.fromhex(previous) + text).hexdigest()
        assert row["hash"] == previous


@pytest.mark.parametrize("flip", [0x01, 0x02, 0x20, 0x80, 0xFF])
def test_every_byte_that_is_flipped_shows(flip: int) -> None:
    for at in range(len(DATA)):
        damaged = bytearray(DATA)
        damaged[at] ^= flip
        assert not check(bytes(damaged), "x.record").good, f"byte {at} flipped by {flip:#x}"


def classes(data: bytes) -> dict[str, list[int]]:
    """The places of each class of byte in the file: a walk over the text that knows strings from the rest."""
    found: dict[str, list[int]] = {
        name: [] for name in ("structure", "key", "string", "number", "hash", "newline", "word")
    }
    inside, start = False, 0
    for at, byte in enumerate(data):
        char = chr(byte)
        if inside:
            if char == '"':
                inside = False
                kind = "key" if data[at + 1 : at + 2] == b":" else "string"
                body = data[start:at]
                kind = "hash" if len(body) == 64 and set(body) <= set(b"0123456789abcdef") else kind
                found[kind] += range(start, at)
                found["structure"].append(at)
        elif char == '"':
            inside, start = True, at + 1
            found["structure"].append(at)
        elif char == "\n":
            found["newline"].append(at)
        elif char in "{}[],:":
            found["structure"].append(at)
        elif char in "0123456789.-+":
            found["number"].append(at)
        else:
            found["word"].append(at)
    return found


@pytest.mark.parametrize("kind", ["structure", "key", "string", "number", "hash", "newline", "word"])
@given(data=st.data())
@settings(max_examples=150)
def test_every_class_of_byte_that_is_changed_shows(kind: str, data: st.DataObject) -> None:
    """Any other byte in the place of one of the class, among them the nearest of its kind."""
    places = classes(DATA)[kind]
    at = data.draw(st.sampled_from(places))
    near = st.sampled_from([ord(char) for char in string.printable])
    other = data.draw((near | st.integers(0, 255)).filter(lambda byte: byte != DATA[at]))
    assert not check(DATA[:at] + bytes([other]) + DATA[at + 1 :], "x.record").good


@given(st.integers(0, len(DATA)), st.binary(min_size=1, max_size=4))
@settings(max_examples=300)
def test_bytes_put_in_show(at: int, more: bytes) -> None:
    assert not check(DATA[:at] + more + DATA[at:], "x.record").good


@given(st.integers(0, len(DATA) - 1), st.integers(1, 400))
@settings(max_examples=300)
def test_bytes_left_out_show_or_leave_an_open_record(at: int, count: int) -> None:
    """All lines from some line on may be missing: then the signature is, and the record is said to be open."""
    found = check(DATA[:at] + DATA[at + count :], "x.record")
    whole_lines = at + count >= len(DATA) and at in ends()
    assert found.state == ("open" if whole_lines and at > len(LINES[0]) else found.state)
    assert found.state != "signed"
    assert found.good == (whole_lines and at > len(LINES[0]))


def ends() -> set[int]:
    total, found = 0, set()
    for line in LINES:
        total += len(line)
        found.add(total)
    return found


def test_a_record_cut_at_every_length_is_never_signed() -> None:
    for length in range(len(DATA)):
        found = check(DATA[:length], "x.record")
        assert found.state in ("open", "broken", "no_record"), length
        assert found.good == (length in ends() and length > len(LINES[0])), length


def test_what_is_intact_of_a_cut_record_is_not_lost() -> None:
    cut = sum(len(line) for line in LINES[:4]) + 100
    found = check(DATA[:cut], "x.record")
    assert found.sentence == (
        "x.record is not as it was written: in line 5 the file is cut off in the middle of event 4, of which 100 bytes are "
        "left; events 1 to 3 are intact."
    )
    assert intact_part(DATA[:cut]).events == small().events[:3]
    assert check(intact_part(DATA[:cut]).to_bytes(), "y.record").state == "open"


def test_a_missing_last_line_feed_is_said() -> None:
    assert "the line feed after event 8 is missing at the end" in check(DATA[:-1], "x.record").sentence


def edited(line: bytes, old: bytes, new: bytes) -> bytes:
    assert old in line
    return line.replace(old, new)


DAMAGE: dict[str, tuple[Callable[[], list[bytes]], int, str]] = {
    "edited": (
        lambda: [*LINES[:2], edited(LINES[2], b"8.5871", b"9.5871"), *LINES[3:]],
        3,
        "event 2 (torque entered, Ana Sorel) was changed after it was written",
    ),
    "hash edited": (
        lambda: [*LINES[:2], edited(LINES[2], small().hashes[1][:6].encode(), b"000000"), *LINES[3:]],
        3,
        "the hash of event 2 (torque entered, Ana Sorel) was changed after it was written; what the event says is right",
    ),
    "last edited": (
        lambda: [*LINES[:-1], edited(LINES[-1], b"All done", b"Not done")],
        9,
        "event 8 (signed, Ana Sorel) or its hash was changed after it was written",
    ),
    "spaces": (
        lambda: [*LINES[:3], LINES[3].replace(b',"', b', "'), *LINES[4:]],
        4,
        "event 3 (part used, Ana Sorel) was changed after it was written: its spaces, order or spelling were changed",
    ),
    "no json": (
        lambda: [*LINES[:3], b"not a line\n", *LINES[4:]],
        4,
        "event 3 was changed after it was written: it is no JSON any more",
    ),
    "empty line": (
        lambda: [*LINES[:3], b"\n", *LINES[3:]],
        4,
        "event 3 was changed after it was written: it is empty",
    ),
    "dropped": (lambda: [*LINES[:3], *LINES[4:]], 4, "event 3 is missing before it"),
    "two dropped": (lambda: [*LINES[:2], *LINES[4:]], 3, "events 2 and 3 are missing before it"),
    "doubled": (
        lambda: [*LINES[:4], LINES[3], *LINES[4:]],
        5,
        "event 3 (part used, Ana Sorel) stands there twice, first in line 4",
    ),
    "swapped": (
        lambda: [*LINES[:3], LINES[4], LINES[3], *LINES[5:]],
        4,
        "the order was changed: event 3 is in line 5, after event 4",
    ),
    "header": (
        lambda: [edited(LINES[0], b'"coldsoak"', b'"coldsoaq"'), *LINES[1:]],
        1,
        "the header was changed after it was written",
    ),
    "number": (
        lambda: [*LINES[:2], edited(LINES[2], b'"seq":2', b'"seq":5'), *LINES[3:]],
        3,
        "was changed after it was written: the number 5 of the event is not the one it had",
    ),
}


@pytest.mark.parametrize("name", DAMAGE)
def test_the_check_says_what_was_done_and_where(name: str) -> None:
    make, line, words = DAMAGE[name]
    found = said(make())
    assert found.state == "broken"
    assert found.troubles[0].line == line
    assert words in found.sentence
    assert f"in line {line} " in found.sentence
    assert len(found.sentence.splitlines()) == 1


def test_one_edit_leaves_the_rest_unbroken_and_says_so() -> None:
    found = said(DAMAGE["edited"][0]())
    assert len(found.troubles) == 1
    assert found.sentence.endswith(
        "; event 1 is intact, and the 6 events after line 3 follow one another unbroken."
    )


@pytest.mark.parametrize("at", range(3, 9))
def test_the_end_of_another_record_does_not_fit(at: int) -> None:
    """Two jobs of one shop, each intact: the head of one and the tail of the other are no record."""
    other = ledger(PART, BOLT, BOLT, PART, BOLT, PART).to_bytes().splitlines(keepends=True)
    assert check(b"".join(other), "y.record").good
    assert len(other) == len(LINES)
    for first, second in ((LINES, other), (other, LINES)):
        found = said([*first[:at], *second[at:]])
        assert found.state == "broken"
        assert found.troubles[0].line == at + 1


def test_an_event_put_in_with_hashes_made_anew_does_not_pass_the_paper() -> None:
    """Who makes all hashes anew leaves no trace in the file; the hash on the paper is what remains."""
    forged = ledger(BOLT, PART, PART.model_copy(update={"count": 9}))
    head = small().head
    assert check(forged.to_bytes(), "x.record").good
    found = check(forged.to_bytes(), "x.record", head[:8])
    assert found.state == "other"
    assert "not the one on the paper" in found.sentence


def test_the_hash_on_the_paper() -> None:
    made = small()
    grouped = " ".join(made.head[at : at + 4].upper() for at in range(0, 16, 4))
    for typed in (made.head, made.head[:8], grouped):
        assert check(DATA, "x.record", typed).sentence.endswith(", the one on the paper.")
    grown = made.add(of.Note(text="paid"), at=AT, by="Ana Sorel", id=UUID(int=77))
    found = check(grown.to_bytes(), "x.record", made.head[:8])
    assert found.good
    assert "the paper is of event 8, and 1 event came after it" in found.sentence


@pytest.mark.parametrize(
    ("typed", "words"), [("1234567", "too short"), ("lamp", "is no hash"), ("12" * 33, "is no hash")]
)
def test_what_is_no_hash_is_refused(typed: str, words: str) -> None:
    with pytest.raises(InputError, match=words):
        check(DATA, "x.record", typed)


def test_an_open_record_is_said_to_be_open() -> None:
    found = check(ledger(BOLT, sign=False).to_bytes(), "x.record")
    assert found.state == "open"
    assert "not signed now, so events dropped at its end would not show" in found.sentence


def test_a_signature_for_another_record_shows() -> None:
    made = ledger(BOLT, sign=False)
    wrong = of.Signed(person="Ana Sorel", statement="x", count=1, head=made.hashes[0])
    found = check(made.add(wrong, at=AT, by="Ana Sorel", id=UUID(int=9)).to_bytes(), "x.record")
    assert "the signature in event 3 is for another record than the events before it" in found.sentence


def test_an_id_that_is_there_twice_shows() -> None:
    made = ledger(BOLT, sign=False)
    row = {**made.events[1].to_dict(), "seq": 3}
    own = link(made.head, row)
    found = check(made.to_bytes() + canonical({"event": row, "hash": own}) + b"\n", "x.record")
    assert "event 3 has the id of event 2: one entry was written twice" in found.sentence


def with_event(body: dict[str, object]) -> bytes:
    made = ledger(BOLT, sign=False)
    row = {"seq": 3, "at": AT, "by": "Ana", "id": str(UUID(int=44)), "body": body}
    return made.to_bytes() + canonical({"event": row, "hash": link(made.head, row)}) + b"\n"


def test_what_a_newer_program_wrote_is_said_and_kept() -> None:
    newer = check(LINES[0].replace(b"record/1", b"record/2") + b"".join(LINES[1:]), "x.record")
    assert newer.state == "newer"
    assert newer.sentence == (
        "x.record was written by a newer version of coldsoak (coldsoak.record/2; this one knows coldsoak.record/1): update "
        "it and check again; its 8 events stay as they are."
    )
    kind = check(with_event({"kind": "blessed", "by": "Ana"}), "x.record")
    assert kind.state == "newer"
    assert "event 3 is of the kind 'blessed', which this version of coldsoak does not know" in kind.sentence
    field = check(with_event({"kind": "note", "text": "x", "colour": "red"}), "x.record")
    assert field.state == "newer"
    assert "holds 'body.note.colour', which this version of coldsoak does not know" in field.sentence
    assert (kind.intact, field.intact) == (2, 2)


def test_what_an_event_cannot_hold_is_said() -> None:
    found = check(with_event({"kind": "note", "text": ""}), "x.record")
    assert found.state == "broken"
    assert "event 3 cannot hold what stands in body.note.text" in found.sentence


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "is empty: there is no record in it"),
        (b"hello\n", "is no record: line 1 should be the header of a coldsoak.record/1"),
        (b'{"schema":"coldsoak.judgement/1"}\n', "is no record"),
        (b"\x00\xff" * 50, "is no record"),
        (b"[]\n[]\n", "is no record"),
        (b'{"header":[],"hash":1}\n', "is no record"),
        (b"[" * 100_000 + b"\n", "is no record"),
        (LINES[0], "has every hash right, but there is no event in this job"),
    ],
)
def test_what_is_no_record_is_one_sentence(data: bytes, words: str) -> None:
    found = check(data, "x.record")
    assert not found.good
    assert words in found.sentence
    assert len(found.sentence.splitlines()) == 1


@pytest.mark.parametrize(
    "data",
    [DATA.replace(b"\n", b"\r\n"), b"\xef\xbb\xbf" + DATA, b"\xef\xbb\xbf" + DATA.replace(b"\n", b"\r\n")],
)
def test_a_converted_record_is_told_from_an_edited_one(data: bytes) -> None:
    found = check(data, "x.record")
    assert not found.good
    assert (
        "its line ends or first bytes were changed, as mail programs and editors do, and nothing else"
        in found.sentence
    )


@given(st.lists(st.sampled_from(sorted(set(BODIES) - {"opened", "undone", "signed"})), max_size=4), st.data())
@settings(max_examples=40, deadline=None)
def test_any_record_is_read_back_equal(names: list[str], data: st.DataObject) -> None:
    made: Ledger = ledger(*(data.draw(BODIES[name]) for name in names))
    assert parse_record(made.to_bytes(), "x") == made
    assert parse_record(made.to_bytes(), "x").to_bytes() == made.to_bytes()


def test_a_header_that_leaves_something_out_shows() -> None:
    """It would not be written back with the same bytes."""
    header = {"schema": "coldsoak.record/1", "program": "other", "version": "9"}
    data = canonical({"hash": link(START, header), "header": header}) + b"\n"
    assert "the header leaves out what every header says" in check(data, "x.record").sentence
