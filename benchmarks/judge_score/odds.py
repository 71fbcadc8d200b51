"""How often each symptom goes with each cause among practice cases: what the odds of judge are corrected by.

Run: python -m benchmarks.judge_score.odds SEED CASES [SEED CASES …]
Only channels that judge has something to say about count, for only there are causes ranked. The seeds must not be
those that reliability is measured on. A row of the file says "practice" where it is these shares times the number of
channels, with 20 to 100 imagined channels added that are spread as judged before.
"""

import multiprocessing
import sys
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass

import numpy as np

from coldsoak.judge.explain.causes import CauseTable
from coldsoak.judge.explain.odds import WAY, Node
from coldsoak.judge.explain.trade_tests import load_knowledge
from coldsoak.judge.judge import examine, judge
from coldsoak.logs.log import Floats

from .cases import Case, build, practice_cases
from .reliability import NOTHING_WRONG, RIGHT

Row = tuple[str, dict[str, str]]

MANY = 8  # ways to leave are named one by one up to here

# What could be called by two names counts for the one that its resistance gives it.
NAMED: Mapping[str, tuple[str, ...]] = {
    **RIGHT,
    "bursts:cold": ("open_circuit",),
    "quick_swing:hot": ("leakage",),
    "small_bursts:hot": ("leakage",),
}


def rows_of(case: Case) -> list[Row]:
    """Return kind and symptoms of each channel that counts and that judge ranks causes for."""
    built = build(case)
    if built is None:
        return []
    explained = {c.name for c in judge(built.log).channels if c.causes}
    wanted = ({built.faulty} if built.faulty else set(built.healthy)) & explained
    return [
        (built.cause_kind, one.symptoms.known()) for one in examine(built.log) if one.channel.name in wanted
    ]


def shares(rows: Sequence[Row], cause: str, symptom: str) -> tuple[int, dict[str, float]]:
    """Return on how many channels with this cause a symptom was known, and the share of each of its states.

    Every kind of fault weighs the same in its cause, but one seen less than half as often as the most frequent weighs by
    its number.

    >>> shares([("leakage", {"pace": "creeping"}), ("leakage", {"pace": "slow"})], "leakage", "pace")
    (2, {'creeping': 0.5, 'slow': 0.5})
    """
    seen: dict[str, Counter[str]] = defaultdict(Counter)
    for kind, symptoms in rows:
        if cause in NAMED.get(kind, NOTHING_WRONG) and symptom in symptoms:
            seen[kind][symptoms[symptom]] += 1
    most = max((states.total() for states in seen.values()), default=0)
    sums: dict[str, float] = defaultdict(float)
    for states in seen.values():
        for state, number in states.items():
            sums[state] += number * min(1.0, most / 2.0 / states.total())
    total = sum(sums.values())
    count = sum(states.total() for states in seen.values())
    return count, {state: part / total for state, part in sums.items()}


@dataclass(frozen=True)
class FileRow:
    """What the file says of one cause: the odds, and for which states of which symptoms (none: for all)."""

    odds: Floats
    when: tuple[str, ...] = ()
    ways: frozenset[tuple[str, ...]] = frozenset({()})

    def holds(self, symptoms: Mapping[str, str]) -> bool:
        """Return whether it is the row for a channel with these symptoms."""
        return tuple(symptoms.get(name, "") for name in self.when) in self.ways


def rows_of_file(node: Node, cause: int, table: CauseTable) -> Iterator[FileRow]:
    """Return the rows of one cause, those with the same odds as one."""
    if node.given is None:
        yield FileRow(node.odds[cause])
        return
    given = node.given[cause]
    axes = [axis for axis in range(len(WAY)) if given.shape[axis] > 1]
    states = [table.symptoms[name].states for name in WAY]
    for odds in np.unique(given.reshape(-1, given.shape[-1]), axis=0):
        places = np.argwhere((given == odds).all(axis=-1))
        ways = frozenset(tuple(states[axis][place[axis]] for axis in axes) for place in places)
        yield FileRow(odds, tuple(WAY[axis] for axis in axes), ways)


def main() -> None:
    """Print the counts, scaled to shares, beside the odds of the file."""
    numbers = [int(text) for text in sys.argv[1:]]
    cases = [
        case
        for seed, count in zip(numbers[::2], numbers[1::2], strict=True)
        for case in practice_cases(count, seed)
    ]
    with ProcessPoolExecutor(mp_context=multiprocessing.get_context("spawn")) as pool:
        rows = [row for found in pool.map(rows_of, cases, chunksize=4) for row in found]
    table = load_knowledge().causes
    print(f"{len(rows)} channels of {len(cases)} cases")
    for symptom, node in table.symptoms.items():
        print(f"[{symptom}] {', '.join(node.states)}")
        for i, cause in enumerate(table.names):
            for row in rows_of_file(node, i, table):
                count, seen = shares([r for r in rows if row.holds(r[1])], cause, symptom)
                if count:
                    counted = " ".join(f"{seen.get(state, 0.0):.3f}" for state in node.states)
                    stated = " ".join(f"{odds:.3f}" for odds in row.odds)
                    where = (
                        "; ".join(" ".join(way) for way in sorted(row.ways))
                        if len(row.ways) < MANY
                        else "else"
                    )
                    print(f"  {cause} ({where}): {counted} of {count} channels (file {stated})")


if __name__ == "__main__":
    main()
