"""Trouble codes and the standard monitor status."""

import pytest

from coldsoak.errors import InputError
from coldsoak.prove.codes import decode_readiness, held_back, parse_codes, parse_readiness, weigh_codes


def test_a_spark_engine_with_three_codes() -> None:
    """Second library: the bytes and what they mean are those of the tests of python-OBD (`test_status`)."""
    found = decode_readiness(bytes.fromhex("8307FF00"))
    assert (found.lamp_on, found.stored_codes, found.ignition) == (True, 3, "spark")
    assert found.open_monitors == ()
    assert {m.name for m in found.monitors} >= {
        "misfire",
        "fuel system",
        "components",
        "catalyst",
        "heated catalyst",
    }
    assert len(found.monitors) == 3 + 7  # one of the eight is reserved


def test_a_compression_engine_with_open_monitors() -> None:
    """Same source: misfire supported and not complete, the others of the common three not supported; two of the rest."""
    found = decode_readiness(bytes.fromhex("00790303"))
    assert (found.lamp_on, found.stored_codes, found.ignition) == (False, 0, "compression")
    assert {m.name: m.complete for m in found.monitors} == {
        "misfire": False,
        "NMHC catalyst": False,
        "NOx aftertreatment": False,
    }


def test_a_status_just_after_clearing() -> None:
    """0007E500 as listed in public tables of this PID: nothing stored, the three common ones and five others, all run."""
    found = parse_readiness("41 01 00 07 E5 00")
    assert found is not None
    assert found.open_monitors == ()
    assert len(found.monitors) == 8


@pytest.mark.parametrize("text", ["00 07 E5 04", "00:07:e5:04", "0007E504", "41 01 00 07 E5 04"])
def test_ways_of_writing_it(text: str) -> None:
    found = parse_readiness(text)
    assert found is not None
    assert found.open_monitors == ("evaporative system",)


def test_a_list_as_a_scan_shows_it() -> None:
    found = parse_readiness("Components=ready, heated_catalyst=open")
    assert found is not None
    assert found.open_monitors == ("heated catalyst",)
    with pytest.raises(
        InputError, match="the readiness 'engine=good' is not understood: give the four bytes of PID 01"
    ):
        parse_readiness("engine=good")


def test_words_that_are_no_codes() -> None:
    with pytest.raises(
        InputError, match=r"'P07' is no trouble code: write them as in P0711, with commas between, or none\."
    ):
        parse_codes("P0711, P07")
    assert parse_codes("p0711 U0101-00") == ("P0711", "U0101-00")


def test_the_same_code_is_back_and_another_is_new() -> None:
    found = weigh_codes("fluid_temp", ("P0711",), ("P0740",), ("P0713", "P0711"), None)
    assert found.back == ("P0713", "P0711")
    assert found.new == ("P0740",)
    assert found.sentences[0] == "P0713, P0711 are pending again"


def test_a_code_before_counts_whatever_it_is() -> None:
    assert weigh_codes("fluid_temp", ("P0741",), ("P0741",), None, None).back == ("P0741",)
    assert weigh_codes("fluid_temp", None, ("P0741",), None, None).back == ()


@pytest.mark.parametrize(
    ("status", "after", "held"),
    [
        ("0007E500", (), False),
        ("0007E504", (), False),  # an emission monitor says nothing of a gearbox sensor
        ("0047E500", (), True),  # components supported and not complete
        ("8107E500", None, True),  # a code is stored that nobody has read
    ],
)
def test_what_holds_a_verdict_back(status: str, after: tuple[str, ...] | None, held: bool) -> None:
    codes = weigh_codes("fluid_temp", None, after, None, parse_readiness(status))
    assert bool(held_back(codes)) is held
