"""Channel names and unit texts, brought to a form in which they can be compared."""

import re
import unicodedata
from collections.abc import Iterator

_GARBLED_DEGREE = re.compile(r"[\u0080-\uffff]*[°º˚�\ufffd]|Â|[\u0080-\uffff]+(?=\s?[CF]\b)")
_BRACKETS = re.compile(r"\(([^()\[\]{}]*)\)|\[([^()\[\]{}]*)\]|\{([^()\[\]{}]*)\}")
_HUMP = re.compile(r"(?<=[a-zäöüß])(?=[A-ZÄÖÜ])|(?<=[A-Z])(?=[A-Z][a-z]{2})")
_UNIT_AT_END = re.compile(r"\s*[\[(][^\])]*[\])]\s*$")
_AGAIN = re.compile(r"\s*(\(\d+\))\s*$")
_NOT_WORD = re.compile(r"[\W_]+")
_DIGIT_EDGE = re.compile(r"(?<=\d)(?=[^\W\d])|(?<=[^\W\d])(?=\d)")


def mend_degree(text: str) -> str:
    """Give a degree sign its own character again, however often its encoding was mistaken.

    >>> [mend_degree(t) for t in ("Â°C", "Ã‚Â°C", "ºF", "\\ufffdC", "°C", "µs")]
    ['°C', '°C', '°F', '°C', '°C', 'µs']
    """
    if text.isascii() or text.startswith(("µ", "μ")):
        return text
    return _GARBLED_DEGREE.sub("°", text)


def bare_name(name: str) -> str:
    """Return a channel's name for people: without the unit in brackets at its end, with the number of one that comes twice.

    >>> [bare_name(n) for n in ("Oil [Â°C]", "Oil [°C] (2)", "Oil (2)", "[°C]")]
    ['Oil', 'Oil (2)', 'Oil (2)', '[°C]']
    """
    again = _AGAIN.search(name)
    first = name[: again.start()] if again else name
    bare = _UNIT_AT_END.sub("", first).strip() or first
    return f"{bare} {again[1]}" if again and bare else name if again else bare


def bracketed(name: str) -> tuple[str, list[str]]:
    """Split a header into the name without brackets and the texts in brackets, last first.

    >>> bracketed("Coolant (bank 1) [°C] (°C)")
    ('Coolant', ['°C', '°C', 'bank 1'])
    """
    found = [next((g for g in m.groups() if g is not None), "").strip() for m in _BRACKETS.finditer(name)]
    return " ".join(_BRACKETS.sub(" ", name).split()), found[::-1]


def words(name: str) -> list[str]:
    """Split a name into lower-case words without accents; digits stand alone.

    >>> words("EngineCoolant_TEMPERATURE-Bank1"), words("Öltemperatur"), words("engineRPM")
    (['engine', 'coolant', 'temperature', 'bank', '1'], ['oltemperatur'], ['engine', 'rpm'])
    """
    spaced = _HUMP.sub(" ", name)
    plain = unicodedata.normalize("NFKD", spaced).casefold()
    plain = "".join(c for c in plain if not unicodedata.combining(c))
    return [w for part in _NOT_WORD.split(plain) for w in _DIGIT_EDGE.split(part) if w]


def unit_key(text: str) -> str:
    """Bring a unit text to the form in which spellings are compared.

    >>> unit_key("Deg. C"), unit_key("Â°C"), unit_key("N·m"), unit_key("lb-ft"), unit_key(" KM/H ")
    ('degc', '°c', 'nm', 'lbft', 'km/h')
    """
    text = mend_degree(text.strip()).replace("²", "2").replace("⁻¹", "-1")
    return re.sub(r"[\s.·⋅*×]|(?<=[a-z])-(?=[a-z])", "", text.casefold()).replace("μ", "µ")


def trailing_parts(name: str) -> Iterator[tuple[str, str]]:
    """Yield ways to cut a unit off the end of a name, longest unit first.

    >>> list(trailing_parts("coolant_temp_deg_C"))[1:]
    [('coolant_temp', 'deg_C'), ('coolant_temp_deg', 'C')]
    """
    name = _HUMP.sub(" ", name)
    cuts = [m for m in re.finditer(r"[\s_,;:.|-]+", name) if m.start() > 0 and m.end() < len(name)]
    for m in cuts[-3:]:
        yield name[: m.start()], name[m.end() :]
