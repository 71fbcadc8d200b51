"""Score `coldsoak prove` on pairs of practice logs whose truth is known; writes its table into docs/prove.md.

Run: python benchmarks/prove_score.py [--cases N] [--seed N] [--quick] [--docs FILE] [--list]
Every pair goes through files and the real command. Exit status 1 if an aim is missed.
"""

import argparse
import datetime as dt
import json
import multiprocessing
import os
import sys
import tempfile
import time
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path

import numpy as np

CHECKOUT = Path(__file__).resolve().parents[1]
PAGE = CHECKOUT / "docs" / "prove.md"
BEGIN, END = "<!-- score -->", "<!-- end of score -->"
CASES, QUICK = 30, 4

CONDITIONS = ("any", "hot", "fast")
KINDS = ("wandering_contact", "bursts", "open", "quick_swing", "small_bursts")
LAYOUTS = ("plain", "units_glued", "banner_tab", "semicolon_decimal_comma", "epoch_milliseconds")
CURED, STILL = "cured", "still there"


@dataclass(frozen=True)
class Drive:
    """A kind of drive after the repair: how long against the one before, and how often a fault shows then."""

    name: str
    truth: str
    times: float
    scenario: str = "healthy"
    rarer: float = 1.0


DRIVES = (
    Drive("four times as long", CURED, 4.0),
    Drive("twice as long", CURED, 2.0),
    Drive("as long", CURED, 1.0),
    Drive("5 minutes", CURED, 0.0),
    Drive("as long, other conditions", CURED, 1.0, "elsewhere"),
    Drive("twice as long", STILL, 2.0),
    Drive("as long", STILL, 1.0),
    Drive("twice as long, a third as often", STILL, 2.0, rarer=3.0),
    Drive("5 minutes", STILL, 0.0),
    Drive("as long, other conditions", STILL, 1.0, "elsewhere"),
)
SHORT_S = 300.0


@dataclass(frozen=True)
class Case:
    """One vehicle with one fault, and one drive after the repair."""

    seed: int
    condition: str
    kind: str
    drive: Drive


def main() -> int:
    """Run all cases, print the table, and write it into the page; 1 if an aim is missed."""
    parser = argparse.ArgumentParser(prog="prove_score.py", description="Score `coldsoak prove`.")
    parser.add_argument("--cases", type=int, help=f"vehicles for each kind of drive (default {CASES})")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--quick", action="store_true", help=f"{QUICK} vehicles; the page stays as it is")
    parser.add_argument("--docs", type=Path, default=PAGE, help="the page that the table goes into")
    parser.add_argument("--list", action="store_true", help="name every case, on standard error")
    asked = parser.parse_args()
    count = asked.cases or (QUICK if asked.quick else CASES)
    began = time.perf_counter()
    cases = [
        Case(10_000 * asked.seed + n, CONDITIONS[n % len(CONDITIONS)], KINDS[n % len(KINDS)], drive)
        for n in range(count)
        for drive in DRIVES
    ]
    with ProcessPoolExecutor(os.cpu_count(), mp_context=multiprocessing.get_context("spawn")) as pool:
        results = [
            one for one in zip(cases, pool.map(run, cases, chunksize=5), strict=True) if one[1] is not None
        ]
    if asked.list:
        for case, said in results:
            print(case, said, file=sys.stderr)
    text = page_part(results, count, asked.seed, time.perf_counter() - began)
    print(text)
    if not asked.quick:
        put_into(asked.docs, text)
    return int(missed(results))


def run(case: Case) -> dict[str, object] | None:
    """Return what the command says of a case; None where the fault did not show in any of several drives before."""
    from click.testing import CliRunner

    from coldsoak.cli.prove import command

    with tempfile.TemporaryDirectory() as folder:
        pair = write_pair(case, Path(folder))
        if pair is None:
            return None
        done = CliRunner().invoke(command, [*map(str, pair), "--json"], standalone_mode=False)
        if done.exception is not None:
            return {"verdict": f"error: {done.exception}"}
        said = json.loads(done.stdout)
    keep = (
        "verdict",
        "episodes_before",
        "episodes_after",
        "exposure_after_s",
        "chance_still_there",
        "drive_more_s",
    )
    return {key: said[key] for key in keep} | {"expected": (said["evidence"] or {}).get("expected_after")}


