"""Imports run down one list only, lazy and type-only ones too, and never in a circle.

Source: the order is this project's own rule; the table below is its one written form.
"""

import ast
import re
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import pytest

# From the floor up. A name may import what stands on an earlier line, and itself; names on one line never each other,
# but for the floor, whose modules may (in no circle).
LAYERS = [
    [
        "_version",
        "errors",
        "units",
        "sources",
        "value",
        "cautions",
        "channel_order",
        "whole_file",
        "text_file",
    ],
    ["physics"],
    ["logs", "sheet"],
    ["practice"],
    ["judge", "plan", "build", "fill", "prove", "record"],
    ["live", "shop", "fleet"],
    ["web"],
    ["cli"],
]
RANK = {name: rank for rank, names in enumerate(LAYERS) for name in names}
PACKAGE = "coldsoak"
SOURCE = Path(__file__).resolve().parents[2] / "src" / PACKAGE


class Import(NamedTuple):
    """One import of one of our modules: by whom, of what (module, name), in which line.

    `names_only` marks a string such as a package whose data files are read, with nothing imported from it.
    """

    importer: str
    target: str
    name: str | None
    line: int
    names_only: bool = False


def module_name(path: Path, source: Path = SOURCE) -> str:
    parts = [PACKAGE, *path.relative_to(source).with_suffix("").parts]
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def imports_in(text: str, importer: str, *, is_package: bool) -> Iterator[Import]:
    """Every import of ours in a module: plain, lazy, type-only, relative, or by a name in a string."""
    tree = ast.parse(text)
    calls = [node for node in ast.walk(tree) if isinstance(node, ast.Call)]
    import_calls = {id(arg) for call in calls if "import" in ast.unparse(call.func) for arg in call.args}
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            for alias in node.names:
                yield Import(importer, alias.name, None, node.lineno)
        elif isinstance(node, ast.ImportFrom):
            base = importer.split(".")
            base = base[: len(base) - node.level + is_package] if node.level else []
            target = ".".join([*base, *([node.module] if node.module else [])])
            for alias in node.names:
                yield Import(importer, target, alias.name, node.lineno)
        elif isinstance(node, ast.Constant) and re.fullmatch(rf"{PACKAGE}(\.\w+)+(:\w+)?", str(node.value)):
            target, colon, _ = str(node.value).partition(":")
            loaded = bool(colon) or id(node) in import_calls
            yield Import(importer, target, None, node.lineno, names_only=not loaded)


def read_tree() -> tuple[dict[str, Path], list[Import]]:
    modules = {module_name(path): path for path in sorted(SOURCE.rglob("*.py"))}
    found = [
        one
        for name, path in modules.items()
        for one in imports_in(path.read_text("utf-8"), name, is_package=path.name == "__init__.py")
        if one.target.split(".")[0] == PACKAGE and not (one.names_only and one.target not in modules)
    ]
    return modules, found


MODULES, IMPORTS = read_tree()


def layer(module: str) -> str | None:
    """The second word of a module's name; the top package itself has none."""
    parts = module.split(".")
    return parts[1] if len(parts) > 1 else None


def landing(one: Import, modules: dict[str, Path]) -> str:
    """The module that an import really loads: `from package import module` loads the module."""
    below = f"{one.target}.{one.name}"
    return below if below in modules else one.target


def breaks_order(importer: str | None, target: str | None) -> bool:
    if importer is None or target is None or importer == target:
        return False
    down = RANK[target] < RANK[importer]
    return not down and not (RANK[target] == RANK[importer] == 0)


def circles(edges: dict[str, set[str]]) -> list[list[str]]:
    """Every group of modules that reach each other (Tarjan's strongly connected components)."""
    number: dict[str, int] = {}
    low: dict[str, int] = {}
    stack: list[str] = []
    found: list[list[str]] = []

    def visit(node: str) -> None:
        number[node] = low[node] = len(number)
        stack.append(node)
        for after in edges.get(node, ()):
            if after not in number:
                visit(after)
                low[node] = min(low[node], low[after])
            elif after in stack:
                low[node] = min(low[node], number[after])
        if low[node] == number[node]:
            group = stack[stack.index(node) :]
            del stack[-len(group) :]
            if len(group) > 1 or node in edges.get(node, ()):
                found.append(sorted(group))

    for node in edges:
        if node not in number:
            visit(node)
    return found


def test_every_top_name_has_a_place_in_the_order() -> None:
    names = {layer(module) for module in MODULES} - {None}
    assert names <= set(RANK), f"give these a line in LAYERS: {sorted(names - set(RANK))}"
    assert {"_version", "errors", "cli"} <= names, "the tree was not read"


def test_imports_run_down_the_list() -> None:
    wrong = [
        f"{one.importer}:{one.line} imports {landing(one, MODULES)}"
        for one in IMPORTS
        if breaks_order(layer(one.importer), layer(landing(one, MODULES)))
    ]
    assert not wrong, "\n".join(wrong)


def test_every_import_of_ours_exists() -> None:
    """A lazy import of a name that is not there would only fail in front of a user."""
    wrong = [
        f"{one.importer}:{one.line} imports {one.target}" for one in IMPORTS if one.target not in MODULES
    ]
    assert not wrong, "\n".join(wrong)


