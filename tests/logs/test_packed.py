"""Packed logs are measured before they are unpacked. Source: OWASP ASVS 5.0, 5.2.3; the counts are hand-worked."""

import gzip
import hashlib
import zipfile
import zlib
from base64 import b85encode
from pathlib import Path

import asammdf
import numpy as np
import polars as pl
import pytest

from coldsoak.errors import LogError
from coldsoak.logs import packed, unpack
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


TEXT = b"Time (s),Coolant temp (\xc2\xb0C)\n0,80\n1,81\n2,82\n"


def zipped(path: Path, **members: bytes) -> Path:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in members.items():
            archive.writestr(name, content)
    return path


def test_one_log_in_a_gzip_or_zip_file_is_read_as_it_is(tmp_path: Path) -> None:
    (tmp_path / "drive.csv").write_bytes(TEXT)
    (tmp_path / "drive.csv.gz").write_bytes(gzip.compress(TEXT))
    zipped(tmp_path / "drive.zip", **{"__MACOSX/._drive.csv": b"x", "day 1/drive.csv": TEXT})
    plain = read_log(tmp_path / "drive.csv")
    for name in ("drive.csv.gz", "drive.zip"):
        log = read_log(tmp_path / name)
        assert log.channels == plain.channels
        assert log.time_s.tolist() == [0.0, 1.0, 2.0]
        assert log.provenance.file == str(tmp_path / name)
        assert log.provenance.sha256 == hashlib.sha256((tmp_path / name).read_bytes()).hexdigest()
    assert "The log is 'day 1/drive.csv' in the packed file." in log.provenance.assumed


def test_a_packed_file_is_unpacked_no_further_than_the_limit_whatever_it_says(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(unpack, "MOST_BYTES", len(TEXT))
    (tmp_path / "a.gz").write_bytes(gzip.compress(TEXT))
    assert len(read_log(tmp_path / "a.gz").time_s) == 3
    large = TEXT + b"\n"
    (tmp_path / "b.gz").write_bytes(gzip.compress(large))
    says_less = zipped(tmp_path / "c.zip", log=large)
    body = says_less.read_bytes()  # the size in the directory of the archive, 24 bytes after its mark, made 1
    at = body.index(b"PK\x01\x02") + 24
    says_less.write_bytes(body[:at] + (1).to_bytes(4, "little") + body[at + 4 :])
    for path in (tmp_path / "b.gz", zipped(tmp_path / "d.zip", log=large)):
        with pytest.raises(LogError, match="would unpack to more than"):
            read_log(path)
    with pytest.raises(LogError, match=r"c\.zip"):
        read_log(says_less)


def locked(path: Path) -> Path:
    """The bit that says `encrypted` is set in both headers of an archive (APPNOTE 6.3, 4.4.4)."""
    body = bytearray(zipped(path, log=TEXT).read_bytes())
    for mark, offset in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        body[body.index(mark) + offset] |= 1
    path.write_bytes(bytes(body))
    return path


def test_packed_files_that_are_no_log_say_what_to_do(tmp_path: Path) -> None:
    (tmp_path / "cut.gz").write_bytes(gzip.compress(TEXT * 500)[:-30])
    (tmp_path / "wrong.gz").write_bytes(b"\x1f\x8b" + b"\x99" * 500)
    (tmp_path / "twice.gz").write_bytes(gzip.compress(gzip.compress(TEXT)))
    (tmp_path / "junk.gz").write_bytes(gzip.compress(b"Dear customer,\n"))
    (tmp_path / "cut.zip").write_bytes(zipped(tmp_path / "whole.zip", log=TEXT * 500).read_bytes()[:-30])
    zipped(tmp_path / "none.zip")
    zipped(tmp_path / "two.zip", **{"a.csv": TEXT, "b.csv": TEXT})
    zipped(tmp_path / "sheet.xlsx", **{"[Content_Types].xml": b"<a/>", "xl/workbook.xml": b"<a/>"})
    locked(tmp_path / "locked.zip")
    for name, sentence in {
        "cut.gz": "is a packed file that is damaged or breaks off",
        "wrong.gz": "is a packed file that is damaged or breaks off",
        "cut.zip": "is a packed file that is damaged or breaks off",
        "twice.gz": "holds another packed file: unpack it once and read what is in it.",
        "junk.gz": "is not a log: no rows of numbers were found in it;",
        "none.zip": "is a packed file with nothing in it: pack the log again.",
        "two.zip": "holds 2 files ('a.csv', 'b.csv'): unpack it and name the one to read.",
        "sheet.xlsx": "is a spreadsheet: save the sheet that holds the log as CSV and read that.",
        "locked.zip": "is locked with a password: unpack it and read what is in it.",
    }.items():
        with pytest.raises(LogError) as caught:
            read_log(tmp_path / name)
        assert str(caught.value).startswith(f"{tmp_path / name} {sentence}")
