"""docs/causes.md: its examples run, and its tables are those of the files. Source: this project's own rule."""

import doctest

import pytest

from coldsoak.judge.explain.trade_tests import load_knowledge


def test_the_examples_of_the_page_run(checkout):
    done = doctest.testfile(str(checkout / "docs" / "causes.md"), module_relative=False)
    assert done.attempted > 10
    assert done.failed == 0


def rows():
    known = load_knowledge()
    for cause, prior in zip(known.causes.causes, known.causes.prior, strict=True):
        quantities = ", ".join(cause.only_for) or "all"
        yield f"| `{cause.name}` | {cause.label} | {100 * prior:.0f} % | {quantities} |"
    for test in known.tests.values():
        results = ", ".join(f"`{state}`" for state in test.node.states)
        yield f"| `{test.name}` | {test.label} | {test.minutes:.0f} | {results} | {test.caution} |"


@pytest.mark.parametrize("row", list(rows()))
def test_every_cause_and_test_is_on_the_page(checkout, row):
    assert row in (checkout / "docs" / "causes.md").read_text("utf-8"), (
        f"put this into docs/causes.md:\n{row}"
    )
