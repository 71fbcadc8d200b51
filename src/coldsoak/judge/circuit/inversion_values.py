"""What the circuit inversion takes and gives."""

from typing import Literal

from pydantic import Field

from coldsoak.value import Value

Explanation = Literal["agrees", "series", "leakage", "both", "unexplained"]
Beside = Literal["agrees", "reads_low", "reads_high"]
ModelKind = Literal["none", "series", "leakage", "both"]


class Pair(Value):
    """A reading and the true temperature at that moment [degC], with the standard uncertainty of the latter [K]."""

    reading_c: float = Field(allow_inf_nan=False)
    true_c: float = Field(allow_inf_nan=False)
    true_u_k: float = Field(gt=0, allow_inf_nan=False)


class Limits(Value):
    """A value with its 95 % limits; the upper one is infinity where the readings set none [ohm]."""

    value_ohm: float
    low_ohm: float
    high_ohm: float


class CircuitModel(Value):
    """One explanation fitted to the pairs; `chi2` over `freedom` degrees, `p_value` None where none is left."""

    kind: ModelKind
    series: Limits | None
    leakage: Limits | None
    chi2: float
    freedom: int
    p_value: float | None


class Inversion(Value):
    """What explains the readings, every model that was fitted, and the sentence that says so.

    `beside` is what the readings show beside the thermometer, as a result of that test; None in what was kept before it
    was worked out.
    """

    explanation: Explanation
    models: tuple[CircuitModel, ...]
    decided: bool
    extrapolated: bool
    sentence: str
    beside: Beside | None = None

    @property
    def said(self) -> str:
        """The sentence as it stands by itself."""
        return f"Beside the thermometer it {self.sentence}."

    def model(self, kind: ModelKind) -> CircuitModel | None:
        """Return one of the fitted models; None where it is impossible for these readings."""
        return next((model for model in self.models if model.kind == kind), None)

    def __str__(self) -> str:
        return self.sentence
