"""Event bodies: the vehicle as it came, what was read, judged and measured, and the proof at the end."""

from typing import Annotated, Literal

from pydantic import Field

from coldsoak.record.kinds import Computed, Input, Moment, Name, Number, Plain, Sha256, Text
from coldsoak.value import Value

# SAE J2012: a letter, a digit 0 to 3, three hexadecimal digits, and a failure type byte where the vehicle gives one.
CodeText = Annotated[str, Field(pattern=r"^[PCBU][0-3][0-9A-F]{3}(-[0-9A-F]{2})?$")]


class Vehicle(Value):
    """The vehicle as it was entered."""

    name: Name
    plate: Name | None = None
    identification: Name | None = Field(default=None, description="number on the frame, as entered")
    year: int | None = Field(default=None, ge=1900, le=2200)
    notes: Text | None = None


class UnitFitted(Value):
    """The gearbox, axle or transfer case that is worked on."""

    name: Name
    serial: Name | None = None
    sheet: Input | None = Field(default=None, description="the unit sheet that was used")


class Shop(Value):
    """Who does the work."""

    name: Name
    address: tuple[Name, ...] = ()
    contact: Name | None = None


class Person(Value):
    """Somebody on the job and what they do."""

    name: Name
    role: Name


class Opened(Value):
    """The job begins: whose vehicle, which unit, what the complaint is. The first event of every record."""

    kind: Literal["opened"] = "opened"
    job: Name = Field(description="number of the work order")
    vehicle: Vehicle
    unit: UnitFitted
    complaint: Text
    odometer_km: Number | None = Field(default=None, ge=0)
    customer: Name | None = None
    shop: Shop | None = None
    people: tuple[Person, ...] = ()


class FrameValue(Value):
    """One line of a freeze frame, as the vehicle gave it."""

    name: Name
    value: Number | Name
    unit: Name | None = None


class TroubleCode(Value):
    """One trouble code of SAE J2012."""

    code: CodeText
    status: Literal["pending", "stored", "permanent"]
    meaning: Text | None = None
    module: Name | None = None
    freeze_frame: tuple[FrameValue, ...] = ()


class Monitor(Value):
    """One of the vehicle's own monitors and whether it has run since the codes were cleared."""

    name: Name
    status: Literal["complete", "not_complete", "not_supported"]


class CodesRead(Value):
    """Codes and monitors as they were read; no codes is a finding too."""

    kind: Literal["codes_read"] = "codes_read"
    moment: Moment
    codes: tuple[TroubleCode, ...] = ()
    monitors: tuple[Monitor, ...] = ()


class CodesCleared(Value):
    """Codes were cleared."""

    kind: Literal["codes_cleared"] = "codes_cleared"
    codes: tuple[CodeText, ...] = ()


class LogKept(Value):
    """A log was put with the job, known by its content."""

    kind: Literal["log_kept"] = "log_kept"
    moment: Moment
    file: Name
    sha256: Sha256
    rows: int = Field(ge=0)
    duration_s: Number | None = Field(default=None, ge=0)
    format: Name | None = None
    assumed: tuple[Text, ...] = Field(default=(), description="what had to be assumed to read it")
    map: tuple[Text, ...] = Field(
        default=(), description="what was said of its channels, NAME=QUANTITY[UNIT]"
    )
    rate_hz: Number | None = Field(default=None, gt=0, description="rows per second, where it has no time")
    channel: Name | None = Field(default=None, description="the channel of the fluid, where one was chosen")
    thermometer: Name | None = Field(default=None, description="what read the fluid, in a log of a filling")


class InputKept(Value):
    """Another file was put with the job: a unit sheet, crib, price list, list of causes."""

    kind: Literal["input_kept"] = "input_kept"
    input: Input


class Judged(Computed):
    """A log was judged; `judgement` is the judgement as its own JSON, `channel` the one the job is about."""

    kind: Literal["judged"] = "judged"
    channel: Name | None = None
    judgement: Plain


class Measure(Value):
    """A measured value with its unit."""

    name: Name
    value: Number
    unit: Name


RESISTANCE, BESIDE = "Resistance of the sensor", "Reading beside a thermometer"
OHMS, AT, READ, TRUE = "resistance", "temperature", "reading", "thermometer"
"""What was measured at a sensor: tests and their values by these names are held against the sensor's curve."""

FLUID_READ = "Fluid temperature read"
"""What a thermometer's reading for the level is called; as a test it finds no fault."""


class TestResult(Value):
    """A test was done; `test` and `result` are what they are called in words."""

    __test__ = False  # no test of this program

    kind: Literal["test_result"] = "test_result"
    test: Name
    result: Text
    key: Name | None = Field(default=None, description="the test and result as judge knows them, test=result")
    measures: tuple[Measure, ...] = ()
    tool: Name | None = None


class Proved(Computed):
    """What the drive after the repair shows; `proof` is the proof as its own JSON."""

    kind: Literal["proved"] = "proved"
    proof: Plain
