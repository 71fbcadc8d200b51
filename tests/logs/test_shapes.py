"""Shapes in which loggers and people hand tables in. Expected values: counted by hand from the texts written here."""

import json
import os
import sys
from collections.abc import Callable

import numpy as np
import pytest

from coldsoak.errors import LogError
from coldsoak.logs.log import Log, Unreadable
from coldsoak.logs.summary import to_json

Reader = Callable[..., Log]
HEADER = ["Time (s)", "Engine RPM (rpm)", "Coolant temp (°C)"]
TIMES, RPM, COOLANT = [0.0, 0.5, 1.0, 1.5], [800.0, 1200.0, 1500.0, 1300.0], [20.0, 20.5, 21.5, 22.0]
ROWS = [[f"{a:g}" for a in row] for row in zip(TIMES, RPM, COOLANT, strict=True)]


def table(rows: list[list[str]] = ROWS, header: list[str] = HEADER, separator: str = ",") -> str:
    return "".join(separator.join(r) + "\n" for r in [header, *rows])


def plainly(log: Log) -> None:
    """It holds the table above and nothing else."""
    assert log.time_s.tolist() == TIMES
    assert [c.quantity for c in log.channels] == ["engine_speed", "coolant_temp"]
    assert [c.values.tolist() for c in log.channels] == [RPM, COOLANT]
    assert log.trip_rows == (0,)


def assumed(log: Log) -> str:
    return "\n".join(log.provenance.assumed)


@pytest.mark.parametrize(
    "text",
    [
        table(separator=" ", header=["time_s", "rpm", "coolant_temp_C"]),
        "".join(
            "".join(f"{c:>16}" for c in r) + "\r\n" for r in [["time_s", "rpm", "coolant_temp_C"], *ROWS]
        ),
        "\n".join("\t ".join(r) for r in [["time_s", "rpm", "coolant_temp_C"], *ROWS]),
        table([[*r, "", ""] for r in ROWS]),
        "Session,7,\nDriver,,\nStart,10:00:00,\n" + table(),
        table(header=['"Time\n(s)"', '"Engine RPM\r\n(rpm)"', '"Coolant temp\n(°C)"']),
        table([[*r, '"warm,\nso ""far"""'] for r in ROWS], [*HEADER, "Note"]),
        table() + "\0" * 3000,
        table() + "\nMax,1500,22\nMean,1200,21\nEnd of log\n",
    ],
    ids=["blanks", "aligned", "tabs and blanks", "two blank columns", "preamble that looks like rows",
         "lines broken in the header", "lines broken in a remark", "a tail of zero bytes", "sums under the table"],
)  # fmt: skip
def test_read_like_the_plain_table(read: Reader, text: str) -> None:
    plainly(read(text))


def test_blanks_separate_only_where_nothing_else_does(read: Reader) -> None:
    log = read("Time,Engine RPM\n2024-03-04 10:00:00,800\n2024-03-04 10:00:01,900\n")
    assert log.channels[0].values.tolist() == [800.0, 900.0]
    log = read("t rpm coolant_temp_C\n" + "".join(f"{i},5 800 20,5\n" for i in range(9)))
    assert log.time_s.tolist() == list(range(9))
    assert log.channels[1].values.tolist() == [20.5] * 9


def test_a_minus_sign_of_its_own_character(read: Reader) -> None:
    log = read("Time (s),Ambient temp (°C)\n0,−7.5\n1,−7\n2,0\n")
    assert log.channels[0].values.tolist() == [-7.5, -7.0, 0.0]


@pytest.mark.parametrize("mark", ["3.4028235e38", "-1e300", "inf"])
def test_numbers_too_large_to_be_measured_are_blank(read: Reader, mark: str) -> None:
    """The largest number of four bytes (IEEE 754: 3.4e38) stands for a missing value in some loggers."""
    log = read(f"Time (s),Coolant temp (°C)\n0,80\n1,{mark}\n2,82\n")
    assert np.array_equal(log.channels[0].values, [80.0, np.nan, 82.0], equal_nan=True)
    assert log.provenance.unreadable == (Unreadable(3, "Coolant temp (°C)", mark),)


def test_month_first_in_a_column_of_its_own(read: Reader) -> None:
    rows = [["12/31/2024", "23:59:59"], ["1/1/2025", "00:00:00"], ["1/1/2025", "00:00:01"]]
    log = read(table([[*r, "80"] for r in rows], ["Date", "Time", "Coolant temp (°C)"]))
    assert log.time_s.tolist() == [0.0, 1.0, 2.0]
    assert log.provenance.assumed == ()


