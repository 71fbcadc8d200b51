"""Write a file whole or not at all: beside its place first, then into it in one step."""

import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


@contextmanager
def whole_file(path: Path) -> Iterator[Path]:
    """Give a new path beside `path` to write to, and put what was written there in the place of `path` afterwards.

    Whatever fails leaves the old file as it was, and an OSError names `path`. It keeps its permissions; a link stays one,
    and what it points to is replaced. What is no plain file, as a pipe or /dev/stdout, is written to directly.

    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as folder:
    ...     with whole_file(Path(folder) / "a.txt") as new:
    ...         _ = new.write_text("whole")
    ...     (Path(folder) / "a.txt").read_text()
    'whole'
    """
    try:
        place = path.resolve()
        if path.is_dir():
            raise IsADirectoryError(21, "Is a directory")
        if path.exists() and not path.is_file():
            yield path
            return
        old = place.stat() if place.exists() else None
        if old is not None and not os.access(place, os.W_OK):
            raise PermissionError(13, "Permission denied")
        new = place.with_name(f".{secrets.token_hex(6)}.new{place.suffix}")
        try:
            with new.open("xb"):
                pass
            yield new
            if old is not None:
                new.chmod(old.st_mode & 0o7777)
            with new.open("r+b") as out:
                os.fsync(out.fileno())
            new.replace(place)
        except BaseException:
            new.unlink(missing_ok=True)
            raise
        sync_folder(place.parent)
    except OSError as problem:
        problem.filename, problem.filename2 = str(path), None
        raise


def sync_folder(folder: Path) -> None:
    """Force a folder's list of names to the disk, where the platform can."""
    try:
        handle = os.open(folder, os.O_RDONLY)
    except PermissionError:  # Windows opens no folders; its renames are on the disk when they return
        return
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
