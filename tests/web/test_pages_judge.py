"""The page of judge says what the judgement says, and takes logs, codes and results of tests.

Sources of what is expected: the Judgement in the record; 85 °C is 185 °F (9/5 of it and 32, by definition); the
Content-Security-Policy of CSP Level 3, which needs 'unsafe-eval' for nothing here.
"""

import re
from collections.abc import Iterator
from uuid import uuid4

import pytest
from tests.web.lifted import (
    DROPS,
    LOG,
    ROW_S,
    Lift,
    false_log,
    heading,
    log_without_temperature,
    refused,
    words,
)

from coldsoak.judge.explain.inference import percent
from coldsoak.judge.explain.trade_tests import load_knowledge
from coldsoak.judge.judgement import Judgement


@pytest.fixture(scope="module")
def lift(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Lift]:
    made = Lift(tmp_path_factory.mktemp("judge") / "shop")
    yield made
    made.shop.close()


@pytest.fixture(scope="module")
def job_id(lift: Lift) -> int:
    return lift.opened(false_log())


def judgement_of(lift: Lift, job_id: int) -> Judgement:
    judged = lift.shop.jobs.record(job_id).judged
    assert judged is not None
    return Judgement.model_validate(judged.body.judgement)


def send(lift: Lift, job_id: int, form: str, **fields: str) -> object:
    action = {"judge": ""}.get(form, f"/{form}")
    return lift.post(f"/jobs/{job_id}/judge{action}", form=form, to=f"/jobs/{job_id}/judge", **fields)


def test_it_says_what_the_judgement_says(lift: Lift, job_id: int) -> None:
    page = lift.get(f"/jobs/{job_id}/judge")
    said = judgement_of(lift, job_id)
    worst = next(one for one in said.channels if one.quantity == "fluid_temp")
    assert worst.verdict == "not_believable"
    text = words(page.text)
    assert worst.sentence.lower() in heading(page).lower()
    assert "The reading cannot be true" in text
    for cause in worst.causes[:3]:
        assert f"{cause.label[:1].upper()}{cause.label[1:]}: {percent(cause.probability)}" in text
        assert cause.reason[1:] in text
    test = worst.tests[0]
    assert test.caution in text
    for outcome in test.outcomes:
        assert f"{outcome.top_label}, {percent(outcome.top_probability)}" in text
    coolant = next(one for one in said.channels if one.quantity == "coolant_temp")
    assert coolant.sentence in text


def test_every_result_of_every_test_that_fits_can_be_entered(lift: Lift, job_id: int) -> None:
    page = lift.get(f"/jobs/{job_id}/judge").text
    for name, test in load_knowledge().tests.items():
        for result in test.node.says:
            fits = not test.only_for or "fluid_temp" in test.only_for
            assert (f'value="{name}={result}"' in page) is fits


def test_the_drawing_hatches_both_drops_and_says_so(lift: Lift, job_id: int) -> None:
    page = lift.get(f"/jobs/{job_id}/judge").text
    drawing = page[page.index("<svg", page.index("drawing plot")) :].split("</svg>")[0]
    episodes = next(one for one in judgement_of(lift, job_id).channels if one.episodes).episodes
    # the log was made to drop in these rows: an episode lies around each
    assert [round(one.start_s / ROW_S) for one in episodes] == pytest.approx([a for a, _ in DROPS], abs=30)
    assert f"{len(episodes)} hatched stretches that cannot be true" in drawing
    assert "style" not in drawing


def test_temperatures_are_in_the_readers_unit(lift: Lift, job_id: int) -> None:
    def axis() -> set[str]:
        page = lift.get(f"/jobs/{job_id}/judge").text
        return set(re.findall(r">(°[CF])</text>", page))

    assert axis() == {"°C"}
    try:
        lift.post("/me", name="Ana Sorel", units="us")
        assert axis() == {"°F"}
        assert "°C" not in heading(lift.get(f"/jobs/{job_id}/judge"))
    finally:
        lift.post("/me", name="Ana Sorel", units="si")


