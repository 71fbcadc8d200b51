"""The register of published sources: complete, all of it used, nothing cited that is not in it."""

import re
import tomllib
from pathlib import Path

import pytest

import coldsoak
from coldsoak.errors import InputError
from coldsoak.sources import Source, source, sources

PACKAGE = Path(coldsoak.__file__).parent
TESTS = Path(__file__).parent
CITED_IN_CASE = re.compile(r'^source = "([^"]+)"$', re.MULTILINE)
CITED_IN_TEXT = re.compile(r"\[([a-z][a-z0-9]*(?:-[a-z0-9]+)*)\]")
CITING_LINE = re.compile(r"^    Source\n    -+\n(?P<text>(?:    .+\n)+)", re.MULTILINE)


def cases():
    return "\n".join(path.read_text(encoding="utf-8") for path in TESTS.rglob("cases/*.toml"))


def cited_in_source_sections():
    keys = set()
    for path in PACKAGE.rglob("*.py"):
        for match in CITING_LINE.finditer(path.read_text(encoding="utf-8")):
            keys |= set(CITED_IN_TEXT.findall(match["text"]))
    return keys


def cited_anywhere():
    keys = set(CITED_IN_CASE.findall(cases()))
    for folder in (PACKAGE, TESTS):
        for path in folder.rglob("*.py"):
            keys |= set(CITED_IN_TEXT.findall(path.read_text(encoding="utf-8")))
    return keys


def test_every_source_is_used():
    assert not set(sources()) - cited_anywhere()


def test_every_cited_source_is_registered():
    assert not (set(CITED_IN_CASE.findall(cases())) | cited_in_source_sections()) - set(sources())


@pytest.mark.parametrize("entry", sources().values(), ids=lambda entry: entry.key)
def test_an_entry_says_what_and_where_it_is_and_how_far_it_was_read(entry):
    assert entry.title
    assert entry.authors
    assert entry.locator
    assert entry.kind in {"standard", "paper", "book", "data sheet", "web page", "course slides"}
    assert entry.read in {"document", "worked example", "memory"}
    assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", entry.key)
    assert entry.year is None or 1800 < entry.year < 2100
    assert not entry.doi or entry.doi.startswith("10.")


def test_entries_hold_what_the_file_holds():
    raw = tomllib.loads((PACKAGE / "sources.toml").read_text(encoding="utf-8"))
    assert {key: value["title"] for key, value in raw.items()} == {
        key: e.title for key, e in sources().items()
    }


def test_a_source_prints_as_a_reference():
    entry = Source(
        "k", "Title", "A. Author", "book", "p. 5", "document", edition="2nd", year=1999, doi="10.1/x"
    )
    assert str(entry) == "A. Author: Title; 2nd, 1999; p. 5; doi:10.1/x"
    assert str(Source("k", "Title", "A. Author", "book", "p. 5", "document")) == "A. Author: Title; p. 5"


def test_an_unknown_key_lists_the_known_ones():
    with pytest.raises(
        InputError, match=r"^the source 'hollman' is not in the register: use one of .*holman.*\.$"
    ):
        source("hollman")
