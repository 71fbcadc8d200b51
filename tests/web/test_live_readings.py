"""Readings as they come and logs of a warm-up: on the page, in the forecast, and kept as a log when they are over.

Sources of what is expected: the aims of the bay (live or uploaded readings; a retry never doubles); the forecaster asked
beside the page for the same numbers; that a thermometer which was judged not believable sets no level, and that readings of a
doubted one are guard-banded (JCGM 106 style), by the aims of the fill stage.
"""

import datetime as dt
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from tests.web.paper_forms import forms_of, send
from tests.web.test_pages_fill import BOTTLE, asked_beside, drained
from tests.web.workshop import Workshop, orrin, sentence_of, text_of

from coldsoak.fill.expansion import expansion_of
from coldsoak.fill.forecast.forecaster import Forecaster
from coldsoak.fill.forecast.from_log import forecast_from_log
from coldsoak.fill.forecast.temp_window import TempWindow
from coldsoak.fill.thermometer import thermometer_of
from coldsoak.fill.window import window_of
from coldsoak.logs.read import read_log
from coldsoak.shop.desk.by_hand import NO_THERMOMETER
from coldsoak.shop.store import Draft, open_shop

PROBE = "contact probe on the pan"


@pytest.fixture
def bay(tmp_path: Path) -> Iterator[Workshop]:
    workshop = Workshop(tmp_path / "shop")
    drained(workshop)
    send(workshop.client, workshop.form("plan", "fill"), **BOTTLE)
    yield workshop
    workshop.shop.close()


