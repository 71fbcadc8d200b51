"""Sentences that other stages wrote into the record, with US units beside the SI ones where those are wanted."""

import re

from coldsoak.record.handover_measures import Measures

_CELSIUS = re.compile(
    r"(?:\b(up|down|by|went|leaves?|less than|within|(?:within |beyond )?the) )?"  # before a difference
    r"(?<![\w.])\+?(-?\d+(?:\.\d+)?)(?: ?(to|and|\.\.) ?(-?\d+(?:\.\d+)?))? ?°C(?![\w/])"
    r"(?=( (?:low|high|off|of it|is the most|(?:below|above) (?:the|all))\b)?)"  # after one
)
_NEWTON_METRE = re.compile(r"(?<![\w.])(\d+(?:\.\d+)?) ?N·m(?![\w/])")
_LITRE = re.compile(r"(?<![\w.])(\d+(?:\.\d+)?) ?L(?![\w/])")


def spoken(measures: Measures, sentence: str) -> str:
    """Return a recorded sentence; in US units with those beside the SI ones that stand in it.

    A difference is told by the words around it, as in "up 20 °C" and "8 °C below all others". A sentence that has a US unit already stays as it is in that kind.

    >>> from coldsoak.record.handover_words import Words
    >>> spoken(Measures(Words(), "us"), "It jumped down 50 °C at 80 °C; 12 N·m.")
    'It jumped down 50 °C (90 °F) at 80 °C (176 °F); 12 N·m (106 lbf·in).'
    >>> spoken(Measures(Words(), "us"), "Begins at 10 °C, 15 °C below the coldest.")
    'Begins at 10 °C (50 °F), 15 °C (27 °F) below the coldest.'
    >>> spoken(Measures(Words(), "si"), "It sat at 80 °C.")
    'It sat at 80 °C.'
    """
    if not measures.us:
        return sentence
    said = sentence
    if "°F" not in sentence:
        said = _CELSIUS.sub(lambda hit: _beside_celsius(measures, hit), said)
    if "lbf" not in sentence:
        said = _NEWTON_METRE.sub(lambda hit: f"{hit[0]} ({measures.us_torque(float(hit[1]))})", said)
    if "US q" not in sentence:
        said = _LITRE.sub(lambda hit: f"{hit[0]} ({measures.us_volume(float(hit[1]))})", said)
    return said


def capital(sentence: str) -> str:
    """Return a sentence that begins with a capital letter.

    >>> capital("down 63 °C in 0.2 s")
    'Down 63 °C in 0.2 s'
    """
    return sentence[:1].upper() + sentence[1:]


def _beside_celsius(measures: Measures, hit: re.Match[str]) -> str:
    way, first, between, second, kept = hit.groups()
    show = measures.difference if way or kept else measures.temperature
    if second is None:
        return f"{hit[0]} ({show(float(first))})"
    joint = between if between == ".." else f" {between} "
    return f"{hit[0]} ({show(float(first)).partition(' ')[0]}{joint}{show(float(second))})"
