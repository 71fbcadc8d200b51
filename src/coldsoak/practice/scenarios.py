"""What can be practised: healthy vehicles, faults of sensor and circuit, true heat, and odd but true behaviour."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from coldsoak.errors import InputError
from coldsoak.practice.faults.catalogue import FAULTS

Truth = Literal["healthy", "sensor_fault", "true_heat", "odd_but_true"]


@dataclass(frozen=True)
class Scenario:
    """What is special about a run. All but `fault` and `without` change what truly happens in the vehicle.

    `build` is one of `builds.BUILDS`, `first_leg` the kind of leg that it begins with; `without` are the quantities that
    such a vehicle does not have.
    """

    name: str
    truth: Truth = "healthy"
    fault: str | None = None
    hot_start: bool | None = None
    legs: tuple[str, ...] | None = None
    trailer_share: float = 0.0
    cooler_factor: tuple[float, float] = (1.0, 1.0)
    extra_slip_rpm: float = 0.0
    thermostat_stuck: float | None = None
    ambient_c: tuple[float, float] | None = None
    build: str | None = None
    first_leg: str | None = None
    without: tuple[str, ...] = ()


UPHILL = ("hill", "hill", "country")

_OTHERS = (
    Scenario("healthy"),
    Scenario("cold_soak", hot_start=False),
    Scenario("hot_start", hot_start=True),
    Scenario("city", legs=("city", "idle", "maneuver")),
    Scenario("motorway", legs=("motorway", "country")),
    Scenario("halts", legs=("halt", "city", "country")),
    Scenario(
        "restricted_cooler",
        "true_heat",
        legs=UPHILL,
        trailer_share=0.55,
        cooler_factor=(0.03, 0.15),
        ambient_c=(18.0, 35.0),
    ),
    Scenario("slipping_converter", "true_heat", extra_slip_rpm=280.0, ambient_c=(5.0, 35.0)),
    Scenario("heavy_tow", "true_heat", legs=UPHILL, trailer_share=0.8, ambient_c=(10.0, 35.0)),
    Scenario("thermostat_stuck_open", "odd_but_true", thermostat_stuck=0.6, ambient_c=(-15.0, 15.0)),
    Scenario("cooler_bypass_stuck_open", "odd_but_true", cooler_factor=(0.02, 0.08), ambient_c=(-10.0, 25.0)),
)

OF_ENGINE = (
    "engine_speed",
    "engine_load",
    "engine_torque",
    "air_flow",
    "coolant_temp",
    "oil_temp",
    "intake_air_temp",
    "gear",
    "turbine_speed",
)
OF_CONVERTER = ("turbine_speed",)

_BUILT = (
    Scenario("stop_start", legs=("lights", "city"), build="stop_start"),
    Scenario(
        "cycling_fan",
        hot_start=True,
        legs=("stand",),
        ambient_c=(22.0, 40.0),
        first_leg="hill",
        build="cycling_fan",
    ),
    Scenario(
        "cold_cooler", legs=("country", "motorway", "city"), ambient_c=(-15.0, 15.0), build="cold_cooler"
    ),
    Scenario("stiff_thermostat", ambient_c=(-15.0, 20.0), build="stiff_thermostat"),
    Scenario("shutter", legs=("motorway", "country", "idle"), build="shutter"),
    Scenario("tow_and_coast", legs=("pass",), trailer_share=0.6, ambient_c=(0.0, 35.0)),
    Scenario("block_heater", hot_start=False, ambient_c=(-20.0, 5.0), build="block_heater"),
    Scenario("remote_start", hot_start=False, ambient_c=(-20.0, 10.0), first_leg="stand"),
    Scenario("stood_for_a_while", build="stood_for_a_while"),
    Scenario("stood_for_hours", build="stood_for_hours"),
    Scenario("in_the_sun", hot_start=False, ambient_c=(5.0, 33.0), build="in_the_sun"),
    Scenario("small_sump", build="small_sump"),
    Scenario("large_sump", build="large_sump"),
    Scenario("no_cooler", build="no_cooler", without=OF_CONVERTER),
    Scenario("exchanger", build="exchanger"),
    Scenario("dual_clutch", build="dual_clutch", without=OF_CONVERTER),
    Scenario("belt", build="belt", without=("gear",)),
    Scenario("electric", hot_start=False, build="electric", without=OF_ENGINE),
    Scenario("hybrid", legs=("city", "country", "lights"), build="hybrid"),
)

SCENARIOS: Mapping[str, Scenario] = {
    scenario.name: scenario
    for scenario in (*_OTHERS, *_BUILT, *(Scenario(kind, "sensor_fault", fault=kind) for kind in FAULTS))
}


def scenarios() -> tuple[str, ...]:
    """Return the names of all scenarios.

    >>> "healthy" in scenarios(), "wandering_contact" in scenarios()
    (True, True)
    """
    return tuple(SCENARIOS)


def scenario_named(name: str) -> Scenario:
    """Return a scenario; an unknown name lists the known ones."""
    if name not in SCENARIOS:
        raise InputError(f"There is no scenario {name!r}; there are {', '.join(SCENARIOS)}.")
    return SCENARIOS[name]