@pytest.mark.parametrize(
    "above",
    [
        ["Time,Coolant", "s,°F"],
        ["s,°F", "Time,Coolant"],
        ["Time,Coolant", "float,float", "s,°F"],
    ],
)
def test_a_line_of_units_near_the_header(read: Reader, above: list[str]) -> None:
    """212 °F is 100 °C."""
    log = read("\n".join([*above, "0,212", "1,212", "2,32"]))
    assert [c.name for c in log.channels] == ["Coolant"]
    assert log.channels[0].values.tolist() == [100.0, 100.0, 0.0]


# ------------------------------------------------------------------------------------------ one reading in a line


def long_rows(*, one_after_the_other: bool) -> list[list[str]]:
    readings = [
        [row[0], name, value, unit]
        for row in ROWS
        for name, value, unit in zip(["RPM", "Coolant temp"], row[1:], ["rpm", "°C"], strict=True)
    ]
    return sorted(readings, key=lambda r: r[1]) if one_after_the_other else readings


@pytest.mark.parametrize("one_after_the_other", [False, True])
def test_one_reading_in_each_line(read: Reader, one_after_the_other: bool) -> None:
    rows = long_rows(one_after_the_other=one_after_the_other)
    log = read(table(rows, ["Time (s)", "Channel", "Value", "Unit"]))
    assert log.time_s.tolist() == TIMES
    by_quantity = {c.quantity: c.values.tolist() for c in log.channels}
    assert by_quantity == {"engine_speed": RPM, "coolant_temp": COOLANT}
    assert "Each line holds one reading: they are put into 2 columns by 'Channel'" in assumed(log)


def test_readings_at_times_of_their_own_meet_on_one_clock(read: Reader) -> None:
    text = "time,signal,value\n10:00:00,Coolant temp (°C),80\n10:00:02,Coolant temp (°C),81\n10:00:01,RPM,900\n10:00:03,RPM,950\n"
    log = read(text)
    assert log.time_s.tolist() == [0.0, 1.0, 2.0, 3.0]
    assert [c.reading_rows.tolist() for c in log.channels] == [[0, 2], [1, 3]]
    assert [c.values[c.reading_rows].tolist() for c in log.channels] == [[80.0, 81.0], [900.0, 950.0]]


def test_a_channel_that_comes_twice_at_a_time_is_not_guessed(read: Reader) -> None:
    text = (
        "time,signal,value\n0,RPM,900\n1,RPM,910\n1,RPM,920\n0,Coolant temp (°C),80\n1,Coolant temp (°C),81\n"
    )
    with pytest.raises(
        LogError, match="gives 'RPM' twice for the time 1: export one column for each channel"
    ):
        read(text)


def test_a_text_column_beside_one_channel_is_no_list_of_channels(read: Reader) -> None:
    log = read("Time (s),Gear lever,Coolant temp (°C)\n0,D,80\n1,N,81\n2,D,82\n")
    assert log.channels[0].values.tolist() == [80.0, 81.0, 82.0]


# -------------------------------------------------------------------------------------------------- several clocks


def test_the_same_clock_again_and_again(read: Reader) -> None:
    log = read(table([[r[0], r[1], r[0], r[2]] for r in ROWS], [HEADER[0], HEADER[1], HEADER[0], HEADER[2]]))
    plainly(log)
    assert "2 columns are called 'Time (s)' and hold the same times: the first is the clock." in assumed(log)


def test_a_clock_for_each_channel(read: Reader) -> None:
    text = "Time (s),RPM,Time (s),Coolant temp (°C)\n0,800,0.2,80\n1,900,2.2,81\n2,950,,\n"
    log = read(text)
    assert log.time_s.tolist() == [0.0, 0.2, 1.0, 2.0, 2.2]
    assert [c.reading_rows.tolist() for c in log.channels] == [[0, 2, 3], [1, 4]]
    assert [c.values[c.reading_rows].tolist() for c in log.channels] == [[800.0, 900.0, 950.0], [80.0, 81.0]]


# ----------------------------------------------------------------------------------------------------- odd orders


