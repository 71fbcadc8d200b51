"""What judge returns: frozen values that print themselves, go to JSON and come back equal."""

from typing import Any, Literal

from pydantic import Field

from coldsoak.channel_order import place
from coldsoak.judge.circuit.bench import BenchCheck
from coldsoak.judge.circuit.inversion_values import Inversion
from coldsoak.judge.explain.inference import RankedCause
from coldsoak.judge.explain.next_test import ProposedTest
from coldsoak.judge.explain.when import Condition
from coldsoak.logs.names import bare_name
from coldsoak.value import Value

Verdict = Literal["believable", "not_believable", "undecided"]
Kind = Literal["toward_open", "toward_short", "both", "frozen"]


class LogStamp(Value):
    """Which log was judged, and what had to be assumed of its times."""

    file: str
    sha256: str
    rows: int
    duration_s: float
    assumed: tuple[str, ...] = ()


class Episode(Value):
    """A stretch of time in which a reading cannot be true.

    `needed_w` is the heat flow that the movement would have taken, `available_w` what the machine could give
    or take at that moment; both are None where no heat flow is involved (a frozen reading, say).
    """

    start_s: float
    end_s: float
    kind: Kind
    sentence: str
    needed_w: float | None = None
    available_w: float | None = None

    def __str__(self) -> str:
        return f"{self.start_s:.1f} s to {self.end_s:.1f} s: {self.sentence}"


class ChannelJudgement(Value):
    """The verdict on one temperature channel.

    `causes` are ranked by probability, `tests` by what they are expected to tell per minute of work; `next_test` says
    the first of them, what to record, or what to do about a cause that is known well enough. `fails_when` holds the
    conditions that go with the episodes, `bench` and `circuit` what was measured beside the log, `assumed` what had to be
    assumed of its unit.
    """

    name: str
    quantity: str
    refresh_s: float | None
    verdict: Verdict
    sentence: str
    episodes: tuple[Episode, ...] = ()
    causes: tuple[RankedCause, ...] = ()
    next_test: str | None = None
    tests: tuple[ProposedTest, ...] = ()
    fails_when: tuple[Condition, ...] = ()
    bench: BenchCheck | None = None
    circuit: Inversion | None = None
    assumed: tuple[str, ...] = ()
    is_truly_hot: bool = Field(
        default=False, description="it is believed, and is hot enough to look for what makes the heat"
    )

    @property
    def measured(self) -> tuple[str, ...]:
        """What was measured beside the log, in sentences."""
        return tuple(
            sentence
            for sentence in (
                self.bench.sentence if self.bench is not None else None,
                self.circuit.said if self.circuit is not None else None,
            )
            if sentence is not None
        )

    @property
    def place(self) -> tuple[int, int, int]:
        """The place among the channels of a log in the order in which they matter, the first one least."""
        return place(self.verdict, self.quantity, len(self.episodes), len(self.causes))

    @property
    def title(self) -> str:
        """The name for people: as found, without the unit in brackets at its end.

        >>> ChannelJudgement(name="Oil [Â°C]", quantity="oil_temp", refresh_s=1, verdict="undecided", sentence="").title
        'Oil'
        """
        return bare_name(self.name)

    def __str__(self) -> str:
        return f"{self.title}: {self.verdict.replace('_', ' ')}. {self.sentence}"


class Judgement(Value):
    """The verdict on every temperature channel of one log."""

    schema_: Literal["coldsoak.judgement/1"] = Field(default="coldsoak.judgement/1", alias="schema")
    log: LogStamp
    channels: tuple[ChannelJudgement, ...]

    def to_json(self) -> str:
        """Return the judgement as one line of JSON."""
        return self.model_dump_json(by_alias=True)

    @classmethod
    def from_json(cls, text: str) -> "Judgement":
        """Return the judgement that `to_json` wrote."""
        return cls.model_validate_json(text)

    def to_dict(self) -> dict[str, Any]:
        """Return the judgement as plain values."""
        return self.model_dump(by_alias=True, mode="json")

    def __str__(self) -> str:
        return "\n".join([self.log.file, *(f"  {channel}" for channel in self.channels)])
