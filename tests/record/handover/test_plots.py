"""The plots: every reading where it belongs, no swing lost by thinning out, gaps open, episodes marked."""

import re
import xml.etree.ElementTree as ET

import numpy as np
import pytest

from coldsoak.record.plots import (
    BOTTOM,
    LEFT,
    RIGHT,
    STROKE_GAP,
    TOP,
    Curve,
    Scale,
    temperature_plot,
    value_range,
)

CELSIUS = Scale("minutes", "°C", lambda value_c: value_c, lambda value: f"{value:g}")
FAHRENHEIT = Scale("minutes", "°F", lambda value_c: 1.8 * value_c + 32, lambda value: f"{value:g}")


def lines_of(svg: str) -> list[list[tuple[float, float]]]:
    """The drawn lines of readings, as points: paths that are moved to once and then only drawn."""
    found = []
    for data in re.findall(r'<path d="M([^"]*?)"', svg):
        if " L" in data and "M" not in data and "V" not in data and "H" not in data:
            points = [tuple(float(n) for n in point.split()) for point in data.split(" L")]
            found.append([(p[0], p[1]) for p in points])
    return found


def test_readings_lie_where_they_belong() -> None:
    """Hand-worked: on a field 0 to 100 °C the middle of the value is the middle of the height."""
    curve = Curve(np.array([0.0, 60.0, 120.0]), np.array([0.0, 50.0, 100.0]))
    svg = temperature_plot(curve, CELSIUS, "t", (0.0, 100.0), 400.0, 200.0)
    (line,) = lines_of(svg)
    wide, tall = 400 - LEFT - RIGHT, 200 - TOP - BOTTOM
    expected = [(LEFT, TOP + tall), (LEFT + wide / 2, TOP + tall / 2), (LEFT + wide, TOP)]
    assert np.allclose(line, expected, atol=0.01), "coordinates are written with two places"


def test_the_range_holds_everything_and_is_shared() -> None:
    one = Curve(np.array([0.0, 1.0]), np.array([21.0, 78.0]))
    two = Curve(np.array([0.0, 1.0]), np.array([-39.0, 80.0]))
    assert value_range([one, two], CELSIUS) == (-50.0, 100.0)
    low, high = value_range([one, two], FAHRENHEIT)
    assert low <= 1.8 * -39 + 32
    assert high >= 1.8 * 80 + 32
    assert value_range([], CELSIUS) == (0.0, 100.0)
    flat = value_range([Curve(np.array([0.0]), np.array([20.0]))], CELSIUS)
    assert flat[0] < flat[1]


def test_thinning_out_keeps_the_shortest_swing() -> None:
    time_s = np.arange(0.0, 20_000.0, 0.1)
    value_c = np.full(len(time_s), 80.0)
    value_c[123_456] = -40.0
    svg = temperature_plot(Curve(time_s, value_c), CELSIUS, "t", (-40.0, 120.0))
    (line,) = lines_of(svg)
    assert len(line) < 4000
    assert max(y for _, y in line) == pytest.approx(210 - BOTTOM, abs=0.01), "the one low reading is drawn"
    assert len(svg) < 100_000


def test_a_gap_stays_open() -> None:
    time_s = np.concatenate([np.arange(0.0, 60.0), np.arange(300.0, 360.0)])
    svg = temperature_plot(Curve(time_s, np.full(120, 50.0)), CELSIUS, "t", (0.0, 100.0))
    assert [len(line) for line in lines_of(svg)] == [60, 60]


def test_episodes_are_hatched_and_numbered_where_there_is_room() -> None:
    time_s = np.arange(0.0, 600.0)
    far = ((60.0, 90.0), (300.0, 330.0), (500.0, 501.0))
    svg = temperature_plot(Curve(time_s, np.full(600, 50.0), far), CELSIUS, "t", (0.0, 100.0))
    assert re.findall(r'font-weight="700"[^>]*>(\d+)<', svg) == ["1", "2", "3"]
    near = tuple((10.0 * n, 10.0 * n + 2) for n in range(50))
    crowded = temperature_plot(Curve(time_s, np.full(600, 50.0), near), CELSIUS, "t", (0.0, 100.0))
    numbers = re.findall(r'font-weight="700"[^>]*>(\d+)<', crowded)
    assert 10 < len(numbers) < 50
    assert crowded.count('fill="#e3e7e9"') == 50, "every one is marked, also where its number has no room"


def test_the_words_of_a_title_cannot_break_the_drawing() -> None:
    svg = temperature_plot(Curve(np.array([0.0]), np.array([1.0])), CELSIUS, '<a> & "b"', (0.0, 100.0))
    title = ET.fromstring(svg).find("{http://www.w3.org/2000/svg}title")  # noqa: S314 (our own drawing)
    assert title is not None
    assert title.text == '<a> & "b"'


def test_nothing_to_draw_is_an_empty_field() -> None:
    svg = temperature_plot(Curve(np.array([]), np.array([])), CELSIUS, "t", (0.0, 100.0))
    assert lines_of(svg) == []
    assert "minutes" in svg


def test_a_log_shorter_than_a_minute_has_more_than_one_mark_on_its_axis() -> None:
    """By hand: 40 s are two thirds of a minute; steps of a tenth give marks at 0, 0.1 … 0.6."""
    svg = temperature_plot(
        Curve(np.array([0.0, 40.0]), np.array([20.0, 30.0])), CELSIUS, "t", (0.0, 100.0), 720.0, 150.0
    )
    shown = re.findall(r">([\d.]+)</text>", svg)
    assert {"0", "0.1", "0.2", "0.3", "0.4", "0.5", "0.6"} <= set(shown)


@pytest.mark.parametrize(("start_s", "end_s"), [(0.0, 600.0), (300.0, 580.0), (100.0, 130.0), (0.0, 60.0)])
def test_the_hatching_covers_a_stretch_of_any_width(start_s: float, end_s: float) -> None:
    """A stuck reading fills most of a plot: its stretch is marked all over, from edge to edge, and nothing beside it."""
    time_s = np.arange(0.0, 601.0)
    curve = Curve(time_s, np.full(len(time_s), 90.0), ((start_s, end_s),))
    svg = temperature_plot(curve, CELSIUS, "t", (0.0, 100.0), 360.0, 210.0)
    wide, tall = 360 - LEFT - RIGHT, 210 - TOP - BOTTOM
    left, right = LEFT + wide * start_s / 600, LEFT + wide * end_s / 600
    strokes = re.findall(
        r"M([\d.]+) ([\d.]+) L([\d.]+) ([\d.]+)", re.findall(r'<path d="(M[^"VHZz]*?)"', svg)[0]
    )
    ends = np.array([[float(n) for n in one] for one in strokes])
    x, y = ends[:, [0, 2]], ends[:, [1, 3]]
    assert x.min() == pytest.approx(left, abs=0.1)
    assert x.max() == pytest.approx(right, abs=0.1)
    assert y.min() == pytest.approx(TOP, abs=0.1)
    assert y.max() == pytest.approx(TOP + tall, abs=0.1)
    assert np.allclose(x[:, 1] - x[:, 0], y[:, 0] - y[:, 1], atol=0.11), "all of them slant alike, by 45°"
    climbed = np.sort(ends[:, 1] - TOP + ends[:, 0] - left)
    assert np.allclose(np.diff(climbed), STROKE_GAP, atol=0.11), "no part is left out"
    assert climbed[-1] > right - left + tall - STROKE_GAP - 0.2
