"""What cannot be used by `fill plan`, `fill forecast` and `fill send` ends in one sentence with what to do next.

Source of what is expected: the rule for messages (one sentence, what was received and what to do next; common practice, no
source) and the aims of the fill stage (a wrong or unknown fluid stops it, no level check without a thermometer).
"""

import re
from importlib.resources import files
from pathlib import Path

import pytest

from coldsoak.cli._edge import UNUSABLE, run
from coldsoak.cli.main import coldsoak

HERE = files("coldsoak").joinpath("demo")
SHEET = str(HERE.joinpath("units", "orrin-r6.yaml"))
GOOD = {
    "--fluid": "LX-6 thin",
    "--bottle-temp": "20degC",
    "--thermometer": "contact",
    "--out": "drain=4.3L@55degC,bucket",
}
LOGS = {
    "good": "time [s],fluid temperature [°C]\n" + "".join(f"{2 * n},{20 + n // 10}\n" for n in range(100)),
    "no-temperature": "time [s],Engine rpm\n0,700\n2,710\n",
    "nothing-read": "time [s],fluid temperature [°C]\n0,NaN\n2,NaN\n4,\n",
    "no-rows": "time [s],fluid temperature [°C]\n",
    "empty": "",
    "two": "time [s],fluid temperature [°C],fluid temperature 2 [°C]\n0,20,30\n2,20,30\n4,21,31\n",
    "too-hot": "time [s],fluid temperature [°C]\n0,900\n2,901\n4,902\n",
}


def complaint(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    assert run(coldsoak, ["fill", *words]) == UNUSABLE
    captured = capsys.readouterr()
    assert captured.out == ""
    said = captured.err.removeprefix("coldsoak: ").strip()
    assert "\n" not in said
    assert said.endswith(".")
    assert re.search(r"[:;,] |See `", said), "it says what to do next"
    return said


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"--fluid": ""}, "which fluid is on the bottle is not known"),
        ({"--fluid": "LX-6 thick"}, "the wrong fluid can destroy the unit"),
        ({"--bottle-temp": None}, "give it with --bottle-temp"),
        ({"--bottle-temp": "20"}, "'20' has no unit"),
        ({"--bottle-temp": "95degC"}, "a bottle is not poured from at 95 °C"),
        ({"--thermometer": None}, "there is no accurate level check"),
        ({"--thermometer": "none"}, "there is no accurate level check"),
        ({"--thermometer": "thumb"}, "'thumb' is no thermometer"),
        (
            {"--thermometer": "overnight"},
            "a night in the shop says nothing of fluid that the running engine warms",
        ),
        ({"--thermometer": "built_in"}, "say the verdict on it with --judged"),
        ({"--thermometer-u": "0 K"}, "a thermometer is not sure to 0 K"),
        ({"--out": None}, "nothing came out by the ledger"),
        ({"--out": "drain=-4L@55degC,bucket"}, "an amount is above 0"),
        ({"--out": "drain=4.3@55degC,bucket"}, "'4.3' has no unit"),
        ({"--out": "drain=4.3L,bucket"}, "does not say how warm it was"),
        ({"--out": "drain=4 quart@55degC,bucket"}, "'quart' can mean more than one unit"),
        ({"--out": "drain=nanL@55degC,bucket"}, "'nanL' cannot be read as volume"),
        ({"--out": "drain=400L@55degC,bucket"}, "the whole unit holds 9.40 L"),
        ({"--out": "sink=4L@55degC,bucket"}, "fluid does not come out at 'sink'"),
        ({"--out": "drain=4L@555degC,bucket"}, "fluid in a bucket is not at 555 °C"),
        ({"--in": "400L,bottles"}, "have gone in by the ledger where 4.19 L (4.42 US qt) were missing"),
        ({"--in": "-1L"}, "an amount is above 0"),
        ({"--opened": "radio"}, "the part 'radio' is not on the sheet"),
        ({"--reading": "42"}, "'42' has no unit"),
        ({"--reading": "420degC"}, "a reading of 420 °C is none of a gearbox"),
        ({"--air": "400degC"}, "nobody works in air of 400 °C"),
        ({"--closes-in": "-3 min"}, "is no time until the window closes"),
        ({"--step": "9L"}, "are none to fill with"),
        ({"--exchange-to": "150 %"}, "150 % of old fluid is no target"),
        ({"--judged": "maybe", "--thermometer": "built_in"}, "'maybe' is no verdict"),
    ],
)
def test_a_plan(changed: dict[str, str | None], said: str, capsys: pytest.CaptureFixture[str]) -> None:
    options = [f"{name}={text}" for name, text in {**GOOD, **changed}.items() if text is not None]
    assert said in complaint(capsys, "plan", SHEET, *options)


@pytest.mark.parametrize(
    ("log", "options", "said"),
    [
        ("good", ["--window", "45..35"], "upside down or empty"),
        ("good", ["--window", "35"], "'35' is no window"),
        ("good", ["--window", "nan..45"], "'nan..45' is no window"),
        ("good", ["--window", "35..4500"], "No level is set between 35 and 4500 °C"),
        ("good", ["--window", "35..45", "--at", "-5"], "before the first row"),
        ("good", ["--window", "35..45", "--at", "9999"], "ends at 198.0 s, before 9999 s"),
        ("good", ["--window", "35..45", "--at", "nan"], "nan is no time to forecast at"),
        ("good", ["--window", "35..45", "--channel", "nope"], "There is no channel 'nope'"),
        ("good", [], "Missing option '--window'"),
        ("no-temperature", ["--window", "35..45"], "no temperature was recognised in"),
        ("nothing-read", ["--window", "35..45"], "has no reading in the 4 s"),
        ("too-hot", ["--window", "35..45"], "has no reading in the 4 s"),
        ("no-rows", ["--window", "35..45"], "has a header but no rows of numbers"),
        ("empty", ["--window", "35..45"], "is empty"),
        ("two", ["--window", "35..45"], "Say which channel the fluid is with --channel"),
        ("nowhere", ["--window", "35..45"], "is not there"),
    ],
)
def test_a_forecast(
    log: str, options: list[str], said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / f"{log}.csv"
    if log in LOGS:
        path.write_text(LOGS[log], encoding="utf-8")
    assert said in complaint(capsys, "forecast", str(path), *options)


@pytest.mark.parametrize(
    ("log", "options", "said"),
    [
        ("nowhere", [], "there is no file"),
        ("good", ["--to", "127.0.0.1:1"], "nobody answers at http://127.0.0.1:1"),
        ("good", ["--to", "ftp://a"], "is no address of the shop's pages"),
        ("no-temperature", [], "no temperature was recognised in"),
        ("two", [], "Say which channel the fluid is with --channel"),
    ],
)
def test_readings_that_are_sent(
    log: str, options: list[str], said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / f"{log}.csv"
    if log in LOGS:
        path.write_text(LOGS[log], encoding="utf-8")
    words = ["--job", "1", "--thermometer", "contact probe on the pan", "--once", *options]
    assert said in complaint(capsys, "send", str(path), *words)
