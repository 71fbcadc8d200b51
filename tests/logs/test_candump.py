"""SocketCAN captures. Sources: can-utils lib.h and candump.c for the line forms; python-can 4.6 and can-isotp 2.0 as
second libraries; SAE J1979 scalings as a public protocol reference prints them (those marked so: from memory)."""

import time
from collections.abc import Callable
from pathlib import Path

import can
import isotp
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coldsoak.logs import candump, obd
from coldsoak.logs.isotp import Reassembly
from coldsoak.logs.log import Log, Unreadable

Reader = Callable[..., Log]

# Written by python-can 4.6.1.
FIXTURE = """(1700000000.123456) can0 7DF#0201050000000000 R
(1700000000.131000) can0 7E8#0341057B R
(1700000001.000000) can0 18DAF110#0341057B R
(1700000003.000000) can0 123##1112233 R
"""


def test_the_fixture_of_a_second_library(read: Reader) -> None:
    log = read(FIXTURE, name="candump.log")
    assert log.provenance.format == "candump"
    assert [c.name for c in log.channels] == [
        "Engine coolant temperature (7E8)",
        "Engine coolant temperature (18DAF110)",
    ]
    assert log.channels[0].values[0] == 83.0
    assert log.time_s.tolist() == pytest.approx([0.0, 0.869], abs=1e-6)
    assert log.provenance.unreadable_count == 0


@pytest.mark.parametrize(
    ("answer", "quantity", "value"),
    [
        ("410480", "engine_load", 50.196),
        ("41057B", "coolant_temp", 83.0),
        ("410500", "coolant_temp", -40.0),
        ("4105FF", "coolant_temp", 215.0),
        ("410C1AF8", "engine_speed", 1726.0),
        ("410D64", "vehicle_speed", 100.0),
        ("410F28", "intake_air_temp", 0.0),
        ("411001F4", "air_flow", 5.0),
        ("4111FF", "throttle", 100.0),
        ("411F0258", "run_time", 600.0),
        ("413365", "barometric_pressure", 101.0),
        ("41423336", "module_voltage", 13.110),
        ("41463A", "ambient_temp", 18.0),
        ("415C82", "oil_temp", 90.0),
        ("41670150FF", "coolant_temp", 40.0),
        ("41A403300A8C", "gear", 3.0),
        ("410B64", "manifold_pressure", 100.0),  # from memory
        ("410E94", "timing_advance", 10.0),  # from memory
        ("410680", "fuel_trim", 0.0),  # from memory
        ("413C1130", "catalyst_temp", 400.0),  # from memory
    ],
)
def test_scalings_of_service_01(answer: str, quantity: str, value: float) -> None:
    decoded = list(obd.decode(bytes.fromhex(answer)))
    assert decoded[0].item.quantity == quantity
    assert decoded[0].value == pytest.approx(value, abs=5e-4)


def test_only_the_sensors_that_the_support_bits_name() -> None:
    """Parameter 67h: bit 0 and bit 1 say which of the two sensors there is (from memory)."""
    both = [d.value for d in obd.decode(bytes.fromhex("4167035064"))]
    second = [d.item.name for d in obd.decode(bytes.fromhex("4167025064"))]
    assert both == [40.0, 60.0]
    assert second == ["Engine coolant temperature, sensor 2"]


def test_supported_parameters_are_passed_over_and_the_next_is_found() -> None:
    """BE 1F A8 13 is the published example of a support map; it is four bytes long."""
    assert [d.value for d in obd.decode(bytes.fromhex("4100BE1FA813057B"))] == [83.0]


def test_several_parameters_in_one_answer_over_several_frames(read: Reader) -> None:
    text = (
        "(000.000000) can0 7E8#1008410C1AF80D64\n(000.001000) can0 7E0#3000000000000000\n"
        "(000.002000) can0 7E8#21057BAAAAAAAAAA\n(001.000000) can0 7E8#03410D65\n"
    )
    log = read(text)
    assert {c.quantity: c.values[0] for c in log.channels} == {
        "engine_speed": 1726.0,
        "vehicle_speed": 100.0,
        "coolant_temp": 83.0,
    }
    assert log.time_s.tolist() == pytest.approx([0.0, 0.998])
    assert "The capture counts time from its own start: it has no wall clock." in log.provenance.assumed


