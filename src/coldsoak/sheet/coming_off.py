"""The hold-down graph upright, for a narrow screen: what comes off in a job stands dark, from the top in its order.

A lit part is a dark box with white words and says what happens to it; the others are pale, with a broken frame. Shapes that
look alike stand in one group or path, so that the drawing stays small enough to be part of a page.
"""

import textwrap
from collections.abc import Iterator, Mapping, Sequence
from html import escape

from coldsoak.sheet.graph_drawing import Link, columns_of, links_of
from coldsoak.sheet.svg import INK, PAPER, QUIET, Drawing, clipped
from coldsoak.sheet.unit import UnitSheet

WIDE, TALL = 124, 58
LINE = 15
MOST_LINES = 3
GAP_X, GAP_Y = 9, 24
MARGIN = 8
LETTERS = 16
ABREAST = 3
FAINT = "#aab3b9"
DASHES = {"": "", "or": "7 4", "frees": "2 4"}

Place = tuple[int, int, int]
"""Left, top, and how tall: a name of three lines makes its row taller."""


def coming_off_drawing(sheet: UnitSheet, lit: Mapping[str, str]) -> str:
    """Return the parts of a sheet as SVG; `lit` has by its key what happens to a part, in a word.

    >>> from coldsoak.sheet.load import parse_sheet
    >>> from coldsoak.sheet.publish import example
    >>> coming_off_drawing(parse_sheet(example()), {"pan": "off"}).count(">off<")
    1
    """
    links = links_of(sheet)
    lines = [
        column[at : at + ABREAST]
        for column in columns_of(list(sheet.components), links)
        for at in range(0, len(column), ABREAST)
    ]
    widest = max(len(line) for line in lines)
    width = 2 * MARGIN + widest * (WIDE + GAP_X) - GAP_X
    talls = [_tall(sheet, line) for line in lines]
    drawing = Drawing(width, 2 * MARGIN + sum(talls) + (len(lines) - 1) * GAP_Y, _title(sheet, lit))
    place = _placed(lines, talls, widest)
    for dark in (False, True):
        drawing.shapes += _arrows(
            place, [one for one in links if (one[0] in lit and one[1] in lit) is dark], dark=dark
        )
    for dark in (False, True):
        keys = [key for key in place if (key in lit) is dark]
        drawing.shapes += _boxes(sheet, place, keys, lit, dark=dark)
    return drawing.text()


def _title(sheet: UnitSheet, lit: Mapping[str, str]) -> str:
    if not lit:
        return f"Parts of {sheet.unit.name}; nothing comes off yet"
    named = ", ".join(f"{sheet.components[key].name} {word}" for key, word in lit.items())
    return f"{sheet.unit.name}, what happens to its parts: {named}"


def _placed(lines: Sequence[Sequence[str]], talls: Sequence[int], widest: int) -> dict[str, Place]:
    return {
        key: (
            MARGIN + n * (WIDE + GAP_X) + (widest - len(line)) * (WIDE + GAP_X) // 2,
            MARGIN + sum(talls[:row]) + row * GAP_Y,
            talls[row],
        )
        for row, line in enumerate(lines)
        for n, key in enumerate(line)
    }


def _tall(sheet: UnitSheet, keys: Sequence[str]) -> int:
    return TALL + LINE * (max(2, *(len(_name(sheet.components[key].name)) for key in keys)) - 2)


def _arrows(place: Mapping[str, Place], links: Sequence[Link], *, dark: bool) -> Iterator[str]:
    """Yield the arrows of one tone: a path for each kind of line, and one for all their heads."""
    colour, width = (INK, 2) if dark else (FAINT, 1)
    for how, dash in DASHES.items():
        ways = " ".join(_way(place[a], place[b]) for a, b, kind in links if kind == how)
        if ways:
            broken = f' stroke-dasharray="{dash}"' if dash else ""
            yield f'<path d="{ways}" fill="none" stroke="{colour}" stroke-width="{width}"{broken}/>'
    if links:
        heads = " ".join(f"M{place[b][0] + WIDE // 2 - 4} {place[b][1] - 7}h8l-4 7z" for _, b, _ in links)
        yield f'<path d="{heads}" fill="{colour}"/>'


def _way(above: Place, below: Place) -> str:
    x1, y1 = above[0] + WIDE // 2, above[1] + above[2]
    x2, y2 = below[0] + WIDE // 2, below[1] - 5
    bend = max(GAP_Y // 2, 2 * (y2 - y1) // 5)
    return f"M{x1} {y1}C{x1} {y1 + bend} {x2} {y2 - bend} {x2} {y2}"


def _boxes(
    sheet: UnitSheet, place: Mapping[str, Place], keys: Sequence[str], lit: Mapping[str, str], *, dark: bool
) -> Iterator[str]:
    """Yield the boxes of one tone, then their words."""
    look = (INK, INK, "2", "") if dark else (PAPER, QUIET, "1", ' stroke-dasharray="4 3"')
    yield f'<g fill="{look[0]}" stroke="{look[1]}" stroke-width="{look[2]}"{look[3]}>'
    for x, y, tall in (place[key] for key in keys):
        yield f'<rect x="{x}" y="{y}" width="{WIDE}" height="{tall}" rx="5"/>'
    weight = ' font-weight="700"' if dark else ""
    yield f'</g><g font-size="11.5" fill="{PAPER if dark else QUIET}"><g{weight}>'
    for key in keys:
        x, y, _ = place[key]
        for n, line in enumerate(_name(sheet.components[key].name)):
            yield f'<text x="{x + 7}" y="{y + 17 + LINE * n}">{escape(line)}</text>'
    yield "</g>"
    for key in keys if dark else ():
        x, y, tall = place[key]
        yield f'<text x="{x + 7}" y="{y + tall - 8}">{escape(lit[key])}</text>'
    yield "</g>"


def _name(name: str) -> list[str]:
    lines = textwrap.wrap(name, LETTERS)
    return (
        [*lines[: MOST_LINES - 1], clipped(" ".join(lines[MOST_LINES - 1 :]), LETTERS)][:MOST_LINES]
        if len(lines) > MOST_LINES
        else lines
    )
