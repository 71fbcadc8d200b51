"""Entries that cannot be noted are refused in words that somebody at the vehicle uses."""

import re
import typing
from collections.abc import Iterator

import pytest
from pydantic import BaseModel, ValidationError

from coldsoak.record.events import Body, Event, body_from, kinds
from coldsoak.record.refused import name_of, refused

TORQUE = {
    "kind": "torque_entered", "fastener": "pan_bolts", "name": "Pan bolts", "position": 3, "torque_nm": 8.5,
    "tool": "Small wrench",
}  # fmt: skip
# What the entry says, and what somebody has to read: written before the program was asked (common practice, no source).
SAID = [
    ({**TORQUE, "torque_nm": 0}, "the torque is 0 N·m and has to be more than 0 N·m"),
    ({**TORQUE, "torque_nm": 6000}, "the torque is 6000 N·m and has to be at most 5000 N·m"),
    ({**TORQUE, "torque_nm": "much"}, "the torque is 'much', which is no number"),
    ({**TORQUE, "torque_nm": float("nan")}, "the torque is nan, which is no number"),
    ({**TORQUE, "position": "x"}, "the number of the bolt is 'x', which is no whole number"),
    ({**TORQUE, "position": 0}, "the number of the bolt is 0 and has to be at least 1"),
    ({**TORQUE, "angle_deg": -1}, "the angle is -1° and has to be at least 0°"),
    ({**TORQUE, "tool": ""}, "the tool is empty"),
    ({"kind": "fluid_moved", "direction": "out", "volume_l": 4.1, "temp_c": -300},
     "the temperature is -300 °C and has to be at least -273.15 °C"),
    ({**TORQUE, "due": "soon"}, "the day of the next calibration is 'soon': write it as in 2027-03-31"),
    ({**TORQUE, "colour": "red"}, "there is no field 'colour' in such an entry"),
    ({"kind": "note"}, "the text is missing"),
    ({"kind": "note", "text": "a" * 4001}, "the text is longer than 4000 characters"),
    ({"kind": "note", "text": 5}, "the text is 5, which is no text"),
    ({"kind": "codes_read", "moment": "before", "codes": [{"code": "P0711", "status": "stored"}, {"code": "711", "status": "stored"}]},
     "the code, no. 2 is '711': write it as in P0711"),
    ({"kind": "tray_change", "action": "fling", "item": "a", "name": "A"},
     "the action is 'fling' and has to be 'off', 'on', 'throw_away', 'in' or 'out'"),
    ({"kind": "part_used", "part": "a", "name": "A", "count": 1, "price": "12,3"},
     "'12,3' is not an amount: write it as in '31.40'"),
    ({"kind": "hours", "person": "A", "start": "2027-01-01T10:00:00Z", "end": "2027-01-01T09:00:00Z"},
     "the work of A begins on 2027-01-01 at 10:00 and ends on 2027-01-01 at 09:00, which is not later: check the times"),
    ({"kind": "hours", "person": "A", "start": "2027-01-01T08:00:00Z", "end": "2027-01-01T09:00:00Z", "charged": "perhaps"},
     "whether it is charged is 'perhaps' and has to be yes or no"),
]  # fmt: skip


def sentence(data: object) -> str:
    with pytest.raises(ValidationError) as caught:
        body_from(data)
    return refused(caught.value)


@pytest.mark.parametrize(("data", "said"), SAID)
def test_it_says_which_field_what_came_and_what_it_has_to_be(data: object, said: str) -> None:
    assert sentence(data) == f"this entry cannot be noted: {said}."


def test_several_are_said_at_once_and_the_rest_is_counted() -> None:
    assert sentence({**TORQUE, "torque_nm": "", "tool": ""}) == (
        "this entry cannot be noted: the torque is '', which is no number; the tool is empty."
    )
    said = sentence({"kind": "torque_entered"})
    assert said.endswith("; and 2 more.")
    assert said.count(" is missing") == 3


def test_without_a_kind_it_says_which_there_are() -> None:
    for data in ({}, {"kind": "nonsense"}):
        assert sentence(data).endswith(f"there are {', '.join(kinds())}.")


def test_what_came_is_never_said_at_length() -> None:
    assert len(sentence({"kind": "tray_change", "action": "x" * 3000, "item": "a", "name": "A"})) < 400


def test_every_field_of_every_entry_has_a_name_that_is_no_name_of_the_program() -> None:
    fields = set(fields_of(Body)) | set(Event.model_fields)
    assert {"torque_nm", "takes_back", "freeze_frame", "unit_price"} <= fields
    for field in fields:
        name = name_of(("torque_entered", field))
        assert re.fullmatch(r"(the|what|how|whether) [A-Za-z0-9 ,-]+", name), (field, name)
        assert len(name.removeprefix("the ")) > 1, (field, name)


def fields_of(kind: typing.Any) -> Iterator[str]:
    """The names of all fields below a type."""
    if isinstance(kind, type) and issubclass(kind, BaseModel):
        for name, field in kind.model_fields.items():
            yield name
            yield from fields_of(field.annotation)
    for one in typing.get_args(kind):
        yield from fields_of(one)
