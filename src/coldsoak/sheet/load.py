"""Read a unit sheet, a crib or a price list; every mistake in it is reported, all in one pass."""

from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import TypeVar, get_args

from pydantic import BaseModel, ValidationError

from coldsoak.errors import SheetError
from coldsoak.sheet.crib import Crib
from coldsoak.sheet.document import Document, Problem, read_document
from coldsoak.sheet.plausible import plausible_problems, unfilled_problems
from coldsoak.sheet.prices import PriceList
from coldsoak.sheet.references import name_problems, part, reference_problems
from coldsoak.sheet.trade import circle_problems, component_problems, fastener_problems, fluid_problems
from coldsoak.sheet.unit import UnitSheet
from coldsoak.sheet.wording import problems_of

LARGEST_BYTES = 2_000_000
Model = TypeVar("Model", bound=BaseModel)
Check = Callable[[Document], Iterable[Problem]]
SHEET_CHECKS: tuple[Check, ...] = (
    name_problems,
    reference_problems,
    fastener_problems,
    component_problems,
    fluid_problems,
    plausible_problems,
    circle_problems,
)


def load_sheet(path: Path) -> UnitSheet:
    """Read a unit sheet, or raise SheetError with a line for every mistake."""
    return parse_sheet(_text(path), str(path))


def load_crib(path: Path) -> Crib:
    """Read a tool crib, or raise SheetError with a line for every mistake."""
    return _parse(_text(path), str(path), Crib, ())


def load_prices(path: Path) -> PriceList:
    """Read a price list, or raise SheetError with a line for every mistake."""
    return _parse(_text(path), str(path), PriceList, ())


def load_as(path: Path, model: type[Model], checks: Iterable[Check] = ()) -> Model:
    """Read a file of the shop as `model`, whose `schema` field names its kind, or raise SheetError."""
    return _parse(_text(path), str(path), model, checks)


def parse_sheet(text: str, file: str = "sheet") -> UnitSheet:
    """Read the text of a unit sheet; `file` is what mistakes are reported against.

    >>> parse_sheet("schema: coldsoak.sheet/1\\ncomponents: {}\\n", "x.yaml")
    Traceback (most recent call last):
    coldsoak.errors.SheetError: x.yaml:1:1: unit: this is missing: add it.
    x.yaml:2:13: components: 0 entries are too few here: at least 1 is needed.
    """
    return _parse(text, file, UnitSheet, SHEET_CHECKS)


def parse_crib(text: str, file: str = "crib") -> Crib:
    """Read the text of a tool crib; `file` is what mistakes are reported against."""
    return _parse(text, file, Crib, ())


def parse_prices(text: str, file: str = "prices") -> PriceList:
    """Read the text of a price list; `file` is what mistakes are reported against."""
    return _parse(text, file, PriceList, ())


def _text(path: Path) -> str:
    if path.stat().st_size > LARGEST_BYTES:
        raise SheetError(
            (f"{path}:1:1: this file is too large for a sheet: keep one unit type in one file.",)
        )
    data = path.read_bytes()
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        column = error.start - data[: error.start].rfind(b"\n")
        problem = Problem(line, column, "this is not UTF-8 text: save the file as UTF-8.")
        raise SheetError((problem.at(str(path)),)) from None


def _parse(text: str, file: str, model: type[Model], checks: Iterable[Check]) -> Model:
    document = read_document(text)
    problems = list(document.problems) or list(_other_kind(document, model))
    if document.data is None or (problems and not document.problems):
        raise SheetError(tuple(problem.at(file) for problem in problems))
    found = None
    try:
        found = model.model_validate(document.data)
    except ValidationError as error:
        problems += problems_of(error, model, document)
    for check in checks:
        problems += check(document)
    unfilled = list(unfilled_problems(document))
    places = {(one.line, one.column) for one in unfilled}
    problems = [one for one in problems if (one.line, one.column) not in places] + unfilled
    if found is None or problems:
        raise SheetError(tuple(problem.at(file) for problem in _once(problems)))
    return found


def _other_kind(document: Document, model: type[BaseModel]) -> Iterator[Problem]:
    """Yield one problem where the text is another kind of file than was asked for."""
    title = str(model.model_config.get("title", model.__name__)).lower()
    if not isinstance(document.data, dict):
        yield Problem(1, 1, f"there is no {title} in this file: see `coldsoak sheet new`.")
        return
    said = part(document.data, "schema")
    wanted = next(iter(get_args(model.model_fields["schema_"].annotation)))
    if isinstance(said, str) and said != wanted:
        yield document.problem(
            ("schema",), f"schema is {said!r}, and a {title} has {wanted!r}: name the right file."
        )


def _once(problems: list[Problem]) -> list[Problem]:
    """Return the problems in the order of the file, one for each place and sentence."""
    return sorted(set(problems))