def test_a_result_moves_the_ranking_in_sight(lift: Lift) -> None:
    own = lift.opened(false_log())
    before = next(one for one in judgement_of(lift, own).channels if one.quantity == "fluid_temp")
    answer = send(lift, own, "test", key="wiggle=jumps", measured="2.31 kohm", tool="meter 4")
    assert answer.status_code == 303  # type: ignore[attr-defined]
    assert lift.kinds(own)[-2:] == ["test_result", "judged"]
    noted = lift.shop.jobs.record(own).tests[-1].body
    assert (noted.key, noted.tool) == ("wiggle=jumps", "meter 4")
    assert (noted.measures[0].value, noted.measures[0].unit) == (2.31, "kohm")
    after = next(one for one in judgement_of(lift, own).channels if one.name == before.name)
    text = words(lift.get(f"/jobs/{own}/judge").text)
    was = {one.cause: one.probability for one in before.causes}
    for cause in after.causes[:3]:
        assert f"{percent(was.get(cause.cause, 0.0))} → {percent(cause.probability)}" in text
    assert any(word in text for word in ("more likely", "less likely"))
    assert noted.result in text
    others = [one.title for one in judgement_of(lift, own).channels]
    assert len(others) == 1, "the new judgement is of the measured channel alone"
    assert "Coolant temp" in text, "what was said of the other channels stays on the page"


def test_the_results_of_the_next_test_are_touched_and_those_of_others_chosen(lift: Lift) -> None:
    own = lift.opened(false_log())
    page = lift.get(f"/jobs/{own}/judge").text
    proposed = next(one for one in judgement_of(lift, own).channels if one.tests).tests[0]
    touched = re.findall(r'<input type="radio" name="key" value="([a-z_]+)=', page)
    assert touched
    assert set(touched) == {proposed.test}
    others = re.findall(r'<option value="([a-z_]+)=[a-z_]+"', page[page.index('id="other"') :])
    assert others
    assert proposed.test not in others
    assert send(lift, own, "test", key="", other="wiggle=steady").status_code == 303  # type: ignore[attr-defined]
    assert lift.shop.jobs.record(own).tests[-1].body.key == "wiggle=steady"
    assert "Most likely: " in words(lift.get(f"/jobs/{own}/judge").text)


def test_a_chance_that_reads_the_same_has_not_moved(lift: Lift) -> None:
    own = lift.opened(false_log())
    send(lift, own, "test", key="wiggle=jumps")
    moved = re.findall(
        r"(as before|more likely|less likely) (\S+ \S+) → (\S+ \S+)",
        words(lift.get(f"/jobs/{own}/judge").text),
    )
    assert moved
    for word, before, now in moved:
        assert (word == "as before") == (before == now), (word, before, now)


def test_a_result_sent_twice_stands_once(lift: Lift) -> None:
    own = lift.opened(false_log())
    id_ = str(uuid4())
    for _ in range(2):
        send(lift, own, "test", key="wiggle=steady", id=id_)
    assert lift.kinds(own).count("test_result") == 1
    assert lift.kinds(own).count("judged") == 2
    answer = lift.post(f"/jobs/{own}/judge/test", key="wiggle=steady", id=id_, json=True)
    assert answer.json()["again"] is True


def test_codes_are_entered_with_their_freeze_frame(lift: Lift, job_id: int) -> None:
    fields = {"code.0": "p0711", "status.0": "stored", "frame": "Engine speed: 1450 rpm\nLoop: closed"}
    assert send(lift, job_id, "codes", **fields).status_code == 303  # type: ignore[attr-defined]
    (code,) = lift.shop.jobs.record(job_id).codes[-1].body.codes
    assert [(one.name, one.value, one.unit) for one in code.freeze_frame] == [
        ("Engine speed", 1450.0, "rpm"),
        ("Loop", "closed", None),
    ]
    assert send(lift, job_id, "codes", none="yes").status_code == 303  # type: ignore[attr-defined]
    assert lift.shop.jobs.record(job_id).codes[-1].body.codes == ()
    assert "P0711 stored: Gearbox fluid temperature sensor A" in words(lift.get(f"/jobs/{job_id}/judge").text)


@pytest.mark.parametrize(
    ("form", "fields", "sentence"),
    [
        ("test", {"key": ""}, "no result was chosen: choose what the test showed."),
        ("test", {"key": "wiggle=jumps", "measured": "high"}, "'high' is no value with its unit: write it as in 2.31 kohm."),
        ("codes", {"code.0": ""}, "no code was entered: enter what is stored, or tick that none is."),
        ("codes", {"code.0": "X1", "frame": "Engine speed: 900 rpm"}, "'X1' is no trouble code: write the letter P, C, B or U and four digits, as in P0711."),
        ("codes", {"code.0": "P0711", "frame": "900 rpm"}, "'900 rpm' is no line of a freeze frame: write it as in 'Engine speed: 1450 rpm'."),
        ("log", {"rate": "often"}, "no log came with this form: choose the file, then send it."),
    ],
)  # fmt: skip
def test_what_is_wrong_is_said_on_the_page_and_stays_typed(
    lift: Lift, job_id: int, form: str, fields: dict[str, str], sentence: str
) -> None:
    before = lift.kinds(job_id)
    answer = send(lift, job_id, form, **fields)
    assert refused(answer) == sentence
    assert heading(answer).startswith("Trans fluid temp"), "it is the same page"
    for text in fields.values():
        assert not text or f'value="{text}"' in answer.text or f">{text}<" in answer.text  # type: ignore[attr-defined]
    assert lift.kinds(job_id) == before


