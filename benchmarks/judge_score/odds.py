"""How often each symptom goes with each cause among practice cases: what the odds of judge are corrected by.

Run: python -m benchmarks.judge_score.odds SEED CASES [SEED CASES …]
Only channels that judge has something to say about count, for only there are causes ranked. The seeds must not be
those that reliability is measured on.
"""

import multiprocessing
import sys
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor

from coldsoak.judge.explain.trade_tests import load_knowledge
from coldsoak.judge.judge import examine, judge

from .cases import Case, build, practice_cases
from .reliability import NOTHING_WRONG, RIGHT

Row = tuple[str, dict[str, str]]


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


def counts(rows: Sequence[Row], names: Sequence[str]) -> dict[str, dict[str, dict[str, float]]]:
    """Return by cause and symptom how often each state was seen; every kind of fault weighs the same in its causes.

    >>> dict(counts([("leakage", {"pace": "creeping"}), ("leakage", {"pace": "slow"})], ["leakage"])["leakage"]["pace"])
    {'creeping': 0.5, 'slow': 0.5}
    """
    share: Mapping[str, int] = Counter(kind for kind, _ in rows)
    seen: dict[str, dict[str, dict[str, float]]] = {
        name: defaultdict(lambda: defaultdict(float)) for name in names
    }
    for kind, symptoms in rows:
        for cause in RIGHT.get(kind, NOTHING_WRONG):
            for symptom, state in symptoms.items():
                seen[cause][symptom][state] += 1 / share[kind]
    return seen


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
    seen = counts(rows, table.names)
    print(f"{len(rows)} channels of {len(cases)} cases")
    for symptom, node in table.symptoms.items():
        print(f"[{symptom}] {', '.join(node.states)}")
        for cause, stated in zip(table.names, node.odds, strict=True):
            of = seen[cause][symptom]
            if total := sum(of.values()):
                shares = " ".join(f"{of[state] / total:.3f}" for state in node.states)
                print(f"  {cause}: {shares}  (file {' '.join(f'{odds:.3f}' for odds in stated)})")


if __name__ == "__main__":
    main()
