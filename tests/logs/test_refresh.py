"""How often a logger really asked. Truth: the logs are made here by asking every n-th row and holding the value."""

from collections.abc import Callable

import numpy as np
import pytest

from coldsoak.logs.log import Log

Reader = Callable[..., Log]
ROWS = 2000
FAST = ["Engine RPM (rpm)", "MAP (kPa)", "MAF (g/s)", "Throttle (%)"]


def signals(rng: np.random.Generator, rows: int) -> dict[str, np.ndarray]:
    t = np.arange(rows) * 0.1
    return {
        "Engine RPM (rpm)": np.round(1800 + 700 * np.sin(t / 3) + rng.normal(0, 40, rows)),
        "MAP (kPa)": np.round(60 + 25 * np.sin(t / 2.2) + rng.normal(0, 4, rows)),
        "MAF (g/s)": np.round(20 + 9 * np.sin(t / 2.6) + rng.normal(0, 2, rows), 2),
        "Throttle (%)": np.round(25 + 15 * np.sin(t / 1.7) + rng.normal(0, 2, rows), 1),
        "Coolant temp (°C)": np.round(90 - 70 * np.exp(-t / 60)),
        "Ambient temp (°C)": np.full(rows, 17.0),
    }


def held(values: np.ndarray, every: int, phase: int) -> tuple[np.ndarray, list[int]]:
    asked = list(range(phase, len(values), every))
    out = np.full(len(values), np.nan)
    for a, b in zip(asked, [*asked[1:], len(values)], strict=True):
        out[a:b] = values[a]
    return out, asked


def csv(columns: dict[str, np.ndarray], time_s: np.ndarray | None = None) -> str:
    rows = len(next(iter(columns.values())))
    time_s = np.arange(rows) * 0.1 if time_s is None else time_s
    lines = ["Time (s)," + ",".join(columns)]
    for i in range(rows):
        cells = ("" if np.isnan(c[i]) else f"{c[i]:g}" for c in columns.values())
        lines.append(f"{time_s[i]:.2f}," + ",".join(cells))
    return "\n".join(lines) + "\n"


@pytest.mark.parametrize("every", [2, 3, 6, 10, 20, 40])
def test_channels_polled_in_turn_and_held(read: Reader, every: int) -> None:
    truth = signals(np.random.default_rng(1), 200 * every)
    columns, asked = {}, {}
    for phase, (name, values) in enumerate(truth.items()):
        columns[name], asked[name] = held(values, every, phase % every)
    log = read(csv(columns))
    for name in truth:
        channel = log.channel(name)
        assert channel.refresh_s == pytest.approx(0.1 * every, rel=0.02), name
        got, wanted = set(channel.reading_rows.tolist()), set(asked[name])
        if name in FAST:
            assert len(got ^ wanted) <= 0.02 * len(wanted), name
        assert len(got) == pytest.approx(len(wanted), rel=0.03), name


def test_every_row_new(read: Reader) -> None:
    columns = signals(np.random.default_rng(2), ROWS)
    log = read(csv(columns))
    for channel in log.channels:
        assert channel.reading_rows.tolist() == list(range(ROWS)), channel.name
        assert channel.refresh_s == pytest.approx(0.1)


def test_a_slow_ramp_that_is_read_in_every_row_is_not_taken_as_held(read: Reader) -> None:
    """One degree every ten rows, like clockwork: the change pattern alone would look like polling."""
    rows = np.arange(ROWS)
    log = read(
        csv({"Coolant temp (°C)": 20.0 + rows // 10 % 80, "Engine RPM (rpm)": 800.0 + rows // 5 % 200})
    )
    assert [len(c.reading_rows) for c in log.channels] == [ROWS, ROWS]


def test_channels_of_different_pace(read: Reader) -> None:
    """Engine speed is new in every row, so nothing says that the coolant is held: rather too many readings than too few."""
    truth = signals(np.random.default_rng(3), ROWS)
    slow, _ = held(truth["MAP (kPa)"], 10, 0)
    log = read(
        csv(
            {
                "Engine RPM (rpm)": truth["Engine RPM (rpm)"],
                "MAP (kPa)": slow,
                "Coolant temp (°C)": truth["Coolant temp (°C)"],
            }
        )
    )
    assert [len(c.reading_rows) for c in log.channels] == [ROWS, ROWS // 10, ROWS]


def test_a_change_is_always_a_reading_wherever_it_falls(read: Reader) -> None:
    truth = signals(np.random.default_rng(4), ROWS)
    columns = {name: held(values, 10, 0)[0] for name, values in truth.items()}
    columns["Coolant temp (°C)"][1003:] += 7.0
    assert 1003 in read(csv(columns)).channel("Coolant temp (°C)").reading_rows


def test_blanks_between_readings(read: Reader) -> None:
    truth = signals(np.random.default_rng(5), ROWS)
    columns = {}
    for phase, (name, values) in enumerate(truth.items()):
        columns[name] = np.full(ROWS, np.nan)
        columns[name][phase::6] = values[phase::6]
    log = read(csv(columns))
    for phase, channel in enumerate(log.channels):
        assert channel.reading_rows.tolist() == list(range(phase, ROWS, 6)), channel.name
        assert channel.refresh_s == pytest.approx(0.6)
        assert channel.count == len(range(phase, ROWS, 6))


def test_after_a_gap_held_values_are_no_readings_until_they_refresh(read: Reader) -> None:
    truth = signals(np.random.default_rng(6), ROWS)
    columns = {name: held(values, 10, phase)[0] for phase, (name, values) in enumerate(truth.items())}
    time_s = np.arange(ROWS) * 0.1
    time_s[1000:] += 60.0
    for phase, name in enumerate(truth):
        columns[name][1000 : 1000 + phase] = columns[name][999]
    log = read(csv(columns, time_s))
    assert [(g.start_s, g.end_s) for g in log.gaps] == [pytest.approx((99.9, 160.0))]
    for phase, name in enumerate(FAST):
        after = [r for r in log.channel(name).reading_rows.tolist() if r >= 1000]
        assert after[0] == 1000 + phase or phase == 0, name
    quiet = log.channel("Ambient temp (°C)").reading_rows
    assert not [r for r in quiet.tolist() if 1000 <= r < 1010]
    assert next(r for r in quiet.tolist() if r >= 1010) == 1010
    assert log.channel("Ambient temp (°C)").refresh_s == pytest.approx(1.0, rel=0.02)


@pytest.mark.parametrize(("step", "places"), [(1.0, 0), (0.25, 2), (0.1, 1)])
def test_resolution(read: Reader, step: float, places: int) -> None:
    values = np.random.default_rng(7).integers(0, 50, 300) * step
    rows = "".join(f"{i},{v:.{places}f}\n" for i, v in enumerate(values))
    assert read("Time (s),Probe temp (°C)\n" + rows).channels[0].resolution == pytest.approx(step)


def test_a_channel_that_never_moves_has_no_resolution(read: Reader) -> None:
    assert read("Time (s),Probe (°C)\n0,5\n1,5\n2,5\n").channels[0].resolution == 0.0
