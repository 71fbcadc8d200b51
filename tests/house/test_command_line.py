"""The edge: whatever goes wrong ends in one sentence on standard error and an exit status that says whose fault it was."""

import ast
import subprocess
import sys
from pathlib import Path

import click
import pytest

from coldsoak.cli import _edge
from coldsoak.cli._lazy import Entry, LazyGroup
from coldsoak.cli.main import COMMANDS, coldsoak
from coldsoak.errors import LogError

PROGRAM = Path(sys.executable).with_name("coldsoak")

OUR_FAULT_SENTENCE = (
    "this is a fault of the program (ZeroDivisionError: division by zero): run the same command again with "
    "COLDSOAK_DEBUG=1 before it and send what it prints to the people who keep coldsoak."
)


def failing(error: BaseException) -> click.Command:
    @click.command()
    def command() -> None:
        raise error

    return command


@pytest.mark.parametrize(
    ("error", "status", "sentence"),
    [
        (LogError("drive.csv holds no row"), 2, "drive.csv holds no row."),
        (LogError("two\nlines?"), 2, "two lines?"),
        (
            FileNotFoundError(2, "No such file", "drive.csv"),
            2,
            "drive.csv is not there: check the spelling and the folder.",
        ),
        (IsADirectoryError(21, "Is a directory", "logs"), 2, "logs is a folder: name a file in it."),
        (
            NotADirectoryError(20, "Not a directory", "a/b"),
            2,
            "a/b lies below something that is not a folder: check the path.",
        ),
        (
            PermissionError(13, "Permission denied", "drive.csv"),
            2,
            "drive.csv may not be opened with your permissions: ask its owner, or copy it to a folder of your own.",
        ),
        (
            FileExistsError(17, "File exists", "out"),
            2,
            "out is there already: choose another name, or move it away.",
        ),
        (
            OSError(28, "No space left on device", "out.csv"),
            2,
            "out.csv could not be used (No space left on device): free space or choose another place, and try again.",
        ),
        (
            ZeroDivisionError("division by zero"),
            3,
            OUR_FAULT_SENTENCE,
        ),
        (KeyboardInterrupt(), 130, "stopped."),
    ],
    ids=lambda value: type(value).__name__ if isinstance(value, BaseException) else "",
)
def test_an_error_becomes_one_sentence(
    error: BaseException,
    status: int,
    sentence: str,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.delenv("COLDSOAK_DEBUG", raising=False)
    assert _edge.run(failing(error), []) == status
    captured = capsys.readouterr()
    assert captured.err.strip() == f"coldsoak: {sentence}"
    assert captured.out == ""


def test_debug_keeps_the_traceback(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLDSOAK_DEBUG", "1")
    with pytest.raises(ZeroDivisionError, match="division by zero"):
        _edge.run(failing(ZeroDivisionError("division by zero")), [])


@pytest.mark.parametrize(("returned", "status"), [(None, 0), (0, 0), (2, 2)])
def test_a_command_may_return_its_status(returned: int | None, status: int) -> None:
    assert _edge.run(click.command("x")(lambda: returned), []) == status


def test_a_command_may_leave_by_click(capsys: pytest.CaptureFixture[str]) -> None:
    """The click documentation: `ctx.exit(code)` ends a command with that status."""
    command = click.command("x")(click.pass_context(lambda context: context.exit(2)))
    assert _edge.run(command, []) == 2
    assert capsys.readouterr().err == ""


def test_an_unknown_command_names_the_nearest(capsys: pytest.CaptureFixture[str]) -> None:
    assert _edge.run(coldsoak, ["jugde"]) == 2
    assert capsys.readouterr().err == (
        "coldsoak: there is no command `jugde`: did you mean `judge`? See `coldsoak --help`.\n"
    )


def test_an_unknown_command_names_them_all(capsys: pytest.CaptureFixture[str]) -> None:
    @click.group(cls=LazyGroup, entries={"judge": Entry("a:b", ""), "log": Entry("c:d", "")})
    def group() -> None:
        """Two commands."""

    assert _edge.run(group, ["xyz"]) == 2
    assert capsys.readouterr().err == (
        "coldsoak: there is no command `xyz`: there are judge, log. See `coldsoak --help`.\n"
    )


def test_an_unknown_option_is_one_sentence(capsys: pytest.CaptureFixture[str]) -> None:
    assert _edge.run(coldsoak, ["--loud"]) == 2
    err = capsys.readouterr().err
    assert len(err.splitlines()) == 1
    assert "--loud" in err
    assert err.endswith("See `coldsoak --help`.\n")


@pytest.mark.parametrize("name", COMMANDS)
def test_every_line_of_the_table_leads_to_a_command(name: str) -> None:
    """A line of an 80-column terminal holds a summary; the command says more."""
    command = coldsoak.get_command(click.Context(coldsoak), name)
    assert isinstance(command, click.Command)
    assert command.help
    assert len(COMMANDS[name].summary) <= 64
    assert COMMANDS[name].summary.endswith(".")


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_help_and_refuses_a_missing_file(name: str) -> None:
    done = subprocess.run([PROGRAM, name, "--help"], capture_output=True, text=True, check=True)
    assert f"coldsoak {name}" in done.stdout
    done = subprocess.run(
        [PROGRAM, name, "no/such/file.csv", "--no-such-option"], capture_output=True, text=True, check=False
    )
    assert done.returncode == 2
    assert len(done.stderr.splitlines()) == 1


@pytest.mark.parametrize("name", ["log", "judge"])
@pytest.mark.parametrize("what", ["missing", "folder", "empty", "binary"])
def test_a_file_that_cannot_be_read_is_one_sentence_and_status_2(
    name: str, what: str, tmp_path: Path
) -> None:
    path = tmp_path / what
    if what == "folder":
        path.mkdir()
    elif what == "empty":
        path.touch()
    elif what == "binary":
        path.write_bytes(bytes(range(256)) * 8)
    done = subprocess.run([PROGRAM, name, path], capture_output=True, text=True, check=False)
    assert done.returncode == 2, done.stderr
    assert len(done.stderr.splitlines()) == 1, done.stderr
    assert what in done.stderr


def test_a_reader_that_goes_away_is_no_error() -> None:
    """As in `coldsoak --help | head -0`: the pipe is closed before anything is written (POSIX write, EPIPE)."""
    script = (
        "import click, sys\n"
        "from coldsoak.cli._edge import run\n"
        "command = click.command('x')(lambda: [print('x' * 100) for _ in range(5000)] and None)\n"
        "sys.exit(run(command, []))\n"
    )
    with subprocess.Popen(
        [sys.executable, "-c", script], stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as program:
        assert program.stdout is not None
        assert program.stderr is not None
        program.stdout.close()
        assert program.stderr.read() == b""
    assert program.returncode == 1


@pytest.mark.parametrize("typed", [[], ["fill"], ["record"]])
def test_a_command_alone_prints_its_help_as_help_does(
    typed: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert _edge.run(coldsoak, [*typed, "--help"]) == 0
    asked = capsys.readouterr().out
    assert _edge.run(coldsoak, typed) == 2
    assert capsys.readouterr().err == asked
    assert len(asked.splitlines()) > 5


@pytest.mark.parametrize(
    "typed",
    [
        ["judge", "{log}", "--causes", "{binary}"],
        ["judge", "{log}", "--trade-tests", "{binary}"],
        ["prove", "{log}", "{log}", "--assumptions", "{binary}"],
    ],
)
def test_a_file_that_is_no_text_is_named(
    typed: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """0xFF begins no character of UTF-8 (RFC 3629, section 3)."""
    binary = tmp_path / "binary.toml"
    binary.write_bytes(b"\xff\x00\x01")
    names = {"log": str(tmp_path / "log.csv"), "binary": str(binary)}
    assert _edge.run(coldsoak, [one.format(**names) for one in typed]) == 2
    assert capsys.readouterr().err == (
        f"coldsoak: {binary} is no text in UTF-8 (byte 1): name a text file, or save it as UTF-8.\n"
    )


@pytest.mark.parametrize("command", ["plan", "fill plan", "record handover"])
@pytest.mark.parametrize(
    ("typed", "paper"), [("a4", "a4"), ("letter", "us-letter"), ("us-letter", "us-letter"), ("A4", "a4")]
)
def test_paper_has_the_same_names_everywhere(command: str, typed: str, paper: str) -> None:
    """ISO 216 A4 and ANSI/ASME Y14.1 size A, letter."""
    found: click.Command = coldsoak
    context = click.Context(coldsoak)
    for name in command.split():
        assert isinstance(found, click.Group)
        step = found.get_command(context, name)
        assert step is not None
        found = step
    (option,) = [one for one in found.params if one.name == "paper"]
    assert option.process_value(context, typed) == paper


TEMPORARY = {"fill_sender.py"}  # writes a copy into a folder that is gone afterwards


def test_commands_write_files_through_one_place_only() -> None:
    """What is written goes to the path that `output` gives, called `new`; anything else could write over an input."""
    found = [
        f"{path.name}:{node.lineno}"
        for path in sorted(Path(_edge.__file__).parent.glob("*.py"))
        if path.name not in TEMPORARY
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.Attribute)
        and node.attr in {"write_text", "write_bytes"}
        and ast.unparse(node.value) != "new"
    ]
    assert not found
