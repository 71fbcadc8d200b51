"""The set-up script: what it hands from pip to uv, and what it says to a machine that lacks something.

Sources: pip's documentation, "Configuration" (order of files, `[install]` over `[global]`, the environment over both);
uv's documentation, "Environment variables".
"""

import importlib.util
import os
import subprocess
import sys
from pathlib import Path
from types import ModuleType

import pytest

CHECKOUT = Path(__file__).resolve().parents[2]


@pytest.fixture
def script() -> ModuleType:
    spec = importlib.util.spec_from_file_location("setup_env", CHECKOUT / "scripts" / "setup_env.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_the_environment_wins_over_install_over_global(script: ModuleType) -> None:
    lines = [
        ":env:.timeout='60'",
        "global.index-url='https://a.example/all'",
        "global.timeout='30'",
        "install.index-url='https://b.example/all'",
        "download.index-url='https://c.example/all'",
    ]
    listed = "\n".join(lines)
    assert script.parse_pip_settings(listed) == {"index-url": "https://b.example/all", "timeout": "60"}


def test_uv_is_told_what_pip_knows(script: ModuleType, tmp_path: Path) -> None:
    settings = {
        "index-url": "https://a.example/all",
        "extra-index-url": f"https://b.example/all\nfile://{tmp_path} file://{tmp_path}/gone",
        "find-links": f"{tmp_path}/gone {tmp_path}",
        "cert": "/etc/ssl/mirror.pem",
        "trusted-host": "a.example",
        "timeout": "60",
    }
    told = script.uv_environment(settings, {})
    assert told["UV_DEFAULT_INDEX"] == "https://a.example/all"
    assert told["UV_INDEX"] == f"https://b.example/all file://{tmp_path}"
    assert told["UV_FIND_LINKS"] == str(tmp_path)
    assert told["SSL_CERT_FILE"] == "/etc/ssl/mirror.pem"
    assert told["UV_INSECURE_HOST"] == "a.example"
    assert told["UV_HTTP_TIMEOUT"] == "60"


def test_what_the_person_set_for_uv_stays(script: ModuleType) -> None:
    told = script.uv_environment(
        {"index-url": "https://a.example/all"}, {"UV_DEFAULT_INDEX": "https://own.example"}
    )
    assert told["UV_DEFAULT_INDEX"] == "https://own.example"


def test_nothing_configured_is_nothing_told(script: ModuleType) -> None:
    assert {"UV_DEFAULT_INDEX", "UV_INDEX", "UV_FIND_LINKS", "SSL_CERT_FILE"}.isdisjoint(
        script.uv_environment({}, {})
    )


def test_an_old_python_is_refused(script: ModuleType, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(script.sys, "version_info", (3, 9, 2, "final", 0))
    with pytest.raises(
        script.SetupError, match=r"^Python 3\.11 or newer is needed and this is 3\.9\.2: name a newer one"
    ):
        script.check_python()


def test_a_python_without_venv_is_told_what_to_install(
    script: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Debian splits ensurepip off into the package python3-venv."""
    monkeypatch.setitem(sys.modules, "ensurepip", None)
    with pytest.raises(
        script.SetupError, match=r"run `apt install python3-venv`, then the same command again\.$"
    ):
        script.check_python()


def test_no_network_is_said_in_a_sentence(script: ModuleType) -> None:
    words = "ERROR: No matching distribution found for uv==1 (from versions: none)"
    command = [sys.executable, "-c", f"import sys; sys.exit({words!r})"]
    with pytest.raises(script.SetupError) as caught:
        script.run(command, "pip could not install")
    assert str(caught.value) == (
        "pip could not install, because the package index cannot be reached or does not have it: connect to the "
        "network, or name another index in PIP_INDEX_URL, and run the same command again."
    )


def test_another_failure_keeps_the_tool_s_last_words(script: ModuleType) -> None:
    command = [sys.executable, "-c", "import sys; sys.exit('the disk is full')"]
    with pytest.raises(script.SetupError, match=r"^pip could not install:\nthe disk is full$"):
        script.run(command, "pip could not install")


def test_the_stamp_follows_every_file_that_decides(script: ModuleType, tmp_path: Path) -> None:
    (tmp_path / "requirements").mkdir()
    (tmp_path / "scripts").mkdir()
    names = ["pyproject.toml", "scripts/setup_env.py"]
    names += [f"requirements/{part}.txt" for part in ("uv", "base", "dev", "bench", "data")]
    for name in names:
        (tmp_path / name).write_text(name, encoding="utf-8")
    script.ROOT = tmp_path
    before = script.keys()
    assert script.keys() == before
    for name in names:
        (tmp_path / name).write_text("changed", encoding="utf-8")
        assert script.keys() != before, name
        (tmp_path / name).write_text(name, encoding="utf-8")


def test_a_second_run_needs_no_network_and_no_time(checkout: Path, script: ModuleType) -> None:
    """Where this environment was made by the script, running it again changes nothing and asks nobody."""
    if Path(sys.prefix) != checkout / ".venv" or not (checkout / ".venv" / "setup-stamp.json").exists():
        pytest.skip("this environment was not made by make setup")
    base = Path(getattr(sys, "_base_executable", sys.executable))
    blocked = {
        **os.environ,
        "PIP_INDEX_URL": "https://127.0.0.1:9/none",
        "PIP_RETRIES": "0",
        "UV_OFFLINE": "1",
    }
    command = [base, "scripts/setup_env.py", "--dev"]
    done = subprocess.run(
        command, cwd=checkout, env=blocked, capture_output=True, text=True, check=True, timeout=3
    )
    assert done.stdout == done.stderr == ""
