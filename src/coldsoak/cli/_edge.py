"""The one place where an error becomes a sentence on the terminal and an exit status.

| exit status | meaning |
|---|---|
| 0 | done |
| 1 | the reader of our output went away |
| 2 | what was typed or handed in cannot be used; the sentence says what to do |
| 3 | a fault of this program |
| 130 | stopped from the keyboard |
"""

import os
import sys
from collections.abc import Sequence
from pathlib import Path

import click

from coldsoak.errors import ColdsoakError

DONE = 0
UNREAD = 1
UNUSABLE = 2
OUR_FAULT = 3
STOPPED = 130

DEBUG = "COLDSOAK_DEBUG"


def run(command: click.Command, arguments: Sequence[str]) -> int:
    """Run a command and return its exit status; whatever goes wrong ends in one sentence on standard error.

    A command may return its own exit status; one that returns nothing has done its work. With the environment variable
    COLDSOAK_DEBUG=1 errors keep their traceback.
    """
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):  # a terminal that knows no degree sign shows a question mark
            stream.reconfigure(errors="replace")
    try:
        status = command.main(list(arguments), prog_name="coldsoak", standalone_mode=False)
        sys.stdout.flush()
    except click.exceptions.NoArgsIsHelpError as asked:  # nothing was typed: the help, as --help prints it
        click.echo(asked.format_message(), err=True)
        return UNUSABLE
    except click.exceptions.Abort:
        return _say("stopped.", STOPPED)
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return UNREAD
    except Exception as error:
        if os.environ.get(DEBUG):
            raise
        return complain(error)
    return status if isinstance(status, int) else DONE


def complain(error: Exception) -> int:
    """Say on standard error what is wrong with one of several files, and return the exit status it means."""
    return _say(*_sentence(error))


def _sentence(error: Exception) -> tuple[str, int]:
    """What to say of an error, and the exit status it means."""
    if isinstance(error, click.UsageError):
        path = error.ctx.command_path if error.ctx else "coldsoak"
        return f"{_tidy(error.format_message())} See `{path} --help`.", UNUSABLE
    if isinstance(error, click.ClickException):
        return _tidy(error.format_message()), UNUSABLE
    if isinstance(error, ColdsoakError):
        return _tidy(str(error)), UNUSABLE
    if isinstance(error, OSError):
        return _file_sentence(error), UNUSABLE
    sentence = (
        f"this is a fault of the program ({type(error).__name__}: {error}): run the same command again with "
        f"{DEBUG}=1 before it and send what it prints to the people who keep coldsoak."
    )
    return sentence, OUR_FAULT


def output_sentence(path: Path, error: OSError) -> str:
    """What is wrong with a file that was to be written, in words."""
    if isinstance(error, PermissionError):
        return f"{path} may not be written with your permissions: name a file in a folder of your own."
    if isinstance(error, FileNotFoundError | FileExistsError | IsADirectoryError | NotADirectoryError):
        return _file_sentence(type(error)(error.errno, error.strerror, str(path)))
    return f"{path} cannot be written ({error.strerror or error}): free space or name another place, and try again."


def _file_sentence(error: OSError) -> str:
    """What is wrong with a file or folder, in words."""
    name = error.filename or "the file"
    if isinstance(error, FileNotFoundError):
        folder = Path(os.fsdecode(name)).absolute().parent
        at_fault, mend = (
            (name, "and the folder") if folder.is_dir() else (f"the folder {folder}", "or make it")
        )
        return f"{at_fault} is not there: check the spelling {mend}."
    if isinstance(error, IsADirectoryError):
        return f"{name} is a folder: name a file in it."
    if isinstance(error, NotADirectoryError):
        return f"{name} lies below something that is not a folder: check the path."
    if isinstance(error, PermissionError):
        return f"{name} may not be opened with your permissions: ask its owner, or copy it to a folder of your own."
    if isinstance(error, FileExistsError):
        return f"{name} is there already: choose another name, or move it away."
    return f"{name} could not be used ({error.strerror or error}): free space or choose another place, and try again."


def _tidy(message: str) -> str:
    """One line that ends like a sentence."""
    line = " ".join(message.split())
    return line if line.endswith((".", "?", "!")) else line + "."


def _say(sentence: str, status: int) -> int:
    click.echo(f"coldsoak: {sentence}", err=True)
    return status
