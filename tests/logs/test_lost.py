"""Lost messages. Truth: zeros put here into otherwise steady channels."""

from collections.abc import Callable

import numpy as np

from coldsoak.logs.log import Log

Reader = Callable[..., Log]
ROWS = 400


def columns() -> dict[str, np.ndarray]:
    rng = np.random.default_rng(8)
    return {
        "Trans fluid temp (°C)": np.round(80 + np.cumsum(rng.normal(0, 0.05, ROWS))),
        "Turbine speed (rpm)": np.round(1500 + rng.normal(0, 30, ROWS)),
        "Gear": np.full(ROWS, 4.0),
        "Engine RPM (rpm)": np.round(1550 + rng.normal(0, 30, ROWS)),
        "Pedal (%)": np.round(15 + rng.normal(0, 3, ROWS).clip(-5, 5)),
    }


def csv(table: dict[str, np.ndarray]) -> str:
    lines = ["Time (s)," + ",".join(table)]
    lines += [f"{i / 10:.1f}," + ",".join(f"{c[i]:g}" for c in table.values()) for i in range(ROWS)]
    return "\n".join(lines) + "\n"


def test_channels_of_one_control_unit_that_drop_together_for_one_sample(read: Reader) -> None:
    for zero in (-40.0, 0.0):
        table = columns()
        table["Trans fluid temp (°C)"][100] = zero
        table["Turbine speed (rpm)"][100] = 0.0
        table["Gear"][100] = 0.0
        log = read(csv(table))
        for name in ("Trans fluid temp (°C)", "Turbine speed (rpm)", "Gear"):
            channel = log.channel(name)
            assert channel.lost_rows.tolist() == [100]
            assert np.isnan(channel.values[100])
            assert 100 not in channel.reading_rows
            assert channel.count == ROWS - 1
        assert not len(log.channel("Engine RPM (rpm)").lost_rows)
        assert any("1 lost message (first at row 101)" in a for a in log.provenance.assumed)


def test_a_temperature_that_drops_alone_is_a_reading(read: Reader) -> None:
    table = columns()
    table["Trans fluid temp (°C)"][[50, 100, 150]] = -40.0
    log = read(csv(table))
    assert not any(len(c.lost_rows) for c in log.channels)
    assert log.channel("Trans fluid temp (°C)").values[100] == -40.0


def test_pedal_and_load_at_zero_are_no_lost_message(read: Reader) -> None:
    table = columns()
    table["Load (%)"] = np.full(ROWS, 30.0)
    table["Pedal (%)"][100] = table["Load (%)"][100] = 0.0
    assert not any(len(c.lost_rows) for c in read(csv(table)).channels)


def test_a_stop_is_no_lost_message(read: Reader) -> None:
    table = columns()
    for name in ("Turbine speed (rpm)", "Engine RPM (rpm)", "Gear"):
        table[name][100:160] = 0.0
    assert not any(len(c.lost_rows) for c in read(csv(table)).channels)


def test_in_polled_channels_the_drop_follows_the_polling(read: Reader) -> None:
    table = columns()
    held = {}
    for phase, (name, values) in enumerate(table.items()):
        asked = np.maximum((np.arange(ROWS) - phase) // 5 * 5 + phase, 0)
        held[name] = values[asked]
    held["Trans fluid temp (°C)"][200:205] = -40.0
    held["Turbine speed (rpm)"][201:206] = 0.0
    log = read(csv(held))
    assert log.channel("Trans fluid temp (°C)").lost_rows.tolist() == list(range(200, 205))
    assert log.channel("Turbine speed (rpm)").lost_rows.tolist() == list(range(201, 206))
    assert np.isnan(log.channel("Turbine speed (rpm)").values[203])


def test_blanks_between_readings(read: Reader) -> None:
    table = columns()
    lines = ["Time (s)," + ",".join(table)]
    table["Trans fluid temp (°C)"][200] = -40.0
    table["Turbine speed (rpm)"][200] = 0.0
    for i in range(0, ROWS, 2):
        lines.append(f"{i / 10:.1f}," + ",".join(f"{c[i]:g}" for c in table.values()))
        lines.append(f"{(i + 1) / 10:.1f},,,,,{i}")
    log = read("\n".join(lines) + "\n")
    assert log.channel("Trans fluid temp (°C)").lost_rows.tolist() == [200]
    assert 200 not in log.channel("Turbine speed (rpm)").reading_rows
