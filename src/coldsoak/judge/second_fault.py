"""A sensor that is far off its curve: it is the fault, or one of two where the log shows another that it does not explain."""

from collections.abc import Sequence
from dataclasses import replace

from coldsoak.judge.circuit.bench import BenchCheck, BenchResult, off
from coldsoak.judge.explain.causes import NO_FAULT, with_priors
from coldsoak.judge.explain.inference import RankedCause, percent
from coldsoak.judge.explain.trade_tests import Knowledge

SENSOR = "sensor"
SLIP = 0.01
ODDS = {
    "high": {SENSOR: 0.10, "contact": 0.02},
    "low": {SENSOR: 0.10, "leakage": 0.20, "short_to_ground": 0.30},
}
"""How likely each cause makes the resistance at the sensor's own connector so wrong; SLIP of all others.

Common practice, no source: with the plug apart no contact of the harness is in it, but for one in the sensor's own leads; fluid
or a pinched wire on its side lies beside the element and only lowers it; one in a hundred reads the meter in a wrong range.
"""
EXPLAINS = {"high": (SENSOR,), "low": (SENSOR, "leakage", "short_to_ground")}


def far_off(bench: BenchCheck | None, knowledge: Knowledge) -> BenchResult | None:
    """Return the first resistance that is far off the curve; None without one, or where the shop's list has no sensor."""
    if bench is None or SENSOR not in knowledge.causes.names:
        return None
    return next((result for result in bench.results if result.far), None)


def by_meter(knowledge: Knowledge, result: BenchResult) -> Knowledge:
    """Return the knowledge after such a resistance: each cause as likely as before times its odds."""

    def made() -> Knowledge:
        table = knowledge.causes
        weight = [
            prior * ODDS[result.state].get(name, SLIP)
            for name, prior in zip(table.names, table.prior.tolist(), strict=True)
        ]
        priors = {name: one / sum(weight) for name, one in zip(table.names, weight, strict=True)}
        return replace(knowledge, causes=with_priors(table, priors))

    return knowledge.once(("by meter", result.state), made)


def explains(cause: RankedCause, result: BenchResult) -> bool:
    """Whether a cause makes the resistance at the sensor's own connector so wrong."""
    return cause.cause in EXPLAINS[result.state]


def with_reasons(causes: Sequence[RankedCause], result: BenchResult) -> tuple[RankedCause, ...]:
    """Return the causes with the meter as the reason of those that it speaks for."""
    reason = f"at its own connector {_reads(result)}, far beyond its tolerance"
    return tuple(
        one.model_copy(update={"reason": reason}) if explains(one, result) else one for one in causes
    )


def both_stand(result: BenchResult, causes: Sequence[RankedCause]) -> str:
    """Say what the log shows and what the meter shows, each with what to do; `causes` are those of the log."""
    top = causes[0] if causes else None
    if top is None or top.cause == NO_FAULT:
        by_log = "The log shows no fault, the meter does"
    else:
        by_log = f"Two faults stand. By the log {top.label} ({percent(top.probability)})"
    return (
        f"{by_log}; by the meter the sensor: at its own connector, where no contact of the harness is in it, "
        f"{_reads(result)}. Measure it once more, unit and temperature too; if it stays so, renew the sensor as well."
    )


def _reads(result: BenchResult) -> str:
    return f"it reads {off(result.off_k)}" if result.off_k is not None else "it stands for no temperature"
