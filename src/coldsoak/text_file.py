"""Read a file that has to be text."""

from pathlib import Path

from coldsoak.errors import InputError


def read_text(path: Path) -> str:
    """Return the text of a UTF-8 file; one that holds something else is refused by its name.

    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as folder:
    ...     _ = (Path(folder) / "a.toml").write_bytes(b"prior = 0.5")
    ...     read_text(Path(folder) / "a.toml")
    'prior = 0.5'
    """
    try:
        return path.read_text("utf-8-sig")
    except UnicodeDecodeError as problem:
        raise InputError(
            f"{path} is no text in UTF-8 (byte {problem.start + 1}): name a text file, or save it as UTF-8."
        ) from None
