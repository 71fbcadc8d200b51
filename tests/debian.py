"""Programs from outside Python that tests need: installed from Debian's packages where this may, missed loudly in CI."""

import fcntl
import os
import shutil
import subprocess
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import NoReturn, TypeVar

import pytest

T = TypeVar("T")
SYSTEM = ("/usr/local/sbin", "/usr/sbin", "/sbin")
"""Where packages look for the system's own programs, which are not on everybody's path."""


def program(package: str, find: Callable[[], T | None]) -> T:
    """Return what `find` finds, after installing the package where it finds nothing."""
    found = find()
    if found is None and hasattr(os, "geteuid") and os.geteuid() == 0 and shutil.which("apt-get"):
        found = _installed(package, find)
    if found is None:
        missing(f"{package} is not installed: `apt install {package}` has it")
    return found


def _installed(package: str, find: Callable[[], T | None]) -> T | None:
    """Install a package; of several test processes the first does it and the others wait."""
    path = os.pathsep.join([os.environ.get("PATH", os.defpath), *SYSTEM])
    environment = {**os.environ, "DEBIAN_FRONTEND": "noninteractive", "PATH": path}
    with (Path(tempfile.gettempdir()) / "coldsoak-apt.lock").open("w") as held:
        fcntl.flock(held, fcntl.LOCK_EX)
        for command in (["update"], ["install", "-y", "--no-install-recommends", package]):
            if find() is None:
                whole = ["apt-get", "-q", *command]
                subprocess.run(whole, env=environment, capture_output=True, check=False, timeout=900)
    return find()


def missing(said: str) -> NoReturn:
    """Fail in CI, skip elsewhere."""
    if os.environ.get("CI"):
        pytest.fail(said, pytrace=False)
    pytest.skip(said)
