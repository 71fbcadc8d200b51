"""What results stand on. A second method for the sources: a walk over every import of a stage and what it cites."""

import ast
import re
import tomllib
from pathlib import Path

import pytest

import coldsoak
from coldsoak.record.stands_on import sha256_of, sources_of, versions
from coldsoak.sources import sources

ROOT = Path(coldsoak.__file__).parent
MODULES = {
    "coldsoak." + ".".join(path.relative_to(ROOT).with_suffix("").parts): path for path in ROOT.rglob("*.py")
}
LISTED = tomllib.loads((ROOT / "record" / "stands_on.toml").read_text("utf-8"))


def reached(stage: str) -> set[str]:
    seen: set[str] = set()
    left = [name for name in MODULES if name.startswith(f"coldsoak.{stage}.")]
    while left:
        name = left.pop()
        if name in seen:
            continue
        seen.add(name)
        for node in ast.walk(ast.parse(MODULES[name].read_text("utf-8"))):
            if isinstance(node, ast.ImportFrom) and node.module and node.module.startswith("coldsoak"):
                left += [
                    f"{node.module}.{one.name}"
                    for one in node.names
                    if f"{node.module}.{one.name}" in MODULES
                ]
                left += [node.module] if node.module in MODULES else []
    return seen


def cited(stage: str) -> set[str]:
    files = [MODULES[name] for name in reached(stage)] + list((ROOT / stage).rglob("*.toml"))
    text = "\n".join(path.read_text("utf-8") for path in files)
    return {key for key in sources() if f"[{key}]" in text or re.search(rf'"{re.escape(key)}"', text)}


@pytest.mark.parametrize("stage", LISTED)
def test_every_source_of_a_stage_is_in_the_record(stage: str) -> None:
    assert set(LISTED[stage]) == cited(stage), f"put the sources of {stage} into record/stands_on.toml"


def test_sources_are_said_in_full() -> None:
    assert len(sources_of("judge")) == len(LISTED["judge"])
    assert any("Incropera" in line for line in sources_of("judge"))


def test_versions_and_hashes(tmp_path: Path) -> None:
    """SHA-256 of "abc": FIPS 180-4, example of the standard, from memory."""
    path = tmp_path / "abc"
    path.write_bytes(b"abc")
    assert sha256_of(path) == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert versions()["coldsoak"] == coldsoak.__version__
