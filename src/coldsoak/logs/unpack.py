"""One log in a gzip or zip file, unpacked for as long as it is read and never beyond a limit (OWASP ASVS 5.0, 5.2.3)."""

import gzip
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import BinaryIO, cast

from coldsoak.errors import LogError

MOST_BYTES = 1 << 30
"""Eight hours at ten rows a second with a hundred channels are about a fifth of it as text."""

_GZIP = b"\x1f\x8b"
_ZIP = (b"PK\x03\x04", b"PK\x05\x06")
_SHEETS = {"xl/workbook.xml", "xl/workbook.bin", "content.xml"}
_LOCKED = 0x1
_STEP = 1 << 20


def is_packed(head: bytes) -> bool:
    """Say whether a file that begins with `head` is a gzip or zip file.

    >>> is_packed(gzip.compress(b"Time")), is_packed(b"Time,RPM")
    (True, False)
    """
    return head.startswith((_GZIP, *_ZIP))


@contextmanager
def unpacked(path: Path) -> Iterator[tuple[Path, str]]:
    """Give the one file that `path` holds, unpacked until the end of the block, and its name where there is one."""
    with TemporaryDirectory(prefix="coldsoak-", ignore_cleanup_errors=True) as folder:
        inner = Path(folder) / "log"
        try:
            name = _unpack(path, inner)
        except (
            OSError,
            EOFError,
            zlib.error,
            zipfile.BadZipFile,
            NotImplementedError,
            RuntimeError,
        ) as problem:
            if isinstance(problem, OSError) and problem.errno is not None:  # the disk, not the file
                raise
            raise LogError(
                f"{path} is a packed file that is damaged or breaks off ({problem}): copy it from the logger again."
            ) from problem
        with inner.open("rb") as handle:
            if is_packed(handle.read(8)):
                raise LogError(f"{path} holds another packed file: unpack it once and read what is in it.")
        yield inner, name


def _unpack(path: Path, inner: Path) -> str:
    with path.open("rb") as handle:
        zipped = handle.read(4).startswith(_ZIP)
    if not zipped:
        with gzip.open(path) as source:
            _copy(cast("BinaryIO", source), inner, path)
        return ""
    with zipfile.ZipFile(path) as archive:
        member = _only_member(archive, path)
        if member.file_size > MOST_BYTES:
            raise _too_large(path)
        with archive.open(member) as source:
            _copy(cast("BinaryIO", source), inner, path)
        return member.filename


def _only_member(archive: zipfile.ZipFile, path: Path) -> zipfile.ZipInfo:
    names = archive.namelist()
    if not _SHEETS.isdisjoint(names):
        raise LogError(f"{path} is a spreadsheet: save the sheet that holds the log as CSV and read that.")
    members = [
        m
        for m in archive.infolist()
        if not m.is_dir()
        and not m.filename.startswith("__MACOSX/")
        and not Path(m.filename).name.startswith(".")
    ]
    if not members:
        raise LogError(f"{path} is a packed file with nothing in it: pack the log again.")
    if len(members) > 1:
        shown = ", ".join(repr(m.filename) for m in members[:3]) + (", …" if len(members) > 3 else "")
        raise LogError(f"{path} holds {len(members)} files ({shown}): unpack it and name the one to read.")
    if members[0].flag_bits & _LOCKED:
        raise LogError(f"{path} is locked with a password: unpack it and read what is in it.")
    return members[0]


def _copy(source: BinaryIO, inner: Path, path: Path) -> None:
    """Copy what unpacks, whatever the file says of its size."""
    written = 0
    with inner.open("wb") as out:
        while step := source.read(_STEP):
            written += len(step)
            if written > MOST_BYTES:
                raise _too_large(path)
            out.write(step)


def _too_large(path: Path) -> LogError:
    return LogError(
        f"{path} would unpack to more than the {MOST_BYTES / 1e9:.1f} GB that are read: export a shorter stretch or fewer channels."
    )
