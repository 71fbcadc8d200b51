"""The register of published sources that laws, constants and tests cite.

>>> source("holman").kind
'book'
"""

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from coldsoak.errors import InputError


@dataclass(frozen=True, slots=True)
class Source:
    """One published source: what it is, where in it, and how far it was read.

    >>> print(source("krishnaswamy"))
    K. Krishnaswamy, S. Vijayachitra: Industrial Instrumentation; examples 8.4 (p. 508) and 8.10 (p. 512)
    """

    key: str
    title: str
    authors: str
    kind: str
    locator: str
    read: str
    edition: str = ""
    year: int | None = None
    doi: str = ""

    def __str__(self) -> str:
        edition = ", ".join(str(part) for part in (self.edition, self.year) if part)
        parts = (
            f"{self.authors}: {self.title}",
            edition,
            self.locator,
            f"doi:{self.doi}" if self.doi else "",
        )
        return "; ".join(part for part in parts if part)


@cache
def sources() -> dict[str, Source]:
    """Return every source of the register by its key.

    >>> "iec-60751" in sources()
    True
    """
    text = (files("coldsoak") / "sources.toml").read_text(encoding="utf-8")
    return {key: Source(key=key, **entry) for key, entry in tomllib.loads(text).items()}


def source(key: str) -> Source:
    """Return one source of the register.

    >>> source("iec-60751").year
    2022
    """
    known = sources()
    if key not in known:
        raise InputError(f"the source {key!r} is not in the register: use one of {', '.join(sorted(known))}.")
    return known[key]
