"""No option of the command line stands on a page: every sentence of the layers below is read from their source."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import click
import pytest

from coldsoak.cli.serve import command as serve
from coldsoak.web.bay.wording import FIELDS, for_pages

SOURCE = Path(__file__).parents[2] / "src" / "coldsoak"
OPTION = re.compile(r"(?<![\w-])--[a-z][a-z-]*")
SHARED = ("build", "fill", "judge", "logs", "physics", "plan", "prove", "record", "sheet", "shop")
AT_THE_DESK = {
    "--seat": "`coldsoak tighten` alone works out how bolts slacken their neighbours",
    "--nut-factor": "`coldsoak tighten` alone works out clamp forces",
    "--shear-strength": "`coldsoak tighten` alone works out clamp forces",
    "--handle": "a wrench of the crib has its handle there",
    "--hash": "in the command that is printed on a hand-over",
}


def _sentences() -> Iterator[tuple[str, str]]:
    """Where each text that names an option stands, and the text with x for what is put in."""
    for layer in SHARED:
        for file in sorted((SOURCE / layer).rglob("*.py")):
            tree = ast.parse(file.read_text("utf-8"))
            inside = {
                id(part) for one in ast.walk(tree) if isinstance(one, ast.JoinedStr) for part in one.values
            }
            inside |= {id(one.value) for one in ast.walk(tree) if isinstance(one, ast.Expr)}  # docstrings
            for one in ast.walk(tree):
                if isinstance(one, ast.JoinedStr):
                    text = "".join(str(p.value) if isinstance(p, ast.Constant) else "x" for p in one.values)
                elif isinstance(one, ast.Constant) and isinstance(one.value, str) and id(one) not in inside:
                    text = one.value
                else:
                    continue
                if OPTION.search(text):
                    yield f"{file.relative_to(SOURCE)}:{one.lineno}", text


def _of_serve() -> set[str]:
    assert isinstance(serve, click.Command)
    return {name for one in serve.params for name in one.opts}


@pytest.mark.parametrize(("where", "text"), [pytest.param(*one, id=one[0]) for one in _sentences()])
def test_a_page_names_fields_and_no_options(where: str, text: str) -> None:
    """What the pages are served with keeps its name there: it is said to who keeps the shop's machine."""
    left = set(OPTION.findall(for_pages(text)))
    assert left <= _of_serve() | set(AT_THE_DESK), where


def test_fields_are_called_what_the_pages_call_them() -> None:
    pages = (SOURCE / "web" / "templates" / "bay").glob("*.j2")
    shown = "".join(page.read_text("utf-8") for page in pages)
    for field in FIELDS.values():
        assert (
            not field.startswith("“")
            or f">{field.strip('“”')} <" in shown
            or f">{field.strip('“”')}<" in shown
        )


def test_every_field_stands_for_an_option_that_is_named_somewhere() -> None:
    named = {option for _, text in _sentences() for option in OPTION.findall(text)}
    assert named - _of_serve() == set(FIELDS) | set(AT_THE_DESK)
