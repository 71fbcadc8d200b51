"""The level window as SVG: level over temperature, the hole in the pan wall, and what opening too early or late does."""

from dataclasses import dataclass
from pathlib import Path

from coldsoak.fill.picture import LevelPicture, Point
from coldsoak.fill.words import degree_span, degrees
from coldsoak.sheet.svg import CARD, INK, QUIET, Drawing

WIDE, TALL = 860.0, 520.0
LEFT, RIGHT, TOP, BOTTOM = 78.0, 150.0, 96.0, 112.0
HATCH = 9.0
WALL = 26.0
HEADROOM = 0.18
NAME_WIDE = 270.0


@dataclass(frozen=True)
class Scale:
    """From °C and heights to the paper."""

    cold_c: float
    hot_c: float
    low: float
    high: float

    def x(self, temp_c: float) -> float:
        """Return the place of a temperature."""
        share = (temp_c - self.cold_c) / (self.hot_c - self.cold_c)
        return LEFT + min(max(share, 0.0), 1.0) * (WIDE - LEFT - RIGHT)

    def y(self, height: float) -> float:
        """Return the place of a height above the hole."""
        return TALL - BOTTOM - (height - self.low) / (self.high - self.low) * (TALL - TOP - BOTTOM)


def level_drawing(picture: LevelPicture) -> str:
    """Return the level window as SVG."""
    scale = _scale(picture)
    drawing = Drawing(WIDE, TALL, f"Level window: {picture.title}")
    drawing.words(LEFT, 28, picture.title, size=18, bold=True)
    running = "Level over the temperature of the fluid, when it was set right in the middle of the window."
    drawing.words(LEFT, 48, running, size=13, quiet=True)
    _window(drawing, picture, scale)
    _axes(drawing, picture, scale)
    _wall(drawing, picture, scale)
    _line(drawing, picture, scale)
    _marks(drawing, picture, scale)
    _sides(drawing, picture)
    return drawing.text()


def level_png(picture: LevelPicture, dots_per_inch: float = 144.0) -> bytes:
    """Return the level window as PNG, by the library that prints."""
    import tempfile  # noqa: PLC0415 (only where a picture is wanted)

    import typst  # noqa: PLC0415 (same)

    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        (folder / "level.svg").write_text(level_drawing(picture), encoding="utf-8")
        (folder / "main.typ").write_text(
            '#set page(width: auto, height: auto, margin: 0pt)\n#image("level.svg")\n', encoding="utf-8"
        )
        made = typst.compile(
            folder / "main.typ", root=folder, format="png", ppi=dots_per_inch, ignore_system_fonts=True
        )
    return bytes(made) if isinstance(made, bytes | bytearray) else b""


def _scale(picture: LevelPicture) -> Scale:
    heights = [picture.height(point) for point in picture.line] + [0.0]
    if picture.in_mm and picture.hole_mm is not None:
        heights.append(picture.hole_mm)
    spread = max(heights) - min(heights)
    return Scale(
        picture.line[0].temp_c,
        picture.line[-1].temp_c,
        min(heights) - HEADROOM * spread,
        max(heights) + HEADROOM * spread,
    )


def _window(drawing: Drawing, picture: LevelPicture, scale: Scale) -> None:
    """The window as a plain field, what the thermometer makes sure of as a hatched one inside it."""
    left, right = scale.x(picture.low_c), scale.x(picture.high_c)
    top, bottom = TOP, TALL - BOTTOM
    drawing.path(f"M{left:.1f} {top} H{right:.1f} V{bottom} H{left:.1f} Z", fill=CARD, stroke=QUIET)
    fluid = f"window of the fluid {degree_span(picture.low_c, picture.high_c)}"
    if picture.sure_low_c is None or picture.sure_high_c is None:
        drawing.words(LEFT, top - 24, "No reading of this thermometer makes sure of it", size=15, bold=True)
        drawing.words(LEFT, top - 7, fluid, size=12, quiet=True)
        return
    if picture.open_at is not None:
        drawing.words(LEFT, top - 24, f"Counts while the {picture.open_at}", size=15, bold=True)
    sure = degree_span(picture.sure_low_c, picture.sure_high_c).partition(" (")[0]
    drawing.words(
        LEFT, top - 7, f"that is fluid of {sure}, between the dotted lines; {fluid}", size=12, quiet=True
    )
    near, far = scale.x(picture.sure_low_c), scale.x(picture.sure_high_c)
    at = near
    while at < far:
        reach = min(far - at, HATCH)
        drawing.line(at, bottom, at + reach, bottom - reach, stroke=QUIET)
        at += HATCH
    height = HATCH
    drawing.path(f"M{near:.1f} {bottom - height:.1f} H{far:.1f}", stroke=QUIET)
    for edge in (near, far):
        drawing.line(edge, top, edge, bottom, dash="3 4", stroke=QUIET)


