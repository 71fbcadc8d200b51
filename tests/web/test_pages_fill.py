"""The page of the fluid: ledger, plan, readings, forecast, and the level as it was set.

Sources of what is expected: the fill stage and the forecaster asked beside the page for the same numbers; 1 US quart =
0.946 352 946 L and °F = 1.8·°C + 32 by NIST SP 811; that without a thermometer there is no level check, and that the wrong
fluid stops the stage, a rule of this project (common practice, no source).
"""

import datetime as dt
import re
import time
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from tests.web.paper_forms import forms_of, send
from tests.web.workshop import BY, JSON, Workshop, demo_text, orrin, sentence_of, text_of, the_plan

from coldsoak import cautions
from coldsoak.fill.forecast.forecaster import Forecaster
from coldsoak.fill.forecast.temp_window import TempWindow
from coldsoak.fill.ledger import Entry
from coldsoak.fill.make import Conditions, plan_fill
from coldsoak.fill.value import FillPlan
from coldsoak.sheet.load import parse_prices
from coldsoak.shop.desk.by_hand import NO_THERMOMETER
from coldsoak.shop.store import Draft

OUT: dict[str, Any] = {
    "kind": "fluid_moved",
    "direction": "out",
    "way": "drain",
    "volume_l": 4.1,
    "temp_c": 44,
}
LEVEL: dict[str, Any] = {
    "kind": "level_set",
    "temp_c": 41.0,
    "thermometer": "contact probe on the pan",
    "time": "2027-03-31T15:05:00+02:00",
    "engine": "running",
    "drip": "A stream thinned to drips.",
}
BOTTLE = {"on_bottle": "LX-6 thin", "bottle": "18", "air": "17", "thermometer": "contact"}


@pytest.fixture
def bay(tmp_path: Path) -> Iterator[Workshop]:
    workshop = Workshop(tmp_path / "shop")
    yield workshop
    workshop.shop.close()


def drained(bay: Workshop) -> None:
    bay.note({**OUT, "measured_with": "bucket"})


def asked_beside(*, quarts: bool = False) -> FillPlan:
    """What the stage says of the same ledger, without page or shop."""
    entry = Entry(way="out", place="drain", litres=4.1, temp_c=44, method="bucket")
    known = Conditions(
        on_bottle="LX-6 thin",
        bottle_c=18.0,
        thermometer="contact",
        entries=(entry,),
        air_c=17.0,
        quarts_first=quarts,
        prices=parse_prices(demo_text("prices.yaml")),
    )
    return plan_fill(orrin(), known)


def warm_up(bay: Workshop, temps: list[float], every_s: float = 60.0) -> None:
    """Read the thermometer as the fluid warms up, once a minute."""
    for temp in temps:
        form = bay.form("reading", "fill")
        assert send(bay.client, form, temp=f"{temp:g}", temp__unit="°C").status_code == 303
        bay.clock.wait(every_s)


def test_the_cautions_of_this_stage_are_always_there(bay: Workshop) -> None:
    wanted = cautions.lines(
        [
            "engine_running",
            "exhaust_at_plug",
            "hot_exhaust",
            "hot_fluid",
            "exhaust_gas",
            "waste_fluid",
            "vehicle_up",
        ]
    )
    for step in (
        lambda: None,
        lambda: drained(bay),
        lambda: send(bay.client, bay.form("plan", "fill"), **BOTTLE),
    ):
        step()
        page = text_of(bay.page("fill"))
        assert all(line in page for line in (*wanted, cautions.closing()))


def test_the_page_says_what_the_stage_says(bay: Workshop) -> None:
    drained(bay)
    said = "4.10 L came out so far: what is on the bottle, and what reads the fluid?"
    assert sentence_of(bay.page("fill")) == said
    assert send(bay.client, bay.form("plan", "fill"), **BOTTLE).status_code == 303
    beside, page = asked_beside(), bay.page("fill")
    assert sentence_of(page) == beside.sentence
    assert beside.next.removeprefix("Next: ") in text_of(page)
    assert FillPlan.model_validate(bay.bodies("fill_worked_out")[0].result) == beside
    said = text_of(page)
    for line in (beside.plug.runs, beside.plug.longer, beside.plug.nothing) if beside.plug else ():
        assert line in said
    assert forms_of(page)["in"].fields["volume"] == f"{beside.balance.pour_l:.2f}"
    assert forms_of(page)["plan"].fields["on_bottle"] == "LX-6 thin"


