"""How fast and in how much memory a large CSV log is read, against polars' own read_csv of the same file.

`python benchmarks/read_speed.py --size-mb 1000` writes a log of that size into a temporary folder, reads it with both in
turn, each in a process of its own, and prints the ratio of the times and the peak memory. The file is removed again.
"""

import argparse
import json
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
import polars as pl

NAMES = (
    "Time (s),Engine speed (rpm),Vehicle speed (km/h),Coolant temp (°C),Trans fluid temp (°C),Engine load (%),"
    "Throttle position (%),MAF (g/s),Intake air temp (°C),Module voltage (V),Gear,Turbine speed (rpm)"
)
CLOCKS = ("seconds", "time-of-day")
BLOCK_ROWS = 200_000
SCALES = (
    (40.0, 0),
    (2.0, 0),
    (1.0, 0),
    (1.2, 1),
    (1.0, 1),
    (1.0, 2),
    (1.5, 2),
    (0.6, 0),
    (0.14, 3),
    (0.06, 0),
    (38.0, 1),
)


def write(path: Path, size_mb: float, clock: str) -> None:
    """Write an invented log of about `size_mb` megabytes, ten rows a second."""
    rng = np.random.default_rng(20)
    row = 0
    with path.open("wb") as out:
        out.write((NAMES + "\n").encode("utf-8"))
        while out.tell() < size_mb * 1e6:
            tenths = row + np.arange(BLOCK_ROWS)
            walk = np.cumsum(rng.normal(size=(BLOCK_ROWS, len(SCALES))), axis=0)
            swing = np.abs((walk + 100.0) % 200.0 - 100.0)
            columns = [_clock(tenths, clock)]
            for i, (scale, places) in enumerate(SCALES):
                values = np.round(swing[:, i] * scale, places)
                columns.append(pl.Series(str(i), values if places else values.astype(np.int64)))
            out.write(pl.DataFrame(columns).write_csv(include_header=False).encode("ascii"))
            row += BLOCK_ROWS


def _clock(tenths: np.ndarray, clock: str) -> pl.Series:
    if clock == "seconds":
        return pl.Series("t", np.round(tenths / 10.0, 1))
    return pl.Series("t", tenths % 864_000 * 100_000_000).cast(pl.Time).dt.to_string("%H:%M:%S%.3f")


def measure(what: str, path: str) -> None:
    """Read the file once and print time, peak memory and the size of what was read, as JSON."""
    if what == "polars":
        before = _peak_mb()
        start = time.perf_counter()
        frame = pl.read_csv(path)
        took, needs = time.perf_counter() - start, frame.height * frame.width * 8 / 1e6
    else:
        from coldsoak.logs.read import read_log

        before = _peak_mb()
        start = time.perf_counter()
        log = read_log(path)
        took, needs = time.perf_counter() - start, len(log.time_s) * (1 + len(log.channels)) * 8 / 1e6
    print(json.dumps({"seconds": took, "peak_mb": _peak_mb(), "before_mb": before, "columns_mb": needs}))


def _peak_mb() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e3


def _run(what: str, path: Path) -> dict[str, float]:
    command = [sys.executable, __file__, "--measure", what, "--file", str(path)]
    done = subprocess.run(command, check=True, capture_output=True, text=True)
    result: dict[str, float] = json.loads(done.stdout)
    return result


def main() -> None:
    """Write the file, read it with both in turn, print the ratio."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--size-mb", type=float, default=100.0)
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--clock", choices=CLOCKS, default="seconds")
    parser.add_argument("--file", help="measure this file instead of writing one")
    parser.add_argument("--measure", choices=("polars", "coldsoak"), help=argparse.SUPPRESS)
    options = parser.parse_args()
    if options.measure:
        measure(options.measure, options.file)
        return
    with tempfile.TemporaryDirectory() as folder:
        path = Path(options.file) if options.file else Path(folder) / "log.csv"
        if not options.file:
            write(path, options.size_mb, options.clock)
        both: dict[str, list[dict[str, float]]] = {"polars": [], "coldsoak": []}
        for _ in range(options.rounds):
            for what, results in both.items():
                results.append(_run(what, path))
        size_mb = path.stat().st_size / 1e6
    best = {what: min(results, key=lambda r: r["seconds"]) for what, results in both.items()}
    ours, theirs = best["coldsoak"], best["polars"]
    for what, result in best.items():
        print(f"{what:9} {result['seconds']:6.2f} s   peak {result['peak_mb']:6.0f} MB")
    extra = max(r["peak_mb"] - r["columns_mb"] for r in both["coldsoak"])
    print(f"{size_mb:.0f} MB: {ours['seconds'] / theirs['seconds']:.2f} times polars.read_csv (allowed 2.00)")
    print(f"memory beyond the columns ({ours['columns_mb']:.0f} MB): {extra:.0f} MB (allowed 2000)")


if __name__ == "__main__":
    main()
