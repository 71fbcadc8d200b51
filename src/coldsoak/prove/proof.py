"""What prove returns: a frozen value that prints itself, goes to JSON and comes back equal."""

from typing import Annotated, Any, Literal

from pydantic import AfterValidator, Field

from coldsoak.prove.assumptions import Assumptions
from coldsoak.prove.seen import Band
from coldsoak.value import Value

Verdict = Literal["proven", "not_proven", "back"]
Fault = Literal["comes_and_goes", "standing", "none"]

# Six digits are more than any of it is known to, and few enough to be the same on every machine.
Number = Annotated[float, AfterValidator(lambda value: float(f"{value:.6g}"))]


class Event(Value):
    """One independent episode: in which file, when [s from its first row], which way.

    `at_s` is where it lies when all logs of this side are laid end to end.
    """

    file: str
    start_s: Number
    end_s: Number
    kind: str
    at_s: Number


class Driven(Value):
    """What was observed on one side of the repair.

    `exposure_s` counts where the fault used to appear, `elsewhere_s` the rest of what was observed, `unlike_s` what was
    driven as it never was before the repair and says nothing therefore. `episodes` are independent ones,
    `episodes_there` those of them where the fault used to appear, `found` all that judge found. Warm-ups and distance are None where the logs
    do not tell them.
    """

    files: tuple[str, ...]
    sha256: tuple[str, ...]
    logged_s: Number
    exposure_s: Number
    elsewhere_s: Number
    unlike_s: Number
    episodes: int
    episodes_there: int
    found: int
    warm_ups: int | None
    distance_km: Number | None
    events: tuple[Event, ...] = ()


class Stretch(Value):
    """A part of the timeline: seconds of log, whether it counts as where the fault used to appear."""

    start_s: Number
    end_s: Number
    there: bool


class Evidence(Value):
    """The count behind the verdict, by exact methods; rates are per hour where the fault used to appear.

    `conditional_p` are the odds that chance alone puts so few of all episodes after the repair (conditional binomial
    test), `rate_after_upper_per_h` and the limits of the rate before are Garwood's at 95 %, `silence` the odds that a
    fault that is still there keeps so quiet, `seen_share` the smallest share of its old rate that would have shown with
    95 %, `sequential` what Wald's test of the old rate against a tenth of it says by now.
    """

    rate_before_per_h: Number
    rate_before_low_per_h: Number
    rate_before_high_per_h: Number
    rate_after_upper_per_h: Number | None
    expected_after: Number
    conditional_p: Number | None
    silence: Number
    seen_share: Number | None
    log_likelihood_ratio: Number
    sequential: Literal["still_there", "gone", "open"]


class Point(Value):
    """How the chance fell: time where the fault used to appear [s], chance that it is still there."""

    exposure_s: Number
    chance: Number


class Possible(Value):
    """A condition of failure that is thought possible, in words, and its weight."""

    words: str
    weight: Number


class Trouble(Value):
    """Something the logs after the repair show that those before did not."""

    channel: str
    sentence: str


class Monitor(Value):
    """One self-check of the vehicle, from the standard monitor status."""

    name: str
    complete: bool


class Readiness(Value):
    """The standard monitor status (service 01, PID 01), of the monitors that the vehicle supports."""

    lamp_on: bool
    stored_codes: int
    ignition: Literal["spark", "compression"]
    monitors: tuple[Monitor, ...]

    @property
    def open_monitors(self) -> tuple[str, ...]:
        """Names of those that have not run to their end since the codes were cleared."""
        return tuple(monitor.name for monitor in self.monitors if not monitor.complete)


class Codes(Value):
    """Trouble codes before and after, None where nobody read them, and what they mean for the verdict.

    `counted` is how many stored codes the log after the repair counts, `cleared` whether its counters say that codes were
    cleared since the log before; None where no log tells. `stale` are stored codes that nobody cleared.
    """

    before: tuple[str, ...] | None = None
    after: tuple[str, ...] | None = None
    pending: tuple[str, ...] | None = None
    readiness: Readiness | None = None
    back: tuple[str, ...] = ()
    new: tuple[str, ...] = ()
    stale: tuple[str, ...] = ()
    counted: int | None = None
    cleared: bool | None = None
    sentences: tuple[str, ...] = ()


class SoakPair(Value):
    """Cold soaks before and after: how far the channel was off its neighbours [K], None where no log began cold."""

    before_k: Number | None
    after_k: tuple[Number, ...]
    tolerance_k: Number


class Proof(Value):
    """Whether a fault is fixed, back, or has only not shown itself yet.

    `growth` is how the chance fell over the drive up to its first episode, `ahead` how it will go on falling if none
    comes. `possible` are the likeliest of the conditions that the chance is averaged over.
    """

    schema_: Literal["coldsoak.proof/1"] = Field(default="coldsoak.proof/1", alias="schema")
    verdict: Verdict
    episodes_before: int
    exposure_before_s: Number
    episodes_after: int
    exposure_after_s: Number
    chance_still_there: Number
    drive_more_s: Number | None
    sentence: str
    next_step: str
    channel: str
    quantity: str
    fault: Fault
    where: tuple[Band, ...]
    where_words: str
    before: Driven
    after: Driven
    timeline_before: tuple[Stretch, ...] = ()
    timeline_after: tuple[Stretch, ...] = ()
    evidence: Evidence | None = None
    possible: tuple[Possible, ...] = ()
    growth: tuple[Point, ...] = ()
    ahead: tuple[Point, ...] = ()
    soak: SoakPair | None = None
    circuit: str | None = None
    codes: Codes = Codes()
    new_troubles: tuple[Trouble, ...] = ()
    held_back: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    road_test: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    assumptions: Assumptions

    def to_json(self) -> str:
        """Return the proof as one line of JSON."""
        return self.model_dump_json(by_alias=True)

    @classmethod
    def from_json(cls, text: str) -> "Proof":
        """Return the proof that `to_json` wrote."""
        return cls.model_validate_json(text)

    def to_dict(self) -> dict[str, Any]:
        """Return the proof as plain values."""
        return self.model_dump(by_alias=True, mode="json")

    def __str__(self) -> str:
        return f"{self.sentence} {self.next_step}".strip()