@pytest.mark.parametrize(
    "line",
    ["123#", "123#R", "123#R7", "12345678#R", "123#1122334455667788_E", "123##0", "123##3" + "11" * 64, "7E8##10341057B",
     "20000080#0000000000000000", "123#11.22.33.44", "vcan00123#00:11:22334455#1122", "00123#81:00:00000000#11.22.33"],
)  # fmt: skip
def test_every_form_of_line_is_survived(read: Reader, line: str) -> None:
    log = read(
        f"(1700000000.000000) can0 7E8#0341057B\n(1700000000.100000) can0 {line}\n(1700000000.200000) can0 7E8#0341057C T\n"
    )
    values = log.channels[0].values
    assert (values[0], values[-1]) == (83.0, 84.0)
    assert log.provenance.unreadable_count == (1 if line.startswith("vcan") else 0)


def test_the_form_shown_on_the_terminal_with_time(read: Reader) -> None:
    text = " (1700000000.000000)  can0  7E8   [4]  03 41 05 7B\n (1700000000.500000)  can0  18DAF110   [8]  03 41 05 7C AA AA AA AA\n"
    log = read(text)
    assert [c.values[~np.isnan(c.values)].tolist() for c in log.channels] == [[83.0], [84.0]]


def test_nanosecond_stamps_and_dots_between_bytes(read: Reader) -> None:
    log = read("(1700000000.000000000) can0 7E8#03.41.05.7B\n(1700000000.250000000) can0 7E8#03.41.05.7C\n")
    assert log.time_s.tolist() == pytest.approx([0.0, 0.25], abs=1e-6)


def test_what_cannot_be_read_is_counted_with_its_line(read: Reader) -> None:
    text = (
        "(1700000000.0) can0 7E8#0341057B\nhello\n(1700000000.1) can0 7E8#0241\n(1700000000.2) can0 7E8#03410C1A\n"
        "(1700000000.3) can0 7E8#0341057C\n(1700000000.4) can0 7E8#2211223344556677\n"
    )
    log = read(text)
    assert log.provenance.unreadable == (
        Unreadable(2, "(whole row)", "hello"),
        Unreadable(4, "7E8", "410C1A"),
    )
    assert any("2 messages are incomplete" in a for a in log.provenance.assumed)
    assert log.channels[0].values.tolist() == [83.0, 84.0]


def test_other_services_and_negative_answers_are_no_readings(read: Reader) -> None:
    log = read(
        "(1.0) can0 7E8#037F2231\n(1.1) can0 7E8#0462F19001\n(1.2) can0 7E8#0341057B\n(1.3) can0 7E8#0341057B\n"
    )
    assert log.channels[0].count == 2


def test_every_answer_is_a_reading_and_none_is_held(read: Reader) -> None:
    lines = [f"({i * 0.1:010.6f}) can0 7E8#0341{'05' if i % 3 else '0F'}7B" for i in range(300)]
    log = read("\n".join(lines) + "\n")
    assert [len(c.reading_rows) for c in log.channels] == [100, 200]
    assert log.channels[0].refresh_s == pytest.approx(0.3)


