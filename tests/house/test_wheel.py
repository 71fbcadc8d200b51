"""The built wheel works by itself: installed beside the libraries, with `src/` out of the way, from another folder."""

import os
import subprocess
import sys
import sysconfig
import zipfile
from pathlib import Path

import pytest


def run(*command: str | Path, cwd: Path) -> str:
    """Run a command away from the checkout, with nothing in the environment that could point back to it."""
    environment = {
        name: value for name, value in os.environ.items() if not name.startswith(("PYTHON", "VIRTUAL_ENV"))
    }
    done = subprocess.run(command, cwd=cwd, env=environment, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory, checkout: Path) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    run(sys.executable, "-m", "hatchling", "build", "--target", "wheel", "--directory", folder, cwd=checkout)
    (built,) = folder.glob("coldsoak-*.whl")
    return built


@pytest.fixture(scope="module")
def program(wheel: Path) -> Path:
    """`coldsoak` in a new environment: our wheel and, below it, the libraries of this one but not its `.pth` files.

    A folder named in a `.pth` file is put on the path and its own `.pth` files are not read (Python documentation, site),
    so the link to `src/` that a development environment has stays out.
    """
    place = wheel.parent / "venv"
    run(sys.executable, "-m", "venv", "--without-pip", place, cwd=wheel.parent)
    python = place / "bin" / "python"
    run(
        *(sys.executable, "-m", "pip", "--disable-pip-version-check", "--python", python),
        *("install", "--quiet", "--no-index", "--no-deps", wheel),
        cwd=wheel.parent,
    )
    (ours,) = (place / "lib").glob("python*/site-packages")
    (ours / "libraries.pth").write_text(sysconfig.get_path("purelib") + "\n", encoding="utf-8")
    where = run(python, "-c", "import coldsoak; print(coldsoak.__file__)", cwd=wheel.parent)
    assert Path(where.strip()).is_relative_to(ours)
    return place / "bin" / "coldsoak"


def test_it_holds_every_file_of_the_package_and_nothing_else(wheel: Path, checkout: Path) -> None:
    source = checkout / "src"
    expected = {
        path.relative_to(source).as_posix()
        for path in (source / "coldsoak").rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }
    held = {name for name in zipfile.ZipFile(wheel).namelist() if ".dist-info/" not in name}
    assert held == expected
    assert any(name.endswith(".toml") for name in held), "the tables that the program reads belong to it"


def test_it_carries_licence_and_readme(wheel: Path) -> None:
    with zipfile.ZipFile(wheel) as content:
        names = content.namelist()
        (metadata,) = (content.read(name).decode() for name in names if name.endswith(".dist-info/METADATA"))
    assert any(name.endswith("/LICENSE") for name in names)
    assert "License-Expression: Apache-2.0" in metadata
    assert "Requires-Python: >=3.11" in metadata


def test_it_tells_its_version(program: Path, tmp_path: Path) -> None:
    script = "from coldsoak._version import __version__; print(__version__)"
    version = run(program.with_name("python"), "-c", script, cwd=tmp_path)
    assert run(program, "--version", cwd=tmp_path) == f"coldsoak {version}"


def test_it_writes_the_demo_shop_and_judges_its_logs(program: Path, tmp_path: Path) -> None:
    run(program, "demo", "shop", cwd=tmp_path)
    logs = sorted(path for path in (tmp_path / "shop" / "logs").iterdir() if path.is_file())
    assert len(logs) >= 3
    lines = run(program, "judge", "--json", *logs, cwd=tmp_path).splitlines()
    assert len(lines) == len(logs)
    report = tmp_path / "report.html"
    run(program, "judge", *logs, "--report", report, cwd=tmp_path)
    assert "<html" in report.read_text("utf-8")
