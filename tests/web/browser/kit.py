"""What the browser tests need from outside Python: Debian's chromium, and the accessibility checker axe-core.

Where they are missing they are fetched, by apt-get and npm as these are set up on the machine; where that may not be, the
tests are skipped with the reason, and in CI they fail.
"""

import base64
import hashlib
import io
import os
import shutil
import subprocess
import sys
import tarfile
import tempfile
from pathlib import Path

from tests.debian import missing, program

BROWSERS = ("chromium", "chromium-browser", "google-chrome")
AXE_VERSION = "4.11.0"
AXE_SHA512 = "ilYanEU8vxxBexpJd8cWM4ElSQq4QctCLKih0TSfjIfCQTeyH/6zVrmIJfLPrKTKJRbiG+cfnZbQIjAlJmF1jQ=="  # of the package as it is published
AXE = (
    Path(os.environ.get("COLDSOAK_TEST_DATA", Path(sys.prefix) / "test-data")) / f"axe-core-{AXE_VERSION}.js"
)


def chromium() -> str:
    """Return the path of the browser."""
    return program("chromium", lambda: next(filter(None, map(shutil.which, BROWSERS)), None))


def axe_source() -> str:
    """Return the text of axe-core, fetched once and held against its published hash."""
    if not AXE.is_file():
        AXE.parent.mkdir(parents=True, exist_ok=True)
        arriving = AXE.with_suffix(f".{os.getpid()}")
        arriving.write_bytes(_fetched())
        arriving.rename(AXE)
    return AXE.read_text("utf-8")


def _fetched() -> bytes:
    npm = program("npm", lambda: shutil.which("npm"))
    with tempfile.TemporaryDirectory() as folder:
        done = subprocess.run(
            [npm, "pack", f"axe-core@{AXE_VERSION}", "--ignore-scripts", "--pack-destination", folder],
            cwd=folder,
            capture_output=True,
            text=True,
            check=False,
            timeout=300,
        )
        packed = list(Path(folder).glob("*.tgz"))
        if done.returncode != 0 or not packed:
            said = (done.stderr.strip() or "nothing came").splitlines()[-1]
            missing(f"npm could not fetch axe-core {AXE_VERSION}: {said}")
        content = packed[0].read_bytes()
    found = base64.b64encode(hashlib.sha512(content).digest()).decode()
    assert found == AXE_SHA512, f"axe-core {AXE_VERSION} is not what was published: its hash is {found}"
    with tarfile.open(fileobj=io.BytesIO(content)) as archive:
        member = archive.extractfile("package/axe.min.js")
        assert member is not None
        return member.read()
