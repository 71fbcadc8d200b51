"""A small plot of a channel for the terminal."""

import numpy as np

from coldsoak.logs.log import Floats

BLOCKS = " ▁▂▃▄▅▆▇█"
MARK = "▲"


def small_plot(
    time_s: Floats, value: Floats, marks_s: list[tuple[float, float]], width: int = 64, height: int = 5
) -> list[str]:
    """Return the lines of a plot `width` columns wide; `marks_s` are stretches to point at from below.

    Each column shows the value furthest from the middle of the whole channel, so that a short swing is not lost.

    >>> print("\\n".join(small_plot(np.arange(4.0), np.array([0.0, 1.0, 2.0, 8.0]), [(3.0, 3.0)], 4, 1)))
      8 │ ▁▂█│
        │   ▲│
    """
    low, high = float(value.min()), float(value.max())
    span = max(high - low, 1e-9)
    edges = np.linspace(time_s[0], time_s[-1], width + 1)
    column = np.clip(np.searchsorted(edges, time_s, side="right") - 1, 0, width - 1)
    middle = float(np.median(value))
    shown = np.full(width, np.nan)
    for at in range(width):
        inside = value[column == at]
        if len(inside):
            shown[at] = inside[np.argmax(np.abs(inside - middle))]
        elif at:
            shown[at] = shown[at - 1]
    eighths = np.round((shown - low) / span * height * 8)
    lines = []
    for row in range(height - 1, -1, -1):
        label = high if row == height - 1 else low if row == 0 else None
        text = "".join(
            " "
            if np.isnan(level)
            else BLOCKS[int(np.clip(level - 8 * row, 1 if row == 0 and height > 1 else 0, 8))]
            for level in eighths
        )
        lines.append(f"{'' if label is None else f'{label:.0f}':>7} │{text}│")
    if marks_s:
        pointed = [
            any(start <= edges[at + 1] and end >= edges[at] for start, end in marks_s) for at in range(width)
        ]
        lines.append(f"{'':>7} │{''.join(MARK if hit else ' ' for hit in pointed)}│")
    return lines
