"""Clocks of all kinds. Expected seconds: counted by hand from the clock texts written here."""

from collections.abc import Callable
from datetime import UTC, datetime

import numpy as np
import pytest

from coldsoak.errors import InputError, LogError
from coldsoak.logs import clock as clocks
from coldsoak.logs.clock import ClockKind, DateOrder
from coldsoak.logs.log import Gap, Log

Reader = Callable[..., Log]


def table(name: str, clock: list[str]) -> str:
    return f"{name},RPM\n" + "".join(f"{t},{800 + i}\n" for i, t in enumerate(clock))


def assumed(log: Log) -> str:
    return "\n".join(log.provenance.assumed)


@pytest.mark.parametrize(
    ("clock", "expected"),
    [
        (["08:19:47.605", "08:19:47.696", "08:19:47.785"], [0.0, 0.091, 0.18]),
        (["8:19:47", "8:19:48", "8:19:49"], [0.0, 1.0, 2.0]),
        (["08:19:47.605", "08:19:47.7", "08:19:48"], [0.0, 0.095, 0.395]),
        (["08:19:47:605", "08:19:47:705", "08:19:47:805"], [0.0, 0.1, 0.2]),
        (["11:59:59 AM", "12:00:00 PM", "12:00:01 PM"], [0.0, 1.0, 2.0]),
        (["11:59:59 pm", "12:00:00 am", "12:00:01 am"], [0.0, 1.0, 2.0]),
        (["23:59:59.500", "00:00:00.000", "00:00:00.500"], [0.0, 0.5, 1.0]),
        (["2024-02-28 23:59:59.5", "2024-02-29 00:00:00.0", "2024-02-29 00:00:00.5"], [0.0, 0.5, 1.0]),
        (["2024-02-29T10:00:00Z", "2024-02-29T10:00:01Z", "2024-02-29T10:00:02Z"], [0.0, 1.0, 2.0]),
        (["2024-02-29T10:00:00+01:00", "2024-02-29T09:00:01Z", "2024-02-29T10:00:02+01:00"], [0.0, 1.0, 2.0]),
        (["31.12.2023 23:59:59", "01.01.2024 00:00:00", "01.01.2024 00:00:01"], [0.0, 1.0, 2.0]),
        (["12/31/2023 23:59:59", "01/01/2024 00:00:00", "01/01/2024 00:00:01"], [0.0, 1.0, 2.0]),
        (["31/12/2023 23:59:59", "01/01/2024 00:00:00", "01/01/2024 00:00:01"], [0.0, 1.0, 2.0]),
        (["1700000000.0", "1700000000.1", "1700000000.3"], [0.0, 0.1, 0.3]),
        (["1700000000000", "1700000000100", "1700000000300"], [0.0, 0.1, 0.3]),
        (["1700000000000000", "1700000000100000", "1700000000300000"], [0.0, 0.1, 0.3]),
        (["12.5", "12.6", "12.8"], [0.0, 0.1, 0.3]),
        (["100", "150", "200"], [0.0, 0.05, 0.1]),
        (["0", "60", "120", "180"], [0.0, 60.0, 120.0, 180.0]),
        (
            ["04-Mar-2024 10:59:59.250", "04-Mar-2024 11:00:00.000", "04-Mar-2024 11:00:00.5"],
            [0.0, 0.75, 1.25],
        ),
        (
            ['"Feb 29, 2024 11:59:59 PM"', '"Mar 1, 2024 12:00:00 AM"', '"Mar 1, 2024 12:00:01 AM"'],
            [0.0, 1.0, 2.0],
        ),
        (["Mon Mar 04 10:00:00 GMT+01:00 2024", "Mon Mar 04 10:00:02 GMT+01:00 2024"], [0.0, 2.0]),
        (["31. Mai 2024 23:59:59", "1. Juni 2024 00:00:00"], [0.0, 1.0]),
        (["20240304T235959", "20240305T000000", "20240305T000001.5"], [0.0, 1.0, 2.5]),
        (["2024-03-04 10:00:00+00", "2024-03-04 12:00:01+02"], [0.0, 1.0]),
        (["2024-03-04 10:00:00 CET", "2024-03-04 10:00:01 CET"], [0.0, 1.0]),
        (["100058", "100059", "100100", "100101"], [0.0, 1.0, 2.0, 3.0]),
        (["235858", "235859", "235900", "235959", "000000"], [0.0, 1.0, 2.0, 61.0, 62.0]),
        (["20240229235958", "20240229235959", "20240301000000", "20240301000001"], [0.0, 1.0, 2.0, 3.0]),
        (["45355.5", "45355.50001157407", "45355.50002314815"], [0.0, 1.0, 2.0]),
        (["0:58", "0:59", "1:00", "1:02"], [0.0, 1.0, 2.0, 4.0]),
        (["59:59", "60:00", "60:01"], [0.0, 1.0, 2.0]),
        (["59:58.5", "59:59.5", "00:00.5"], [0.0, 1.0, 2.0]),
        (["0:59", "59:59", "1:00:00"], [0.0, 3540.0, 3541.0]),
        (["10:58", "10:59", "11:00"], [0.0, 60.0, 120.0]),
    ],
)
def test_clocks_become_seconds_from_the_first_row(
    read: Reader, clock: list[str], expected: list[float]
) -> None:
    log = read(table("Time", clock))
    assert log.time_s.tolist() == pytest.approx(expected, abs=2e-6)
    assert [c.name for c in log.channels] == ["RPM"]


