"""The tree can be installed from any index: no file in it records where packages were downloaded, or one machine's paths.

Source: this project's own rule. Lock files that carry download addresses stay out of the tree.
"""

import re
import subprocess
from pathlib import Path

import pytest

RULES = {
    "a download address of a package": re.compile(
        r"https?://[^\s'\"<>)]+\.(?:whl|tar\.gz|tgz|tar\.bz2|egg)\b|https?://[^\s'\"<>)]+/simple\b"
    ),
    "a host that serves packages": re.compile(
        r"https?://[\w.:@-]*(?:pypi|pythonhosted|npmjs|npmmirror|yarnpkg|artifactory|nexus|devpi)[\w.-]*",
        re.IGNORECASE,
    ),
    "an index option in a requirements file": re.compile(
        r"^\s*--?(?:index-url|extra-index-url|find-links|trusted-host|i|f)[ =]\S*(?:://|/)", re.MULTILINE
    ),
    "an address in a lock file": re.compile(
        r"\"resolved\"\s*:\s*\"https?:|^\s*resolved\s+\"https?:|\bregistry\s*=\s*\"https?:", re.MULTILINE
    ),
    "a home folder": re.compile(r"(?<![\w.])/(?:home|Users)/[a-z][\w.-]*/|[A-Z]:\\Users\\\w", re.IGNORECASE),
}
LOCKS = {"uv.lock", "poetry.lock", "pdm.lock", "Pipfile.lock", "pixi.lock", "yarn.lock", "bun.lock"}
LOCKS |= {"package-lock.json", "npm-shrinkwrap.json", "pnpm-lock.yaml", "conda-lock.yml", "pylock.toml"}


def tree_files(checkout: Path) -> list[Path]:
    """What is, or would be, committed; without git, all but hidden folders and what tools leave behind."""
    listed = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        cwd=checkout,
        capture_output=True,
        text=True,
        check=False,
    )
    if listed.returncode == 0 and listed.stdout:
        names = [Path(name) for name in listed.stdout.split("\0") if name]
    else:
        made = {"__pycache__", "build", "dist", "demo-shop"}
        names = [path.relative_to(checkout) for path in checkout.rglob("*")]
        names = [
            n for n in names if not made & set(n.parts) and not n.parts[0].startswith((".venv", ".git", "."))
        ]
    return [checkout / name for name in names if (checkout / name).is_file()]


def breaches(text: str) -> list[str]:
    return [f"{what}: {hit.group(0)!r}" for what, rule in RULES.items() for hit in rule.finditer(text)]


def machine_paths(checkout: Path) -> list[str]:
    """This checkout's own folder and this user's home, where they are long enough to be nobody else's words."""
    return [str(path) for path in {checkout, Path.home()} if len(path.parts) > 2]


def test_the_tree_was_read(checkout: Path) -> None:
    names = {path.relative_to(checkout).as_posix() for path in tree_files(checkout)}
    assert {"pyproject.toml", "requirements/base.txt", "src/coldsoak/errors.py"} <= names


def test_no_file_records_an_address_or_a_machine(checkout: Path) -> None:
    wrong = []
    for path in tree_files(checkout):
        text = path.read_bytes().decode("utf-8", errors="replace")
        found = breaches(text) + [
            f"a path of this machine: {own!r}" for own in machine_paths(checkout) if own in text
        ]
        wrong += [f"{path.relative_to(checkout)}: {one}" for one in found]
    assert not wrong, "\n".join(wrong)


def test_no_lock_file_is_in_the_tree(checkout: Path) -> None:
    assert [str(path) for path in tree_files(checkout) if path.name in LOCKS] == []


def test_every_requirement_is_pinned_and_hashed(checkout: Path) -> None:
    """pip's own rule for --require-hashes: every line `name==version` with at least one hash after it."""
    for path in sorted((checkout / "requirements").glob("*.txt")):
        text = re.sub(r"^\s*#.*\n", "", path.read_text("utf-8"), flags=re.MULTILINE).replace("\\\n", " ")
        lines = [line for line in text.splitlines() if line.strip()]
        assert lines, path.name
        for line in lines:
            assert re.match(r"[\w.-]+==\S+ .*--hash=sha256:[0-9a-f]{64}", line), f"{path.name}: {line[:80]}"


# Each rule against a line as the tool that writes it would put it; the hosts are invented.
@pytest.mark.parametrize(
    "line",
    [
        "source = { " + 'registry = "https' + '://packages.example/simple" }',
        '"resolved": ' + '"https' + "://packages.example/left/-/left-1.0.0" + '.tgz"',
        "--index-url " + "https" + "://packages.example/all",
        "--find-links " + "/opt" + "/wheels",
        "numpy @ https" + "://packages.example/numpy-2.0-py3-none-any" + ".whl",
        "see https" + "://pypi" + ".example/project/numpy",
        "/home" + "/ada/coldsoak/src",
        "C:" + "\\Users" + "\\ada",
    ],
)
def test_the_rules_catch(line: str) -> None:
    assert breaches(line)


@pytest.mark.parametrize(
    "line", ["see https://example.org/paper.pdf", "the /home page", "make run", "pip -i"]
)
def test_the_rules_let_pass(line: str) -> None:
    assert breaches(line) == []
