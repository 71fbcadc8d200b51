"""Events go to JSON and come back equal; what they must not hold is refused. Expected values: what was put in."""

import json
from decimal import Decimal
from typing import Any
from uuid import UUID

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError
from tests.record.samples import AT, BODIES, PART

from coldsoak.record import events as of
from coldsoak.record.canonical import canonical
from coldsoak.record.events import Event, body_from, kinds


def test_there_is_a_sample_of_every_kind() -> None:
    assert set(BODIES) == set(kinds())
    assert len(kinds()) == len(set(kinds()))


@pytest.mark.parametrize("kind", BODIES)
@given(data=st.data())
@settings(max_examples=15)
def test_round_trip(kind: str, data: st.DataObject) -> None:
    event = Event(seq=1, at=AT, by="Ana", id=data.draw(st.uuids()), body=data.draw(BODIES[kind]))
    again = Event.from_json(event.to_json())
    assert again == event
    assert again.kind == kind
    assert again.to_json() == event.to_json()
    assert body_from(json.loads(event.to_json())["body"]) == event.body


def test_money_is_text_and_keeps_its_digits() -> None:
    event = Event(seq=1, at=AT, by="Ana", id=UUID(int=1), body=PART)
    assert json.loads(event.to_json())["body"]["price"] == "41.50"
    back = Event.from_json(event.to_json()).body
    assert isinstance(back, of.PartUsed)
    assert str(back.price) == "41.50"


@pytest.mark.parametrize("price", [41.5, True, "41,50", "1e3", "NaN", "", "٣"])
def test_money_that_is_not_exact_is_refused(price: Any) -> None:
    with pytest.raises(ValidationError):
        of.PartUsed.model_validate({"part": "x", "name": "X", "count": 1, "price": price})


@pytest.mark.parametrize("code", ["P0711", "U0073", "C1234-1F", "B3FFF"])
def test_codes_of_sae_j2012(code: str) -> None:
    """SAE J2012: a letter of four, a digit to 3, three hexadecimal digits; a failure type byte may follow."""
    assert of.TroubleCode(code=code, status="stored").code == code


@pytest.mark.parametrize("code", ["P4711", "X0711", "P071", "p0711", "P0711-", "P07111"])
def test_what_is_no_code_is_refused(code: str) -> None:
    with pytest.raises(ValidationError):
        of.TroubleCode(code=code, status="stored")


def test_work_ends_after_it_begins() -> None:
    with pytest.raises(ValidationError, match="check the times"):
        of.Hours(person="Ana", start=AT, end="2027-03-31T14:05:00+03:00")


def test_an_event_holds_nothing_it_does_not_know() -> None:
    with pytest.raises(ValidationError):
        Event.model_validate(
            {"seq": 1, "at": AT, "by": "Ana", "id": str(UUID(int=1)), "body": {"kind": "poem"}}
        )


def test_absent_and_null_are_written_the_same() -> None:
    """What is not known is left out, so that a field that a later version adds does not move old hashes."""
    event = Event(seq=1, at=AT, by="Ana", id=UUID(int=1), body=of.Note(text="x"))
    assert b"null" not in canonical(event.to_dict())
    amount = of.LineOfMoney(kind="parts", text="x", amount=Decimal(1))
    assert Event(
        seq=1,
        at=AT,
        by="Ana",
        id=UUID(int=1),
        body=of.Estimated(
            currency="EUR", low=Decimal(0), likely=Decimal(0), high=Decimal(0), lines=(amount,)
        ),
    ).to_dict()["body"]["lines"] == [{"kind": "parts", "text": "x", "amount": "1"}]
