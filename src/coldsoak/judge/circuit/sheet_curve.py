"""The curve of a thermometer on a unit sheet, as judge needs it."""

from coldsoak.errors import ColdsoakError, InputError
from coldsoak.judge.circuit.curves import USUAL_TOLERANCE, SensorCurve, curve_from_points
from coldsoak.sheet.unit import UnitSheet

FLUID = "fluid_temp"


def curve_of_sheet(sheet: UnitSheet) -> SensorCurve:
    """Return the curve of the gearbox fluid sensor.

    Raises InputError where the sheet has none, or where its points are not those of a thermistor.
    """
    found = find_curve(sheet, FLUID)
    if found is None:
        raise InputError(
            f"the sheet of the {sheet.unit.name} has no curve of a fluid sensor: add it under `sensors`, as points of degC "
            "and ohm."
        )
    return found


def find_curve(sheet: UnitSheet, quantity: str | None) -> SensorCurve | None:
    """Return the curve of the sensor that reads `quantity`, with the tolerance that the sheet states; None without one."""
    for key, sensor in sheet.sensors.items():
        if sensor.reads != quantity:
            continue
        stated = sensor.tolerance_k is not None
        label = f"the curve on the sheet of the {sheet.unit.name}" + (
            "" if stated else ", with 5 % tolerance assumed"
        )
        temps_c, ohms = [temp for temp, _ in sensor.curve], [ohm for _, ohm in sensor.curve]
        tolerance = 0.0 if stated else USUAL_TOLERANCE
        try:
            return curve_from_points(temps_c, ohms, tolerance, label, tolerance_k=sensor.tolerance_k or 0.0)
        except ColdsoakError as problem:
            raise InputError(
                f"the sheet of the {sheet.unit.name}, sensors.{key}.curve: {problem}"
            ) from problem
    return None
