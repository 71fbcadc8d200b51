"""Options, processes, and the table in docs/fill-forecast.md."""

import argparse
import datetime as dt
import importlib.metadata
import multiprocessing
import os
import platform
import tempfile
import time
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import numpy as np

from . import table
from .cases import Source, practice_sources, real_sources
from .work import Result, run, update_ms

CHECKOUT = Path(__file__).resolve().parents[2]
PAGE = CHECKOUT / "docs" / "fill-forecast.md"
BEGIN, END = "<!-- score -->", "<!-- end of score -->"
RUNS, QUICK_RUNS, SEED = 16, 3, 90_000
ONE_CORE = dict.fromkeys(("POLARS_MAX_THREADS", "OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"), "1")


def options() -> argparse.Namespace:
    """Return what was asked for on the command line."""
    parser = argparse.ArgumentParser(
        prog="forecast_score.py", description="Measure the forecast of the window."
    )
    parser.add_argument("--runs", type=int, help=f"practice runs of each kind (default {RUNS})")
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument(
        "--quick", action="store_true", help=f"{QUICK_RUNS} runs of each kind; the page stays as it is"
    )
    parser.add_argument(
        "--real",
        type=Path,
        default=CHECKOUT.parent / "shared" / "real-logs",
        help="folder of real warm-ups (practice alone where it is not there)",
    )
    parser.add_argument("--docs", type=Path, default=PAGE, help="the page whose table is written anew")
    return parser.parse_args()


def main() -> int:
    """Run all forecasts, print and write the tables; 1 if an aim is missed."""
    asked, began_s = options(), time.perf_counter()
    os.environ.update(ONE_CORE)
    runs = asked.runs or (QUICK_RUNS if asked.quick else RUNS)
    with tempfile.TemporaryDirectory() as folder:
        sources = real_sources(asked.real) if asked.real.is_dir() else []
        sources += practice_sources(Path(folder), runs, asked.seed)
        results = _run_all(sources)
        took_ms = [ms for source in sources[:3] + sources[-3:] for ms in update_ms(source)]
    aims, missed = _aims(results, took_ms)
    head = _conditions(asked, runs, time.perf_counter() - began_s)
    text = "\n\n".join(
        [
            head,
            aims,
            "### When it opens",
            table.opening_table(results),
            "### By lead",
            LEADS,
            table.lead_table(results),
            "### When it closes, and windows that stay shut",
            table.other_table(results),
        ]
    )
    print(text)
    if not asked.quick:
        _write(asked.docs, text)
    return int(missed)


def _run_all(sources: Sequence[Source]) -> list[Result]:
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(os.cpu_count(), mp_context=context) as pool:
        return [result for of in pool.map(run, sources) for result in of]


def _aims(results: Sequence[Result], took_ms: Sequence[float]) -> tuple[str, bool]:
    """Return the table of aims, and whether one is missed."""
    openings = table.real(results)
    error, cover = table.error(openings, table.METHODS["**ours**"]), table.cover(openings)
    low, high = table.COVER_AIM
    speed_ms = float(np.median(took_ms))
    rows, missed = [], False
    for text, reached, good in (
        (
            f"median error of the opening, real: at most {table.ERROR_AIM:.0%} of the lead",
            error,
            error <= table.ERROR_AIM,
        ),
        (f"80 % band, real: holds {low:.0%} to {high:.0%}", cover, low <= cover <= high),
        (
            f"one update, reading in and forecast out: under {table.SPEED_AIM_MS:.0f} ms",
            speed_ms,
            speed_ms < table.SPEED_AIM_MS,
        ),
    ):
        if np.isnan(reached):
            continue
        shown = f"{reached:.2f} ms" if "update" in text else f"{reached:.1%}"
        rows.append([text, shown if good else f"{shown} (missed)"])
        missed = missed or not good
    return table.markdown(["aim", "reached"], rows), missed


def _conditions(asked: argparse.Namespace, runs: int, took_s: float) -> str:
    versions = ", ".join(f"{name} {importlib.metadata.version(name)}" for name in ("numpy", "scipy"))
    real = f"`{asked.real.name}`" if asked.real.is_dir() else "none: no folder was there"
    today = dt.datetime.now(dt.UTC).date().isoformat()
    return "\n".join(
        [
            "Written by `benchmarks/forecast_score.py` (`make bench`); do not edit between the marks.",
            "",
            f"- {today}, {_processor()}, {os.cpu_count()} cores, {platform.system()}, Python {platform.python_version()}; {versions}",
            f"- real warm-ups: {real}; {runs} practice runs of each kind from seed {asked.seed}; {took_s / 60:.1f} minutes",
        ]
    )


def _processor() -> str:
    try:
        lines = Path("/proc/cpuinfo").read_text("utf-8").splitlines()
    except OSError:
        return platform.processor() or platform.machine()
    names = (line.partition(":")[2].strip() for line in lines if line.startswith("model name"))
    return next(names, platform.machine())


def _write(page: Path, text: str) -> None:
    whole = page.read_text("utf-8")
    before, _, rest = whole.partition(BEGIN)
    _, _, after = rest.partition(END)
    page.write_text(f"{before}{BEGIN}\n\n{text}\n\n{END}{after}", encoding="utf-8")
    print(f"The table in {page} is new.")


LEADS = """\
Each cell: median error as a share of the lead, in brackets that of the straight line, then how often the true time was
within the band, and of how many."""
