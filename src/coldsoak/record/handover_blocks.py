"""The pieces that a document is built of. The templates lay these out and hold no words of their own."""

from dataclasses import dataclass
from typing import Literal

Align = Literal["left", "right", "center"]
Paper = Literal["a4", "us-letter"]


@dataclass(frozen=True)
class Said:
    """A paragraph; a strong one is what matters, a quiet one explains."""

    text: str
    tone: Literal["plain", "strong", "quiet", "flag"] = "plain"
    kind: Literal["said"] = "said"


@dataclass(frozen=True)
class Fact:
    """One name and what stands behind it; `code` is set in the letters of a typewriter."""

    name: str
    value: str
    code: bool = False


@dataclass(frozen=True)
class Facts:
    """Names and values under each other, in one or two columns."""

    facts: tuple[Fact, ...]
    columns: int = 1
    kind: Literal["facts"] = "facts"


@dataclass(frozen=True)
class Column:
    """One column of a table: its head, how wide (a share, or as wide as its content), and which side it keeps to."""

    head: str
    share: float | None = None
    align: Align = "left"
    code: bool = False


@dataclass(frozen=True)
class Table:
    """A table whose head is repeated on every page; a row that begins a group stands alone and spans it all."""

    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    groups: tuple[tuple[int, str], ...] = ()
    kind: Literal["table"] = "table"


@dataclass(frozen=True)
class Plot:
    """A drawing with a line above it; `alt` says what it shows to somebody who cannot see it."""

    svg: str
    caption: str
    alt: str
    kind: Literal["plot"] = "plot"


@dataclass(frozen=True)
class Listed:
    """Lines with a mark before each; `small` ones are to look things up in, not to read through."""

    lines: tuple[str, ...]
    small: bool = False
    kind: Literal["listed"] = "listed"


Block = Said | Facts | Table | Plot | Listed


@dataclass(frozen=True)
class Section:
    """Blocks under one title."""

    title: str
    blocks: tuple[Block, ...]


@dataclass(frozen=True)
class Frame:
    """What every document has on every page, and its paper."""

    title: str
    head_left: str
    head_right: str
    draft: str | None
    closing: str
    page_words: str
    paper: Paper
    language: str
    hash_name: str
    hash_short: str
    hash_said: str
    qr: str
    qr_alt: str
