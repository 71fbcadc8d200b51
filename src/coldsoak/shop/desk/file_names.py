"""Files by the names that people know, where a sentence has the place at which they are kept."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from coldsoak.errors import InputError


@contextmanager
def by_name(files: Mapping[Path, str]) -> Iterator[None]:
    """Let every refusal inside name the files as people do; `files` are names by place.

    >>> with by_name({Path("/data/blobs/ab/ab12"): "drive.csv"}):
    ...     raise InputError("/data/blobs/ab/ab12 has no clock.")
    Traceback (most recent call last):
    coldsoak.errors.InputError: drive.csv has no clock.
    """
    try:
        yield
    except InputError as error:
        said = str(error)
        for path, name in files.items():
            said = said.replace(str(path), name)
        if said != str(error):
            error.args = (said,)
        raise
