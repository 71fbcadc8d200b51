"""A YAML text as plain values, with the line and column of every one of them."""

import re
from dataclasses import dataclass, field
from typing import Any

from ruamel.yaml import YAML
from ruamel.yaml.error import MarkedYAMLError, YAMLError
from ruamel.yaml.nodes import MappingNode, Node, ScalarNode, SequenceNode

Path = tuple[str | int, ...]
MOST_VALUES = 200_000
DEEPEST = 40


@dataclass(frozen=True, order=True)
class Problem:
    """One mistake and where it stands; lines and columns count from 1."""

    line: int
    column: int
    message: str

    def at(self, file: str) -> str:
        """Return the problem as one line of text that names the file.

        >>> Problem(3, 5, "count is missing.").at("pan.yaml")
        'pan.yaml:3:5: count is missing.'
        """
        return f"{file}:{self.line}:{self.column}: {self.message}"


@dataclass
class Document:
    """What a YAML text says: plain values, where each stands, and what is wrong with the text itself."""

    data: Any = None
    places: dict[Path, tuple[int, int]] = field(default_factory=dict)
    keys: dict[Path, tuple[int, int]] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)

    def problem(self, path: Path, message: str, *, key: bool = False) -> Problem:
        """Return a problem at the value that `path` leads to, or at its name, or at the nearest thing above."""
        if key and path in self.keys:
            return Problem(*self.keys[path], message)
        while path and path not in self.places:
            path = path[:-1]
        return Problem(*self.places.get(path, (1, 1)), message)


def read_document(text: str) -> Document:
    """Read a YAML 1.2 text.

    >>> document = read_document("pan:\\n  bolts: 13\\n  bolts: 14\\n")
    >>> document.data
    {'pan': {'bolts': 13}}
    >>> document.problems[0].at("x.yaml")
    "x.yaml:3:3: 'bolts' is there twice, first in line 2: keep one."
    """
    document = Document()
    if _brackets(text) > DEEPEST:
        document.problems.append(
            Problem(1, 1, "this nests too deeply for a sheet: write it as plain text with indents.")
        )
        return document
    try:
        node = YAML(typ="rt", pure=True).compose(text)
    except MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        line, column = (mark.line + 1, mark.column + 1) if mark else (1, 1)
        what = " ".join((error.problem or "the text cannot be read").split())
        document.problems.append(
            Problem(line, column, f"this is not YAML ({what}): check indents, colons and quotes around here.")
        )
        return document
    except (YAMLError, RecursionError) as error:
        what = " ".join(str(error).split())[:120] or "it nests too deeply"
        document.problems.append(
            Problem(1, 1, f"this is not YAML ({what}): write it as plain text with indents.")
        )
        return document
    if node is not None:
        document.data = _value(node, (), document)
    return document


def _brackets(text: str) -> int:
    """Return how deep brackets stand in one another; the reader of YAML takes minutes over thousands of them.

    >>> _brackets("a: [1, {b: [2]}]")
    3
    """
    depth = deepest = 0
    for found in re.finditer(r"[\[{]|[\]}]", text):
        depth = depth + 1 if found.group() in "[{" else max(depth - 1, 0)
        deepest = max(deepest, depth)
    return deepest


def _value(node: Node, path: Path, document: Document) -> Any:
    if len(document.places) > MOST_VALUES or len(path) > DEEPEST:
        if not any("too large" in problem.message for problem in document.problems):
            document.problems.append(
                Problem(1, 1, "this file is too large for a sheet: keep one unit type in one file.")
            )
        return None
    document.places[path] = (node.start_mark.line + 1, node.start_mark.column + 1)
    if isinstance(node, MappingNode):
        return _mapping(node, path, document)
    if isinstance(node, SequenceNode):
        return [_value(item, (*path, at), document) for at, item in enumerate(node.value)]
    return _scalar(node) if isinstance(node, ScalarNode) else None


def _mapping(node: MappingNode, path: Path, document: Document) -> dict[str, Any]:
    values: dict[str, Any] = {}
    for key_node, value_node in node.value:
        key = str(key_node.value) if isinstance(key_node, ScalarNode) else "?"
        place = (key_node.start_mark.line + 1, key_node.start_mark.column + 1)
        if key in values:
            first = document.keys[*path, key][0]
            document.problems.append(
                Problem(*place, f"{key!r} is there twice, first in line {first}: keep one.")
            )
            continue
        document.keys[*path, key] = place
        values[key] = _value(value_node, (*path, key), document)
    return values


def _scalar(node: ScalarNode) -> Any:
    text = str(node.value)
    match str(node.tag).rpartition(":")[2]:
        case "null":
            return None
        case "bool":
            return text.casefold() == "true"
        case "int":
            return _number(text, int)
        case "float":
            return _number(text, float)
        case _:
            return text


def _number(text: str, kind: type[int] | type[float]) -> int | float | str:
    plain = text.replace("_", "")
    try:
        return int(plain, 0) if kind is int else float(plain)
    except ValueError:
        try:
            return kind(plain)
        except ValueError:
            return text
