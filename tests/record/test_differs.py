"""Where two results begin to differ: worked by hand."""

import pytest

from coldsoak.record.differs import first_difference

THEN = {"a": [1.0, {"b": "x"}], "c": None, "d": True}


@pytest.mark.parametrize(
    ("now", "said"),
    [
        ({"a": [1.0, {"b": "x"}], "c": None, "d": True}, None),
        ({"a": [1.0, {"b": "y"}], "c": None, "d": True}, "a[2].b was x and is y"),
        ({"a": [1.0], "c": None, "d": True}, "a had 2 entries and has 1"),
        ({"a": [1.0, {"b": "x"}], "c": 0.0, "d": True}, "c was none and is 0"),
        ({"a": [1.0, {"b": "x"}], "c": None, "d": False}, "d was True and is False"),
        ({"a": [1.0, {"b": "x"}], "c": None, "d": True, "e": 1}, "e was none and is 1"),
        ({"a": [1.0, {"b": "x"}], "c": None, "d": True, "e": []}, None),
        ({"a": [1.0, {"b": "x"}], "c": None, "d": True, "e": ["y"]}, "e was none and is ['y']"),
        ({"a": "x", "c": None, "d": True}, "a was [1.0, {'b': 'x'}] and is x"),
    ],
)
def test_the_first_place_is_named(now: object, said: str | None) -> None:
    assert first_difference(THEN, now) == said


def test_rounding_is_no_difference_and_more_is() -> None:
    """A share of 1e-6 is allowed: 1 against 1.0000005 lies within, 1 against 1.000002 does not."""
    assert first_difference([1.0], [1.0000005], 1e-6) is None
    assert first_difference([1.0], [1.000002], 1e-6) == "[1] was 1 and is 1.000002"