def test_a_capture_written_by_python_can(read: Reader, tmp_path: Path) -> None:
    path = tmp_path / "second.log"
    with can.CanutilsLogWriter(path) as writer:
        for i in range(5):
            data = bytes([3, 0x41, 0x05, 0x50 + i, 0, 0, 0, 0])
            writer.on_message_received(
                can.Message(timestamp=1.7e9 + i, arbitration_id=0x7E8, is_extended_id=False, data=data)
            )
            writer.on_message_received(
                can.Message(timestamp=1.7e9 + i + 0.1, arbitration_id=0x18DAF110, data=data)
            )
            writer.on_message_received(can.Message(timestamp=1.7e9 + i + 0.2, is_error_frame=True))
            writer.on_message_received(
                can.Message(
                    timestamp=1.7e9 + i + 0.3,
                    arbitration_id=0x7E8,
                    is_extended_id=False,
                    is_remote_frame=True,
                    dlc=8,
                )
            )
            writer.on_message_received(
                can.Message(
                    timestamp=1.7e9 + i + 0.4, arbitration_id=0x123, is_fd=True, data=bytes(range(24))
                )
            )
    log = read(path.read_bytes())
    assert log.channels[0].values[0::2].tolist() == [40.0, 41.0, 42.0, 43.0, 44.0]
    assert log.provenance.unreadable_count == 0


def frames_of(payload: bytes, *, tx_data_length: int = 8) -> list[bytes]:
    """Return the frames into which can-isotp cuts a payload, its flow control answered at once."""
    sent: list[bytes] = []
    answers: list[isotp.CanMessage] = []

    def send(message: isotp.CanMessage) -> None:
        sent.append(bytes(message.data))
        if message.data[0] >> 4 == 1:
            answers.append(isotp.CanMessage(arbitration_id=0x7E0, data=bytearray.fromhex("300000")))

    stack = isotp.TransportLayerLogic(
        rxfn=lambda _timeout: answers.pop() if answers else None,
        txfn=send,
        address=isotp.Address(isotp.AddressingMode.Normal_11bits, rxid=0x7E0, txid=0x7E8),
        params={"tx_data_length": tx_data_length, "can_fd": tx_data_length > 8},
    )
    stack.send(payload)
    until = time.monotonic() + 5
    while stack.transmitting() or not sent:
        stack.process()
        assert time.monotonic() < until
    return sent


@settings(max_examples=60, deadline=None)
@given(st.binary(min_size=1, max_size=400), st.sampled_from([8, 16, 64]))
def test_messages_cut_by_can_isotp_are_put_together(payload: bytes, size: int) -> None:
    reassembly = Reassembly()
    got = [m for f in frames_of(payload, tx_data_length=size) if (m := reassembly.feed(f)) is not None]
    assert got == [payload]
    assert reassembly.incomplete == 0


def test_the_frames_of_a_twenty_byte_message() -> None:
    """can-isotp 2.0.7 cuts this 20-byte payload into these three frames."""
    payload = bytes.fromhex("490201") + b"1D4GP00R55B123456"
    frames = ["1014490201314434", "2147503030523535", "2242313233343536"]
    assert [f.hex() for f in frames_of(payload)] == frames
    reassembly = Reassembly()
    assert [reassembly.feed(bytes.fromhex(f)) for f in frames] == [None, None, payload]


def test_a_message_longer_than_4095_bytes() -> None:
    payload = bytes(range(256)) * 20
    reassembly = Reassembly()
    got = [m for f in frames_of(payload) if (m := reassembly.feed(f)) is not None]
    assert got == [payload]


@pytest.mark.parametrize(
    ("frames", "incomplete"),
    [
        (["1014490201314434", "2247503030523535"], 1),  # the first consecutive frame is missing
        (["1014490201314434", "1014490201314434"], 1),  # begun twice
        (["1014490201314434", "0341057B"], 1),
        (["2147503030523535"], 1),
        (["0741"], 1),  # says seven bytes, has one
        (["00"], 1),
        (["101449"], 1),
        (["300000"], 0),
        ([""], 0),
        (["F0"], 0),
    ],
)
def test_what_is_incomplete_is_counted_and_nothing_comes_of_it(frames: list[str], incomplete: int) -> None:
    reassembly = Reassembly()
    got = [reassembly.feed(bytes.fromhex(f)) for f in frames]
    assert [g for g in got if g] == ([bytes.fromhex("41057B")] if "0341057B" in frames else [])
    assert reassembly.incomplete == incomplete


def test_the_layout_is_told_from_the_first_lines() -> None:
    assert candump.looks_like_candump(FIXTURE)
    assert not candump.looks_like_candump("Time (s),RPM\n0,800\n")
