"""YAML with the place of everything in it. Lines and columns are counted by hand in the texts below."""

import pytest
from ruamel.yaml import YAML

from coldsoak.sheet.document import MOST_VALUES, read_document


def test_places_are_lines_and_columns_from_one() -> None:
    document = read_document("unit:\n  name: Box\nlist: [1, two]\n")
    assert document.places["unit", "name"] == (2, 9)
    assert document.keys["unit", "name"] == (2, 3)
    assert document.places["list", 1] == (3, 11)


def test_values_are_those_of_a_yaml_1_2_reader() -> None:
    """Second method: the safe loader of the same library, which keeps no places."""
    text = (
        "a: 1\nb: [2.5, true, 'no', no, null, ~, 0x1F, 1e3]\nc: {d: 8.8, e: \"10\"}\nf: |\n  two\n  lines\n"
    )
    assert read_document(text).data == YAML(typ="safe", pure=True).load(text)


def test_doubled_keys_are_found_at_every_depth() -> None:
    document = read_document("a:\n  b: 1\n  b: 2\nc: 3\na: 4\n")
    assert [problem.at("x") for problem in document.problems] == [
        "x:3:3: 'b' is there twice, first in line 2: keep one.",
        "x:5:1: 'a' is there twice, first in line 1: keep one.",
    ]
    assert document.data == {"a": {"b": 1}, "c": 3}


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("a: [1,\nb: 2}", (2, 5)),
        ("a: b: c", (1, 5)),
        ("\tx: 1", (1, 1)),
        ("a: 'open", (1, 9)),
        ("a: *nothing", (1, 4)),
    ],
)
def test_what_is_not_yaml_is_said_with_its_place(text: str, place: tuple[int, int]) -> None:
    (problem,) = read_document(text).problems
    assert (problem.line, problem.column) == place
    assert problem.message.startswith("this is not YAML (")
    assert problem.message.endswith("): check indents, colons and quotes around here.")


def test_aliases_cannot_grow_without_end() -> None:
    """Ten levels of ten aliases each would be ten billion values."""
    lines = ["a0: &a0 [x, x, x, x, x, x, x, x, x, x]"]
    lines += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 10)}]" for n in range(1, 10)]
    document = read_document("\n".join(lines))
    assert len(document.places) <= MOST_VALUES + 1
    assert [problem.message for problem in document.problems] == [
        "this file is too large for a sheet: keep one unit type in one file."
    ]


def test_tags_build_nothing() -> None:
    """A tag that would start a program in a careless reader stays text."""
    assert read_document("a: !!python/object/apply:os.system ['true']").data == {"a": ["true"]}
