"""What was measured at the sensor, as it is typed on a page: a resistance, or a reading beside a thermometer."""

from collections.abc import Mapping
from typing import Any

from coldsoak.errors import InputError
from coldsoak.judge.circuit.curves import SensorCurve
from coldsoak.record.events import TestResult
from coldsoak.record.job_record import JobRecord
from coldsoak.shop.desk import sensor
from coldsoak.shop.desk.desk import Desk
from coldsoak.web.bay.entry_form import body_of
from coldsoak.web.bay.views.judge import Doubt

NO_CURVE = (
    "the unit sheet of this job has no curve of this sensor to hold it against: note the result of the test instead, or "
    "open the job with a sheet that has one under `sensors`."
)


def curve_in_doubt(desk: Desk, job: JobRecord, doubt: Doubt | None) -> SensorCurve | None:
    """Return the curve of the sensor that is in doubt, where the sheet of the job has it."""
    if doubt is None or doubt.channel is None:
        return None
    return desk.sensor_curve(job, doubt.channel.quantity)


def resistance_typed(form: Mapping[str, str], curve: SensorCurve | None) -> TestResult:
    """Return the entry of a resistance and the temperature that it was measured at."""
    said = _said(form, "resistance")
    if "resistance_ohm" not in said or "temp_c" not in said:
        raise InputError("a resistance says something only with the temperature of the sensor: type both.")
    return sensor.resistance(
        _known(curve), said["resistance_ohm"], said["temp_c"], form.get("tool", "").strip()
    )


def beside_typed(form: Mapping[str, str], curve: SensorCurve | None) -> TestResult:
    """Return the entry of a reading and what a thermometer showed beside it."""
    said = _said(form, "reading")
    if "reading_c" not in said or "temp_c" not in said:
        raise InputError(
            "two temperatures belong together: type what it reads and what the thermometer shows."
        )
    return sensor.beside(_known(curve), said["reading_c"], said["temp_c"], form.get("tool", "").strip())


def _said(form: Mapping[str, str], name: str) -> dict[str, Any]:
    return body_of({key: form.get(key, "") for key in (name, f"{name}.unit", "temp", "temp.unit")})


def _known(curve: SensorCurve | None) -> SensorCurve:
    if curve is None:
        raise InputError(NO_CURVE)
    return curve