def test_nothing_imports_from_its_own_package_init() -> None:
    wrong = [
        f"{one.importer}:{one.line} imports {one.name or '(all)'} from {one.target}"
        for one in IMPORTS
        if one.importer.startswith(f"{one.target}.")
        and landing(one, MODULES) == one.target
        and not one.names_only
    ]
    assert not wrong, "\n".join(wrong)


def test_no_module_reaches_itself() -> None:
    edges: dict[str, set[str]] = {name: set() for name in MODULES}
    for one in IMPORTS:
        if one.names_only:
            continue
        edges[one.importer].add(landing(one, MODULES))
    assert circles(edges) == []


@pytest.mark.parametrize("path", sorted(SOURCE.rglob("__init__.py")), ids=module_name)
def test_init_only_re_exports(path: Path) -> None:
    def allowed(node: ast.stmt) -> bool:
        text = isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
        listing = isinstance(node, ast.Assign) and [ast.unparse(name) for name in node.targets] == ["__all__"]
        return text or listing or isinstance(node, ast.ImportFrom)

    body = ast.parse(path.read_text("utf-8")).body
    wrong = [f"line {node.lineno}: {ast.unparse(node)[:60]}" for node in body if not allowed(node)]
    assert not wrong, "\n".join(wrong)
    exported = {
        alias.asname or alias.name
        for node in body
        if isinstance(node, ast.ImportFrom)
        for alias in node.names
    }
    listed = next((ast.literal_eval(node.value) for node in body if isinstance(node, ast.Assign)), [])
    assert sorted(exported) == sorted(listed), "__all__ names what is imported, no more and no less"


def test_physics_knows_no_files() -> None:
    """A published law is a function of numbers: it opens nothing and loads nothing that does."""
    readers = {"pathlib", "os", "io", "json", "tomllib", "csv", "importlib", "polars", "pandas", "ruamel"}
    for path in (SOURCE / "physics").rglob("*.py"):
        tree = ast.parse(path.read_text("utf-8"))
        named = {one.target.split(".")[0] for one in imports_in(ast.unparse(tree), "x", is_package=False)}
        calls = {ast.unparse(node.func) for node in ast.walk(tree) if isinstance(node, ast.Call)}
        assert not named & readers, f"{path.name} imports {sorted(named & readers)}"
        assert "open" not in calls, f"{path.name} opens a file"


def test_pint_is_loaded_only_when_a_person_types_a_quantity() -> None:
    """The unit library takes a good part of a second to load, so no module names it at its top."""
    for name, path in MODULES.items():
        top = [
            node
            for node in ast.parse(path.read_text("utf-8")).body
            if isinstance(node, ast.Import | ast.ImportFrom)
        ]
        assert "pint" not in {word for node in top for word in re.findall(r"\w+", ast.unparse(node))}, name


# The reader of imports is itself held against Python's own rules (language reference, "The import statement").
@pytest.mark.parametrize(
    ("text", "importer", "is_package", "expected"),
    [
        ("import coldsoak.logs.log", "coldsoak.cli.x", False, ("coldsoak.logs.log", None)),
        ("from coldsoak.logs import log as l", "coldsoak.cli.x", False, ("coldsoak.logs", "log")),
        ("def f():\n    from coldsoak.web import page", "coldsoak.judge.x", False, ("coldsoak.web", "page")),
        (
            "if TYPE_CHECKING:\n    from coldsoak.web import page",
            "coldsoak.judge.x",
            False,
            ("coldsoak.web", "page"),
        ),
        ("from . import log", "coldsoak.logs.csv", False, ("coldsoak.logs", "log")),
        ("from . import log", "coldsoak.logs", True, ("coldsoak.logs", "log")),
        ("from ..physics.heat import x", "coldsoak.logs.csv", False, ("coldsoak.physics.heat", "x")),
        ("importlib.import_module('coldsoak.cli.log')", "coldsoak.web.x", False, ("coldsoak.cli.log", None)),
        ("T = {'log': 'coldsoak.cli.log:command'}", "coldsoak.cli.main", False, ("coldsoak.cli.log", None)),
    ],
)
def test_the_reader_sees_every_kind_of_import(
    text: str, importer: str, is_package: bool, expected: tuple[str, str | None]
) -> None:
    (one,) = imports_in(text, importer, is_package=is_package)
    assert (one.target, one.name) == expected


@pytest.mark.parametrize(
    ("importer", "target", "wrong"),
    [
        ("judge", "plan", True),
        ("physics", "logs", True),
        ("logs", "sheet", True),
        ("web", "cli", True),
        ("cli", "web", False),
        ("judge", "practice", False),
        ("errors", "units", False),
    ],
)
def test_the_order_refuses_and_allows(importer: str, target: str, wrong: bool) -> None:
    assert breaks_order(importer, target) is wrong


def test_circles_are_found() -> None:
    """Hand-worked: a → b → c → a is one circle, d hangs on it, e reaches itself."""
    assert circles({"a": {"b"}, "b": {"c"}, "c": {"a"}, "d": {"a"}, "e": {"e"}}) == [["a", "b", "c"], ["e"]]
