"""What is wrong with a value of a sheet, as one sentence: what was written, what is allowed, what to do."""

import difflib
import types
from collections.abc import Iterable, Mapping
from typing import Any, Union, get_args, get_origin

from pydantic import BaseModel, ValidationError

from coldsoak.sheet.document import Document, Path, Problem

LONGEST_LIST = 40
BOUNDS = {
    "greater_than": "above",
    "greater_than_equal": "at least",
    "less_than": "below",
    "less_than_equal": "at most",
}
_ENTRIES = "{given} stands where entries are needed: write them below it, indented, as name: value."
_LIST = "{given} is not a list: write [one, two]."
_SWITCH = "{given} is not allowed: write true or false."
SENTENCES = {
    "missing": "this is missing: add it.",
    "string_pattern_mismatch": "{given} is not a name: use small letters, digits and _, beginning with a letter.",
    "value_error": "{error}",
    "string_type": "{given} is not text: write words, in quotes where they look like a number.",
    "string_too_short": "this is empty: write what it is, or leave the line out.",
    "string_too_long": "this is longer than {max_length} characters: say it shorter.",
    "bool_type": _SWITCH,
    "bool_parsing": _SWITCH,
    "dict_type": _ENTRIES,
    "model_type": _ENTRIES,
    "model_attributes_type": _ENTRIES,
    "tuple_type": _LIST,
    "list_type": _LIST,
    "too_short": "{actual_length} entries are too few here: at least {min_length} is needed.",
    "too_long": "{actual_length} entries are too many here: at most {max_length} are allowed.",
    "int_from_float": "{given} is not a whole number: write one.",
}


def problems_of(error: ValidationError, model: type[BaseModel], document: Document) -> list[Problem]:
    """Return one problem for every mistake that the model found in a document's data."""
    found = []
    for one in error.errors(include_url=False):
        loc = tuple(part for part in one["loc"] if part != "[key]")
        is_key = one["type"] == "extra_forbidden" or "[key]" in one["loc"]
        path = _name(loc[:-1] if _stray(one, loc) else loc)
        message = f"{path}: {_sentence(one, loc, model)}" if path else _sentence(one, loc, model)
        found.append(document.problem(_place(one["type"], loc), message, key=is_key))
    return found


def suggestion(word: str, known: Iterable[str]) -> str:
    """Return the nearest of the known words as a question, or all of them.

    >>> suggestion("pam", ["pan", "filter"]), suggestion("x", ["pan", "filter"])
    ("did you mean 'pan'?", "there are 'pan', 'filter'.")
    """
    names = list(known)
    near = difflib.get_close_matches(word, names, n=1, cutoff=0.6)
    if near:
        return f"did you mean {near[0]!r}?"
    if not names:
        return "there are none."
    listed = ", ".join(repr(name) for name in names[:LONGEST_LIST])
    return f"there are {listed}{' …' if len(names) > LONGEST_LIST else '.'}"


def _place(kind: str, loc: Path) -> Path:
    return loc[:-1] if kind == "missing" else loc


def _no_entry(error: Mapping[str, Any], loc: Path, model: type[BaseModel]) -> str:
    if _stray(error, loc):
        return (
            f"a comma begins the next entry, so that {loc[-1]} stands here alone: write decimals with a point, as in "
            f"12.{loc[-1]}."
        )
    return f"there is no such entry: {suggestion(str(loc[-1]), _fields(model, loc[:-1]))}"


def _stray(error: Mapping[str, Any], loc: Path) -> bool:
    """Say whether an entry is what a comma within a number has left: a name of digits alone, with nothing in it."""
    return error["type"] == "extra_forbidden" and error["input"] is None and f"{loc[-1]}".isdecimal()


def _name(loc: Path) -> str:
    text = ""
    for part in loc:
        if part in ("any_of", "value"):
            continue
        text += f"[{part + 1}]" if isinstance(part, int) else f".{part}" if text else str(part)
    return text


def _sentence(error: Mapping[str, Any], loc: Path, model: type[BaseModel]) -> str:
    given, context, kind = error["input"], error.get("ctx", {}), str(error["type"])
    if kind == "extra_forbidden":
        return _no_entry(error, loc, model)
    if kind == "literal_error":
        return f"{_short(given)} is not allowed: {_one_of(str(given), _allowed(str(context['expected'])))}"
    if kind in BOUNDS:
        bound = f"{next(iter(context.values()))}".removeprefix("Decimal('").removesuffix("')")
        return f"{_short(given)} is not allowed: it must be {BOUNDS[kind]} {float(bound):g}."
    if kind in SENTENCES:
        return SENTENCES[kind].format(given=_short(given), **context)
    if kind.startswith(("int", "float", "decimal")):
        return f"{_short(given)} is not a number as it is needed here: write a plain number."
    return f"{_short(given)} cannot be used here ({error['msg']})."


def _one_of(given: str, allowed: list[str]) -> str:
    near = difflib.get_close_matches(given, allowed, n=1, cutoff=0.6)
    hint = f"did you mean {near[0]!r}? " if near else ""
    return f"{hint}{'A' if hint else 'a'}llowed is {', '.join(allowed)}."


def _allowed(expected: str) -> list[str]:
    words = expected.replace(" or ", ", ").split(", ")
    return [word.strip("'") for word in words]


def _short(value: Any) -> str:
    text = "nothing" if value is None else repr(value)
    return text if len(text) <= 60 else text[:57] + "…"


def _fields(model: type[BaseModel], loc: Path) -> Iterable[str]:
    """Return the names that are known at a place of the model."""
    here: Any = model
    for part in loc:
        here = _inside(here, part)
        if here is None:
            return []
    return [field.alias or name for one in _models(here) for name, field in one.model_fields.items()]


def _inside(here: Any, part: str | int) -> Any:
    """Return what stands at an entry or item of a type, or None."""
    if isinstance(here, type) and issubclass(here, BaseModel):
        fields = here.model_fields.items()
        return next((field.annotation for name, field in fields if part in (name, field.alias)), None)
    origin, arguments = get_origin(here), get_args(here)
    if origin in (Union, types.UnionType):
        return next((found for one in arguments if (found := _inside(one, part)) is not None), None)
    if origin in (dict, tuple, list):
        return arguments[1 if origin is dict else 0]
    return _inside(arguments[0], part) if hasattr(here, "__metadata__") else None


def _models(here: Any) -> list[type[BaseModel]]:
    if isinstance(here, type) and issubclass(here, BaseModel):
        return [here]
    return [found for one in get_args(here) for found in _models(one)]
