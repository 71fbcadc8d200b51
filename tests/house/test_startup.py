"""`coldsoak --help` and `--version` answer at once. Source: this project's own rule, under 150 ms."""

import os
import statistics
import subprocess
import sys
import time
from pathlib import Path

import pytest

PROGRAM = Path(sys.executable).with_name("coldsoak")
# Python keeps compiled files on a user's machine; a test machine may have that switched off.
ENVIRONMENT = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
RUNS = 9
LIMIT_S = 0.150


def seconds(command: list[str | Path]) -> float:
    start_s = time.perf_counter()
    subprocess.run(command, env=ENVIRONMENT, capture_output=True, check=True)
    return time.perf_counter() - start_s


@pytest.mark.parametrize("option", ["--help", "--version"])
def test_answers_under_150_ms(option: str) -> None:
    """The median of several runs; where other work slows the machine, so it slows a bare `import click`.

    The second arm says: on a busy machine our own part may still cost no more than half of Python and click together.
    """
    seconds([PROGRAM, option])  # the first run writes compiled files
    bare = [sys.executable, "-c", "import click"]
    pairs = [(seconds([PROGRAM, option]), seconds(bare)) for _ in range(RUNS)]
    ours_s = statistics.median(ours for ours, _ in pairs)
    bare_s = statistics.median(bare for _, bare in pairs)
    assert ours_s < LIMIT_S or (bare_s > LIMIT_S / 1.5 and ours_s < 1.5 * bare_s), (
        f"{ours_s:.3f} s, bare {bare_s:.3f} s"
    )


def test_help_loads_no_command_and_no_heavy_library() -> None:
    """The cause behind the figure: what `--help` loads is click and a handful of our own small modules."""
    script = (
        "import sys\n"
        "from coldsoak.cli._edge import run\n"
        "from coldsoak.cli.main import coldsoak\n"
        "status = run(coldsoak, ['--help'])\n"
        "print(*sorted(sys.modules), file=sys.stderr)\n"
        "sys.exit(status)\n"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    loaded = set(done.stderr.split())
    assert "click" in loaded
    heavy = {
        "numpy",
        "scipy",
        "polars",
        "pydantic",
        "pint",
        "rich",
        "jinja2",
        "bokeh",
        "ruamel",
        "asammdf",
        "pandas",
    }
    assert not loaded & heavy
    assert {name for name in loaded if name.startswith("coldsoak.")} == {
        "coldsoak._version",
        "coldsoak.cli",
        "coldsoak.cli._edge",
        "coldsoak.cli._lazy",
        "coldsoak.cli.main",
        "coldsoak.errors",
    }
