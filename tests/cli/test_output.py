"""What commands write: never over what they read, whole or not at all, and the result is said first.

Expected: the bytes that lay there before, and what the options are for; a full disk is /dev/full (Linux, full(4)).
"""

import os
from pathlib import Path

import pytest

from coldsoak.cli import _output
from coldsoak.cli._edge import run
from coldsoak.cli.main import coldsoak
from coldsoak.errors import InputError
from coldsoak.practice.demo import write_demo

UNIT = "units/orrin-r6.yaml"
FILL = [
    *[
        "fill",
        "plan",
        "units/orrin-r6.yaml",
        "--bottle-temp",
        "20degC",
        "--thermometer",
        "contact",
        "--first-fill",
        "--fluid",
    ],
    "LX-6 thin",
]


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    folder = tmp_path_factory.mktemp("made")
    write_demo(folder / "shop")
    return folder / "shop"


@pytest.fixture
def shop(made, monkeypatch):
    monkeypatch.chdir(made)
    return made


@pytest.fixture
def log(shop):
    return str(next((shop / "logs").glob("*short-road-test*")).relative_to(shop))


def everything(folder):
    return {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_a_file_of_another_kind_is_no_place_for_an_output(shop, log, capsys):
    """`judge --report *.csv` hands the first log to --report; so with a sheet, a crib and a log elsewhere."""
    before = everything(shop)
    for arguments in (
        ["judge", log, "--report", log],
        ["tighten", UNIT, "pan_bolts", "--svg", UNIT],
        ["plan", UNIT, "--service", "lead_frame_repair", "--crib", "crib.yaml", "--pdf", "crib.yaml"],
        ["prove", log, log, "--svg", log],
        ["fill", "forecast", log, "--window", "38..48", "--svg", log],
        [*FILL, "--pdf", "prices.yaml", "--prices", "prices.yaml"],
        ["log", log, "--to", UNIT],
    ):
        assert run(coldsoak, arguments) == 2, arguments
        said = capsys.readouterr().err
        assert "writes a file that ends in ." in said
        assert "Nothing was written." in said
    assert everything(shop) == before


def test_what_a_command_reads_is_kept_whatever_it_is_called(shop, log, tmp_path, capsys):
    mine = tmp_path / "mine.csv"
    mine.write_bytes((shop / log).read_bytes())
    (tmp_path / "link.csv").symlink_to(mine)
    os.link(mine, tmp_path / "hard.csv")
    (tmp_path / "link.html").symlink_to(mine)
    for to in ("mine.csv", "link.csv", "hard.csv", "../" + tmp_path.name + "/mine.csv"):
        assert run(coldsoak, ["log", str(mine), "--to", str(tmp_path / to)]) == 2
        assert "which this command reads, and is kept" in capsys.readouterr().err.replace(
            "is what this command reads", "which this command reads"
        )
    assert run(coldsoak, ["judge", str(mine), "--report", str(tmp_path / "link.html")]) == 2
    assert "is kept: name another file to write to." in capsys.readouterr().err
    assert mine.read_bytes() == (shop / log).read_bytes()


def test_an_older_output_is_written_anew(shop, log, tmp_path):
    out = tmp_path / "clean.csv"
    assert run(coldsoak, ["log", log, "--to", str(out)]) == 0
    first = out.read_bytes()
    out.write_text("older")
    out.chmod(0o640)
    assert run(coldsoak, ["log", log, "--to", str(out)]) == 0
    assert out.read_bytes() == first
    assert out.stat().st_mode & 0o777 == 0o640
    assert os.listdir(tmp_path) == ["clean.csv"]  # noqa: PTH208 (hidden files too)


def test_a_failure_leaves_the_old_file_and_nothing_beside_it(tmp_path):
    old = tmp_path / "out.svg"
    old.write_text("old")

    def half(path: Path) -> None:
        path.write_text("half")
        raise OSError(28, "No space left on device")

    with (
        pytest.raises(
            InputError, match=r"out\.svg cannot be written \(No space left on device\): free space"
        ),
        _output.output(old) as new,
    ):
        half(new)
    assert old.read_text() == "old"
    assert os.listdir(tmp_path) == ["out.svg"]  # noqa: PTH208 (hidden files too)


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full here")
def test_a_full_disk_is_named_after_the_result(shop, log, capsys):
    for arguments, option in (
        (FILL, "--svg"),
        (FILL, "--pdf"),
        (["fill", "forecast", log, "--window", "38..48", "--at", "300"], "--svg"),
        (["judge", log], "--report"),
    ):
        assert run(coldsoak, arguments) == 0
        whole = capsys.readouterr().out
        assert run(coldsoak, [*arguments, option, "/dev/full"]) == 2
        said = capsys.readouterr()
        assert said.out.startswith(whole), option
        assert said.err == (
            "coldsoak: /dev/full cannot be written (No space left on device): free space or name another place, and try "
            "again.\n"
        )


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full here")
@pytest.mark.parametrize("ending", ["csv", "parquet"])
def test_a_clean_log_that_does_not_fit_is_named(shop, log, tmp_path, capsys, ending):
    out = tmp_path / f"clean.{ending}"
    out.symlink_to("/dev/full")
    assert run(coldsoak, ["log", log, "--to", str(out)]) == 2
    assert f"{out} cannot be written (No space left on device" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("out", "sentence"),
    [
        ("locked/out.svg", "may not be written with your permissions: name a file in a folder of your own."),
        ("nowhere/out.svg", "nowhere is not there: check the spelling or make it."),
        ("folder.svg", "is a directory."),
    ],
)
def test_where_nothing_can_be_written_it_is_said(shop, tmp_path, capsys, out, sentence):
    (tmp_path / "locked").mkdir(mode=0o500)
    (tmp_path / "folder.svg").mkdir()
    if os.access(tmp_path / "locked", os.W_OK) and out.startswith("locked"):
        pytest.skip("this user may write everywhere")
    assert run(coldsoak, ["tighten", UNIT, "pan_bolts", "--svg", str(tmp_path / out)]) == 2
    said = capsys.readouterr().err
    assert sentence in said
    assert ".new" not in said


def test_a_record_that_cannot_be_written_names_the_record(shop, tmp_path, capsys, monkeypatch):
    def full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    out = tmp_path / "q.record"
    assert run(coldsoak, ["record", "write", "jobs/wo-2044.yaml", "--out", str(out)]) == 2
    assert capsys.readouterr().err == (
        f"coldsoak: {out} cannot be written (No space left on device): free space or name another place, and try again.\n"
    )
    assert list(tmp_path.iterdir()) == []
