"""Another vehicle is asked about, the same one is not."""

import dataclasses

import numpy as np
import pytest
from tests.prove.drives import FLUID, log

from coldsoak.errors import InputError
from coldsoak.practice.run import simulate
from coldsoak.prove.same_vehicle import difference, same_vehicle

TIME_S = np.arange(0.0, 601.0)


def test_other_channels_are_another_vehicle() -> None:
    here = log(TIME_S, "after.csv", fluid_temp=80.0)
    here = dataclasses.replace(
        here, channels=(dataclasses.replace(here.channels[0], name="Oil sump sensor"),)
    )
    with pytest.raises(
        InputError,
        match=r"^after\.csv looks like a log of another vehicle than before\.csv: they share 0 channel names \(fluid "
        r"temperature there, oil sump sensor here\)\. If it is the same one, say so with --same-vehicle\.$",
    ):
        same_vehicle([log(TIME_S, "before.csv", fluid_temp=80.0)], [here], FLUID)


def test_fewer_channels_of_the_same_names_are_fine() -> None:
    assert difference(log(TIME_S, fluid_temp=80.0, gear=3.0), log(TIME_S, fluid_temp=80.0), FLUID) is None


def test_another_step_of_the_reading_is_another_vehicle() -> None:
    ramp = np.linspace(20.0, 90.0, 601)
    first, second = log(TIME_S, fluid_temp=np.round(ramp)), log(TIME_S, fluid_temp=np.round(ramp * 4) / 4)
    second = dataclasses.replace(second, channels=(dataclasses.replace(second.channels[0], resolution=0.25),))
    assert difference(first, second, FLUID) == f"'{FLUID}' moves in steps of 1 °C there and of 0.25 °C here"


@pytest.mark.parametrize("with_gear", [True, False])
def test_practice_vehicles_are_told_apart(with_gear: bool) -> None:
    """Known truth: drives of one simulated vehicle are never asked about, most of two vehicles are."""
    logs = {}
    for seed in range(5):
        for road in (1, 2):
            made = simulate(seed=seed, drive_seed=road, duration_s=1500.0, rate_hz=1.0).log
            kept = tuple(c for c in made.channels if with_gear or c.quantity != "gear")
            logs[seed, road] = dataclasses.replace(made, channels=kept)
    name = "Gearbox fluid temperature"
    pairs = [(a, b) for a in logs for b in logs if a < b]
    asked = {pair: difference(logs[pair[0]], logs[pair[1]], name) is not None for pair in pairs}
    assert not any(asked[a, b] for a, b in pairs if a[0] == b[0])
    others = [asked[a, b] for a, b in pairs if a[0] != b[0]]
    assert sum(others) > 0.5 * len(others)