def write_pair(case: Case, folder: Path) -> tuple[Path, Path] | None:
    """Write a log before and one after the repair of one vehicle."""
    from coldsoak.practice.run import simulate
    from coldsoak.practice.write import write_log

    rng = np.random.default_rng([case.seed, 5])
    duration_s, layout = float(rng.uniform(1500.0, 2700.0)), str(rng.choice(LAYOUTS))
    for attempt in range(20):
        road = simulate(seed=case.seed, duration_s=duration_s, rate_hz=2.0, drive_seed=attempt)
        rule = Rule.of(case.condition, road)
        starts = rule.onsets(road, rng, 1.0)
        if len(starts) >= 2:
            break
    else:
        return None
    before = simulate(
        seed=case.seed,
        duration_s=duration_s,
        rate_hz=2.0,
        drive_seed=attempt,
        fault=fault(case.kind, starts, rng),
    )
    long_s = max(case.drive.times * duration_s, SHORT_S)
    scenario = {"hot": "cold_soak", "fast": "city"}.get(case.condition, "city")
    options = {"seed": case.seed, "duration_s": long_s, "rate_hz": 2.0, "drive_seed": 1000}
    after = simulate(scenario if case.drive.scenario == "elsewhere" else "healthy", **options)
    if case.drive.truth == STILL:
        again = rule.onsets(after, rng, case.drive.rarer)
        if again:
            options["scenario"] = after.scenario.name
            after = simulate(fault=fault(case.kind, again, rng), **options)
    return (
        write_log(before.log, folder / "before.csv", layout, seed=case.seed),
        write_log(after.log, folder / "after.csv", layout, seed=case.seed + 1),
    )


@dataclass(frozen=True)
class Rule:
    """When a fault may show, and how often while it may [1/s]."""

    condition: str
    hot_c: float
    fast_kmh: float
    rate: float

    @classmethod
    def of(cls, condition: str, road) -> "Rule":  # type: ignore[no-untyped-def]
        """Draw up the rule for a drive: 6 to 10 episodes in it, on average."""
        hot_c = float(np.median(road.true_c["fluid_temp"]))
        speed = np.nan_to_num(road.log.of_quantity("vehicle_speed")[0].values)
        rule = cls(condition, hot_c, float(max(np.quantile(speed, 0.6), 30.0)), 0.0)
        spent_s = float(np.mean(rule.holds(road))) * road.log.duration_s
        return cls(condition, rule.hot_c, rule.fast_kmh, 8.0 / max(spent_s, 60.0))

    def holds(self, road):  # type: ignore[no-untyped-def]
        """Return at which rows it may show."""
        if self.condition == "hot":
            return road.true_c["fluid_temp"] >= self.hot_c
        if self.condition == "fast":
            return np.nan_to_num(road.log.of_quantity("vehicle_speed")[0].values) >= self.fast_kmh
        return np.ones(len(road.log.time_s), dtype=bool)

    def onsets(self, road, rng: np.random.Generator, rarer: float) -> list[float]:  # type: ignore[no-untyped-def]
        """Draw when it shows, as a Poisson process, but for what falls into an episode."""
        time_s = road.log.time_s
        odds = self.rate / rarer * np.diff(time_s, append=time_s[-1]) * self.holds(road)
        found: list[float] = []
        for at in time_s[rng.random(len(time_s)) < odds].tolist():
            if at > 20.0 and at < time_s[-1] - 30.0 and (not found or at > found[-1] + 30.0):
                found.append(at)
        return found


def fault(kind: str, starts: list[float], rng: np.random.Generator):  # type: ignore[no-untyped-def]
    """Return a fault of a kind that shows at these moments."""
    from coldsoak.practice.faults import Bursts, OpenCircuit, QuickSwing, SmallBursts, WanderingContact

    spans = tuple((at, at + float(rng.uniform(6.0, 22.0))) for at in starts)
    match kind:
        case "wandering_contact":
            return WanderingContact(spans, 0.03, 20.0, 2.0)
        case "bursts":
            return Bursts(spans, 0.5, to_ground=False)
        case "open":
            return OpenCircuit(spans)
        case "small_bursts":
            return SmallBursts(spans, 0.5, (5.0, 9.0), upward=False)
        case _:
            return QuickSwing(tuple(starts), tuple(-25.0 for _ in starts), 0.5, 4.0)


