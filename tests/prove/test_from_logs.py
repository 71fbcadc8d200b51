"""Codes and monitors that the logger recorded beside the temperatures."""

from dataclasses import replace

import numpy as np
import pytest
from tests.prove.drives import drive

from coldsoak.logs.log import Channel
from coldsoak.logs.obd import decode
from coldsoak.prove import Seen, load_assumptions, prove
from coldsoak.prove.codes import names_of, parse_readiness, weigh_codes
from coldsoak.prove.from_logs import FULL
from coldsoak.prove.same_vehicle import plain_name

ASSUME = load_assumptions()
SIX = (200.0, 500.0, 800.0, 1100.0, 1400.0, 1700.0)


def with_count(seen: Seen, name: str, first: float, last: float | None = None) -> Seen:
    rows = len(seen.log.time_s)
    values = np.full(rows, first)
    values[rows // 2 :] = first if last is None else last
    channel = Channel(name, "count", "1", values, np.arange(rows))
    return replace(seen, log=replace(seen.log, channels=(*seen.log.channels, channel)))


def before() -> Seen:
    return drive("before.csv", 1800.0, SIX)


def after() -> Seen:
    return drive("after.csv", 3600.0)


def test_the_monitor_status_of_a_log_is_that_of_its_last_reading() -> None:
    """0007E500 as in public tables of PID 01: all run; 0027E500 has the third common monitor, components, not complete."""
    done = prove([before()], [with_count(after(), "Monitor status", 0x0027E500, 0x0007E500)], ASSUME)
    assert done.verdict == "proven"
    assert "all monitors have run" in done.codes.sentences
    waits = prove([before()], [with_count(after(), "Monitor status", 0x0007E500, 0x0047E500)], ASSUME)
    assert waits.verdict == "not_proven"
    assert "monitor: components" in waits.held_back[0]


def test_what_was_typed_goes_before_what_was_logged() -> None:
    typed = weigh_codes("fluid_temp", None, None, None, parse_readiness("components=ready"))
    found = prove([before()], [with_count(after(), "Monitor status", 0x0047E500)], ASSUME, typed)
    assert found.verdict == "proven"


def test_the_answer_on_the_bus_holds_the_four_bytes() -> None:
    """SAE J1979 service 01, PID 01: four data bytes A B C D; the example of the public tables."""
    (found,) = decode(bytes.fromhex("41010007E500"))
    assert plain_name(found.item.name) in names_of("status")
    assert int(found.value).to_bytes(4, "big") == bytes.fromhex("0007E500")


def test_stored_codes_that_a_log_counts_and_nobody_read_hold_back() -> None:
    counted = with_count(after(), "DTC count", 0.0, 2.0)
    found = prove([before()], [counted], ASSUME)
    assert found.verdict == "not_proven"
    assert found.held_back == ("the log after the repair counts stored codes that nobody has read",)
    read = weigh_codes("fluid_temp", None, ("P0420", "P0455"), None, None)
    assert prove([before()], [counted], ASSUME, read).verdict == "proven"


def test_a_stored_code_that_was_never_cleared_is_not_back_and_has_to_be_cleared() -> None:
    """Common practice, no source: a stored code stays until it is cleared, so it says nothing of the drive after."""
    codes = weigh_codes("fluid_temp", ("P0711",), ("P0711",), None, None)
    assert prove([before()], [after()], ASSUME, codes).verdict == "back"
    name = "WARM_UPS_SINCE_CODES_CLEARED ()"
    found = prove([with_count(before(), name, 12.0)], [with_count(after(), name, 13.0)], ASSUME, codes)
    assert (found.verdict, found.codes.cleared, found.codes.stale) == ("not_proven", False, ("P0711",))
    assert "clear them and drive" in found.sentence
    cleared = prove([with_count(before(), name, 12.0)], [with_count(after(), name, 0.0)], ASSUME, codes)
    assert (cleared.verdict, cleared.codes.cleared) == ("back", True)
    pending = weigh_codes("fluid_temp", ("P0711",), None, ("P0711",), None)
    again = prove([with_count(before(), name, 12.0)], [with_count(after(), name, 13.0)], ASSUME, pending)
    assert again.verdict == "back"


def test_a_counter_that_has_reached_its_end_tells_nothing() -> None:
    """SAE J1979, PID 30h: one byte, it stops at 255 (from memory)."""
    name = "Warm-ups since codes cleared"
    found = prove([with_count(before(), name, 255.0)], [with_count(after(), name, 255.0)], ASSUME)
    assert found.codes.cleared is None
    assert set(FULL.values()) == {255.0, 65535.0}


def test_the_lamp_that_was_on_is_said() -> None:
    found = prove([before()], [with_count(after(), "Distance traveled with MIL on", 3.0, 9.0)], ASSUME)
    assert "the lamp was on during after.csv" in found.codes.sentences


@pytest.mark.parametrize("name", ["Engine speed", "Count", "Gear"])
def test_other_channels_say_nothing_of_codes(name: str) -> None:
    found = prove([before()], [with_count(after(), name, 3.0, 9.0)], ASSUME)
    assert found.codes.sentences == ()
