"""`coldsoak fill forecast` as a person and as a script use it."""

import json
from pathlib import Path

import numpy as np
import pytest

from coldsoak.cli._edge import UNUSABLE, run
from coldsoak.cli.main import coldsoak


def written(path, value_c, time_s, header="Time (s),Trans fluid temp (°C),Coolant temp (°C),Engine rpm"):
    rows = [
        f"{t:.1f},{v:.0f},{v + 9:.0f},750" for t, v in zip(time_s.tolist(), value_c.tolist(), strict=True)
    ]
    path.write_text(header + "\n" + "\n".join(rows) + "\n", encoding="utf-8")
    return str(path)


@pytest.fixture
def warm_up(tmp_path):
    """A lumped body from 15 °C towards 90 °C with a time constant of 1500 s, every row a reading in whole °C."""
    time_s = np.arange(0.0, 900.0, 2.0)
    return written(tmp_path / "warm-up.csv", np.floor(90.0 - 75.0 * np.exp(-time_s / 1500.0)), time_s)


def told(capsys, *words):
    assert run(coldsoak, ["fill", "forecast", *words, "--json"]) == 0
    return json.loads(capsys.readouterr().out)


def complaint(capsys, *words):
    assert run(coldsoak, ["fill", "forecast", *words]) == UNUSABLE
    captured = capsys.readouterr()
    assert captured.out == ""
    return captured.err.removeprefix("coldsoak: ").strip()


def test_the_json_has_what_a_script_needs(warm_up, capsys) -> None:
    """Lumped law, hand-worked: 35 °C after 1500·ln(75/55) = 465 s."""
    said = told(capsys, warm_up, "--channel", "Trans fluid temp (°C)", "--window", "35..45", "--at", "240")
    assert said["schema"] == "coldsoak.forecast/1"
    assert said["at_s"] == 240.0
    assert set(said["opens_s"]) == set(said["closes_s"]) == {"p10", "p50", "p90"}
    assert said["opens_s"]["p10"] < 465.0 < said["opens_s"]["p90"]
    assert said["sentence"].startswith("wait ")
    assert said["state"] == "not_yet"
    assert any("engine running" in line.lower() for line in said["cautions"])


def test_the_state_follows_the_warm_up(warm_up, capsys) -> None:
    """Same law: 35 °C at 465 s, 46 °C at 1500·ln(75/44) = 800 s."""
    words = (warm_up, "--window", "35..45", "--at")
    inside, soon, after = (told(capsys, *words, at) for at in ("520", "740", "890"))
    assert (inside["state"], soon["state"], after["state"]) == ("open_now", "closing", "missed")
    assert inside["opens_s"]["p10"] == inside["opens_s"]["p90"] == pytest.approx(465.0, abs=2.0)
    assert inside["sentence"].startswith("open the plug now: the window closes in about ")
    assert after["sentence"].startswith("missed: let it cool to 45 °C, about ")
    assert after["closes_s"]["p50"] == pytest.approx(800.0, abs=2.0)
    assert after["again_s"]["p50"] > 890.0


def test_a_thermometer_that_has_stuck_opens_no_plug(tmp_path, capsys) -> None:
    """The same law frozen at 41 °C from 650 s on, among a coolant that goes on: judge calls that stuck."""
    time_s = np.arange(0.0, 1500.0, 2.0)
    law_c = np.floor(90.0 - 75.0 * np.exp(-time_s / 1500.0))
    log = tmp_path / "stuck.csv"
    rows = [
        f"{t:.0f},{c if t < 650 else 41:.0f},{c:.0f},{750 + t % 9:.0f}"
        for t, c in zip(time_s.tolist(), law_c.tolist(), strict=True)
    ]
    log.write_text(
        "\n".join(["Time (s),Trans fluid temp (°C),Coolant temp (°C),Engine rpm", *rows, ""]), "utf-8"
    )
    found = told(capsys, str(log), "--channel", "Trans fluid temp (°C)", "--window", "38..48")
    assert found["state"] == "in_doubt"
    assert found["sentence"].startswith("do not open the plug by this thermometer, what it shows cannot be")
    assert found["opens_s"] == found["closes_s"] == {"p10": None, "p50": None, "p90": None}
    assert (
        run(coldsoak, ["fill", "forecast", str(log), "--channel", "Trans fluid temp", "--window", "38..48"])
        == 0
    )
    shown = " ".join(capsys.readouterr().out.split())
    assert "thermometer in doubt" in shown
    assert "Open the plug now" not in shown
    assert "41 °C now; window" in shown


def test_without_a_time_the_end_of_the_log_counts(warm_up, capsys) -> None:
    assert told(capsys, warm_up, "--window", "60..70")["at_s"] == 898.0


def test_fahrenheit_is_the_same_window(warm_up, capsys) -> None:
    """(95 − 32)/1.8 = 35, (113 − 32)/1.8 = 45."""
    celsius = told(capsys, warm_up, "--window", "35..45", "--at", "240")
    assert told(capsys, warm_up, "--window", "95..113 degF", "--at", "240")["opens_s"] == celsius["opens_s"]