def test_in_quarts_for_whoever_reads_quarts(tmp_path: Path) -> None:
    bay = Workshop(tmp_path / "shop", us=True)
    drained(bay)
    form = bay.form("plan", "fill")
    assert send(bay.client, form, **{**BOTTLE, "bottle": "64.4", "air": "62.6"}).status_code == 303
    beside, page = asked_beside(quarts=True), bay.page("fill")
    assert sentence_of(page) == beside.sentence
    assert sentence_of(page).startswith("Put 3.70 US qt (3.50 L) in before")  # 3.5 L / 0.946 352 946
    row = next(row for row in re.findall(r"<tr>.*?</tr>", page) if "drained" in row)
    assert "4.33 US quart" in row  # 4.1 L / 0.946 352 946
    assert "111 °F" in row  # 44 °C
    bay.shop.close()


@pytest.mark.parametrize("bottle", ["LX-6", "LX-6 thick", "lx 6 thin"])
def test_another_fluid_stops_it_and_what_was_typed_stays(bottle: str, bay: Workshop) -> None:
    drained(bay)
    answer = send(bay.client, bay.form("plan", "fill"), **{**BOTTLE, "on_bottle": bottle})
    assert answer.status_code == 422
    assert f"the bottle says {bottle!r} and the sheet of {orrin().unit.name} wants 'LX-6 thin'" in text_of(
        answer.text
    )
    assert "the wrong fluid can destroy the unit" in text_of(answer.text)
    again = forms_of(answer.text)["plan"].fields
    assert {name: again[name] for name in BOTTLE} == {**BOTTLE, "on_bottle": bottle}
    assert not bay.bodies("fill_worked_out")


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (
            {"thermometer": "none"},
            "without a way to read the fluid temperature there is no accurate level check",
        ),
        ({"thermometer": "built_in"}, "the built-in thermometer counts only when it was judged"),
        ({"bottle": "95"}, "a bottle is not poured from at 95 °C"),
        ({"bottle": "warm"}, "'warm' is no number for the temperature of the bottle"),
        ({"exchange_to": "a tenth"}, "'a tenth' is no share of old fluid"),
    ],
)
def test_what_cannot_be_worked_out_is_said_without_options_of_a_terminal(
    typed: dict[str, str], said: str, bay: Workshop
) -> None:
    drained(bay)
    answer = send(bay.client, bay.form("plan", "fill"), **{**BOTTLE, **typed})
    assert answer.status_code == 422
    text = text_of(answer.text)
    assert said in text
    assert " --" not in text


def test_nothing_drained_asks_for_the_ledger(bay: Workshop) -> None:
    answer = send(bay.client, bay.form("plan", "fill"), **BOTTLE)
    assert "nothing came out by the ledger" in text_of(answer.text)
    assert " --" not in text_of(answer.text)
    form = forms_of(answer.text)["plan"]
    assert send(bay.client, form, first_fill="yes").status_code == 303, "a unit that was apart needs no drain"


def test_the_ledger_takes_litres_and_quarts_once(bay: Workshop) -> None:
    form = bay.form("out", "fill")
    quarts = {
        "volume": "4,5",
        "volume__unit": "US quart",
        "temp": "131",
        "temp__unit": "°F",
        "measured_with": "jug",
    }
    for _ in range(2):
        assert send(bay.client, form, **quarts).status_code == 303
    (out,) = bay.bodies("fluid_moved")
    assert out.volume_l == pytest.approx(4.5 * 0.946_352_946, abs=1e-4)
    assert (out.direction, out.temp_c, out.measured_with) == ("out", pytest.approx(55.0), "jug")
    send(bay.client, bay.form("plan", "fill"), **BOTTLE)
    form = bay.form("in", "fill")
    assert form.fields["fluid"] == "LX-6 thin"
    size = form.fields["bottles.0.size_l"]
    assert send(bay.client, form, volume="4", lot="27A", bottles__0__count="1").status_code == 303
    poured = bay.bodies("fluid_moved")[-1]
    assert (poured.direction, poured.way, poured.volume_l, poured.lot) == ("in", "first_fill", 4.0, "27A")
    assert [(one.size_l, one.count) for one in poured.bottles] == [(float(size), 1)]
    assert "work it out again" in text_of(bay.page("fill"))


