"""Recorded sentences in US units: a point by 1.8·t + 32, a difference by 1.8·Δ, both worked by hand."""

import pytest

from coldsoak.record.handover_measures import Measures
from coldsoak.record.handover_spoken import spoken
from coldsoak.record.handover_words import Words


@pytest.mark.parametrize(
    ("recorded", "said"),
    [
        ("it was 10.0 °C low before, within the 5 °C", "it was 10.0 °C (18 °F) low before, within the 5 °C (9 °F)"),
        ("begins at 10 °C, 15 °C below the coldest", "begins at 10 °C (50 °F), 15 °C (27 °F) below the coldest"),
        ("begins at 50 °C, 20 °C above the warmest", "begins at 50 °C (122 °F), 20 °C (36 °F) above the warmest"),
        ("leave 20 °C of it unexplained, 5.0 °C is the most", "leave 20 °C (36 °F) of it unexplained, 5.0 °C (9 °F) is the most"),
        ("it moved by -5 °C", "it moved by -5 °C (-9 °F)"),
        ("once warm it went +10 °C", "once warm it went +10 °C (18 °F)"),
        ("is at 120 °C: the 30 °C it climbed", "is at 120 °C (248 °F): the 30 °C (54 °F) it climbed"),
        ("coolant below 15 °C cannot be here", "coolant below 15 °C (59 °F) cannot be here"),
        ("fluid above 85 °C, moving", "fluid above 85 °C (185 °F), moving"),
    ],
)  # fmt: skip
def test_a_difference_is_told_from_a_point(recorded: str, said: str) -> None:
    assert spoken(Measures(Words(), "us"), recorded) == said
    assert spoken(Measures(Words(), "si"), recorded) == recorded
