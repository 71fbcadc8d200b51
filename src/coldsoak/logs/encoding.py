"""Bytes to text: which encoding a log was written in, and whether it is text at all."""

import codecs
import json

from coldsoak.errors import LogError

_BOMS = ((codecs.BOM_UTF8, "utf-8"), (codecs.BOM_UTF16_LE, "utf-16-le"), (codecs.BOM_UTF16_BE, "utf-16-be"))
_CONTROL = bytes(b for b in range(32) if b not in (9, 10, 11, 12, 13, 26)) + b"\x7f"

_PACKED = ("a packed file of a kind that is not opened here", "unpack it and read what is in it")
_KNOWN_OTHERS = (
    (
        b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1",
        "a spreadsheet or another office file",
        "save the sheet with the log as CSV and read that",
    ),
    (b"%PDF-", "a document (PDF)", "export the log from the logger as CSV and read that"),
    (b"7z\xbc\xaf\x27\x1c", *_PACKED),
    (b"Rar!\x1a\x07", *_PACKED),
    (b"\xfd7zXZ\0", *_PACKED),
    (b"BZh91AY&SY", *_PACKED),
    (b"\x28\xb5\x2f\xfd", *_PACKED),
)


def encoding_of(head: bytes) -> tuple[str, int]:
    """Return the encoding of a text that begins with `head`, and the length of its byte order mark.

    >>> encoding_of(b"\\xef\\xbb\\xbfTime"), encoding_of("Öl".encode("latin-1")), encoding_of(b"T\\0i\\0m\\0e\\0")
    (('utf-8', 3), ('cp1252', 0), ('utf-16-le', 0))
    """
    for mark, name in _BOMS:
        if head.startswith(mark):
            return name, len(mark)
    pairs = min(len(head.rstrip(b"\0")), 4096) // 2  # a tail of zero bytes says nothing
    if pairs >= 2:
        if head[1 : 2 * pairs : 2].count(0) > 0.9 * pairs:
            return "utf-16-le", 0
        if head[0 : 2 * pairs : 2].count(0) > 0.9 * pairs:
            return "utf-16-be", 0
    try:
        codecs.utf_8_decode(head, "strict", False)  # the head may end inside a character
    except UnicodeDecodeError:
        return "cp1252", 0
    return "utf-8", 0


def decode(data: bytes, encoding: str) -> str:
    """Decode bytes; a byte that the encoding does not know becomes U+FFFD rather than an error."""
    return data.decode(encoding, errors="replace")


def refuse_other_files(head: bytes, file: str) -> None:
    """Raise LogError for a file that is plainly no table of text."""
    if not head.strip(b"\0 \t\r\n"):
        raise LogError(f"{file} is empty: choose the file your logger wrote.")
    for magic, kind, rescue in _KNOWN_OTHERS:
        if head.startswith(magic):
            raise LogError(f"{file} is {kind}: {rescue}.")
    body = head.removeprefix(codecs.BOM_UTF8).rstrip(b"\0")
    if encoding_of(head)[0].startswith("utf-16"):
        return
    control = len(body) - len(body.translate(None, _CONTROL))
    if control > max(2, 0.002 * len(body)):
        raise LogError(
            f"{file} is binary and of no known log format: export it from the logger as CSV and read that."
        )
    start = body.lstrip()[:1]
    if start in (b"{", b"["):
        try:
            json.JSONDecoder().raw_decode(body.decode("utf-8", errors="replace").lstrip())
        except json.JSONDecodeError as problem:
            if problem.pos < len(body) - 100 and problem.pos < 20:
                return
        raise LogError(f"{file} holds JSON, not a table: export it from the logger as CSV and read that.")
    if start == b"<":
        raise LogError(f"{file} holds markup, not a table: export it from the logger as CSV and read that.")