def test_what_two_numbers_mean_is_said(read: Reader) -> None:
    log = read(table("Time", ["0:00", "0:01", "0:02"]))
    assert "The clock 'Time' shows two numbers: taken as minutes and seconds." in log.provenance.assumed
    log = read(table("Time", ["10:00", "10:01", "10:02"]))
    assert "The clock 'Time' shows two numbers: taken as hours and minutes." in log.provenance.assumed


@pytest.mark.parametrize(
    "name",
    [
        "Time",
        "TIME (s)",
        "time_s",
        "timestamp",
        "Time Stamp",
        "elapsed",
        "Elapsed time [s]",
        "Zeit",
        "Uhrzeit",
        "t [s]",
        "Seconds",
    ],
)
def test_names_of_clocks(read: Reader, name: str) -> None:
    assert read(table(name, ["5.0", "5.5", "6.0"])).time_s.tolist() == [0.0, 0.5, 1.0]


@pytest.mark.parametrize("name", ["t[ms]", "Time (ms)", "time_ms", "Elapsed, ms"])
def test_milliseconds_by_the_header(read: Reader, name: str) -> None:
    log = read(table(f'"{name}"', ["5", "10", "15"]))
    assert log.time_s.tolist() == pytest.approx([0.0, 0.005, 0.01])
    assert "no unit" not in assumed(log)


@pytest.mark.parametrize(
    ("name", "seconds"), [("Time (min)", 60.0), ("Time (h)", 3600.0), ("Time (us)", 1e-6)]
)
def test_other_units_of_time(read: Reader, name: str, seconds: float) -> None:
    assert read(table(name, ["0", "1", "2"])).time_s.tolist() == pytest.approx([0.0, seconds, 2 * seconds])


def test_date_and_time_in_two_columns(read: Reader) -> None:
    text = "Date,Time,RPM\n2024-02-28,23:59:59,800\n2024-02-29,00:00:01,810\n2024-02-29,00:00:02,820\n"
    assert read(text).time_s.tolist() == [0.0, 2.0, 3.0]


def test_dates_that_could_be_read_in_two_ways_say_so(read: Reader) -> None:
    log = read(table("Time", ["03/04/2024 23:59:59", "03/05/2024 00:00:00"]))
    assert log.time_s.tolist() == [0.0, 1.0]
    assert "the month is taken to come first" in assumed(log)


def test_midnight_is_passed_once(read: Reader) -> None:
    log = read(table("Time", ["23:59:58", "23:59:59", "00:00:00", "00:00:01"]))
    assert log.time_s.tolist() == [0.0, 1.0, 2.0, 3.0]
    assert "passes midnight 1 time: a day is added" in assumed(log)
    assert log.trip_rows == (0,)


