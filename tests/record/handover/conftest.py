"""The sample job, folded once for all tests of this folder."""

from pathlib import Path

import pytest
from tests.record.handover.sample import sample, signed, write_logs

from coldsoak.record.job_record import JobRecord


@pytest.fixture(scope="session")
def logs(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_logs(tmp_path_factory.mktemp("logs"))


@pytest.fixture(scope="session")
def job(logs: Path) -> JobRecord:
    return signed(logs).fold()


@pytest.fixture(scope="session")
def unsigned(logs: Path) -> JobRecord:
    return sample(logs).fold()
