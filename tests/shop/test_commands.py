"""`coldsoak backup` and `coldsoak restore` as people run them."""

import json
import subprocess
import sys
from pathlib import Path

import pytest
from tests.shop.entries import Place, open_job

PROGRAM = Path(sys.executable).with_name("coldsoak")


def run(*arguments: str | Path, cwd: Path, **environment: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [PROGRAM, *arguments],
        capture_output=True,
        text=True,
        check=False,
        cwd=cwd,
        env={"PATH": "/usr/bin:/bin", "HOME": str(cwd), "XDG_DATA_HOME": str(cwd / "usual"), **environment},
    )


def test_a_shop_is_backed_up_and_brought_back(place: Place, tmp_path: Path) -> None:
    with place.open() as shop:
        open_job(shop)
    where = ["--data", place.data, *(["--database", place.database] if place.database else [])]
    done = run("backup", tmp_path / "b.zip", *where, "--json", cwd=tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    said = json.loads(done.stdout)
    assert (said["schema"], said["jobs"], said["entries"]) == ("coldsoak.backed_up/1", 1, 1)
    done = run("backup", tmp_path / "b.zip", *where, cwd=tmp_path)
    assert (done.returncode, len(done.stderr.splitlines())) == (2, 1)
    done = run("restore", tmp_path / "b.zip", "--data", tmp_path / "new", cwd=tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith(
        f"1 job with 1 entry and 0 files: back in {tmp_path / 'new' / 'coldsoak.sqlite3'} as of "
    )
    assert done.stdout.endswith("; everybody logs in again.\n")
    done = run("restore", tmp_path / "b.zip", "--data", tmp_path / "new", cwd=tmp_path)
    assert done.returncode == 2
    assert "already and it is kept" in done.stderr


def test_the_usual_folder_and_the_environment(tmp_path: Path) -> None:
    done = run("backup", cwd=tmp_path)
    assert done.returncode == 2
    assert "there is no shop in" in done.stderr
    assert list(tmp_path.iterdir()) == []
    with Place(tmp_path / "usual" / "coldsoak", None).open() as shop:
        open_job(shop)
    done = run("backup", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    (written,) = tmp_path.glob("coldsoak-*.zip")
    done = run("restore", written, "--json", cwd=tmp_path, COLDSOAK_DATA=str(tmp_path / "other"))
    assert json.loads(done.stdout)["place"] == str(tmp_path / "other" / "coldsoak.sqlite3")


@pytest.mark.parametrize("what", ["missing", "folder", "text"])
def test_what_is_no_backup_is_one_sentence(tmp_path: Path, what: str) -> None:
    file = tmp_path / "x.zip"
    if what == "folder":
        file.mkdir()
    elif what == "text":
        file.write_text("hello")
    done = run("restore", file, "--data", tmp_path / "new", cwd=tmp_path)
    assert done.returncode == 2
    assert len(done.stderr.splitlines()) == 1
    assert not (tmp_path / "new").exists() or list((tmp_path / "new").iterdir()) == []