def test_a_clock_set_back_a_little_goes_on_after_the_usual_interval(read: Reader) -> None:
    log = read(table("Time", ["10:00:00.0", "10:00:00.5", "10:00:01.0", "10:00:00.2", "10:00:00.7"]))
    assert log.time_s.tolist() == pytest.approx([0.0, 0.5, 1.0, 1.5, 2.0])
    assert "steps back 1 time (first by 0.8 s at row 4)" in assumed(log)
    assert log.trip_rows == (0,)


def test_several_trips_in_one_file(read: Reader) -> None:
    clock = [str(t / 2) for t in range(20)] + [str(t / 2) for t in range(10)]
    log = read(table("Time (s)", clock))
    assert log.trip_rows == (0, 20)
    assert log.time_s.tolist() == pytest.approx((np.arange(30) * 0.5).tolist())
    assert not log.gaps
    assert "starts again 1 time" in assumed(log)


def test_whole_seconds_with_several_rows_in_each_are_spread(read: Reader) -> None:
    log = read(table("Run time (s)", [str(t // 4) for t in range(40)]))
    assert log.time_s.tolist() == pytest.approx((np.arange(40) * 0.25).tolist())
    assert "rows are spread evenly, about 0.25 s apart" in assumed(log)


def test_a_first_second_begun_before_the_first_row(read: Reader) -> None:
    """The first second holds two of its four rows: they are its last two."""
    log = read(table("Time (s)", [str((t + 2) // 4) for t in range(42)]))
    assert log.time_s.tolist() == pytest.approx((np.arange(42) * 0.25).tolist())


def test_a_clock_that_stands_still_before_the_engine_starts(read: Reader) -> None:
    """12 rows at 0 where two rows make a second: spaced at the usual half second."""
    clock = ["0"] * 12 + [str(1 + t // 2) for t in range(30)]
    log = read(table("Engine run time (s)", clock))
    assert log.time_s.tolist() == pytest.approx((np.arange(42) * 0.5).tolist())
    assert "stands still for much longer than usual" in assumed(log)


def test_whole_seconds_of_a_time_of_day(read: Reader) -> None:
    log = read(
        table(
            "Time", [f"23:59:{58 + t // 2:02d}" if t < 4 else f"00:00:{(t - 4) // 2:02d}" for t in range(10)]
        )
    )
    assert log.time_s.tolist() == pytest.approx((np.arange(10) * 0.5).tolist())


def test_run_time_serves_where_there_is_no_clock_and_stays_a_channel(read: Reader) -> None:
    text = "ENGINE_RUN_TINE (),RPM ()\n" + "".join(f"{i},{800 + i}\n" for i in range(5))
    log = read(text)
    assert log.channel("ENGINE_RUN_TINE ()").quantity == "run_time"
    assert log.time_s.tolist() == [0.0, 1.0, 2.0, 3.0, 4.0]


def test_a_column_of_zeros_called_time_is_no_clock(read: Reader) -> None:
    log = read("Time,Elapsed (s),RPM\n0,1.0,800\n0,1.5,810\n0,2.0,820\n")
    assert log.time_s.tolist() == [0.0, 0.5, 1.0]
    with pytest.raises(
        LogError,
        match=r"^The clock 'Time' of .* never moves on; say how many rows it wrote a second with --rate HZ\.$",
    ):
        read("Time,RPM\n0,800\n0,810\n0,820\n")


def test_no_clock_asks_for_a_rate_and_takes_it(read: Reader) -> None:
    text = "RPM,Coolant (°C)\n800,80\n810,81\n820,82\n"
    with pytest.raises(LogError, match="--rate HZ"):
        read(text)
    log = read(text, rate_hz=10)
    assert log.time_s.tolist() == pytest.approx([0.0, 0.1, 0.2])
    assert [c.quantity for c in log.channels] == ["engine_speed", "coolant_temp"]
    assert "10 a second, as --rate says" in assumed(log)


@pytest.mark.parametrize("rate", [0.0, -1.0, float("nan"), float("inf")])
def test_an_impossible_rate_is_refused(read: Reader, rate: float) -> None:
    with pytest.raises(InputError, match="Hz is not possible: give the rows written per second"):
        read("RPM\n800\n810\n820\n", rate_hz=rate)


def test_a_column_without_a_name_that_rises_serves_as_the_clock(read: Reader) -> None:
    log = read(",RPM\n0.0,800\n0.4,810\n0.8,820\n")
    assert log.time_s.tolist() == pytest.approx([0.0, 0.4, 0.8])
    assert "has no name and always rises: it is taken as the clock" in assumed(log)


def test_row_numbers_are_no_clock(read: Reader) -> None:
    with pytest.raises(LogError, match="--rate HZ"):
        read(",RPM\n0,800\n1,810\n2,820\n")


def test_gaps(read: Reader) -> None:
    """More than five row intervals, and more than 3 s."""
    clock = [0.0, 0.5, 1.0, 1.5, 4.4, 4.9, 5.4, 5.9, 12.0, 12.5]
    log = read(table("Time (s)", [str(t) for t in clock]))
    assert log.gaps == (Gap(5.9, 12.0),)


def test_time_never_falls_and_unreadable_clocks_are_reported(read: Reader) -> None:
    log = read(table("Time (s)", ["0.0", "0.5", "oops", "1.5", "2.0"]))
    assert log.time_s.tolist() == pytest.approx([0.0, 0.5, 1.0, 1.5, 2.0])
    assert (log.provenance.unreadable[0].line, log.provenance.unreadable[0].text) == (4, "oops")
    assert "1 row has no readable time" in assumed(log)


def test_the_fast_way_and_the_slow_way_read_the_same_times() -> None:
    """Second method: datetime.fromisoformat of the standard library."""
    rng = np.random.default_rng(4)
    stamps = np.sort(rng.uniform(1.6e9, 1.7e9, 500))
    texts = [datetime.fromtimestamp(s, UTC).strftime("%Y-%m-%d %H:%M:%S.%f") for s in stamps]
    expected = [datetime.fromisoformat(t).replace(tzinfo=UTC).timestamp() for t in texts]
    fast = clocks.fixed_width("".join(texts), len(texts), ClockKind.DATE_TIME)
    assert fast is not None
    assert fast.tolist() == pytest.approx(expected, abs=1e-6)
    slow = [clocks.date_time_s(t, DateOrder()) for t in texts]
    assert slow == pytest.approx(expected, abs=1e-6)


@pytest.mark.parametrize("text", ["25:61:00", "12:00", "13:00 pm", "8h", "", "12:00:61", "1:2:3:4:5"])
def test_what_is_no_time_of_day(text: str) -> None:
    expected = 43200.0 if text == "12:00" else None
    assert clocks.time_of_day_s(text) == expected


@pytest.mark.parametrize(
    "text", ["2024-02-30 10:00:00", "2024-13-01 10:00:00", "10:00:00", "yesterday 10:00:00"]
)
def test_what_is_no_date_and_time(text: str) -> None:
    assert clocks.date_time_s(text, DateOrder()) is None


def test_one_stray_value_of_the_clock_stretches_nothing(read: Reader) -> None:
    """The log would else be 3000 years long."""
    for stray in ("99999999999", "-99999999999"):
        log = read(table("Time (s)", ["0", "1", stray, "3", "4"]))
        assert log.time_s.tolist() == [0.0, 1.0, 2.0, 3.0, 4.0]
        assert "1 row has no readable time" in assumed(log)


def test_after_more_than_a_week_a_trip_of_its_own_follows(read: Reader) -> None:
    clock = ["2024-03-04 10:00:00", "2024-03-04 10:00:01", "2026-03-04 10:00:00", "2026-03-04 10:00:01"]
    log = read(table("Time", clock))
    assert log.time_s.tolist() == [0.0, 1.0, 2.0, 3.0]
    assert log.trip_rows == (0, 2)
    assert "leaps by more than a week 1 time (first at row 3)" in assumed(log)


@pytest.mark.parametrize("how", ["pairs", "one pair", "all"])
def test_rows_out_of_order_are_put_in_order_and_it_is_said(read: Reader, how: str) -> None:
    """The same rows however they stand; the clock is the witness."""
    order = np.arange(600)
    if how == "pairs":
        order = order.reshape(-1, 2)[:, ::-1].ravel()
    elif how == "one pair":
        order[[300, 301]] = order[[301, 300]]
    else:
        np.random.default_rng(5).shuffle(order)
    log = read("Time (s),RPM\n" + "".join(f"{0.5 * i:.1f},{800 + i}\n" for i in order.tolist()))
    assert len(log.trip_rows) == 1
    assert log.duration_s == 299.5
    assert log.channel("RPM").values.tolist() == [800.0 + i for i in range(600)]
    assert "do not stand in the order of 'Time (s)': they are put in its order." in assumed(log)


@pytest.mark.parametrize("rate_hz", [2.0, 2.5, 5.0, 10.0])
@pytest.mark.parametrize("how", ["some", "all"])
def test_rows_out_of_order_come_into_their_second(read: Reader, rate_hz: float, how: str) -> None:
    """A clock of whole seconds says of every row in which second it was written, and no more."""
    rows = int(300 * rate_hz)
    order, draw = np.arange(rows), np.random.default_rng(7)
    if how == "some":
        for at in draw.choice(rows // 10 - 1, 12, replace=False).tolist():
            block = slice(10 * at + 5, 10 * at + 15)
            order[block] = draw.permutation(order[block])
    else:
        draw.shuffle(order)
    log = read("Time (s),RPM\n" + "".join(f"{int(i / rate_hz)},{800 + i}\n" for i in order.tolist()))
    assert len(log.trip_rows) == 1
    assert log.duration_s == pytest.approx(rows / rate_hz, abs=1.0)
    written_s = (log.channel("RPM").values - 800) / rate_hz
    assert np.floor(written_s).tolist() == sorted(np.floor(written_s).tolist())
    assert np.abs(log.time_s - log.time_s[0] - written_s).max() < 2.0
    assert "It shows one time in several rows: which of these came first is taken from the file." in assumed(
        log
    )


@pytest.mark.parametrize("rate_hz", [2.0, 2.5, 5.0, 10.0])
@pytest.mark.parametrize("back_s", [1, 2, 3])
def test_a_clock_of_whole_seconds_that_is_set_back_is_no_shuffled_row(
    read: Reader, rate_hz: float, back_s: int
) -> None:
    """Set back in the middle of a second, it passes every second since then twice."""
    clock = [int(i / rate_hz) - back_s * (i >= 151 * rate_hz + 1) for i in range(int(300 * rate_hz))]
    log = read("Time (s),RPM\n" + "".join(f"{t},{800 + i}\n" for i, t in enumerate(clock)))
    assert log.channel("RPM").values.tolist() == [800.0 + i for i in range(len(clock))]
    assert log.duration_s == pytest.approx(300.0, abs=2.0)
    assert "put in its order" not in assumed(log)


@pytest.mark.parametrize("jitter_s", [0.0, 0.04])
def test_a_clock_that_is_set_back_is_no_shuffled_row(read: Reader, jitter_s: float) -> None:
    time_s = 0.5 * np.arange(600) + jitter_s * np.random.default_rng(6).random(600)
    time_s[300:] -= 2.0 + jitter_s
    log = read("Time (s),RPM\n" + "".join(f"{t:.3f},{800 + i}\n" for i, t in enumerate(time_s.tolist())))
    assert log.channel("RPM").values.tolist() == [800.0 + i for i in range(600)]
    assert "put in its order" not in assumed(log)


def test_a_clock_that_starts_again_is_no_shuffled_row(read: Reader) -> None:
    clock = [*range(200), *range(150), *range(80)]
    log = read("Time (s),RPM\n" + "".join(f"{t + 0.25 * (i > 199)},{800 + i}\n" for i, t in enumerate(clock)))
    assert len(log.trip_rows) == 3
    assert log.channel("RPM").values.tolist() == [800.0 + i for i in range(430)]