def warm(count: int, start: int = 0) -> list[dict[str, float]]:
    """A reading every two seconds in whole degrees, 3 K a minute from 20 °C."""
    return [{"time_s": 2.0 * n, "temp_c": float(20 + n // 10)} for n in range(start, count)]


def post(bay: Workshop, run: str, readings: list[dict[str, float]], **more: Any) -> Any:
    body = {"id": run, "thermometer": PROBE, "readings": readings, **more}
    return bay.client.post(f"/api/jobs/{bay.job_id}/readings", json=body)


def sure_window() -> TempWindow:
    window = asked_beside().window
    assert window.from_c is not None
    assert window.to_c is not None
    return TempWindow(low_c=round(window.from_c, 2), high_c=round(window.to_c, 2))


def test_readings_as_they_come_are_forecast_and_are_no_entries(bay: Workshop) -> None:
    run, before = str(uuid4()), len(bay.events())
    assert post(bay, run, warm(100)).json()["count"] == 100
    bay.clock.wait(20)
    assert post(bay, run, warm(110, 100)).json()["count"] == 110
    assert len(bay.events()) == before, "a reading is no entry of the record"
    forecaster = Forecaster(sure_window(), "fluid_temp")
    for one in warm(110):
        forecaster.add(one["time_s"], one["temp_c"])
    page = bay.page("fill")
    # The first batch was sent as its last reading was taken, at 198 s; 20 s have gone by since.
    value = forecaster.forecast(218.0)
    assert sentence_of(page).casefold() == f"{value.sentence}.".casefold()
    assert f"30.0 °C {PROBE}, live, read at" in text_of(page)


def test_what_was_sent_twice_counts_once_and_in_its_order(bay: Workshop) -> None:
    run = str(uuid4())
    post(bay, run, warm(30))
    again = post(bay, run, list(reversed(warm(40, 20)))).json()
    assert again["count"] == 40
    found = bay.shop.runs.of(bay.job_id)
    assert found is not None
    assert [time_s for time_s, _ in found.readings] == [2.0 * n for n in range(40)]


def test_a_run_is_there_again_after_a_restart_and_without_a_line_cut_off(
    bay: Workshop, tmp_path: Path
) -> None:
    run = str(uuid4())
    post(bay, run, warm(30))
    file = tmp_path / "shop" / "readings" / f"{bay.job_id}.jsonl"
    file.write_bytes(file.read_bytes()[:-4])
    with open_shop(tmp_path / "shop", clock=bay.clock) as later:
        found = later.runs.of(bay.job_id)
        assert found is not None
        assert (str(found.id), found.thermometer, len(found.readings)) == (run, PROBE, 29)
        later.runs.add(found, [(100.0, 24.5)])
    with open_shop(tmp_path / "shop", clock=bay.clock) as again:
        found = again.runs.of(bay.job_id)
        assert found is not None
        assert len(found.readings) == 30, "what comes after the cut stands"
        assert found.readings[-1] == (100.0, 24.5)


def test_when_the_level_is_set_the_run_is_kept_as_a_log_and_takes_no_more(bay: Workshop) -> None:
    run = str(uuid4())
    post(bay, run, warm(210))
    bay.clock.wait(1)
    form = bay.form("level", "fill")
    assert form.fields["temp"] == "40"
    assert send(bay.client, form, thermometer=PROBE, drip="A stream thinned to drips.").status_code == 303
    (kept,) = bay.bodies("log_kept")
    assert (kept.moment, kept.rows, kept.thermometer, kept.duration_s) == ("during", 210, PROBE, 418.0)
    log = read_log(bay.shop.blobs.path(kept.sha256))
    values = log.channel(kept.channel).values
    assert (values[0], values[-1]) == (20.0, 40.0)
    assert bay.shop.runs.of(bay.job_id) is None
    assert not list((bay.shop.place.folder / "readings").glob("*"))
    late = post(bay, run, warm(220)).json()
    assert late["ended"]
    assert bay.shop.runs.of(bay.job_id) is None
    assert sentence_of(bay.page("fill")).startswith("Level set at 40.0 °C")


def test_after_the_first_drive_a_new_run_is_for_checking_again(bay: Workshop) -> None:
    form = bay.form("level", "fill")
    send(bay.client, form, temp="41", thermometer=PROBE, drip="A stream thinned to drips.")
    bay.clock.wait(7200)
    assert not post(bay, str(uuid4()), warm(60)).json()["ended"]
    page = bay.page("fill")
    assert sentence_of(page).startswith("Wait ")
    assert "Level set at 41.0 °C" in text_of(page)
    assert "for checking it again" in text_of(page)


def test_a_run_ends_when_it_says_so_or_another_begins(bay: Workshop) -> None:
    one, other = str(uuid4()), str(uuid4())
    post(bay, one, warm(30))
    bay.clock.wait(60)
    assert not post(bay, other, warm(20)).json()["ended"]
    assert [body.rows for body in bay.bodies("log_kept")] == [30]
    for _ in range(2):
        assert post(bay, other, [], ends=True).json()["ended"]
    assert [body.rows for body in bay.bodies("log_kept")] == [30, 20]


def test_a_run_that_nobody_ended_is_kept_when_the_next_comes_in(bay: Workshop) -> None:
    post(bay, str(uuid4()), warm(30))
    bay.clock.wait(3600)
    elsewhere = bay.shop.jobs.entries(bay.job_id, 0, 1)[0].event.body

    other = bay.shop.jobs.open(Draft(elsewhere.model_copy(update={"job": "9"}), uuid4()), by="Bo").job_id
    body = {"id": str(uuid4()), "thermometer": PROBE, "readings": warm(3)}
    assert bay.client.post(f"/api/jobs/{other}/readings", json=body).status_code == 200
    assert [body.rows for body in bay.bodies("log_kept")] == [30]


def test_a_stream_that_stops_is_said(bay: Workshop) -> None:
    post(bay, str(uuid4()), warm(100))
    bay.clock.wait(20)
    assert "getting old" not in text_of(bay.page("fill"))
    bay.clock.wait(20)
    assert "40 s ago: the forecast is getting old" in text_of(bay.page("fill"))


@pytest.mark.parametrize(
    ("more", "status", "said"),
    [
        ({"thermometer": "none"}, 422, NO_THERMOMETER),
        ({"thermometer": "  "}, 422, ""),
        ({"readings": [{"time_s": -1.0, "temp_c": 20.0}]}, 422, ""),
        ({"readings": [{"time_s": 1.0}]}, 422, ""),
        ({"readings": [{"time_s": 1.0, "temp_c": "warm"}]}, 422, ""),
        ({"id": "mine"}, 422, ""),
        ({"surprise": 1}, 422, ""),
    ],
)
def test_what_is_no_batch_is_refused_in_a_sentence(
    more: dict[str, Any], status: int, said: str, bay: Workshop
) -> None:
    body = {"id": str(uuid4()), "thermometer": PROBE, "readings": warm(3), **more}
    answer = bay.client.post(f"/api/jobs/{bay.job_id}/readings", json=body)
    assert answer.status_code == status
    assert answer.json()["sentence"].endswith(".")
    assert said in answer.json()["sentence"]
    assert bay.shop.runs.of(bay.job_id) is None


def test_what_no_fluid_can_have_and_what_is_yet_to_come_is_left_out(bay: Workshop) -> None:
    odd = [
        {"time_s": 60.0, "temp_c": -273.0},
        {"time_s": 61.0, "temp_c": 999.0},
        {"time_s": 900.0, "temp_c": 30.0},
    ]
    run = str(uuid4())
    post(bay, run, warm(30))
    said = post(bay, run, odd).json()
    assert (said["count"], said["left_out"]) == (30, 3)


def test_nobody_sends_readings_to_a_job_that_is_not_there(bay: Workshop) -> None:
    body = {"id": str(uuid4()), "thermometer": PROBE, "readings": warm(3)}
    assert bay.client.post("/api/jobs/99/readings", json=body).status_code == 404


def test_the_window_is_guard_banded_for_the_thermometer_that_reads(bay: Workshop) -> None:
    """The plan was made for the contact probe; a probe in the stream makes sure of more of the window."""
    fluid = orrin().fluid
    assert fluid is not None
    beside = window_of(fluid, thermometer_of("dipped", orrin(), 17.0), expansion_of(fluid))
    assert beside.from_c is not None
    assert beside.to_c is not None
    window = TempWindow(low_c=round(beside.from_c, 2), high_c=round(beside.to_c, 2))
    assert window != sure_window()
    post(bay, str(uuid4()), warm(100), thermometer="probe in the stream")
    forecaster = Forecaster(window, "fluid_temp")
    for one in warm(100):
        forecaster.add(one["time_s"], one["temp_c"])
    page = bay.page("fill")
    assert sentence_of(page).casefold() == f"{forecaster.forecast().sentence}.".casefold()
    assert "The dotted lines are for the probe in the stream" in text_of(page)


def test_nobody_is_told_to_open_the_plug_by_a_thermometer_that_cannot_tell(bay: Workshop) -> None:
    post(bay, str(uuid4()), warm(240, 100), thermometer="infrared on a bare metal pan")
    page = bay.page("fill")
    assert sentence_of(page).startswith(
        "No reading of the infrared on a bare metal pan makes sure of the window"
    )
    assert "data-count-to" not in page
    assert "pen the plug now" not in text_of(page)


def test_nobody_is_told_to_open_the_plug_by_a_reading_that_stands(bay: Workshop) -> None:
    """3 K a minute up to the middle of the window, then the same reading for ten minutes: it has stuck or come off."""
    middle = round((sure_window().low_c + sure_window().high_c) / 2)
    rises = warm(10 * (middle - 20) + 1)
    run, last_s = str(uuid4()), rises[-1]["time_s"]
    post(bay, run, rises)
    assert sentence_of(bay.page("fill")).startswith("Open the plug now")
    bay.clock.wait(600.0)
    post(bay, run, [{"time_s": last_s + 2.0 * n, "temp_c": float(middle)} for n in range(1, 301)])
    page = bay.page("fill")
    assert sentence_of(page).startswith("Do not open the plug by this thermometer")
    assert "Open the plug now" not in text_of(page)


def test_a_built_in_thermometer_that_was_not_judged_opens_no_plug(bay: Workshop) -> None:
    post(bay, str(uuid4()), warm(240, 100), thermometer="built-in thermometer")
    said = sentence_of(bay.page("fill"))
    assert said.startswith("The built-in thermometer counts only when it was judged")
    assert " --" not in said


def log_file(bay: Workshop, text: str, **typed: str) -> Any:
    form = bay.form("log", "fill")
    return send(bay.client, form, files={"log": ("warm-up.csv", text.encode(), "text/csv")}, **typed)


def warm_csv(rows: int = 100, header: str = "time [s],fluid temperature [°C]") -> str:
    more = header.count(",") - 1
    lines = [f"{2 * n},{20 + n // 10}" + f",{30 + n // 8}" * more for n in range(rows)]
    return "\n".join([header, *lines, ""])


def test_a_log_is_kept_by_its_hash_and_forecast_as_the_stage_does(bay: Workshop) -> None:
    assert log_file(bay, warm_csv(), thermometer=PROBE, ended="1").status_code == 303
    (kept,) = bay.bodies("log_kept")
    path = bay.shop.blobs.path(kept.sha256)
    assert path.read_text("utf-8") == warm_csv()
    assert (kept.moment, kept.rows, kept.thermometer) == ("during", 100, PROBE)
    page = bay.page("fill")
    value = forecast_from_log(read_log(path), sure_window(), at_s=198.0 + 60.0)
    assert sentence_of(page).casefold() == f"{value.sentence}.".casefold()
    assert f"29.0 °C {PROBE}, read at" in text_of(page)


def test_of_several_channels_one_is_named(bay: Workshop) -> None:
    header = "time [s],Gearbox fluid temperature 1 [°C],Gearbox fluid temperature 2 [°C]"
    answer = log_file(bay, warm_csv(header=header), thermometer=PROBE)
    assert answer.status_code == 422
    assert "Say which channel the fluid is under “Channel”" in text_of(answer.text)
    assert not bay.bodies("log_kept")
    answer = log_file(bay, warm_csv(header=header), thermometer=PROBE, channel="Gearbox fluid temperature 2")
    assert answer.status_code == 303
    assert bay.bodies("log_kept")[0].channel == "Gearbox fluid temperature 2 [°C]"
    assert "42.0 °C" in text_of(bay.page("fill"))  # 30 + 99 // 8


@pytest.mark.parametrize(
    ("text", "typed", "said"),
    [
        ("", {"thermometer": PROBE}, "this log is empty"),
        ("time [s],Engine rpm\n0,700\n2,710\n", {"thermometer": PROBE}, "no temperature was recognised"),
        ("time [s],fluid temperature [°C]\n0,NaN\n2,NaN\n", {"thermometer": PROBE}, "."),
        ("time [s],fluid temperature [°C]\n0,-273\n2,-273\n", {"thermometer": PROBE}, "has no reading"),
        (warm_csv(), {"thermometer": "none"}, NO_THERMOMETER),
        (warm_csv(), {"thermometer": PROBE, "channel": "T9"}, "There is no channel 'T9'"),
        (warm_csv(), {"thermometer": PROBE, "channel": "time"}, "There is no channel 'time'"),
        (warm_csv(), {"thermometer": PROBE, "ended": "soon"}, "'soon' is no time since the end of the log"),
        (warm_csv(), {"thermometer": PROBE, "ended": "-5"}, "'-5' is no time since the end of the log"),
    ],
)
def test_a_log_that_cannot_be_gone_by_is_refused_and_nothing_is_noted(
    text: str, typed: dict[str, str], said: str, bay: Workshop
) -> None:
    answer = log_file(bay, text, **typed)
    assert answer.status_code == 422
    assert said in text_of(answer.text)
    assert " --" not in text_of(answer.text)
    assert not bay.bodies("log_kept")
    assert forms_of(answer.text)["log"].fields["thermometer"] == typed["thermometer"]


def test_the_newest_readings_count_by_themselves(bay: Workshop) -> None:
    log_file(bay, warm_csv(), thermometer=PROBE, ended="5")
    bay.clock.wait(30)
    post(bay, str(uuid4()), [{"time_s": one["time_s"], "temp_c": one["temp_c"] + 5} for one in warm(20)])
    assert "26.0 °C" in text_of(bay.page("fill"))  # 20 + 19 // 10 + 5
    bay.clock.wait(30)
    form = bay.form("reading", "fill")
    send(bay.client, form, temp="28", temp__unit="°C")
    assert "2 more readings, and there is a forecast." in text_of(bay.page("fill"))


def test_the_fill_sheet_is_printed_from_the_page(bay: Workshop) -> None:
    page = bay.page("fill")
    assert f"/jobs/{bay.job_id}/fill/sheet.pdf?paper=us-letter" in page
    for paper in ("a4", "us-letter"):
        answer = bay.client.get(f"/jobs/{bay.job_id}/fill/sheet.pdf", params={"paper": paper})
        assert answer.headers["content-type"] == "application/pdf"
        assert answer.content.startswith(b"%PDF-")


def test_there_is_no_fill_sheet_before_the_filling_is_worked_out(tmp_path: Path) -> None:
    bay = Workshop(tmp_path / "shop")
    assert bay.client.get(f"/jobs/{bay.job_id}/fill/sheet.pdf").status_code == 404
    bay.shop.close()


def test_a_page_with_a_long_run_is_quick(bay: Workshop) -> None:
    run = str(uuid4())
    for start in range(0, 6000, 2000):
        post(bay, run, warm(start + 2000, start))
    begin = dt.datetime.now(dt.UTC)
    bay.page("fill")
    first = (dt.datetime.now(dt.UTC) - begin).total_seconds()
    post(bay, run, warm(6001, 6000))
    begin = dt.datetime.now(dt.UTC)
    page = bay.page("fill")
    again = (dt.datetime.now(dt.UTC) - begin).total_seconds()
    assert again < first / 2, "one reading more costs one reading"
    assert len(page.encode()) < 60_000
