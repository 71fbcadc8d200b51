"""A sensor that is off its curve beside a fault that the log shows: where both are supported, both stand."""

from collections.abc import Sequence

from coldsoak.judge.circuit.bench import BenchCheck, BenchResult, off
from coldsoak.judge.explain.causes import NO_FAULT
from coldsoak.judge.explain.inference import RankedCause, percent

EXPLAINS = {"high": ("sensor",), "low": ("sensor", "leakage", "short_to_ground")}
"""What makes a resistance at the sensor's own connector so wrong: common practice, no source.

Its plug is apart there, so that no contact of the harness is in it; fluid or a pinched wire on the sensor's side lies beside
the element and only lowers it.
"""


def second_fault(causes: Sequence[RankedCause], bench: BenchCheck | None) -> BenchResult | None:
    """Return the resistance that is far off the curve while the likeliest cause is none that explains it; else None."""
    far = [result for result in bench.results if result.far] if bench is not None else []
    return next((one for one in far if causes and causes[0].cause not in EXPLAINS[one.state]), None)


def both_stand(result: BenchResult, causes: Sequence[RankedCause]) -> str:
    """Say what the log shows and what the meter shows, each with what to do; `causes` are those of the log."""
    top = causes[0] if causes else None
    if top is None or top.cause == NO_FAULT:
        by_log = "The log shows no fault, the meter does"
    else:
        by_log = f"Two faults stand. By the log {top.label} ({percent(top.probability)})"
    reads = f"it reads {off(result.off_k)}" if result.off_k is not None else "it stands for no temperature"
    return (
        f"{by_log}; by the meter the sensor: at its own connector, where no contact of the harness is in it, {reads}. Measure "
        "it once more, unit and temperature too; if it stays so, renew the sensor as well."
    )