def test_the_terminal_shows_sentence_drawing_odds_and_cautions(warm_up, capsys) -> None:
    assert run(coldsoak, ["fill", "forecast", warm_up, "--window", "35..45", "--at", "240"]) == 0
    shown = capsys.readouterr().out
    assert "not yet" in shown
    assert "Wait " in shown
    assert "│" in shown
    assert "====" in shown
    assert "opens" in shown
    assert "closes" in shown
    words = " ".join(shown.split())
    for caution in (
        "Engine running with the vehicle raised",
        "exhaust stays hot",
        "Hot fluid burns",
        "Exhaust gas",
    ):
        assert caution in words
    assert "Used fluid is waste" in words
    assert "Follow the vehicle maker's service information" in words


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (
            ("--window", "45..35"),
            "The window goes from 45 to 35 °C, which is upside down or empty: give the low end first, as in 35..45.",
        ),
        (
            ("--window", "35..45", "--at", "-3"),
            "-3 s is before the first row of {file}: give seconds from its first row.",
        ),
        (
            ("--window", "35..45", "--at", "9000"),
            "{file} ends at 898.0 s, before 9000 s: give an earlier time, or record for longer.",
        ),
        (
            ("--window", "35..45", "--channel", "Engine rpm"),
            "'Engine rpm' is no temperature (rpm): name one of 'Trans fluid temp (°C)', 'Coolant temp (°C)', or say what it is with --map 'Engine rpm=fluid_temp[degC]'.",
        ),
        (
            ("--window", "35..45", "--channel", "Nope"),
            "There is no channel 'Nope' in {file}; it has 'Trans fluid temp (°C)', 'Coolant temp (°C)', 'Engine rpm'.",
        ),
    ],
)
def test_what_cannot_be_used_is_one_sentence(warm_up, capsys, words, sentence) -> None:
    assert complaint(capsys, warm_up, *words) == sentence.format(file=warm_up)


@pytest.mark.parametrize("at_s", [0, 2, 6])
def test_the_first_reading_is_enough_and_that_it_is_little_is_said(warm_up, capsys, at_s) -> None:
    early = told(capsys, warm_up, "--window", "35..45", "--at", str(at_s))
    later = told(capsys, warm_up, "--window", "35..45", "--at", "240")
    assert early["notes"] == ["Few readings so far: these are the odds of such a unit in general."]
    assert early["notes"][0] not in later["notes"]
    odds = [told_odds["opens_s"] for told_odds in (early, later)]
    assert odds[0]["p90"] - odds[0]["p10"] > 2.0 * (odds[1]["p90"] - odds[1]["p10"])


def test_the_keys_of_the_schema_come_first(warm_up, capsys) -> None:
    """The order in which issue 6 of the project names them."""
    keys = list(told(capsys, warm_up, "--window", "35..45", "--at", "240"))
    assert keys[:5] == ["schema", "at_s", "opens_s", "closes_s", "sentence"]


def test_several_temperatures_and_no_fluid_are_asked_back(tmp_path, capsys) -> None:
    time_s = np.arange(0.0, 100.0, 2.0)
    head = "Time (s),Oil temp (°C),Coolant temp (°C),Engine rpm"
    log = written(tmp_path / "a.csv", np.floor(20.0 + time_s / 20.0), time_s, head)
    assert complaint(capsys, log, "--window", "35..45") == (
        "Say which channel the fluid is with --channel; the log has 'Oil temp (°C)', 'Coolant temp (°C)'."
    )


def test_the_end_of_a_broken_file_is_not_read(warm_up, capsys) -> None:
    before = told(capsys, warm_up, "--window", "35..45", "--at", "240")
    path = Path(warm_up)
    rows = path.read_text("utf-8").splitlines()[:125]
    path.write_text(
        "\n".join([*rows, "250,-40,999,1", "252,nonsense,,", "900,300,2,2"]) + "\n", encoding="utf-8"
    )
    assert told(capsys, warm_up, "--window", "35..45", "--at", "240") == before


def test_the_drawing_has_cold_now_window_and_what_is_to_come(warm_up, tmp_path, capsys) -> None:
    """The law: 15 °C at 0 s, 90 − 75·exp(−300/1500) = 28.6 °C at 300 s, shown as 28."""
    svg = tmp_path / "course.svg"
    words = [
        "fill",
        "forecast",
        warm_up,
        "--window",
        "40..50",
        "--channel",
        "Trans fluid temp",
        "--at",
        "300",
    ]
    assert run(coldsoak, [*words, "--svg", str(svg)]) == 0
    shown = capsys.readouterr().out
    assert "C cold 15 °C, N now 28 °C, = window" in shown
    drawn = svg.read_text(encoding="utf-8")
    for said in ("Window 40 to 50 °C", ">15 °C<", ">28 °C<", ">open<"):
        assert said in drawn
    assert "style" not in drawn


def test_what_was_assumed_stands_with_the_forecast(warm_up, tmp_path, capsys) -> None:
    rows = (
        Path(warm_up).read_text("utf-8").replace("Time (s),Trans fluid temp (°C)", "Time,Trans fluid temp", 1)
    )
    bare = tmp_path / "bare.csv"
    bare.write_text(rows, encoding="utf-8")
    said = told(capsys, str(bare), "--window", "35..45")
    assert [("clock" in line, "taken as °C" in line) for line in said["assumed"]] == [
        (True, False),
        (False, True),
    ]
    assert run(coldsoak, ["fill", "forecast", str(bare), "--window", "35..45"]) == 0
    shown = " ".join(capsys.readouterr().out.split())
    assert all(line in shown for line in said["assumed"])


def test_a_unit_that_nothing_settles_is_held_against_no_window(tmp_path, capsys) -> None:
    """68 to 110 is a fluid that warms from 20 to 43 °C in °F, and one that is hot in °C."""
    time_s = np.arange(0.0, 700.0, 2.0)
    log = written(
        tmp_path / "us.csv", 120.0 - 52.0 * np.exp(-time_s / 500.0), time_s, "Time (s),TFT,Other,Engine rpm"
    )
    for window in ("100..118degF", "38..48"):
        assert "'TFT' has no unit, and °C and °F are both possible" in complaint(
            capsys, log, "--window", window
        )
    said = told(capsys, log, "--window", "100..118degF", "--map", "TFT=fluid_temp[degF]")
    assert said["reading_c"] == pytest.approx((107.2 - 32) / 1.8, abs=0.6)
