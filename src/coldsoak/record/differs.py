"""Where two results that should be one begin to differ."""

from collections.abc import Iterator, Mapping
from typing import Any

MOST_CHARACTERS = 60


def first_difference(then: Any, now: Any, rounding: float = 0.0) -> str | None:
    """Return the first place at which two results differ, in words; None where they are the same.

    Numbers that differ by no more than a share `rounding` of the larger are the same: machines round otherwise. A list
    that is empty is the same as one that is not there: a field that was added later changes no older record.

    >>> first_difference({"chance": 0.01, "files": ["a"]}, {"chance": 0.02, "files": ["a"]})
    'chance was 0.01 and is 0.02'
    >>> first_difference({"chance": 0.01}, {"chance": 0.010000000001}, 1e-6) is None
    True
    """
    return next(_differences("", then, now, rounding), None)


def _differences(path: str, then: Any, now: Any, rounding: float) -> Iterator[str]:
    if isinstance(then, Mapping) and isinstance(now, Mapping):
        for key in sorted({*then, *now}):
            yield from _differences(f"{path}.{key}" if path else key, then.get(key), now.get(key), rounding)
    elif isinstance(then, list) and isinstance(now, list):
        if len(then) != len(now):
            yield f"{path} had {len(then)} entries and has {len(now)}"
        for at, (one, other) in enumerate(zip(then, now, strict=False), start=1):
            yield from _differences(f"{path}[{at}]", one, other, rounding)
    elif not _same(then, now, rounding):
        yield f"{path} was {_short(then)} and is {_short(now)}"


def _same(then: Any, now: Any, rounding: float) -> bool:
    if _is_number(then) and _is_number(now):
        return bool(abs(then - now) <= rounding * max(abs(then), abs(now)))
    return bool(then == now) or all(one is None or one == [] for one in (then, now))


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _short(value: Any) -> str:
    text = "none" if value is None else f"{value:.9g}" if isinstance(value, float) else str(value)
    return text if len(text) <= MOST_CHARACTERS else f"{text[: MOST_CHARACTERS - 1]}…"
