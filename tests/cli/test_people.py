"""`coldsoak people`: who may log in, told to the shop before its pages are served to the network.

Source of the rules for passphrases: OWASP ASVS 5.0, 6.2.1 (8 characters), 6.2.4 (the common ones); 15 are advised.
"""

import io
from pathlib import Path

import pytest

from coldsoak.cli._edge import run
from coldsoak.cli.main import coldsoak
from coldsoak.shop import open_shop

LONG = "nine bolts on the bench"


def people(*arguments: str, data: Path) -> int:
    return run(coldsoak, ["people", *arguments, "--data", str(data)])


def said_by(
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    data: Path,
    passphrase: str,
    *arguments: str,
) -> tuple[int, str, str]:
    """Add somebody whose passphrase comes from standard input."""
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(passphrase.encode("utf-8"))))
    status = people("add", *arguments, "--passphrase-from", "-", data=data)
    out, err = capsys.readouterr()
    return status, out, err


def test_somebody_is_added_and_listed_and_may_log_in(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    assert said_by(capsys, monkeypatch, tmp_path, LONG + "\n", "Ana Sorel", "--role", "lead") == (
        0,
        "Ana Sorel may log in as lead.\n",
        "",
    )
    assert (
        said_by(capsys, monkeypatch, tmp_path, LONG + "\r\n", "Bero Lind")[1]
        == "Bero Lind may log in as technician.\n"
    )
    assert people("list", data=tmp_path) == 0
    assert capsys.readouterr().out == "Ana Sorel: lead\nBero Lind: technician\n"
    with open_shop(tmp_path) as shop:
        for name in ("Ana Sorel", "bero  LIND"):
            assert shop.sessions.login(name, LONG, address="10.0.0.7").person.active
        assert {deed.by for deed in shop.audit.page() if deed.action == "person"} == {"the shop's machine"}
        shop.people.set_active(2, active=False, by="Ana Sorel")
    people("list", data=tmp_path)
    assert "Bero Lind: technician, may no longer log in" in capsys.readouterr().out


def test_a_short_passphrase_is_taken_and_a_longer_one_advised(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    status, out, _ = said_by(capsys, monkeypatch, tmp_path, "nine bolt", "Ana Sorel")
    assert status == 0
    assert "15 characters or more are advised" in out


@pytest.mark.parametrize(
    ("passphrase", "name", "sentence"),
    [
        ("", "Ana Sorel", "there is no passphrase"),
        ("1234567", "Ana Sorel", "7 characters is too short"),
        ("password1", "Ana Sorel", "among the first that anybody tries"),
        ("anasorel1", "Ana Sorel", "among the first that anybody tries"),
        (LONG, "", "cannot be a name here"),
        (LONG, "x" * 65, "cannot be a name here"),
        (LONG, "a\x1b[31m", "cannot be a name here"),
    ],
)
def test_what_is_not_taken_is_one_sentence_and_nobody_is_added(
    passphrase: str,
    name: str,
    sentence: str,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    status, out, err = said_by(capsys, monkeypatch, tmp_path, passphrase, name)
    assert (status, out) == (2, "")
    assert sentence in err
    assert len(err.splitlines()) == 1
    if passphrase:
        assert passphrase not in err
    with open_shop(tmp_path) as shop:
        assert shop.people.everybody() == []


def test_two_of_one_name_are_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    said_by(capsys, monkeypatch, tmp_path, LONG, "Ana Sorel")
    status, _, err = said_by(capsys, monkeypatch, tmp_path, LONG, "ANA  sorel")
    assert status == 2
    assert "ANA sorel is here already" in err


def test_a_role_that_is_none_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert people("add", "Ana Sorel", "--role", "owner", data=tmp_path) == 2
    assert "'owner' is not one of" in capsys.readouterr().err


def test_no_passphrase_is_ever_an_argument(capsys: pytest.CaptureFixture[str]) -> None:
    """What stands on a command line stands in its history and in the list of processes."""
    assert run(coldsoak, ["people", "add", "--help"]) == 0
    options = capsys.readouterr().out
    assert "--passphrase-from" in options
    assert "--passphrase " not in options


def test_a_shop_that_is_not_there_is_not_made_by_asking_who_is_in_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    typo = tmp_path / "no" / "shop"
    assert people("list", data=typo) == 2
    assert f"there is no shop in {typo}" in capsys.readouterr().err
    assert not typo.parent.exists()
    open_shop(typo).close()
    assert people("list", data=typo) == 0
    assert capsys.readouterr().out.startswith("Nobody has a passphrase yet")


def test_a_restore_that_fails_leaves_no_folder_behind(tmp_path: Path) -> None:
    broken = tmp_path / "broken.zip"
    broken.write_bytes(b"no zip")
    data = tmp_path / "no" / "shop"
    assert run(coldsoak, ["restore", str(broken), "--data", str(data)]) == 2
    assert [path.name for path in tmp_path.iterdir()] == ["broken.zip"]