def test_another_fluid_poured_in_needs_a_reason(bay: Workshop) -> None:
    drained(bay)
    send(bay.client, bay.form("plan", "fill"), **BOTTLE)
    form = bay.form("in", "fill")
    answer = send(bay.client, form, volume="1", fluid="LX-6 thick")
    assert answer.status_code == 422
    assert "the wrong fluid can destroy the unit" in text_of(answer.text)
    assert len(bay.bodies("fluid_moved")) == 1
    assert (
        send(
            bay.client, form, volume="1", fluid="LX-6 thick", although="It is the same by its maker."
        ).status_code
        == 303
    )
    assert bay.bodies("fluid_moved")[-1].fluid == "LX-6 thick"
    assert bay.bodies("override")[0].reason == "It is the same by its maker."


@pytest.mark.parametrize(
    ("name", "volume", "words"),
    [
        ("out", "43", "43.00 L (45.44 US qt) came out, and the whole unit holds 9.4 L"),
        ("in", "35", "35.00 L (36.98 US qt) went in, and the whole unit holds 9.4 L"),
    ],
)
def test_more_than_the_unit_holds_needs_a_reason(name: str, volume: str, words: str, bay: Workshop) -> None:
    """A shifted point makes ten times the amount; the sheet says what the unit holds."""
    drained(bay)
    send(bay.client, bay.form("plan", "fill"), **BOTTLE)
    form = bay.form(name, "fill")
    typed = {"volume": volume, "temp": "40", "measured_with": "bucket"}
    answer = send(bay.client, form, **typed)
    assert answer.status_code == 422
    assert f"{words}: put it right" in text_of(answer.text)
    assert forms_of(answer.text)[name].fields["volume"] == volume
    assert len(bay.bodies("fluid_moved")) == 1
    assert send(bay.client, form, **typed, although="The cooler was flushed with it.").status_code == 303
    assert bay.bodies("override")[0].what.startswith(words)


def test_what_went_in_before_counts_in_what_the_unit_holds(bay: Workshop) -> None:
    """4.1 L came out and 9 L are in: 6 L more would be 10.9 L more than came out of a unit of 9.4 L."""
    drained(bay)
    send(bay.client, bay.form("plan", "fill"), **BOTTLE)
    assert send(bay.client, bay.form("in", "fill"), volume="9").status_code == 303
    answer = send(bay.client, bay.form("in", "fill"), volume="6")
    assert answer.status_code == 422
    assert "with this 10.90 L (11.52 US qt) more went in than came out" in text_of(answer.text)


@pytest.mark.parametrize("temp", ["900", "-80"])
def test_fluid_that_no_unit_has_is_not_measured(temp: str, bay: Workshop) -> None:
    answer = send(bay.client, bay.form("out", "fill"), volume="4.1", temp=temp, measured_with="bucket")
    assert answer.status_code == 422
    assert f"a reading of {temp} °C is none of a gearbox" in text_of(answer.text)
    assert not bay.bodies("fluid_moved")


def test_what_was_poured_is_not_proposed_again_and_too_much_is_said(bay: Workshop) -> None:
    drained(bay)
    send(bay.client, bay.form("plan", "fill"), **BOTTLE)
    balance = asked_beside().balance
    form = bay.form("in", "fill")
    assert form.fields["volume"] == f"{balance.pour_l:.2f}"
    send(bay.client, form, volume="1")
    assert bay.form("in", "fill").fields["volume"] == f"{balance.pour_l - 1:.2f}"
    send(bay.client, bay.form("in", "fill"), volume=f"{balance.pour_l - 1:.2f}")
    assert bay.form("in", "fill").fields["volume"] == ""
    assert "was missing" not in text_of(bay.page("fill"))
    send(bay.client, bay.form("in", "fill"), volume=f"{balance.pour_l:.2f}")
    said = f"{2 * balance.pour_l:.2f} L went in, and at most {balance.missing_l.high:.2f} L was missing"
    assert said in text_of(bay.page("fill"))