def test_newest_first_is_turned_round(read: Reader) -> None:
    log = read(table(ROWS[::-1]))
    plainly(log)
    assert "from the newest to the oldest" in assumed(log)
    log = read(
        table([["00:00:01", "1", "3"], ["00:00:00", "1", "2"], ["23:59:59", "1", "1"]], ["Time", *HEADER[1:]])
    )
    assert log.channels[1].values.tolist() == [
        3.0,
        2.0,
        1.0,
    ]  # a midnight in it: as likely the order of the file


def test_rows_that_are_there_twice_are_read_once(read: Reader) -> None:
    log = read(table([*ROWS[:3], *ROWS[1:]]))
    plainly(log)
    assert (
        "2 rows stand in the file twice, with the same time and the same values (first at row 4)"
        in assumed(log)
    )


def test_rows_of_the_same_time_with_other_values_stay(read: Reader) -> None:
    other = [[r[0], r[1], "30"] for r in ROWS]
    log = read(table([*ROWS, *other]))
    assert log.channels[1].values.tolist() == [*COOLANT, 30.0, 30.0, 30.0, 30.0]
    assert len(log.trip_rows) == 2


# -------------------------------------------------------------------------------------------------------- refused


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        (
            table([r[:2] for r in ROWS], HEADER[:2]) + "\n" + table([[r[0], r[2]] for r in ROWS], ["Time (s)", HEADER[2]]),
            "holds another table from line 7 on, with the columns Time (s), Coolant temp (°C): save each table as a file of its own.",
        ),
        (
            "\n".join(",".join(line) for line in zip(HEADER, *ROWS, strict=True)),
            "holds a channel in every line: turn the table so that every channel is a column, with its name above it, such as 'Time",
        ),
        ("can0  7E8   [8]  03 41 05 7B 55 55 55 55\n" * 9, "holds raw answers of control units in hexadecimal: export"),
        (">0105\n41 05 7B\n" * 9, "holds raw answers of control units in hexadecimal: export"),
    ],
    ids=["two tables", "turned", "frames without time", "answers without time"],
)  # fmt: skip
def test_what_cannot_be_read_rightly_is_refused(read: Reader, text: str, sentence: str) -> None:
    with pytest.raises(LogError, match=r"log\.csv") as caught:
        read(text)
    assert str(caught.value).split("log.csv ")[1].startswith(sentence)


@pytest.mark.parametrize(
    ("magic", "said"),
    [
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "spreadsheet"),
        (b"%PDF-1.7\n", "document"),
        (b"7z\xbc\xaf\x27\x1c", "packed file of a kind that is not opened here: unpack it"),
        (b"BZh91AY&SY", "packed file of a kind that is not opened here: unpack it"),
    ],
)
def test_known_files_of_other_kinds_are_named(read: Reader, magic: bytes, said: str) -> None:
    with pytest.raises(LogError, match=said):
        read(magic + np.random.default_rng(3).bytes(3000))


def test_a_cell_longer_than_any_is_no_fault_of_the_program(read: Reader) -> None:
    with pytest.raises(LogError, match="is not a log"):
        read('"' + "a" * 200_000 + '",1\n' + "x,y\n" * 5)


@pytest.mark.skipif(sys.platform != "linux", reason="other systems have no such file names")
def test_a_file_name_of_any_bytes_can_be_written_down(read: Reader) -> None:
    log = read(table(), name=os.fsdecode(b"drive\xff.csv"))
    assert json.loads(to_json(log))["file"].encode("utf-8").endswith("drive\ufffd.csv".encode())


@pytest.mark.parametrize(
    ("header", "under", "cell"),
    [
        ("Fluid temp (V)", "", "{:.2f}"),
        ("fluid_temp_V", "", "{:.2f}"),
        ("Fluid temp", "s,V\n", "{:.2f}"),
        ("Fluid temp", "", "{:.2f} V"),
    ],
)
def test_volts_are_no_degrees(read: Reader, header: str, under: str, cell: str) -> None:
    """Common practice, no source: what is logged in volts under a sensor's name is the voltage at its wire."""
    volts = [2.5 - row / 100 for row in range(60)]
    rows = "".join(f"{row},{cell.format(value)}\n" for row, value in enumerate(volts))
    log = read(f"Time (s),{header}\n{under}{rows}")
    (channel,) = log.channels
    assert (channel.quantity, channel.unit) == ("sensor_voltage", "V")
    assert channel.values == pytest.approx(volts)
    assert "is not taken as fluid_temp: its unit V does not fit" in assumed(log)
