"""The one place through which a command writes a file: never over what it reads, and whole or not at all."""

import os
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import click

from coldsoak.cli._edge import output_sentence
from coldsoak.errors import InputError
from coldsoak.whole_file import whole_file


class OutFile(click.Path):
    """The type of an option that names a file to write; its ending says what it will hold."""

    def __init__(self, *endings: str) -> None:
        super().__init__(path_type=Path, dir_okay=False)
        self.endings = endings

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """Return the path; one that ends otherwise is refused, as it is likely a file of somebody's own."""
        path = Path(os.fsdecode(super().convert(value, param, ctx)))
        if path.suffix.casefold() not in self.endings and not _is_stream(path):
            option = param.opts[0] if param is not None else "this option"
            wanted = " or ".join(self.endings)
            raise InputError(
                f"{option} writes a file that ends in {wanted}, and {path} does not: name the new file right after "
                f"{option}, as in {option} out{self.endings[0]}. Nothing was written."
            )
        return path


def _is_stream(path: Path) -> bool:
    """Whether it is a pipe or a device, which has no ending."""
    return path.exists() and not path.is_file() and not path.is_dir()


@contextmanager
def output(path: Path, also_read: Iterable[Path | None] = ()) -> Iterator[Path]:
    """Give a new path to write to, which takes the place of `path` when it is whole.

    What the command of this moment was given to read is never written over, whatever name or link it goes by; nor is
    what it found by itself, `also_read`. Only the writing belongs inside: whatever fails there is said of `path`.
    """
    for one in (*_given(), *also_read):
        if one is not None and path.exists() and one.exists() and path.samefile(one):
            raise InputError(
                f"{path} is what this command reads, and is kept: name another file to write to."
                if path == one
                else f"{path} is the same file as {one}, which this command reads, and is kept: name another file to "
                "write to."
            )
    with writing(path), whole_file(path) as new:
        yield new


@contextmanager
def writing(path: Path) -> Iterator[None]:
    """Say of a file that cannot be written which it is and what to do."""
    try:
        yield
    except OSError as problem:
        raise InputError(output_sentence(path, problem)) from problem


def _given() -> Iterator[Path]:
    """Every path that the command of this moment was given, but for those that it writes."""
    context = click.get_current_context(silent=True)
    if context is None:
        return
    for parameter in context.command.params:
        value = context.params.get(parameter.name or "")
        if not isinstance(parameter.type, OutFile):
            for one in value if isinstance(value, tuple) else (value,):
                if isinstance(one, Path) and not one.is_dir():
                    yield one
