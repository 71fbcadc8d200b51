"""README's commands work as printed: every line of a `sh` block that starts with `make` or `coldsoak` is tried."""

import os
import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

CHECKOUT = Path(__file__).resolve().parents[2]
README = (CHECKOUT / "README.md").read_text("utf-8")
COMMANDS = [
    line.strip()
    for block in re.findall(r"^```sh\n(.*?)^```", README, flags=re.MULTILINE | re.DOTALL)
    for line in block.splitlines()
]
MAKE = [line for line in COMMANDS if line.startswith("make")]
OURS = [line for line in COMMANDS if re.match(r"(\.venv/bin/)?coldsoak\b", line)]
PROGRAM = Path(sys.executable).with_name("coldsoak")


def test_readme_shows_the_two_commands() -> None:
    assert {"make run", "make test"} <= {line.partition("#")[0].strip() for line in MAKE}


@pytest.mark.parametrize("line", MAKE)
def test_make_commands_exist(line: str) -> None:
    """`make -n` prints what a target would do and fails for one that is not there (GNU make manual)."""
    environment = {name: value for name, value in os.environ.items() if not name.startswith("MAKE")}
    done = subprocess.run(
        [*shlex.split(line, comments=True), "-n"],
        cwd=CHECKOUT,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where a newcomer stands after the first command: a folder with the demo shop in it."""
    place = tmp_path_factory.mktemp("readme")
    subprocess.run([PROGRAM, "demo", "demo-shop"], cwd=place, capture_output=True, check=True)
    (place / ".venv").symlink_to(sys.prefix, target_is_directory=True)
    return place


@pytest.mark.parametrize("line", OURS)
def test_commands_run(line: str, folder: Path) -> None:
    shell = f'PATH="{PROGRAM.parent}:$PATH"; {line}'
    done = subprocess.run(
        ["sh", "-c", shell], cwd=folder, capture_output=True, text=True, check=False, timeout=120
    )
    assert done.returncode == 0, done.stderr
