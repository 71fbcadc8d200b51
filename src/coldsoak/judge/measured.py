"""What was measured beside the log: results of the trade's tests, the sensor on the bench, pairs of temperatures."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from coldsoak.judge.circuit.bench import BenchCheck, bench_evidence
from coldsoak.judge.circuit.inversion_values import Inversion

THERMOMETER = "thermometer"
"""The test, by its name in trade_tests.toml, that a reading beside a thermometer is."""


@dataclass(frozen=True)
class Measured:
    """Everything that was measured on the channel in question, as plain values."""

    results: Mapping[str, str] = field(default_factory=dict)
    bench: BenchCheck | None = None
    circuit: Inversion | None = None

    def __bool__(self) -> bool:
        return bool(self.results) or self.bench is not None or self.circuit is not None

    @property
    def evidence(self) -> dict[str, str]:
        """Return what the ranking of causes takes: a result that was typed counts before one that was worked out."""
        found = bench_evidence(self.bench) if self.bench else {}
        if self.circuit is not None and self.circuit.beside is not None:
            found[THERMOMETER] = self.circuit.beside
        return {**found, **self.results}

    @property
    def beside_the_bench(self) -> "Measured":
        """Everything but the resistances of the sensor."""
        return replace(self, bench=None)
