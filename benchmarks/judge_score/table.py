"""The results as tables in Markdown."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from .cases import AIR, LIQUIDS
from .kinds import FAST, GROUPS, HEALTHY, KINDS, LOST, ODD, SLOW, STUCK, UNSURE
from .results import Channel, Result
from .score import Confusion, best_threshold, confusion, share, silent_threshold

SOUND = (HEALTHY, ODD)
DECIDABLE = (FAST, STUCK, SLOW)


@dataclass(frozen=True)
class Aim:
    """One aim, what was reached (NaN where nothing was measured) and whether that is good enough."""

    text: str
    reached: float
    good: Callable[[float], bool]

    @property
    def missed(self) -> bool:
        """Whether it was measured and is not reached."""
        return not np.isnan(self.reached) and not self.good(self.reached)


class Tally:
    """The results of one source of logs (practice or real), ready to be asked."""

    def __init__(self, results: Sequence[Result]) -> None:
        self.results = results
        self.faulty = [(r.case.kind, r.case.group, r.faulty) for r in results if r.faulty]
        # Healthy channels of logs without a fault: what thresholds are chosen on.
        self.sound = [c for r in results if r.case.kind in SOUND for c in r.healthy]

    def verdicts(self, kinds: Sequence[str], verdict: str) -> tuple[int, int]:
        """Return how many faulty channels of these kinds or groups got the verdict, and how many there are."""
        of = [c for kind, group, c in self.faulty if kind in kinds or group in kinds]
        return sum(c.verdict == verdict for c in of), len(of)

    def healthy(self, case_kinds: Sequence[str], quantities: Sequence[str] = LIQUIDS + AIR) -> list[Channel]:
        """Return the healthy channels of logs of these kinds."""
        return [
            c
            for r in self.results
            if r.case.kind in case_kinds
            for c in r.healthy
            if c.quantity in quantities
        ]

    @property
    def methods(self) -> list[str]:
        """Names of the detectors."""
        return list(dict.fromkeys(name for c in self.sound for name in c.scores))

    def thresholds(self, method: str) -> tuple[float, float]:
        """Return the threshold that suits a detector best in hindsight, and the one at which nobody healthy is accused."""
        values = [c.scores[method] for c in self.sound if method in c.scores]
        decidable = [
            c.scores[method] for _, group, c in self.faulty if group in DECIDABLE and method in c.scores
        ]
        scores = np.array(values + decidable)
        truth = np.arange(len(scores)) >= len(values)
        return best_threshold(scores, truth), silent_threshold(scores, truth)

    def found(self, method: str, threshold: float, kinds: Sequence[str]) -> float:
        """Return the share of faulty channels of these kinds or groups that score at or above the threshold."""
        of = [
            c.scores[method]
            for kind, group, c in self.faulty
            if (kind in kinds or group in kinds) and c.scores
        ]
        return share(sum(score >= threshold for score in of), len(of))

    def confusion(self, method: str, threshold: float) -> Confusion:
        """Count a detector's hits and errors over liquids, the group that the log cannot decide left out."""
        values = [(c.scores[method], False) for c in self.sound if method in c.scores]
        values += [(c.scores[method], True) for _, group, c in self.faulty if group in DECIDABLE and c.scores]
        return confusion([v >= threshold for v, _ in values], [truth for _, truth in values])

    @property
    def judge_confusion(self) -> Confusion:
        """The same count for judge, which chooses no threshold."""
        said = [(c.verdict, False) for c in self.sound if c.scores]
        said += [(c.verdict, True) for _, group, c in self.faulty if group in DECIDABLE and c.scores]
        return confusion([verdict == "not_believable" for verdict, _ in said], [truth for _, truth in said])

    def seconds_per_100_h(self, method: str) -> float:
        """Return the time for 100 h of log: judge for all temperature channels, a detector for one."""
        timed = [r for r in self.results if method in r.seconds]
        many = sum(r.hours * (1.0 if method == "judge" else r.seconds["channels"]) for r in timed)
        return share_of(sum(r.seconds[method] for r in timed), many / 100.0)


def share_of(part: float, whole: float) -> float:
    """Return part / whole, NaN of nothing."""
    return part / whole if whole else float("nan")


def aims(tally: Tally) -> list[Aim]:
    """Return the aims with what judge reached."""
    said_wrong = [
        c for r in tally.results for c in r.healthy if c.verdict == "not_believable" and r.case.kind != LOST
    ]
    sound = tally.healthy(SOUND)
    undecided = share(sum(c.verdict == "undecided" for c in sound), len(sound))

    def found(group: str) -> float:
        return share(*tally.verdicts([group], "not_believable"))

    return [
        Aim("healthy or odd-but-true channels accused: 0", float(len(said_wrong)), lambda v: v == 0),
        Aim("fast faults found: at least 0.97", found(FAST), lambda v: v >= 0.97),
        Aim("stuck readings found: at least 0.90", found(STUCK), lambda v: v >= 0.90),
        Aim(
            "slow swings, small bursts, low after a cold soak found: at least 0.90",
            found(SLOW),
            lambda v: v >= 0.90,
        ),
        Aim(
            "what the log alone often cannot decide, called believable: at most 0.20",
            share(*tally.verdicts([UNSURE], "believable")),
            lambda v: v <= 0.20,
        ),
        Aim("healthy channels left undecided: at most 0.25", undecided, lambda v: v <= 0.25),
    ]


