"""The drawing holds what the proof says, and is SVG that any reader takes."""

import re
from xml.etree import ElementTree as ET

import pytest
from tests.prove.drives import drive

from coldsoak.prove import Proof, Soak, load_assumptions, prove
from coldsoak.prove.drawing import evidence_drawing

ASSUME = load_assumptions()
SIX = (150.0, 300.0, 450.0, 600.0, 750.0, 900.0)


def proof(lasts_s: float, at_s: tuple[float, ...] = ()) -> Proof:
    return prove([drive("before.csv", 1372.0, SIX)], [drive("after.csv", lasts_s, at_s)], ASSUME)


@pytest.mark.parametrize(
    ("lasts_s", "at_s", "said"),
    [
        (
            2000.0,
            (),
            ["Proven: chance that it is still there", "proven below 2 %", "6 episodes", "0 episodes", "now "],
        ),
        (400.0, (), ["Not proven yet", "more without an episode"]),
        (2000.0, (1500.0,), ["Back", "an episode", "1 episode"]),
    ],
)
def test_it_says_what_the_proof_says(lasts_s: float, at_s: tuple[float, ...], said: list[str]) -> None:
    text = evidence_drawing(proof(lasts_s, at_s))
    root = ET.fromstring(text)  # noqa: S314 (our own text)
    words = " | ".join(node.text or "" for node in root.iter() if node.tag.endswith("text"))
    for one in said:
        assert one in words
    assert words.count("▲") == 0
    assert text.count("l-6 11h12z") == 6 + len(at_s), "a mark for each episode"


def test_nothing_lies_outside_of_it() -> None:
    for one in (proof(30.0), proof(2000.0), proof(20_000.0), proof(2000.0, (1990.0,))):
        root = ET.fromstring(evidence_drawing(one))  # noqa: S314 (our own text)
        width, height = float(root.get("width", 0)), float(root.get("height", 0))
        for node in root.iter():
            if node.tag.endswith("text"):
                x, length = (
                    float(node.get("x", 0)),
                    7.2 * len(node.text or "") * float(node.get("font-size", 13)) / 13,
                )
                start = {"start": x, "middle": x - length / 2, "end": x - length}[
                    node.get("text-anchor", "start")
                ]
                assert start >= -1.0
                assert start + length <= width + 1.0, node.text
                assert 0.0 <= float(node.get("y", 0)) <= height


def test_a_standing_fault_shows_its_soaks() -> None:
    low, right = Soak(4.0, -11.0, low=True, high=False), Soak(15.0, 0.5, low=False, high=False)
    text = evidence_drawing(
        prove([drive("b.csv", 900.0, soak=low)], [drive("a.csv", 900.0, soak=right)], ASSUME)
    )
    assert re.findall(r">([+-][\d.]+ °C)<", text) == ["-11.0 °C", "+0.5 °C"]
