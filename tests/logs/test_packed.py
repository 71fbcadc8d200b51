"""Packed logs are measured before they are unpacked. Source: OWASP ASVS 5.0, 5.2.3; the counts are hand-worked."""

import io
import json
import zipfile
import zlib
from base64 import b85encode
from pathlib import Path

import asammdf
import numpy as np
import polars as pl
import pytest

from coldsoak.errors import LogError
from coldsoak.logs import packed
from coldsoak.logs.parquet import KEY, unpack_rows
from coldsoak.logs.read import read_log


def parquet(path: Path, rows: int) -> Path:
    """A table of two columns that are nearly nothing when packed."""
    pl.DataFrame({"Time (s)": np.arange(rows), "RPM": np.full(rows, 800)}).write_parquet(path)
    return path


def test_a_packed_table_is_not_unpacked_beyond_what_is_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(packed, "MOST_VALUES", 1000)
    assert len(read_log(parquet(tmp_path / "small.parquet", 500)).time_s) == 500
    large = parquet(tmp_path / "large.parquet", 501)
    monkeypatch.setattr(pl, "read_parquet", lambda _: pytest.fail("it was unpacked"))
    with pytest.raises(LogError, match=r"would unpack to .* million values"):
        read_log(large)


def test_a_measurement_file_is_not_unpacked_beyond_what_is_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    at = np.arange(0, 50, 0.1)
    path = tmp_path / "m.mf4"
    with asammdf.MDF(version="4.10") as mdf:
        mdf.append([asammdf.Signal(np.full(500, 80.0), at, name="Coolant temp", unit="°C")])
        mdf.save(path, overwrite=True, compression=2)
    assert read_log(path).channels[0].count == 500
    monkeypatch.setattr(packed, "MOST_VALUES", 999)  # 500 times, a clock and a channel
    with pytest.raises(LogError, match="would unpack to"):
        read_log(path)


def test_row_numbers_that_unpack_to_far_more_are_cut() -> None:
    bomb = b85encode(zlib.compress(b"\xff" * 50_000_000, 9)).decode()
    assert unpack_rows(bomb, 8).tolist() == list(range(8))


@pytest.mark.parametrize("said", ["", "[]", "{}", '{"channels": [{}]}', "1" * 5000])
def test_a_table_that_says_it_is_ours_and_is_not_is_refused(said: str, tmp_path: Path) -> None:
    path = tmp_path / "ours.parquet"
    pl.DataFrame({"time_s": [0.0, 1.0]}).write_parquet(path, metadata={KEY: said})
    with pytest.raises(LogError, match="does not hold what it says"):
        read_log(path)


def test_an_archive_is_no_log(tmp_path: Path) -> None:
    """Nothing unpacks archives that somebody hands in, so there is nothing in them that could grow."""
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("log.csv", json.dumps("0" * 2_000_000))
    path = tmp_path / "log.zip"
    path.write_bytes(held.getvalue())
    with pytest.raises(LogError, match=r"log\.zip is"):
        read_log(path)
