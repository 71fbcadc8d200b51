"""How long a hot unit takes to be cool enough to be handled."""

from coldsoak.errors import InputError
from coldsoak.physics.heat import lumped_time_s
from coldsoak.plan.conditions import Conditions
from coldsoak.sheet.fluid import Thermal


def cooling_min(thermal: Thermal | None, conditions: Conditions) -> float | None:
    """Return the minutes until the unit is at handling temperature, standing still; None without heat data.

    After shut-off fluid and metal come to one temperature within minutes, so the unit counts as one body.

    >>> import datetime as dt
    >>> data = {"fluid_heat": "16 kJ/K", "metal_heat": "44 kJ/K", "loss_to_air": "20 W/K"}
    >>> warm = Conditions(dt.date(2026, 5, 4), unit_c=60.0, handling_c=40.0, ambient_c=20.0)
    >>> round(cooling_min(Thermal.model_validate(data), warm), 2)  # 60 kJ/K / 20 W/K · ln 2 = 3000 s · 0.693
    34.66
    """
    if conditions.unit_c <= conditions.handling_c:
        return 0.0
    if conditions.handling_c <= conditions.ambient_c:
        raise InputError(
            f"the air is at {conditions.ambient_c:.0f} °C, so the unit never cools to {conditions.handling_c:.0f} °C: "
            "choose a handling temperature above that of the air."
        )
    if thermal is None:
        return None
    capacity_j_k = thermal.fluid_heat.si + thermal.metal_heat.si
    time_s = lumped_time_s(
        conditions.handling_c, conditions.unit_c, conditions.ambient_c, capacity_j_k, thermal.loss_to_air.si
    )
    return float(time_s) / 60.0
