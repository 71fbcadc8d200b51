"""The bay on the shop's own machine, and the bay on its network."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.web.visitors import Visited


@pytest.fixture
def home(tmp_path: Path) -> Iterator[Visited]:
    """The bay as only this machine reaches it."""
    visited = Visited(tmp_path / "home", lan=False)
    yield visited
    visited.shop.close()


@pytest.fixture
def lan(tmp_path: Path) -> Iterator[Visited]:
    """The bay as the shop's network reaches it: everybody needs a passphrase."""
    visited = Visited(tmp_path / "lan", lan=True)
    yield visited
    visited.shop.close()
