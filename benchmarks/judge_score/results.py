"""What is kept of each case: what was said of its channels, and how long it took."""

from dataclasses import dataclass, field

from .cases import Case


@dataclass(frozen=True)
class Channel:
    """What was said of one channel; `scores` by detector (empty where only judge was asked)."""

    quantity: str
    verdict: str
    causes: tuple[tuple[str, float], ...] = ()
    scores: dict[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class Result:
    """One case: the channel at fault (if any), the healthy ones, and how long each method took [s].

    `cause_kind` is what a ranking of causes is held against; `seconds` also counts the channels that detectors scored.
    """

    case: Case
    cause_kind: str
    hours: float
    faulty: Channel | None
    healthy: tuple[Channel, ...]
    seconds: dict[str, float]
