"""A log as the text of a bus capture: SAE J1979 service 01 requests and answers in SocketCAN candump lines."""

from collections.abc import Callable, Mapping

import numpy as np

from coldsoak.errors import InputError
from coldsoak.logs.log import Log

ANSWER_AFTER_S = 0.006


def _byte(value: float) -> bytes:
    return bytes([min(max(round(value), 0), 255)])


def _word(value: float) -> bytes:
    return min(max(round(value), 0), 65_535).to_bytes(2, "big")


def _celsius(value: float) -> bytes:
    return _byte(value + 40.0)


# SAE J1979: parameter number and scaling.
PIDS: Mapping[str, tuple[int, Callable[[float], bytes]]] = {
    "engine_load": (0x04, lambda v: _byte(v * 255.0 / 100.0)),
    "coolant_temp": (0x05, _celsius),
    "engine_speed": (0x0C, lambda v: _word(v * 4.0)),
    "vehicle_speed": (0x0D, _byte),
    "intake_air_temp": (0x0F, _celsius),
    "air_flow": (0x10, lambda v: _word(v * 100.0)),
    "module_voltage": (0x42, lambda v: _word(v * 1000.0)),
    "ambient_temp": (0x46, _celsius),
    "oil_temp": (0x5C, _celsius),
}


def candump_text(log: Log, first_s: float) -> bytes:
    """Return the capture of `log`, its first row at `first_s` since 1970: one request and one answer a reading.

    Gearbox fluid temperature is not in it: service 01 has no parameter for it.
    """
    frames: list[tuple[float, str]] = []
    for channel in log.channels:
        quantity = channel.quantity or ""
        if quantity not in PIDS:
            continue
        pid, encode = PIDS[quantity]
        rows = channel.reading_rows[~np.isnan(channel.values[channel.reading_rows])]
        # Channels read in one row follow each other on the bus.
        offset_s = 0.001 * list(PIDS).index(quantity)
        for second, value in zip(log.time_s[rows].tolist(), channel.values[rows].tolist(), strict=True):
            asked_s = first_s + second + offset_s
            data = bytes([0x41, pid]) + encode(value)
            answer = (bytes([len(data)]) + data).ljust(8, b"\xaa")
            frames.append((asked_s, f"7DF#0201{pid:02X}0000000000"))
            frames.append((asked_s + ANSWER_AFTER_S, f"7E8#{answer.hex().upper()}"))
    if not frames:
        raise InputError(
            f"{log.provenance.file} has no channel that a bus capture can carry; it needs one of {', '.join(PIDS)}."
        )
    frames.sort()
    return "".join(f"({at_s:.6f}) can0 {frame}\n" for at_s, frame in frames).encode("ascii")