def test_after_the_last_step_the_level_leads_on_to_the_proof(bay: Workshop) -> None:
    """Whoever has done every step is not sent back to them."""
    bay.note(LEVEL)
    assert f'class="button main" href="/jobs/{bay.job_id}/build"' in bay.page("fill")
    bay.done_up_to(len(the_plan().steps))
    bay.note(LEVEL)
    assert f'class="button main" href="/jobs/{bay.job_id}/prove"' in bay.page("fill")


def test_a_volume_that_is_none_is_refused_and_kept(bay: Workshop) -> None:
    answer = send(bay.client, bay.form("out", "fill"), volume="-2", temp="50", measured_with="jug")
    assert answer.status_code == 422
    assert forms_of(answer.text)["out"].fields["volume"] == "-2"
    assert not bay.bodies("fluid_moved")


def test_the_level_is_held_against_the_window(bay: Workshop) -> None:
    seen = "A stream thinned to drips."
    form = bay.form("level", "fill")
    answer = send(bay.client, form, temp="55", thermometer="Contact thermometer", drip=seen)
    assert answer.status_code == 422
    assert "the level was set at 55.0 °C (131 °F), outside 38 °C to 48 °C" in text_of(answer.text)
    again = forms_of(answer.text)["level"]
    assert (again.fields["temp"], again.fields["thermometer"], again.fields["drip"]) == (
        "55",
        "Contact thermometer",
        seen,
    )
    assert not bay.bodies("level_set")
    for _ in range(2):
        sent = send(
            bay.client, form, temp="104", temp__unit="°F", thermometer="Contact thermometer", drip=seen
        )
        assert sent.status_code == 303
    (level,) = bay.bodies("level_set")
    assert level.temp_c == pytest.approx(40.0)
    assert (level.low_c, level.high_c, level.engine, level.method) == (38.0, 48.0, "running", "overflow")
    assert (level.due, level.drip) == ("2028-04-30", seen)
    assert (
        sentence_of(bay.page("fill"))
        == "Level set at 40.0 °C by Contact thermometer: a stream thinned to drips."
    )


def test_outside_the_window_only_with_a_reason(bay: Workshop) -> None:
    typed = {"temp": "50", "thermometer": "Contact thermometer", "drip": "It dripped from the start."}
    form = bay.form("level", "fill")
    assert send(bay.client, form, **typed).status_code == 422
    assert send(bay.client, form, although="The window had just closed.", **typed).status_code == 303
    (override,) = bay.bodies("override")
    assert override.what == "the level was set at 50.0 °C (122 °F), outside 38 °C to 48 °C"
    answer = send(bay.client, bay.form("level", "fill"), **{**typed, "temp": "40"}, engine="off")
    assert "the engine was off, and the sheet sets the level with it running" in text_of(answer.text)


@pytest.mark.parametrize("thermometer", ["none", ""])
def test_there_is_no_level_without_a_thermometer(thermometer: str, bay: Workshop) -> None:
    form = bay.form("level", "fill")
    form.required.clear()
    answer = send(bay.client, form, temp="42", thermometer=thermometer, drip="It dripped from the start.")
    assert answer.status_code == 422
    assert NO_THERMOMETER in text_of(answer.text)
    assert (
        send(bay.client, form, temp="42", thermometer=thermometer, headers=JSON).json()["sentence"]
        == NO_THERMOMETER
    )
    reading = bay.form("reading", "fill")
    assert NO_THERMOMETER in text_of(send(bay.client, reading, temp="30", thermometer="").text)
    assert not bay.bodies("level_set")
    assert not bay.bodies("test_result")