def in_groups() -> list[str]:
    """Return the kinds of fault, each group together."""
    return sorted(KINDS, key=lambda kind: GROUPS.index(KINDS[kind].group))


def aims_table(named: dict[str, list[Aim]]) -> str:
    """Return the aims, one column a source of logs."""
    rows = [
        [row[0].text, *(f"{_plain(aim.reached)}{' (missed)' if aim.missed else ''}" for aim in row)]
        for row in zip(*named.values(), strict=True)
    ]
    return markdown(["aim", *named], rows)


def judge_table(tally: Tally) -> str:
    """Return what judge said, kind by kind."""
    rows = []
    for kind in in_groups():
        count = tally.verdicts([kind], "")[1]
        if count:
            shares = [
                share(*tally.verdicts([kind], v)) for v in ("not_believable", "undecided", "believable")
            ]
            rows.append([KINDS[kind].group, kind.replace("_", " "), str(count), *map(_plain, shares)])
    return markdown(["group", "fault put in", "cases", "found", "left undecided", "called believable"], rows)


def healthy_table(tally: Tally) -> str:
    """Return how judge treated healthy channels."""
    rows = []
    for kind in (HEALTHY, ODD, LOST):
        for label, quantities in (("liquids", LIQUIDS), ("air", AIR)):
            rows.append([kind, label, *_treated(tally.healthy([kind], quantities))])
    beside = [c for r in tally.results if r.faulty for c in r.healthy]
    rows.append(["beside a faulty channel", "all", *_treated(beside)])
    rows = [row for row in rows if row[2] != "0"]
    return markdown(["log", "channels", "number", "accused", "left undecided"], rows)


def bases_table(tally: Tally) -> str:
    """Return how judge treated healthy channels, one row for each vehicle and each logger."""
    rows = []
    named = dict.fromkeys(r.case.habit or r.case.base for r in tally.results if not r.faulty)
    for name in named:
        of = [r for r in tally.results if not r.faulty and (r.case.habit or r.case.base) == name]
        channels = [c for r in of for c in r.healthy]
        kinds = [[c for c in channels if c.quantity in quantities] for quantities in (LIQUIDS, AIR)]
        rows.append([name.replace("_", " "), *(cell for some in kinds for cell in _treated(some))])
    head = ["vehicle or logger", "liquids", "accused", "left undecided", "air", "accused", "left undecided"]
    return markdown(head, rows)


def _treated(channels: Sequence[Channel]) -> list[str]:
    undecided = share(sum(c.verdict == "undecided" for c in channels), len(channels))
    return [str(len(channels)), str(sum(c.verdict == "not_believable" for c in channels)), _plain(undecided)]


def comparison(tally: Tally) -> str:
    """Return judge beside the detectors: each number first at the threshold best in hindsight, then accusing nobody."""
    judge = tally.judge_confusion
    accused = f"{judge.accused} of {judge.accused + judge.peace}"
    groups = [_plain(share(*tally.verdicts([group], "not_believable"))) for group in GROUPS]
    rows = [["**judge**", *groups, accused, _plain(judge.f1), f"{tally.seconds_per_100_h('judge'):.3g}"]]
    for method in tally.methods:
        best, silent = tally.thresholds(method)
        both = [
            f"{_plain(tally.found(method, best, [g]))} / {_plain(tally.found(method, silent, [g]))}"
            for g in GROUPS
        ]
        count, quiet = tally.confusion(method, best), tally.confusion(method, silent)
        rows.append(
            [
                method,
                *both,
                f"{count.accused} / {quiet.accused}",
                f"{_plain(count.f1)} / {_plain(quiet.f1)}",
                f"{tally.seconds_per_100_h(method):.3g}",
            ]
        )
    return markdown(["method", *GROUPS, "healthy accused", "F1", "s per 100 h"], rows)


def kinds_table(tally: Tally) -> str:
    """Return the recall of every method kind by kind, in the same two ways."""
    limits = {method: tally.thresholds(method) for method in tally.methods}
    rows = []
    for kind in in_groups():
        if tally.verdicts([kind], "")[1]:
            cells = [
                " / ".join(_plain(tally.found(method, limit, [kind])) for limit in both)
                for method, both in limits.items()
            ]
            judge = _plain(share(*tally.verdicts([kind], "not_believable")))
            rows.append([kind.replace("_", " "), judge, *cells])
    return markdown(["fault put in", "**judge**", *limits], rows)


def markdown(head: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """Return a Markdown table.

    >>> print(markdown(["a", "b"], [["1", "2"]]))
    | a | b |
    |---|---|
    | 1 | 2 |
    """
    lines = [head, ["---"] * len(head), *rows]
    return (
        "\n".join("| " + " | ".join(row) + " |" for row in lines)
        .replace("| --- ", "|---")
        .replace("|--- |", "|---|")
    )


def _plain(value: float) -> str:
    if np.isnan(value):
        return "–"
    return f"{value:.0f}" if value == 0 or value >= 2 else f"{value:.2f}"
