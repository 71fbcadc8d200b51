"""Points in time against RFC 3339."""

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldsoak.errors import InputError
from coldsoak.record.stamp import local, moment

# RFC 3339 section 5.8, from memory; the equivalences are those the section states.
SAME = [
    ("1996-12-19T16:39:57-08:00", "1996-12-20T00:39:57Z"),
    ("1937-01-01T12:00:27.87+00:20", "1937-01-01T11:40:27.87Z"),
    ("1990-12-31T15:59:60-08:00", "1990-12-31T23:59:60Z"),
    ("1985-04-12t23:20:50.52z", "1985-04-12T23:20:50.52Z"),
]


@pytest.mark.parametrize(("one", "other"), SAME)
def test_the_same_moment(one: str, other: str) -> None:
    assert moment(one) == moment(other)


def test_a_leap_second_counts_as_the_second_after_it() -> None:
    """Python has no second 60; RFC 3339 section 5.7 allows it at the end of a month in UTC. Our own decision."""
    assert moment("1990-12-31T23:59:60Z") == dt.datetime(1991, 1, 1, tzinfo=dt.UTC)


def test_the_offset_minus_zero_which_says_that_it_is_not_known_is_read_as_utc() -> None:
    """RFC 3339 section 4.3."""
    assert moment("2027-03-31T14:05:00-00:00") == moment("2027-03-31T14:05:00Z")


@pytest.mark.parametrize(
    "text",
    [
        "2027-03-31T14:05:00",
        "2027-03-31 14:05:00Z",
        "2027-3-31T14:05:00Z",
        "2027-02-29T14:05:00Z",
        "2027-03-31T24:00:00Z",
        "2027-03-31T14:05Z",
        "2027-03-31T14:05:00+24:00",
        "2027-03-31T14:05:00+0200",
        "2027-03-31T14:05:60Z",
        "2027-06-15T23:59:60Z",
        "2027-03-31T14:05:00.Z",
        "",
    ],
)
def test_what_rfc_3339_does_not_allow_is_refused(text: str) -> None:
    """RFC 3339 section 5.6 (form), 5.7 (limits)."""
    with pytest.raises(InputError, match="is not a time"):
        moment(text)


@given(
    st.datetimes(min_value=dt.datetime(1, 1, 3), max_value=dt.datetime(9999, 12, 29)),  # noqa: DTZ001 (gets its offset below)
    st.integers(-1439, 1439),
)
def test_against_pythons_own_reader(when: dt.datetime, minutes: int) -> None:
    """A second method: datetime.fromisoformat."""
    aware = when.replace(tzinfo=dt.timezone(dt.timedelta(minutes=minutes)))
    text = aware.isoformat()
    assert moment(text) == aware
    assert local(text).isoformat() == aware.isoformat()
