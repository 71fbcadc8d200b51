"""Whatever people typed, made fit for paper: characters no font on board has are spelled out, long words may break.

Text always reaches the templates as data; marks of their language stay what they are.
"""

import re
import tomllib
import unicodedata
from bisect import bisect_right
from functools import cache
from importlib.resources import files
from typing import Any

BREAK_EVERY = 18
LONGEST_WORD = 26
MAY_BREAK = "\u200b"
_LONG = re.compile(rf"\S{{{LONGEST_WORD},}}")
_JOINTS = re.compile(r"(?<=[-_./,;:@\\])(?=[^-_./,;:@\\])")
_HASH = re.compile(r"[0-9a-f]{64}")
_KEPT = frozenset("\n\u200b")


@cache
def _ranges() -> tuple[tuple[int, ...], tuple[int, ...]]:
    table = tomllib.loads(files("coldsoak.record").joinpath("text", "glyphs.toml").read_text("utf-8"))
    pairs = sorted(tuple(int(end, 16) for end in one.split("-")) for one in table["ranges"])
    return tuple(first for first, _ in pairs), tuple(last for _, last in pairs)


def legible(said: str) -> str:
    """Return a text in which every character can be printed.

    >>> legible("Van 🚐 of 王"), legible("a\\tb\\x07")
    ('Van [minibus] of [U+738B]', 'a b')
    """
    shown = "".join(_shown(letter) for letter in unicodedata.normalize("NFC", said))
    return _LONG.sub(_with_breaks, shown)


def legible_all(value: Any) -> Any:
    """Return plain values with every text in them made legible; drawings, which are SVG, stay as they are."""
    if isinstance(value, str):
        return value if value.startswith("<svg") else legible(value)
    if isinstance(value, dict):
        return {key: legible_all(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [legible_all(one) for one in value]
    return value


def _shown(letter: str) -> str:
    code = ord(letter)
    firsts, lasts = _ranges()
    at = bisect_right(firsts, code) - 1
    if letter in _KEPT or (at >= 0 and code <= lasts[at]):
        return letter
    kind = unicodedata.category(letter)
    if letter in "\t\r\v\f\u2028\u2029" or kind == "Zs":
        return " "
    if kind in ("Cc", "Cf", "Cs", "Cn") or 0xFE00 <= code <= 0xFE0F or 0x1F3FB <= code <= 0x1F3FF:
        return ""
    name = unicodedata.name(letter, "")
    return f"[{name.casefold()}]" if kind == "So" and name else f"[U+{code:04X}]"


def _with_breaks(hit: re.Match[str]) -> str:
    word = hit[0]
    if _HASH.search(word):
        return word
    parts = _JOINTS.split(word)
    return MAY_BREAK.join(
        part[at : at + BREAK_EVERY] for part in parts for at in range(0, len(part), BREAK_EVERY)
    )
