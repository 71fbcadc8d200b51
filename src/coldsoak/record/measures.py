"""Values with their units as people write them on a job: kept as they are said."""

import re

_SAID = re.compile(r"([+-]?\d+(?:\.\d+)?)\s*(\D.*)?", re.ASCII)


def number_and_unit(text: str) -> tuple[float | None, str | None]:
    """Return the number and the unit of a text, both None where it begins with no number.

    >>> number_and_unit("1450 rpm"), number_and_unit("closed loop"), number_and_unit("4.98 V")
    ((1450.0, 'rpm'), (None, None), (4.98, 'V'))
    """
    found = _SAID.fullmatch(text.strip().replace("\N{MINUS SIGN}", "-"))
    if found is None:
        return None, None
    return float(found[1]), found[2].strip() if found[2] else None