def test_readings_become_the_forecast_that_the_forecaster_makes_of_them(bay: Workshop) -> None:
    drained(bay)
    send(bay.client, bay.form("plan", "fill"), **BOTTLE)
    temps = [19.0, 21.0, 22.0, 24.0, 26.0, 27.0]
    warm_up(bay, temps[:2])
    assert "1 more reading, and there is a forecast." in text_of(bay.page("fill"))
    warm_up(bay, temps[2:])
    beside = asked_beside().window
    assert beside.from_c is not None
    assert beside.to_c is not None
    forecaster = Forecaster(
        TempWindow(low_c=round(beside.from_c, 2), high_c=round(beside.to_c, 2)), "fluid_temp"
    )
    for n, temp in enumerate(temps):
        forecaster.add(60.0 * n, temp)
    value = forecaster.forecast(60.0 * len(temps))
    page = bay.page("fill")
    assert sentence_of(page).casefold() == f"{value.sentence}.".casefold()
    assert value.state == "not_yet"
    begin = bay.clock() - dt.timedelta(seconds=60.0 * len(temps))
    counted = [dt.datetime.fromisoformat(unescape(at)) for at in re.findall(r'data-count-to="([^"]+)"', page)]
    odds = [value.opens_s.p50, value.closes_s.p50]
    assert [round((at - begin).total_seconds()) for at in counted] == [
        round(one) for one in odds if one is not None
    ]
    assert 'data-again="20"' in page
    bay.clock.wait(30 * 60)
    page = bay.page("fill")
    assert "data-count-to" not in page, "nobody goes by a reading of half an hour ago"
    assert "read it again for a forecast" in text_of(page)


def test_when_the_window_is_open_the_next_thing_is_the_plug(bay: Workshop) -> None:
    drained(bay)
    send(bay.client, bay.form("plan", "fill"), **BOTTLE)
    warm_up(bay, [34.0, 35.0, 37.0, 38.0, 39.0, 40.0], every_s=45.0)
    page = bay.page("fill")
    assert sentence_of(page).startswith("Open the plug now: ")
    do = re.search(r'<section class="do">(.*?)</section>', page, re.DOTALL)
    assert do is not None
    assert "The level is set" in do[1]
    assert forms_of(page)["level"].fields["temp"] == "40"


def test_a_forecast_is_in_fahrenheit_for_whoever_reads_it(tmp_path: Path) -> None:
    bay = Workshop(tmp_path / "shop", us=True)
    drained(bay)
    warm_up(bay, [19.0, 21.0, 22.0, 24.0, 26.0])
    said = text_of(bay.page("fill"))
    assert "the window opens at 100 °F" in said  # 38 °C
    assert re.search(r"78\.8 °F [^,]+, read at", said)  # 26 °C
    bay.shop.close()


def test_a_reading_is_noted_once_and_what_is_none_is_kept_in_sight(bay: Workshop) -> None:
    form = bay.form("reading", "fill")
    for _ in range(2):
        assert send(bay.client, form, temp="86", temp__unit="°F").status_code == 303
    (body,) = bay.bodies("test_result")
    assert (body.measures[0].value, body.measures[0].unit, body.key) == (30.0, "degC", None)
    answer = send(bay.client, bay.form("reading", "fill"), temp="420")
    assert answer.status_code == 422
    assert "a reading of 420 °C is none of a gearbox" in text_of(answer.text)
    assert forms_of(answer.text)["reading"].fields["temp"] == "420"


def test_a_unit_without_a_fluid_section_says_so(tmp_path: Path) -> None:
    bay = Workshop(tmp_path / "shop")
    opened = {
        "kind": "opened",
        "job": "2",
        "vehicle": {"name": "Orrin van"},
        "unit": {"name": "R6"},
        "complaint": "Leak.",
    }
    bay.job_id = bay.shop.jobs.open(Draft(opened, uuid4()), by=BY).job_id
    assert sentence_of(bay.page("fill")).startswith("This job was opened without a unit sheet")
    bay.shop.close()


def test_the_page_is_quick(bay: Workshop) -> None:
    drained(bay)
    send(bay.client, bay.form("plan", "fill"), **BOTTLE)
    warm_up(bay, [19.0 + n for n in range(8)])
    note = {"kind": "note", "text": "Clean."}
    bay.note(*[note] * (400 - len(bay.events())))
    took = []
    for _ in range(5):
        begin = time.process_time()
        page = bay.page("fill")
        took.append(time.process_time() - begin)
    assert min(took) < 0.1
    assert len(page.encode()) < 60_000