def _axes(drawing: Drawing, picture: LevelPicture, scale: Scale) -> None:
    bottom = TALL - BOTTOM
    drawing.line(LEFT, bottom, WIDE - RIGHT, bottom, stroke=INK)
    drawing.line(LEFT, TOP, LEFT, bottom, stroke=INK)
    step = 10
    first = int(-(-scale.cold_c // step) * step)
    for temp in range(first, int(scale.hot_c) + 1, step):
        x = scale.x(temp)
        drawing.line(x, bottom, x, bottom + 5, stroke=INK)
        drawing.words(x, bottom + 19, f"{temp}", size=12, anchor="middle")
        drawing.words(x, bottom + 34, f"{temp * 1.8 + 32:.0f}", size=11, anchor="middle", quiet=True)
    drawing.words(LEFT - 12, bottom + 19, "°C", size=12, anchor="end")
    drawing.words(LEFT - 12, bottom + 34, "°F", size=11, anchor="end", quiet=True)
    for row, word in enumerate(("temperature", "of the fluid")):
        drawing.words(WIDE - RIGHT + WALL + 8, bottom + 19 + 15 * row, word, size=12)
    unit = "mm" if picture.in_mm else "L"
    every = _tick(scale.high - scale.low)
    tick = -(-scale.low // every) * every
    while tick <= scale.high:
        y = scale.y(tick)
        drawing.line(LEFT - 5, y, LEFT, y, stroke=INK)
        drawing.words(
            LEFT - 9, y + 4, f"{tick:+g}" if abs(tick) > every / 100 else "0", size=12, anchor="end"
        )
        tick = round(tick + every, 6)
    drawing.words(LEFT - 9, TOP - 7, unit, size=12, anchor="end")


def _tick(spread: float) -> float:
    return next(
        (every for every in (0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0) if spread / every <= 9),
        100.0,
    )


def _wall(drawing: Drawing, picture: LevelPicture, scale: Scale) -> None:
    """The wall of the pan at the right edge, with the hole in it where that is to scale."""
    x, edge = WIDE - RIGHT, scale.y(0.0)
    hole = picture.hole_mm if picture.in_mm and picture.hole_mm is not None else None
    upper = scale.y(hole) if hole is not None else edge
    for top, bottom in ((TOP, upper), (edge, TALL - BOTTOM)):
        if bottom > top:
            drawing.path(
                f"M{x:.1f} {top:.1f} h{WALL:.1f} V{bottom:.1f} h{-WALL:.1f} Z", fill=QUIET, stroke=INK
            )
    drawing.line(LEFT, edge, x + WALL, edge, dash="8 4", stroke=INK)
    drawing.words(x + WALL + 8, edge + 4, "edge of", size=12, bold=True)
    drawing.words(x + WALL + 8, edge + 19, "the hole", size=12, bold=True)
    if hole is not None:
        drawing.words(x + WALL + 8, upper + 4, f"{hole:g} mm hole", size=12, quiet=True)
    drawing.words(x + WALL + 8, TOP + 8, "wall", size=12, quiet=True)


def _line(drawing: Drawing, picture: LevelPicture, scale: Scale) -> None:
    path = " L".join(f"{scale.x(one.temp_c):.1f} {scale.y(picture.height(one)):.1f}" for one in picture.line)
    drawing.path(f"M{path}", width=3, stroke=INK)


def _marks(drawing: Drawing, picture: LevelPicture, scale: Scale) -> None:
    bottom = TALL - BOTTOM
    for marked in picture.marks:
        x, y = scale.x(marked.point.temp_c), scale.y(picture.height(marked.point))
        if marked.mark == "now":
            _now(drawing, picture, scale, x, y)
            continue
        drawing.circle(x, y, 4.5)
        said = f"{marked.mark} {degrees(marked.point.temp_c)}"
        if marked.mark == "cold":
            drawing.words(x + 8, y + 20, said, size=12)
        elif marked.mark == "hot":
            drawing.words(x - 4, y - 14, said, size=12, anchor="end")
        elif marked.mark == "opens":
            drawing.words(x - 6, bottom - 8, "opens", size=12, anchor="end")
        else:
            drawing.words(x + 6, bottom - 8, "closes", size=12)


def _now(drawing: Drawing, picture: LevelPicture, scale: Scale, x: float, y: float) -> None:
    """The reading with its uncertainty, and its name beside the window, where nothing else stands."""
    if picture.now_low_c is not None and picture.now_high_c is not None:
        left, right = scale.x(picture.now_low_c), scale.x(picture.now_high_c)
        drawing.line(left, y, right, y, stroke=INK)
        for end in (left, right):
            drawing.line(end, y - 7, end, y + 7, stroke=INK)
    drawing.circle(x, y, 7, fill=INK)
    beside, anchor = max(scale.x(picture.high_c), x) + 14, "start"
    if beside + NAME_WIDE > WIDE - RIGHT:
        beside, anchor = x - 14, "end"
    low = min(max(y, scale.y(0.0)) + 48, TALL - BOTTOM - 40)
    near = beside + (4 if anchor == "end" else -4)
    drawing.path(f"M{x:.1f} {y:.1f} L{near:.1f} {low - 4:.1f}", stroke=INK)
    said = next(one for one in picture.marks if one.mark == "now")
    fluid = f"fluid at {degrees(said.point.temp_c)}"
    if picture.shows_now_c is None:
        drawing.words(beside, low, f"{said.says}, {fluid}", size=13, anchor=anchor, bold=True)
        return
    shows = f"{said.says}; it reads {degrees(picture.shows_now_c)}"
    drawing.words(beside, low, shows, size=13, anchor=anchor, bold=True)
    drawing.words(beside, low + 16, fluid, size=12, anchor=anchor, quiet=True)


def _sides(drawing: Drawing, picture: LevelPicture) -> None:
    """What opening on either side does, in words, with how far off the level then is."""
    y = TALL - 50
    cold, hot = picture.marks[0].point, picture.marks[-1].point
    for x, anchor, head, point, says in (
        (LEFT, "start", "Opened too cold", cold, "nothing comes; filled up to the hole"),
        (WIDE - 20, "end", "Opened too hot", hot, "good fluid runs out"),
    ):
        drawing.words(x, y, f"{head}: {says}", size=13, anchor=anchor, bold=True)
        drawing.words(x, y + 18, _off(point, picture), size=12, anchor=anchor, quiet=True)
    middle = (picture.low_c + picture.high_c) / 2
    drawing.words(
        LEFT,
        y + 38,
        f"Set with the fluid at {degrees(middle)} it is right. Every degree off is {1000 * picture.per_kelvin_l:.1f} mL. The scale of "
        "heights is stretched.",
        size=12,
        quiet=True,
    )


def _off(point: Point, picture: LevelPicture) -> str:
    word = "too much" if point.level_l < 0 else "too little"
    height = f", {abs(point.level_mm):.1f} mm" if picture.in_mm and point.level_mm is not None else ""
    return f"at {point.temp_c:.0f} °C that leaves {abs(point.level_l):.2f} L{height} {word} in the unit"
