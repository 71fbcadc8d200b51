"""From a log to what prove takes, on practice vehicles whose truth is known."""

import pytest

from coldsoak.judge.judge import judge
from coldsoak.practice.faults.contact import OpenCircuit
from coldsoak.practice.faults.element import Offset
from coldsoak.practice.run import PracticeRun, simulate
from coldsoak.prove import Proof, Seen, load_assumptions, prove
from coldsoak.shop.desk.seen import _see


def seen(run: PracticeRun) -> Seen:
    return _see(run.log, judge(run.log), run.log.of_quantity("fluid_temp")[0].name)


def run(drive_seed: int, **fault: object) -> PracticeRun:
    return simulate(
        "cold_soak",
        seed=1,
        drive_seed=drive_seed,
        duration_s=1200.0,
        rate_hz=2.0,
        **fault,  # type: ignore[arg-type]
    )


def proof(before: Seen, after: PracticeRun) -> Proof:
    return prove([before], [seen(after)], load_assumptions())


@pytest.fixture(scope="module")
def low() -> Seen:
    return seen(run(1, fault=Offset(-20.0)))


def test_a_sensor_that_reads_low_from_the_start_stands(low: Seen) -> None:
    """Truth of the practice vehicle: 20 K low all the time. The first minute, below what can be, is no episode."""
    assert low.doubted
    assert low.soak is not None
    assert low.soak.low
    assert low.spells == ()


@pytest.mark.parametrize(("offset_k", "verdict"), [(0.0, "proven"), (-20.0, "back")])
def test_it_is_proven_when_it_agrees_and_back_when_it_does_not(
    low: Seen, offset_k: float, verdict: str
) -> None:
    after = run(2, fault=Offset(offset_k)) if offset_k else run(2)
    said = proof(low, after)
    assert (said.verdict, said.fault, said.drive_more_s) == (verdict, "standing", None)


def test_a_circuit_open_at_the_start_that_jumps_back_is_an_episode() -> None:
    """Truth: the wire is off for the first 40 s, then on again; that comes and goes."""
    opened = seen(run(1, fault=OpenCircuit(((0.0, 40.0),))))
    assert any(spell.start_s < 1.0 for spell in opened.spells)
