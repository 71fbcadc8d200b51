"""Options, processes, and the two files that a run leaves in docs/."""

import argparse
import datetime as dt
import importlib.metadata
import multiprocessing
import os
import platform
import sys
import time
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from pathlib import Path

import judge_speed

from . import table
from .cases import OTHER, PRACTICE, REAL, Case, other_cases, practice_cases, real_cases
from .reliability import EDGES, NINETY, plot, reliability
from .results import Result
from .score import Bin, share
from .work import lessons, run, start

CHECKOUT = Path(__file__).resolve().parents[2]
DOCS = CHECKOUT / "docs"
CASES, QUICK_CASES = 40, 6
PACKAGES = ("numpy", "scipy", "ruptures", "pyod", "stumpy", "scikit-learn")


def options() -> argparse.Namespace:
    """Return what was asked for on the command line."""
    parser = argparse.ArgumentParser(
        prog="judge_score.py", description="Score judge against general-purpose detectors."
    )
    parser.add_argument("--cases", type=int, help=f"cases of each kind and source (default {CASES})")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument(
        "--quick", action="store_true", help=f"{QUICK_CASES} cases of each kind; docs stay as they are"
    )
    parser.add_argument(
        "--real",
        type=Path,
        default=CHECKOUT.parent / "shared" / "real-logs",
        help="folder of real logs of healthy vehicles (left out where it is not there)",
    )
    parser.add_argument(
        "--not-healthy",
        action="append",
        metavar="FILES=QUANTITY",
        help="channels of real logs that are known to read wrong (default car-b*=intake_air_temp; repeatable)",
    )
    parser.add_argument(
        "--list", action="store_true", help="name every case that judge got wrong, on standard error"
    )
    parser.add_argument("--docs", type=Path, default=DOCS, help="where the table and the plot go")
    return parser.parse_args()


def main() -> int:
    """Run all cases, print and write the tables; 1 if an aim is missed."""
    asked, began = options(), time.perf_counter()
    count = asked.cases or (QUICK_CASES if asked.quick else CASES)
    cases = practice_cases(count, asked.seed) + other_cases(count, asked.seed)
    if asked.real.is_dir():
        cases += real_cases(count, asked.seed, asked.real)
    rules = asked.not_healthy or ["car-b*=intake_air_temp"]
    results = _run_all(cases, rules)
    tallies = {
        source: table.Tally([r for r in results if r.case.source == source])
        for source in (PRACTICE, OTHER, REAL)
        if any(r.case.source == source for r in results)
    }
    speed = None if asked.quick else judge_speed.measure()
    sure = reliability(tallies[PRACTICE].results)
    aims = {source: table.aims(tally) for source, tally in tallies.items()}
    took_s = time.perf_counter() - began
    head = _conditions(count, asked, rules, len(cases) - len(results), took_s)
    text = _page(head, tallies, aims, sure, speed)
    print(text)
    if asked.list:
        _list(results)
    if not asked.quick:
        asked.docs.mkdir(parents=True, exist_ok=True)
        (asked.docs / "judge-score.md").write_text(text, encoding="utf-8")
        note = (
            f"{sum(b.count for b in sure)} practice channels, {_today()}; numbers beside the dots: channels"
        )
        (asked.docs / "judge-reliability.svg").write_text(plot(sure, note), encoding="utf-8")
    return int(any(aim.missed for of in aims.values() for aim in of))


def _run_all(cases: Sequence[Case], rules: Sequence[str]) -> list[Result]:
    """Return the results in the order of the cases, each process on one core."""
    os.environ.update(judge_speed.ONE_CORE)
    pool = ProcessPoolExecutor(
        os.cpu_count(),
        mp_context=multiprocessing.get_context("spawn"),
        initializer=partial(start, lessons(), rules),
    )
    with pool:
        return [result for result in pool.map(run, cases, chunksize=4) if result is not None]


def _list(results: Sequence[Result]) -> None:
    for result in results:
        wrong = [(c, "accused") for c in result.healthy if c.verdict == "not_believable"]
        if result.faulty and result.faulty.verdict != "not_believable":
            wrong.append((result.faulty, result.faulty.verdict))
        for channel, said in wrong:
            print(f"{said}: {channel.quantity} in {result.case}", file=sys.stderr)


def _today() -> str:
    return dt.datetime.now(dt.UTC).date().isoformat()


