"""A drawing as SVG text, made for paper and for a dirty screen: dark ink on white, no meaning by colour alone."""

from html import escape

INK = "#14181b"
QUIET = "#3d474e"
LINE = "#5b666d"
CARD = "#f2f4f5"
PAPER = "#ffffff"
FONT = "'Libertinus Serif', 'DejaVu Sans', sans-serif"


class Drawing:
    """Collects shapes and returns them as one SVG text.

    >>> drawing = Drawing(20, 10, "A line")
    >>> drawing.line(0, 5, 20, 5)
    >>> drawing.text().count("<line")
    1
    """

    def __init__(self, width: float, height: float, title: str) -> None:
        self.width, self.height, self.title = width, height, title
        self.shapes: list[str] = []

    def line(self, x1: float, y1: float, x2: float, y2: float, *, dash: str = "", stroke: str = LINE) -> None:
        """Add a straight line."""
        self.shapes.append(
            f'<line x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" stroke="{stroke}" stroke-width="1.5"'
            f"{_dash(dash)}/>"
        )

    def path(
        self, data: str, *, dash: str = "", fill: str = "none", width: float = 1.5, stroke: str = LINE
    ) -> None:
        """Add a path by its SVG commands."""
        self.shapes.append(
            f'<path d="{data}" fill="{fill}" stroke="{stroke}" stroke-width="{width:g}"{_dash(dash)}/>'
        )

    def box(
        self,
        x: float,
        y: float,
        width: float,
        height: float,
        *,
        round_: float = 4,
        thick: float = 1.5,
        dash: str = "",
    ) -> None:
        """Add a box."""
        self.shapes.append(
            f'<rect x="{x:.1f}" y="{y:.1f}" width="{width:.1f}" height="{height:.1f}" rx="{round_:g}" fill="{CARD}" '
            f'stroke="{INK}" stroke-width="{thick:g}"{_dash(dash)}/>'
        )

    def circle(self, x: float, y: float, radius: float, *, fill: str = PAPER, thick: float = 2) -> None:
        """Add a circle."""
        self.shapes.append(
            f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius:.1f}" fill="{fill}" stroke="{INK}" stroke-width="{thick:g}"/>'
        )

    def words(
        self,
        x: float,
        y: float,
        said: str,
        *,
        size: float = 13,
        anchor: str = "start",
        bold: bool = False,
        quiet: bool = False,
    ) -> None:
        """Add one line of text."""
        weight = ' font-weight="700"' if bold else ""
        self.shapes.append(
            f'<text x="{x:.1f}" y="{y:.1f}" font-size="{size:g}" text-anchor="{anchor}"{weight} '
            f'fill="{QUIET if quiet else INK}">{escape(said)}</text>'
        )

    def text(self) -> str:
        """Return the drawing."""
        inside = "\n".join(self.shapes)
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {self.width:.0f} {self.height:.0f}" '
            f'width="{self.width:.0f}" height="{self.height:.0f}" font-family="{FONT}" role="img">\n'
            f"<title>{escape(self.title)}</title>\n"
            f'<rect width="{self.width:.0f}" height="{self.height:.0f}" fill="{PAPER}"/>\n'
            f"{inside}\n</svg>\n"
        )


def clipped(said: str, most: int) -> str:
    """Return a text cut to a number of characters.

    >>> clipped("Heat shield over the connector", 12)
    'Heat shield…'
    """
    return said if len(said) <= most else said[: most - 1].rstrip() + "…"


def _dash(dash: str) -> str:
    return f' stroke-dasharray="{dash}"' if dash else ""
