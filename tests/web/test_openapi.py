"""Schemathesis reads the interface's own description and tries to break it: every check it has, the same tries each time."""

import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, settings
from schemathesis.specs.openapi.checks import positive_data_acceptance
from tests.web.visitors import Visited

TRIES = 12
# The tests are made of the description while they are collected, so there must be a shop by then.
FOLDER = tempfile.TemporaryDirectory(prefix="coldsoak-described-")
VISITED = Visited(Path(FOLDER.name) / "shop", lan=False)
SCHEMA = schemathesis.openapi.from_asgi("/api/openapi.json", VISITED.app)
SCHEMA.config.generation.update(deterministic=True)
# Rules between fields, times yet to come and files that are none: no description of single fields can say these.
KNOWN_BEYOND = [
    "POST /api/jobs",
    "POST /api/jobs/{job_id}/entries",
    "POST /api/records",
    "POST /api/uploads/{kind}",
]


@pytest.fixture(scope="module", autouse=True)
def shop_is_sound_afterwards() -> Iterator[None]:
    """Whatever was tried, no chain and no file may have suffered."""
    yield
    assert VISITED.shop.check() == []
    VISITED.shop.close()
    FOLDER.cleanup()


@SCHEMA.parametrize()
@settings(max_examples=TRIES, suppress_health_check=list(HealthCheck))
def test_it_does_what_it_says(case: Any) -> None:
    answer = case.call()
    beyond = answer.status_code == 422 and case.operation.label in KNOWN_BEYOND
    case.validate_response(answer, excluded_checks=[positive_data_acceptance] if beyond else [])
    if answer.status_code >= 400 and case.method != "HEAD":
        assert set(answer.json()) == {"sentence"}
