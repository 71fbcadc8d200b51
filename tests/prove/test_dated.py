"""A log that is older than the one from before is no log from after the repair."""

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest
from tests.prove.drives import drive

from coldsoak.logs.read import read_log
from coldsoak.prove import Seen, load_assumptions, prove

SIX = (200.0, 500.0, 800.0, 1100.0, 1400.0, 1700.0)


def on(seen: Seen, stamp: str | None) -> Seen:
    began_s = None if stamp is None else datetime.fromisoformat(stamp).replace(tzinfo=UTC).timestamp()
    return replace(seen, log=replace(seen.log, began_s=began_s))


@pytest.mark.parametrize(
    ("first", "second", "verdict"),
    [
        ("2027-03-30T08:00", "2027-03-31T08:00", "proven"),
        ("2027-03-30T08:00", "2027-03-30T07:00", "not_proven"),
        ("2027-03-30T08:00", None, "proven"),
        (None, "2027-03-30T07:00", "proven"),
    ],
)
def test_an_older_log_after_the_repair_holds_back(
    first: str | None, second: str | None, verdict: str
) -> None:
    found = prove(
        [on(drive("before.csv", 1800.0, SIX), first)],
        [on(drive("after.csv", 3600.0), second)],
        load_assumptions(),
    )
    assert found.verdict == verdict
    if verdict == "not_proven":
        assert "after.csv is dated 2027-03-30 07:00, earlier than before.csv" in found.sentence


def test_two_kinds_of_logger_may_keep_the_time_of_two_zones() -> None:
    """UTC+14 is the farthest zone (IANA time zone data), so less than 14 h says nothing then."""
    other = drive("after.csv", 3600.0, vehicle_speed=50.0)
    before = on(drive("before.csv", 1800.0, SIX), "2027-03-30T20:00")
    assert prove([before], [on(other, "2027-03-30T07:00")], load_assumptions()).verdict == "proven"
    assert prove([before], [on(other, "2027-03-30T05:00")], load_assumptions()).verdict == "not_proven"


@pytest.mark.parametrize(
    ("clock", "began"),
    [
        ([f"2027-03-30 08:00:{n:02d}.000" for n in range(20)], "2027-03-30T08:00:00"),
        ([f"{1806393600 + n}" for n in range(20)], "2027-03-30T08:00:00"),
        ([f"08:00:{n:02d}.000" for n in range(20)], None),
        ([f"{n}.5" for n in range(20)], None),
        ([f"{46476.3 + n / 86400:.6f}" for n in range(20)], None),  # days of a spreadsheet
    ],
)
def test_the_date_comes_from_the_clock_of_the_log(
    tmp_path: Path, clock: list[str], began: str | None
) -> None:
    """By hand: 1806393600 s after 1970 is 2027-03-30 08:00 UTC (datetime of the standard library)."""
    path = tmp_path / "log.csv"
    rows = [f"{at};{50 + n % 3}" for n, at in enumerate(clock)]
    path.write_text("\n".join(["Time;Fluid temperature [°C]", *rows]) + "\n", "utf-8")
    found = read_log(path).began_s
    if began is None:
        assert found is None
    else:
        assert found is not None
        assert np.isclose(found, datetime.fromisoformat(began).replace(tzinfo=UTC).timestamp(), atol=1.5)
