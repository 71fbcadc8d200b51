"""`coldsoak demo`: an invented shop, the same bytes every time, and nobody's files overwritten."""

import hashlib
from pathlib import Path

import pytest

from coldsoak.cli._edge import run
from coldsoak.cli.main import coldsoak
from coldsoak.logs.read import read_log
from coldsoak.practice.demo import demo_files, demo_logs


def digests(folder: Path) -> dict[str, str]:
    return {
        str(path.relative_to(folder)): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def test_writes_the_shop_and_says_what_to_do_next(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "new" / "shop"
    assert run(coldsoak, ["demo", str(folder)]) == 0
    said = capsys.readouterr().out.splitlines()
    assert said[0] == f"The demo shop is in {folder}:"
    assert said[-1] == f"Next: coldsoak judge {folder}/logs/*"
    assert {path for path in folder.rglob("*") if path.is_file()} == set(demo_files(folder))
    readme = (folder / "README.txt").read_text("utf-8")
    for log in demo_logs():
        assert f"logs/{log.file}" in readme


def test_the_same_bytes_every_time(tmp_path: Path) -> None:
    for name in ("one", "two"):
        assert run(coldsoak, ["demo", str(tmp_path / name)]) == 0
    assert digests(tmp_path / "one") == digests(tmp_path / "two")
    assert run(coldsoak, ["demo", str(tmp_path / "one")]) == 0, "its own folder may be written again"
    assert digests(tmp_path / "one") == digests(tmp_path / "two")


def test_a_folder_with_other_files_is_left_alone(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    mine = tmp_path / "notes.txt"
    mine.write_text("mine")
    assert run(coldsoak, ["demo", str(tmp_path)]) == 2
    assert capsys.readouterr().err == (
        f"coldsoak: {tmp_path} holds files that are not the demo's; name an empty or a new folder, or add --force to "
        "write beside them.\n"
    )
    assert [path.name for path in tmp_path.iterdir()] == ["notes.txt"]
    assert run(coldsoak, ["demo", str(tmp_path), "--force"]) == 0
    assert mine.read_text() == "mine"
    assert run(coldsoak, ["demo", str(mine)]) == 2
    assert capsys.readouterr().err == f"coldsoak: {mine} is a file; name a folder for the demo files.\n"


def test_keep_writes_only_what_is_not_there(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "shop"
    assert run(coldsoak, ["demo", str(folder), "--keep"]) == 0
    changed = demo_files(folder)[0]
    changed.write_text("changed")
    capsys.readouterr()
    assert run(coldsoak, ["demo", str(folder), "--keep"]) == 0
    assert capsys.readouterr().out == f"The demo shop is in {folder} already.\n"
    assert changed.read_text() == "changed"
    gone = demo_files(folder)[1]
    gone.unlink()
    assert run(coldsoak, ["demo", str(folder), "--keep"]) == 0
    assert gone.is_file()
    assert changed.read_text() == "changed"


def test_what_was_changed_in_a_demo_folder_is_kept_and_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nobody's work is overwritten unasked. Expected: what was written there, and that --force is what overwrites."""
    folder = tmp_path / "shop"
    assert run(coldsoak, ["demo", str(folder)]) == 0
    as_written = (folder / "crib.yaml").read_bytes()
    (folder / "crib.yaml").write_text("mine")
    capsys.readouterr()
    assert run(coldsoak, ["demo", str(folder)]) == 0
    said = capsys.readouterr().out.splitlines()
    assert "  crib.yaml (kept: not as the demo has it)" in said
    assert f"What was changed is kept; to have the demo's own again: coldsoak demo {folder} --force" in said
    assert (folder / "crib.yaml").read_text() == "mine"
    assert run(coldsoak, ["demo", str(folder), "--force"]) == 0
    assert (folder / "crib.yaml").read_bytes() == as_written


@pytest.mark.parametrize("log", demo_logs(), ids=lambda log: log.scenario)
def test_the_files_hold_what_they_promise(tmp_path: Path, log: object) -> None:
    """The truth of the practice vehicle beside what the reader understands."""
    chosen = next(item for item in demo_logs() if item == log)
    path = tmp_path / chosen.file
    path.write_bytes(chosen.text())
    read = read_log(path)
    assert read.provenance.unreadable_count == 0
    assert {channel.quantity for channel in read.channels} == set(chosen.names)
    truth = chosen.run()
    assert read.duration_s == pytest.approx(truth.log.duration_s, abs=0.01)
    (fluid,) = read.of_quantity("fluid_temp")
    _, shown_c = read.readings(fluid)
    true_c = truth.true_c["fluid_temp"]
    match chosen.scenario:
        case "wandering_contact":
            assert max(episode.largest_k for episode in truth.episodes) > 25.0
            assert shown_c.min() < true_c.min() - 20.0
        case "restricted_cooler":
            assert truth.fault is None
            assert 125.0 < true_c.max() < 135.0
            assert shown_c.max() == pytest.approx(true_c.max(), abs=3.0), "it is shown as hot as it is"
        case "hot_start":
            assert truth.fault is None
            assert shown_c.min() > 75.0
            assert shown_c.max() == pytest.approx(true_c.max(), abs=3.0)
        case _:
            assert truth.fault is None
            assert shown_c.max() < 100.0
