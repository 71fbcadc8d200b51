"""What is measured at the sensor, typed on the pages of judge and prove, and what the curve on the sheet says of it.

Sources of what is expected: the points of the curve on the demo's own sheet, so that ohms and temperatures belong together by
the input itself; resistance in series adds (Kirchhoff's voltage law); 194 °F is 90 °C by definition.
"""

import math
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from tests.web.lifted import Lift, false_log
from tests.web.paper_forms import forms_of, send
from tests.web.test_pages_prove import SHORT, judged, log
from tests.web.workshop import BY, Workshop, demo_text, orrin, sentence_of, text_of

from coldsoak.judge.circuit.inversion_values import Inversion
from coldsoak.judge.judgement import ChannelJudgement, Judgement

CURVE = dict(orrin().sensors["fluid_thermometer"].curve)
AT_25, AT_60, AT_90 = CURVE[25], CURVE[60], CURVE[90]


@pytest.fixture
def bay(tmp_path: Path) -> Iterator[Workshop]:
    workshop = Workshop(tmp_path / "shop")
    judged(workshop)
    yield workshop
    workshop.shop.close()


def in_doubt(bay: Workshop) -> ChannelJudgement:
    said = Judgement.model_validate(bay.bodies("judged")[-1].judgement)
    return next(one for one in said.channels if one.quantity == "fluid_temp")


def chances(bay: Workshop) -> dict[str, float]:
    return {one.cause: one.probability for one in in_doubt(bay).causes}


def note(bay: Workshop, form: str, stage: str = "judge", **fields: str) -> Any:
    return send(bay.client, bay.form(form, stage), **fields)


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"resistance": f"{AT_90:g}", "resistance.unit": "ohm", "temp": "90"}, "is within 2 K of the curve"),
        ({"resistance": "0.905", "resistance.unit": "kohm", "temp": "194", "temp.unit": "°F"}, "is within 2 K of the curve"),
        ({"resistance": f"{AT_60:g}", "resistance.unit": "ohm", "temp": "90"}, "is not within 2 K of the curve"),
    ],
)  # fmt: skip
def test_a_resistance_is_held_against_the_curve_on_the_sheet(
    bay: Workshop, fields: dict[str, str], words: str
) -> None:
    before = chances(bay)
    assert note(bay, "resistance", **fields).status_code == 303
    assert words in bay.bodies("test_result")[-1].result
    assert words in text_of(bay.page("judge"))
    if "not" not in words:
        assert chances(bay)["sensor"] < before["sensor"]
    else:
        assert "Two faults stand. By the log connector or contact" in text_of(bay.page("judge"))
    assert {one.role for one in bay.bodies("judged")[-1].inputs} == {"log", "sheet"}


def test_readings_beside_a_thermometer_give_the_resistance_in_series(bay: Workshop) -> None:
    """What reads 60 °C at 90 °C has the ohms of 60 °C where the sensor has those of 90 °C: the rest is in series."""
    in_series = AT_60 - AT_90
    assert note(bay, "beside", reading="60", temp="90").status_code == 303
    found = in_doubt(bay).circuit
    assert found is not None
    assert not found.decided, "one temperature cannot tell it from a sensor that is off"
    cold = _reads_at(AT_25 + in_series)
    assert note(bay, "beside", reading=f"{cold:.1f}", temp="25").status_code == 303
    both = in_doubt(bay).circuit
    assert both is not None
    assert both.explanation == "series"
    assert both.decided
    assert _series(both) == pytest.approx(in_series, rel=0.1)
    assert chances(bay)["contact"] > 0.5
    assert "in series" in text_of(bay.page("judge"))


def test_the_ranking_is_compared_with_what_it_was_before_the_last_measurement(bay: Workshop) -> None:
    """The result that is named is the one that was noted last, measured at the sensor or not."""
    assert note(bay, "test", key="wiggle=steady").status_code == 303
    assert "Dashed bars: before “Wiggle" in text_of(bay.page("judge"))
    assert note(bay, "beside", reading="60", temp="90").status_code == 303
    assert "Dashed bars: before “Reading beside a thermometer”. Full bars: now." in text_of(bay.page("judge"))
    assert note(bay, "judge").status_code == 303
    assert "Dashed bars: before it was judged again." in text_of(bay.page("judge"))


def _reads_at(ohm: float) -> float:
    """Between two points of the sheet, ln R is nearly straight in 1/T (the beta equation)."""
    (low_c, low_ohm), (high_c, high_ohm) = (0.0, CURVE[0]), (25.0, AT_25)
    beta = math.log(low_ohm / high_ohm) / (1 / (low_c + 273.15) - 1 / (high_c + 273.15))
    return 1 / (1 / 298.15 + math.log(ohm / high_ohm) / beta) - 273.15


def _series(found: Inversion) -> float:
    model = found.model("series")
    assert model is not None
    assert model.series is not None
    return model.series.value_ohm


