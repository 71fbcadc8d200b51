"""The report of a judgement: complete, self-contained, readable."""

import re
from dataclasses import replace

import numpy as np
import pytest

from coldsoak.judge import judge
from coldsoak.judge.band import expected_bands, possible_band
from coldsoak.judge.circuit.bench import BenchPoint, check_bench
from coldsoak.judge.circuit.curves import common_curve
from coldsoak.judge.measured import Measured
from coldsoak.logs.read import read_log
from coldsoak.practice.demo import demo_logs
from coldsoak.practice.run import simulate
from coldsoak.web.energy_bars import energy_bars, heat_text
from coldsoak.web.judge_report import headline, render_report
from coldsoak.web.log_plot import MOST_POINTS, shown_rows


@pytest.fixture(scope="module")
def judged():
    log = simulate("wandering_contact", seed=3, duration_s=900).log
    return log, judge(log)


@pytest.fixture(scope="module")
def page(judged):
    return render_report([judged])


def test_it_says_verdict_reason_and_next_step_in_that_order(page, judged):
    _, judgement = judged
    (false,) = [c for c in judgement.channels if c.verdict == "not_believable"]
    order = [
        page.index(part)
        for part in (headline(judgement), "cannot be true</span>", 'class="sheet"', "Next:</strong>")
    ]
    assert order == sorted(order)
    assert "Heat flow needed against available" in page
    for cause in false.causes[:3]:
        assert cause.label in page
    assert "Follow the vehicle maker" in page


def test_true_heat_leads_before_a_neighbour_that_cannot_be_settled(tmp_path):
    """The practice vehicle with a trailer uphill: the truth is that its fluid is as hot as it reads."""
    demo = next(one for one in demo_logs() if "hill-with-trailer" in one.file)
    path = tmp_path / "hill.txt"
    path.write_bytes(demo.text())
    judgement = judge(read_log(path))
    hot = next(c for c in judgement.channels if c.quantity == "fluid_temp")
    assert hot.is_truly_hot
    assert headline(judgement) == f"{hot.title} really is hot: do not replace the sensor."
    assert min(judgement.channels, key=lambda one: one.place) is hot


def test_what_was_measured_on_a_sensor_that_reads_well_makes_no_heat():
    """Causes are weighed for what was measured, too; the practice vehicle is well, and so is its report."""
    log = simulate("healthy", seed=3, duration_s=900).log
    name = next(c.name for c in log.channels if c.quantity == "fluid_temp")
    far = check_bench([BenchPoint(resistance_ohm=100_000.0, temp_c=25.0)], common_curve("10 kohm at 25 degC"))
    judgement = judge(log, [name], Measured(bench=far))
    assert judgement.channels[0].verdict == "believable"
    assert judgement.channels[0].causes
    assert headline(judgement) == "Every temperature in this log is one that the machine could have had."


def test_what_was_assumed_of_a_unit_stands_with_its_verdict():
    log = simulate("healthy", seed=3, duration_s=600).log
    said = "No unit is given: taken as °C"
    bare = replace(
        log, channels=tuple(replace(c, assumed=(said,)) if c.unit == "degC" else c for c in log.channels)
    )
    assert render_report([(bare, judge(bare))]).count(said) == len(judge(bare).channels)


def test_nothing_is_loaded_from_anywhere(page):
    assert not re.findall(r"<(?:script|link|img|iframe)[^>]+(?:src|href)\s*=", page)


def test_a_name_from_the_log_cannot_become_markup():
    log = simulate("healthy", seed=1, duration_s=300).log

    evil = replace(log.channels[1], name="<script>alert(1)</script>")
    changed = replace(log, channels=(evil,))
    assert "<script>alert(1)" not in render_report([(changed, judge(changed))])


def test_the_bands_hold_the_believable_readings(judged):
    log, judgement = judged
    for channel_judged in judgement.channels:
        channel = log.channel(channel_judged.name)
        time_s, value_c = log.readings(channel)
        band = possible_band(log, channel, channel_judged)
        good = np.ones(len(time_s), dtype=bool)
        for episode in channel_judged.episodes:
            good &= (time_s < episode.start_s) | (time_s > episode.end_s)
        assert ((band.low_c <= value_c) & (value_c <= band.high_c))[good].all()


def test_the_expected_band_follows_a_healthy_reading():
    log = simulate("healthy", seed=5, duration_s=900).log
    channel = log.of_quantity("coolant_temp")[0]
    (band,) = expected_bands(log, channel)
    reading = np.interp(band.time_s, *log.readings(channel))
    assert np.mean((band.low_c <= reading) & (reading <= band.high_c)) > 0.95


def test_bars_are_in_proportion(judged):
    _, judgement = judged
    bars = [bar for c in judgement.channels for bar in energy_bars(c)]
    assert bars
    assert all(max(bar.needed_width, bar.available_width) == 100.0 for bar in bars)


def test_heat_has_its_unit():
    assert [heat_text(w) for w in (90.0, 1500.0, 250_000.0)] == ["90 W", "1.5 kW", "250 kW"]


def test_a_long_log_keeps_its_peaks_when_thinned():
    value = np.zeros(1_000_000)
    value[123_456] = 50.0
    rows = shown_rows(value)
    assert len(rows) <= MOST_POINTS + 2
    assert value[rows].max() == 50.0