def test_a_log_without_a_temperature_is_refused_on_the_page(lift: Lift, job_id: int) -> None:
    before = lift.kinds(job_id)
    files = {"log": ("drive.csv", log_without_temperature(), "text/csv")}
    answer = lift.post(
        f"/jobs/{job_id}/judge/log", files, form="log", to=f"/jobs/{job_id}/judge", map="T9=fluid_temp[degC]"
    )
    said = refused(answer)
    assert "drive.csv" in said or "T9" in said
    assert "T9=fluid_temp[degC]" in answer.text
    assert lift.kinds(job_id) == before


def test_a_job_without_a_log_asks_for_one_then_judges_it(lift: Lift) -> None:
    own = lift.opened()
    page = lift.get(f"/jobs/{own}/judge")
    assert heading(page) == "No log yet: record one before anything is drained, and put it here."
    files = {"log": ("drive.csv", false_log(), "text/csv")}
    answer = lift.post(f"/jobs/{own}/judge/log", files, form="log", to=f"/jobs/{own}/judge")
    assert answer.status_code == 303
    assert lift.kinds(own) == ["opened", "log_kept", "judged"]
    answer = send(lift, own, "judge", channel="Coolant temp [degC]")
    assert answer.status_code == 303  # type: ignore[attr-defined]
    assert heading(lift.get(f"/jobs/{own}/judge")).startswith("Coolant temp: ")
    assert refused(send(lift, own, "judge", channel="No such")).startswith("There is no channel 'No such'")


def test_a_result_needs_a_judged_channel(lift: Lift) -> None:
    own = lift.opened()
    said = refused(send(lift, own, "test", key="wiggle=jumps"))
    assert said == "a result belongs to a judged channel: put in a log and have it judged first."


def test_the_live_plot_runs_under_a_policy_without_eval_or_inline_script(lift: Lift, job_id: int) -> None:
    page = lift.get(f"/jobs/{job_id}/judge").text
    found = re.search(r'<iframe[^>]* src="([^"]+)"', page)
    assert found is not None
    frame = lift.get(found[1])
    policy = frame.headers["content-security-policy"]
    assert "script-src 'self';" in policy
    assert "eval" not in policy
    assert "frame-ancestors 'self'" in policy
    scripts = re.findall(r"<script([^>]*)>(.*?)</script>", frame.text)
    assert [inline for _, inline in scripts] == ["", ""], "nothing inline"
    library, figure = (re.search(r'src="([^"]+)"', traits)[1] for traits, _ in scripts)  # type: ignore[index]
    assert lift.get(library).status_code == 200
    drawn = lift.get(figure)
    assert drawn.headers["content-type"].startswith("text/javascript")
    assert '"target_id":"plot"' in drawn.text
    assert 'id="plot"' in frame.text
    assert lift.get(found[1] + "9").status_code == 404


def test_a_log_that_is_not_here_leaves_the_sentence(lift: Lift, job_id: int) -> None:
    """As with a record made elsewhere, whose logs were not sent along."""
    taken = Lift(lift.shop.place.folder.parent / "elsewhere")
    taken.shop.transfer.take_in(lift.shop.transfer.record_bytes(job_id), "x.record", by="Ana Sorel")
    page = taken.get("/jobs/1/judge")
    assert page.status_code == 200
    assert heading(page).startswith("Trans fluid temp")
    assert "is not in this shop" in words(page.text)
    taken.shop.close()


def test_the_head_of_the_log_is_what_the_formula_says() -> None:
    """The log of these tests is what its docstring says: one header, and drops of 60 K within a row."""
    lines = false_log().decode().splitlines()
    assert lines[0] == LOG
    first = DROPS[0][0]
    step = float(lines[first + 1].split(",")[-1]) - float(lines[first].split(",")[-1])
    assert step == pytest.approx(-60, abs=0.2)