def missed(results: list[tuple[Case, dict[str, object]]]) -> bool:
    """Return whether an aim is missed: see `aims`."""
    return any(not good for _, _, good in aims(results))


def aims(results: list[tuple[Case, dict[str, object]]]) -> list[tuple[str, str, bool]]:
    """Return each aim in words, what was reached, and whether that is good enough."""

    def share(verdict: str, truth: str, least: float = 0.0, names: tuple[str, ...] = ()) -> tuple[float, int]:
        of = [
            said["verdict"] == verdict
            for case, said in results
            if case.drive.truth == truth
            and (not names or case.drive.name in names)
            and float(said.get("expected") or 0.0) >= least  # type: ignore[arg-type]
        ]
        return (float(np.mean(of)) if of else float("nan")), len(of)

    wrong, of_wrong = share("proven", STILL)
    enough, of_enough = share("proven", CURED, 12.0)
    back, of_back = share("back", STILL, names=("twice as long", "as long"))
    alarm, of_alarm = share("back", CURED)
    short, of_short = share("proven", CURED, names=("5 minutes",))
    return [
        (
            "faults that are still there, called proven: at most 2 %",
            f"{100 * wrong:.1f} % of {of_wrong}",
            wrong <= 0.02,
        ),
        (
            "cured, and 12 episodes or more to be expected: proven in at least 80 %",
            f"{100 * enough:.0f} % of {of_enough}",
            not enough < 0.8,
        ),
        (
            "still there, driven as before: back in at least 95 %",
            f"{100 * back:.0f} % of {of_back}",
            back >= 0.95,
        ),
        ("cured, called back: none", f"{100 * alarm:.1f} % of {of_alarm}", alarm == 0),
        ("cured, five minutes: never proven", f"{100 * short:.0f} % of {of_short}", short == 0),
    ]


def page_part(results: list[tuple[Case, dict[str, object]]], count: int, seed: int, took_s: float) -> str:
    """Return the aims and the table in Markdown."""
    today = dt.datetime.now(dt.UTC).date().isoformat()
    head = (
        f"Written by `benchmarks/prove_score.py` (`make bench`) on {today}: {count} vehicles for each kind of drive, seed "
        f"{seed}, {took_s / 60:.1f} minutes. Each has a fault that shows 8 times in its log before the repair on average, "
        "at random moments: always, only when hot, or only when fast."
    )
    lines = [
        head,
        "",
        "| aim | reached |",
        "|---|---|",
        *(f"| {aim} | {reached}{'' if good else ' (missed)'} |" for aim, reached, good in aims(results)),
        "",
        "| truth | drive after the repair | proven | not proven | back | middle chance |",
        "|---|---|---|---|---|---|",
    ]
    for drive in DRIVES:
        of = [said for case, said in results if case.drive == drive]
        verdicts = Counter(str(said["verdict"]) for said in of)
        chances = [float(said["chance_still_there"]) for said in of if "chance_still_there" in said]  # type: ignore[arg-type]
        other = len(of) - sum(verdicts[v] for v in ("proven", "not_proven", "back"))
        cells = [str(verdicts["proven"]), str(verdicts["not_proven"]), str(verdicts["back"])]
        middle = in_percent(float(np.median(chances))) if chances else "–"
        note = f" ({other} refused)" if other else ""
        lines.append(f"| {drive.truth} | {drive.name}{note} | {' | '.join(cells)} | {middle} |")
    return "\n".join(lines)


def in_percent(chance: float) -> str:
    """Return a chance with two digits, never as certain."""
    return "above 99 %" if chance > 0.99 else f"{100 * chance:.2g} %"


def put_into(page: Path, text: str) -> None:
    """Write the text between the two marks of a page."""
    old = page.read_text("utf-8")
    head, rest = old.split(BEGIN, 1)
    tail = rest.split(END, 1)[1]
    page.write_text(f"{head}{BEGIN}\n\n{text}\n\n{END}{tail}", encoding="utf-8")


if __name__ == "__main__":
    sys.exit(main())
