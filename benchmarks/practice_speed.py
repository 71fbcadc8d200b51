"""A 30-minute drive at 10 rows a second: vehicle, sensors, fault, logger and truth, in under 0.2 s.

Run: python benchmarks/practice_speed.py
"""

import statistics
import sys
import time

from coldsoak.practice.run import simulate

LIMIT_S = 0.2


def main() -> int:
    """Print the median time of several runs; 1 if it is over the limit."""
    seconds = []
    for seed in range(9):
        start_s = time.perf_counter()
        run = simulate("wandering_contact", seed=seed, duration_s=1800.0, rate_hz=10.0)
        seconds.append(time.perf_counter() - start_s)
    rows, channels = len(run.log.time_s), len(run.log.channels)
    median_s = statistics.median(seconds)
    print(
        f"practice: {rows} rows of {channels} channels in {median_s:.3f} s (worst {max(seconds):.3f} s, limit {LIMIT_S} s)"
    )
    return int(median_s > LIMIT_S)


if __name__ == "__main__":
    sys.exit(main())