def test_after_the_repair_the_circuit_is_measured_again(bay: Workshop) -> None:
    note(bay, "beside", reading="60", temp="90")
    bay.done_up_to(1)
    assert "beside" not in forms_of(bay.page("judge")), "the work has begun: it belongs to the proof"
    assert (
        send(bay.client, bay.form("log", "prove"), files={"log": (*log(SHORT), "text/csv")}).status_code
        == 303
    )
    assert note(bay, "beside", "prove", reading="90", temp="90").status_code == 303
    assert "Something came in since this was proven." in text_of(bay.page("prove"))
    send(bay.client, bay.form("prove", "prove"))
    proved = bay.bodies("proved")[-1]
    assert (proved.settings["pairs_before"], proved.settings["pairs_after"]) == (
        [[60.0, 90.0]],
        [[90.0, 90.0]],
    )
    assert "right at 90 °C" in proved.proof["circuit"]


def test_still_off_beside_the_thermometer_is_back(bay: Workshop) -> None:
    note(bay, "beside", reading="60", temp="90")
    bay.done_up_to(1)
    note(bay, "beside", "prove", reading="60", temp="90")
    send(bay.client, bay.form("log", "prove"), files={"log": (*log(SHORT), "text/csv")})
    assert bay.bodies("proved")[-1].proof["verdict"] == "back"
    assert "30 °C low at 90 °C" in sentence_of(bay.page("prove"))


@pytest.mark.parametrize(
    ("form", "fields", "sentence"),
    [
        ("resistance", {"resistance": "0", "temp": "20"}, "0 Ω is no resistance of such a sensor"),
        ("resistance", {"resistance": "open", "temp": "20"}, "'open' is no number for the resistance"),
        ("resistance", {"resistance": "2", "temp": "900"}, "900 °C is no temperature of a gearbox: check the number and its unit."),
        ("beside", {"reading": "84", "temp": "-90"}, "-90 °C is no temperature of a gearbox"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_said_and_stays_typed(
    bay: Workshop, form: str, fields: dict[str, str], sentence: str
) -> None:
    answer = note(bay, form, **fields)
    assert answer.status_code == 422
    assert sentence in text_of(answer.text)
    typed = next(iter(fields.values()))
    assert f'value="{typed}"' in answer.text
    assert not bay.bodies("test_result")


def test_a_sheet_without_the_curve_has_no_such_form(tmp_path: Path) -> None:
    lift = Lift(tmp_path / "shop")
    job_id = lift.opened(false_log(), unit="kestane-v2")
    page = lift.get(f"/jobs/{job_id}/judge").text
    assert not re.search(r'action="[^"]*/(beside|resistance)"', page)
    fields = {"reading": "60", "reading.unit": "°C", "temp": "90", "temp.unit": "°C"}
    answer = lift.post(f"/jobs/{job_id}/judge/beside", **fields)
    assert answer.status_code == 422
    assert "has no curve of this sensor" in text_of(answer.text)
    lift.shop.close()


def test_the_page_opens_with_a_sensor_that_rises_and_a_measurement_of_it_is_refused_in_a_sentence(
    tmp_path: Path,
) -> None:
    """A silicon sensor rises with temperature; no thermistor's curve goes through its points (Steinhart and Hart fall)."""
    lift = Lift(tmp_path / "shop")
    falls = "curve: [[-30, 98200], [0, 21850], [25, 7620], [60, 2210], [90, 905], [120, 421], [145, 244]]"
    rises = "curve: [[-30, 1250], [0, 1650], [25, 2000], [60, 2550], [90, 3100], [120, 3700], [145, 4200]]"
    sheet = demo_text("units", "orrin-r6.yaml")
    assert sheet.count(falls) == 1
    lift.shop.papers.put("unit", sheet.replace(falls, rises), by=BY, name="orrin-rises")
    job_id = lift.opened(false_log(), unit="orrin-rises")
    assert lift.get(f"/jobs/{job_id}/judge").status_code == 200
    for form, fields in (
        ("resistance", {"resistance": "2000", "resistance.unit": "ohm"}),
        ("beside", {"reading": "60", "reading.unit": "°C"}),
    ):
        fields |= {"temp": "25", "temp.unit": "°C", "form": form, "to": f"/jobs/{job_id}/judge"}
        answer = lift.post(f"/jobs/{job_id}/judge/{form}", **fields)
        assert answer.status_code == 422
        said = text_of(answer.text)
        assert "sensors.fluid_thermometer.curve: " in said
        assert "resistance must fall evenly as temperature rises." in said
        assert f'value="{next(iter(fields.values()))}"' in answer.text
    lift.shop.close()


def test_a_test_done_again_counts_as_it_came_out_last(bay: Workshop) -> None:
    """Common practice, no source: what was measured again replaces what was measured first."""
    for key in ("wiggle=steady", "wiggle=jumps"):
        assert note(bay, "test", key=key).status_code == 303
    assert bay.bodies("judged")[-1].settings["evidence"] == ["wiggle=jumps"]
