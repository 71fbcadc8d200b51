"""The page docs/physics.md lists every law with its best grade of evidence, and is never out of date."""

import inspect
from pathlib import Path

PAGE = Path(__file__).parents[2] / "docs" / "physics.md"
BEST_FIRST = [
    "published",
    "from memory",
    "second method",
    "hand-worked limit",
    "common practice",
    "self-recorded",
]


def index(laws, cases):
    rows = ["| law | what it gives | cases | best evidence |", "|---|---|---|---|"]
    for name, function in laws.items():
        grades = [case["grade"] for case in cases if case["function"] == name]
        summary = inspect.getdoc(function).splitlines()[0].rstrip(".")
        rows.append(f"| `{name}` | {summary} | {len(grades)} | {min(grades, key=BEST_FIRST.index)} |")
    return "\n".join(rows)


def test_the_page_lists_every_law_as_it_is(laws, cases):
    expected = index(laws, cases)
    assert expected in PAGE.read_text(encoding="utf-8"), f"put this into docs/physics.md:\n{expected}"