def _conditions(
    count: int, asked: argparse.Namespace, rules: Sequence[str], unbuilt: int, took_s: float
) -> list[str]:
    versions = ", ".join(f"{name} {importlib.metadata.version(name)}" for name in PACKAGES)
    real = (
        f"`{asked.real.name}`, {', '.join(rules)} left out"
        if asked.real.is_dir()
        else "none: no folder was there"
    )
    return [
        f"- {_today()}, {_processor()}, {os.cpu_count()} cores, {platform.system()}, Python {platform.python_version()}; {versions}",
        f"- {count} cases of each kind and source, seed {asked.seed}; {took_s / 60:.1f} minutes on all cores"
        + (f"; {unbuilt} cases left out, whose fault moved no reading" if unbuilt else ""),
        f"- real logs: {real}",
    ]


def _processor() -> str:
    try:
        lines = Path("/proc/cpuinfo").read_text("utf-8").splitlines()
    except OSError:
        return platform.processor() or platform.machine()
    return next(
        (line.partition(":")[2].strip() for line in lines if line.startswith("model name")),
        platform.machine(),
    )


def _page(
    head: Sequence[str],
    tallies: dict[str, table.Tally],
    aims: dict[str, list[table.Aim]],
    sure: Sequence[Bin],
    speed: judge_speed.Speed | None,
) -> str:
    parts = [
        "# Judge against general-purpose detectors",
        "Written by `benchmarks/judge_score.py` (`make bench`); do not edit.",
        "\n".join(head),
        HOW,
        "## Aims",
        table.aims_table(aims),
    ]
    for source, tally in tallies.items():
        parts += [
            f"## {TITLES[source]}",
            "### What judge said",
            table.judge_table(tally),
            table.healthy_table(tally),
        ]
        if source == OTHER:
            parts.append(table.bases_table(tally))
            continue
        parts += [
            "### Beside the detectors",
            table.comparison(tally),
            table.kinds_table(tally),
        ]
    parts += ["## Are its probabilities honest?", _honesty(sure)]
    if speed is not None:
        parts += ["## Speed", str(speed).replace("\n", "\n\n")]
    return "\n\n".join(parts) + "\n"


def _honesty(sure: Sequence[Bin]) -> str:
    if not any(b.count for b in sure):
        return "Judge gave no probabilities."
    rows = [
        [f"{low:.0%} to {high:.0%}", str(b.count), f"{b.stated:.2f}", f"{share(b.right, b.count):.2f}"]
        for low, high, b in zip(EDGES[:-1], EDGES[1:], sure, strict=True)
        if b.count
    ]
    ninety = sure[NINETY]
    said = (
        f"Of the {ninety.count} practice channels whose first cause judge holds for 85 to 95 % likely, "
        f"{share(ninety.right, ninety.count):.0%} have that cause (aim: 85 to 95 %)."
        if ninety.count
        else "No practice channel has a first cause of 85 to 95 %."
    )
    listed = table.markdown(["first cause is", "channels", "mean stated", "right"], rows)
    return f"{said}\n\n![Stated and observed share of right first causes](judge-reliability.svg)\n\n{listed}"


TITLES = {PRACTICE: "Practice logs", OTHER: "Other vehicles and loggers", REAL: "Real logs"}
HOW = """\
Every method gets the same seeded cases. Practice logs come from simulated vehicles with sensors, circuits and loggers
drawn anew for each, are written to a file and read again. Real logs get the fault at circuit level, and keep the
timing of their logger. Other vehicles and loggers are practice too, and asked of judge only: half of the faults are on
vehicles that behave otherwise (engine off at halts, a fan that cycles, cold slugs, a stiff thermostat, a grille shutter,
a tow and the way down, a block heater, an hour's stop, a sensor in the sun, small and large sumps, no cooler, an exchanger
with coolant, clutches for a converter, a belt, a motor alone or for part of the way), half in logs of other timing, steps
and channels; some healthy logs begin in the middle of a drive. Slow swings go 8 to 20 K there and back in 40 to 120 s, small bursts are single readings 4 to
7 K off (on intake air a kind of their own), low and high after a cold soak are 6 to 20 K off from the first reading on. A fault that moved no reading by
at least 6 K (small bursts 3.5 K, offsets 5 K) is no case.

Two numbers with a stroke between: first at the threshold that suits the detector best *in hindsight* (best F1 over
these very cases), then at the lowest threshold that accuses no healthy channel. Judge has no threshold to choose and
one number. Detectors are scored on the liquids (gearbox fluid, coolant, oil) and need not pass on air, judge on every
temperature. F1 counts healthy and faulty channels as if they were equally many, and leaves out what the log alone
often cannot decide. Times are for one channel; judge's is for all temperature channels. "Healthy logs" learn from 40
healthy practice logs that are no cases. Logs with lost messages count for judge only."""
