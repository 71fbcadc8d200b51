"""Time under observation, worked by hand."""

import numpy as np
import pytest
from tests.prove.drives import FLUID, drive, log

from coldsoak.prove.driven import like_before, timeline
from coldsoak.prove.exposure import distance_km, joined, observe, warm_ups
from coldsoak.prove.seen import OWN, Band, Seen, Spell


def seen(made: object) -> Seen:
    return Seen(log=made, channel=FLUID, doubted=False, sentence="")  # type: ignore[arg-type]


def test_gaps_and_stops_between_trips_do_not_count() -> None:
    """100 s, a gap of 400 s of which 30 s count, 100 s, another trip of 100 s."""
    time_s = np.concatenate([np.arange(0.0, 101.0), np.arange(500.0, 601.0), np.arange(5000.0, 5101.0)])
    made = log(time_s, trip_rows=(0, 202), fluid_temp=80.0)
    assert observe(seen(made), (), 60.0).total_s == pytest.approx(100 + 30 + 100 + 100)


def test_time_in_and_after_an_event_does_not_count() -> None:
    """Of 1000 s the event takes 10 and the 60 after it; the second in which it begins still counts."""
    one = observe(drive("a.csv", 1000.0), (Spell(100.0, 110.0, "both"),), 60.0)
    assert one.total_s == pytest.approx(1000.0 - 70.0 + 1.0, abs=1.0)
    assert one.events == 1
    assert one.time_s[one.onset].tolist() == [100.0]


def test_what_it_reads_in_an_event_is_not_its_temperature() -> None:
    fluid_c = np.full(301, 80.0)
    fluid_c[100:110] = -40.0
    one = observe(drive("a.csv", 300.0, fluid_c=fluid_c), (Spell(100.0, 109.0, "toward_open"),), 60.0)
    assert one.values[OWN][one.onset].tolist() == [80.0]
    assert np.nanmin(one.values[OWN]) == 80.0


def test_logs_laid_end_to_end_keep_what_each_knows() -> None:
    both = joined([observe(drive("a.csv", 100.0, gear=3.0), (), 0.0), observe(drive("b.csv", 50.0), (), 0.0)])
    assert both.total_s == pytest.approx(150.0)
    assert np.isnan(both.values["gear"]).sum() == 51
    in_third = Band(quantity="gear", label="gear", low=3, high=3, unit="1")
    assert both.exposure_s[both.inside([in_third])].sum() == pytest.approx(100.0)


def test_distance_is_speed_times_time() -> None:
    """36 km/h for 100 s is 1 km."""
    assert distance_km(log(np.arange(0.0, 101.0), fluid_temp=80.0, vehicle_speed=36.0)) == pytest.approx(1.0)
    assert distance_km(log(np.arange(0.0, 101.0), fluid_temp=80.0)) is None


@pytest.mark.parametrize(
    ("start_c", "end_c", "count"),
    [(20.0, 90.0, 1), (20.0, 65.0, 0), (60.0, 75.0, 0), (48.0, 70.0, 1)],
)
def test_warm_ups_as_the_standard_counts_them(start_c: float, end_c: float, count: int) -> None:
    """At least 22 K up and at least 70 °C: the warm-up cycle of on-board diagnostics, from memory."""
    made = log(np.arange(0.0, 101.0), fluid_temp=80.0, coolant_temp=np.linspace(start_c, end_c, 101))
    assert warm_ups(made) == count


def test_driving_of_another_kind_counts_for_nothing() -> None:
    """Before 80 to 90 °C; after, the first 100 s at 60 °C, then 100 s at 85 °C, then 100 s with the engine off."""
    before = observe(
        drive("a.csv", 400.0, fluid_c=np.linspace(80.0, 90.0, 401), engine_speed=1500.0), (), 0.0
    )
    fluid_c = np.where(np.arange(301) < 105, 60.0, 85.0)
    engine = np.where(np.arange(301) < 200, 1500.0, 0.0)
    after = observe(drive("b.csv", 300.0, fluid_c=fluid_c, engine_speed=engine), (), 0.0)
    counted, left_out_s = like_before(before, after)
    assert counted.total_s == pytest.approx(90.0, abs=2.0)  # the temperature counts as it was 5 s before
    assert counted.total_s + left_out_s == pytest.approx(300.0)


def test_the_timeline_says_where_it_counted() -> None:
    one = observe(drive("a.csv", 800.0, fluid_c=np.where(np.arange(801) < 395, 50.0, 90.0)), (), 0.0)
    parts = timeline(one, [Band(quantity=OWN, label="fluid", low=70, high=None, unit="degC")])
    assert [part.there for part in parts] == [False, True]
    assert parts[1].start_s == pytest.approx(400.0, abs=6.0)
