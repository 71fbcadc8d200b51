"""Write a few lines, read them as a log."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from coldsoak.logs.log import Log
from coldsoak.logs.read import read_log

Reader = Callable[..., Log]


@pytest.fixture
def read(tmp_path: Path) -> Reader:
    """Return a function that writes text or bytes to a file and reads the file as a log."""

    def _read(content: str | bytes, *, name: str = "log.csv", **options: Any) -> Log:
        path = tmp_path / name
        path.write_bytes(content if isinstance(content, bytes) else content.encode("utf-8"))
        return read_log(path, **options)

    return _read
