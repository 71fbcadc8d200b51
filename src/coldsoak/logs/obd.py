"""SAE J1979 service 01: what the data bytes of an answer mean."""

from collections.abc import Iterator
from dataclasses import dataclass

ANSWER = 0x41  # request 01 + 40h


@dataclass(frozen=True)
class Item:
    """One value in the answer to a parameter: which bytes, its scale, and what it measures.

    `supported_bit` is the bit of the first byte that says whether the control unit has this value.
    """

    name: str
    quantity: str
    unit: str
    first: int
    size: int
    scale: float
    offset: float = 0.0
    supported_bit: int | None = None
    shift: int = 0

    def value(self, data: bytes) -> float | None:
        """Return the value in the data bytes of one parameter, None where the unit says it has none."""
        if self.supported_bit is not None and not data[0] >> self.supported_bit & 1:
            return None
        raw = int.from_bytes(data[self.first : self.first + self.size], "big") >> self.shift
        return raw * self.scale + self.offset


_PERCENT = 100 / 255


def _byte(
    name: str, quantity: str, unit: str, scale: float, offset: float = 0.0
) -> tuple[int, tuple[Item, ...]]:
    return 1, (Item(name, quantity, unit, 0, 1, scale, offset),)


def _word(
    name: str, quantity: str, unit: str, scale: float, offset: float = 0.0
) -> tuple[int, tuple[Item, ...]]:
    return 2, (Item(name, quantity, unit, 0, 2, scale, offset),)


# Parameter: number of data bytes, values in them.
PARAMETERS: dict[int, tuple[int, tuple[Item, ...]]] = {
    0x01: (4, (Item("Monitor status since codes cleared", "count", "1", 0, 4, 1.0),)),
    0x04: _byte("Calculated engine load", "engine_load", "%", _PERCENT),
    0x05: _byte("Engine coolant temperature", "coolant_temp", "degC", 1.0, -40.0),
    0x06: _byte("Short term fuel trim, bank 1", "fuel_trim", "%", 100 / 128, -100.0),
    0x07: _byte("Long term fuel trim, bank 1", "fuel_trim", "%", 100 / 128, -100.0),
    0x08: _byte("Short term fuel trim, bank 2", "fuel_trim", "%", 100 / 128, -100.0),
    0x09: _byte("Long term fuel trim, bank 2", "fuel_trim", "%", 100 / 128, -100.0),
    0x0B: _byte("Intake manifold absolute pressure", "manifold_pressure", "kPa", 1.0),
    0x0C: _word("Engine speed", "engine_speed", "rpm", 0.25),
    0x0D: _byte("Vehicle speed", "vehicle_speed", "km/h", 1.0),
    0x0E: _byte("Timing advance", "timing_advance", "deg", 0.5, -64.0),
    0x0F: _byte("Intake air temperature", "intake_air_temp", "degC", 1.0, -40.0),
    0x10: _word("Mass air flow", "air_flow", "g/s", 0.01),
    0x11: _byte("Throttle position", "throttle", "%", _PERCENT),
    0x1F: _word("Run time since engine start", "run_time", "s", 1.0),
    0x2F: _byte("Fuel level", "fuel_level", "%", _PERCENT),
    0x33: _byte("Barometric pressure", "barometric_pressure", "kPa", 1.0),
    0x3C: _word("Catalyst temperature, bank 1 sensor 1", "catalyst_temp", "degC", 0.1, -40.0),
    0x3D: _word("Catalyst temperature, bank 2 sensor 1", "catalyst_temp", "degC", 0.1, -40.0),
    0x3E: _word("Catalyst temperature, bank 1 sensor 2", "catalyst_temp", "degC", 0.1, -40.0),
    0x3F: _word("Catalyst temperature, bank 2 sensor 2", "catalyst_temp", "degC", 0.1, -40.0),
    0x42: _word("Control module voltage", "module_voltage", "V", 0.001),
    0x43: _word("Absolute load", "engine_load", "%", _PERCENT),
    0x45: _byte("Relative throttle position", "throttle", "%", _PERCENT),
    0x46: _byte("Ambient air temperature", "ambient_temp", "degC", 1.0, -40.0),
    0x47: _byte("Absolute throttle position B", "throttle", "%", _PERCENT),
    0x49: _byte("Accelerator pedal position D", "pedal", "%", _PERCENT),
    0x4A: _byte("Accelerator pedal position E", "pedal", "%", _PERCENT),
    0x4C: _byte("Commanded throttle actuator", "throttle", "%", _PERCENT),
    0x5C: _byte("Engine oil temperature", "oil_temp", "degC", 1.0, -40.0),
    0x67: (
        3,
        (
            Item("Engine coolant temperature, sensor 1", "coolant_temp", "degC", 1, 1, 1.0, -40.0, 0),
            Item("Engine coolant temperature, sensor 2", "coolant_temp", "degC", 2, 1, 1.0, -40.0, 1),
        ),
    ),
    0xA4: (4, (Item("Transmission actual gear", "gear", "1", 1, 1, 1.0, 0.0, 0, 4),)),
}

# Number of data bytes of parameters that are passed over; needed to find the next one in the same answer.
_PASSED_OVER: dict[int, int] = {
    **dict.fromkeys((0x00, 0x20, 0x40, 0x60, 0x80, 0xA0, 0xC0, 0x41, 0x4F, 0x50), 4),
    **dict.fromkeys(
        (0x02, 0x03, 0x21, 0x22, 0x23, 0x31, 0x32, 0x44, 0x4D, 0x4E, 0x53, 0x54, 0x59, 0x5D, 0x5E, 0x63), 2
    ),
    **dict.fromkeys((0x0A, 0x12, 0x13, 0x1C, 0x1D, 0x1E, 0x2C, 0x2D, 0x2E, 0x30, 0x48, 0x4B, 0x51, 0x52), 1),
    **dict.fromkeys((0x5A, 0x5B, 0x5F, 0x61, 0x62), 1),
    **dict.fromkeys(range(0x14, 0x1C), 2),
    **dict.fromkeys(range(0x24, 0x2C), 4),
    **dict.fromkeys(range(0x34, 0x3C), 4),
}


@dataclass(frozen=True)
class Decoded:
    """One decoded value and the parameter it came from."""

    parameter: int
    item: Item
    value: float


class AnswerError(ValueError):
    """An answer that ends inside a parameter, or holds one whose length is not known."""


def decode(message: bytes) -> Iterator[Decoded]:
    """Yield the values of an answer to service 01, which may hold several parameters.

    >>> [(d.item.quantity, d.value) for d in decode(bytes.fromhex("410C1AF80D64057B"))]
    [('engine_speed', 1726.0), ('vehicle_speed', 100.0), ('coolant_temp', 83.0)]
    """
    if not message or message[0] != ANSWER:
        return
    at = 1
    while at < len(message):
        parameter = message[at]
        length, items = PARAMETERS.get(parameter) or (_PASSED_OVER.get(parameter), ())
        if length is None:
            if at == 1:
                return  # a parameter of its own that we do not decode; nothing can follow that we could find
            raise AnswerError(f"parameter {parameter:02X}h of unknown length inside an answer")
        data = message[at + 1 : at + 1 + length]
        if len(data) < length:
            raise AnswerError(f"parameter {parameter:02X}h has {len(data)} of {length} bytes")
        for item in items:
            value = item.value(data)
            if value is not None:
                yield Decoded(parameter, item, value)
        at += 1 + length
