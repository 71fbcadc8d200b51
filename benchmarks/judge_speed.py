"""How fast judge is: the whole command on an hour of log, and judge alone after warm-up.

Run: python benchmarks/judge_speed.py
"""

import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from coldsoak.judge.judge import judge
from coldsoak.logs.log import Log
from coldsoak.practice.run import simulate
from coldsoak.practice.write import log_text

# Set before numpy is loaded, so that a process keeps to one core.
ONE_CORE = dict.fromkeys(
    ("POLARS_MAX_THREADS", "OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "NUMBA_NUM_THREADS"), "1"
)
WHOLE_LIMIT_S, HOURS_AIM, LONG_H = 1.5, 500.0, 8.0
SPARE_NAMES = ("Throttle (%)", "Pedal (%)", "Barometric pressure (kPa)", "Manifold pressure (kPa)")
SPARE_NAMES += ("Fuel level (%)", "Timing advance (deg)", "Line pressure (kPa)")
READ = "import sys; from coldsoak.logs.read import read_log; read_log(sys.argv[1])"
ALONE = "--alone"
JUDGE = "import sys; from coldsoak.cli.main import main; main()"


@dataclass(frozen=True)
class Speed:
    """What was reached: whole processes [s], and hours of 1 Hz log judged per second on one core.

    `one_hours_per_s` is for the same logs with the gearbox fluid as their only temperature, and the last two are for
    one log of `LONG_H` hours, of which the small steps of every log take a smaller share.
    """

    judge_s: float
    read_s: float
    hours_per_s: float
    one_hours_per_s: float
    channels: int
    temperatures: int
    long_hours_per_s: float
    long_one_hours_per_s: float

    @property
    def ratio(self) -> float:
        """Whole command as a multiple of a process that only reads the file."""
        return self.judge_s / self.read_s

    @property
    def good(self) -> bool:
        """Whether both limits are kept."""
        return self.judge_s < WHOLE_LIMIT_S and self.hours_per_s >= HOURS_AIM

    def __str__(self) -> str:
        return (
            f"coldsoak judge, 1 h at 10 Hz, 20 channels: {self.judge_s:.2f} s, {self.ratio:.2f} times a process that only "
            f"reads it ({self.read_s:.2f} s); limit {WHOLE_LIMIT_S} s\n"
            f"judge alone, one core, warm: {self.hours_per_s:.0f} h of 1 Hz log per second ({self.channels} channels, "
            f"{self.temperatures} of them temperatures, all judged, so {self.hours_per_s * self.temperatures:.0f} h of readings); "
            f"{self.one_hours_per_s:.0f} h of the same logs with one temperature; of one log of {LONG_H:.0f} h "
            f"{self.long_hours_per_s:.0f} h, with one temperature {self.long_one_hours_per_s:.0f} h; aim {HOURS_AIM:.0f} h"
        )


def measure(rounds: int = 5) -> Speed:
    """Return the medians of several rounds, each kind in processes of its own."""
    free = {name: value for name, value in os.environ.items() if name not in ONE_CORE}
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "hour.csv"
        path.write_bytes(_hour_of_twenty())
        commands = {"read": ["-c", READ, str(path)], "judge": ["-c", JUDGE, "judge", str(path)]}
        whole: dict[str, list[float]] = {what: [] for what in commands}
        for _ in range(rounds):
            for what, command in commands.items():
                began = time.perf_counter()
                _process(command, free)
                whole[what].append(time.perf_counter() - began)
    alone = json.loads(_process([__file__, ALONE, str(rounds)], {**free, **ONE_CORE}))
    return Speed(statistics.median(whole["judge"]), statistics.median(whole["read"]), **alone)


def alone(rounds: int) -> dict[str, float]:
    """Return how fast this process judges logs of one row a second, after one round to warm up."""
    logs = [_one_hertz(seed) for seed in range(12)]
    channels = logs[0].channels
    long = simulate("healthy", seed=5, duration_s=3600.0 * LONG_H, rate_hz=1.0).log
    return {
        "long_hours_per_s": _hours_per_s([long], rounds),
        "long_one_hours_per_s": _hours_per_s([_one_temperature(long)], rounds),
        "hours_per_s": _hours_per_s(logs, rounds),
        "one_hours_per_s": _hours_per_s([_one_temperature(log) for log in logs], rounds),
        "channels": len(channels),
        "temperatures": sum(c.unit == "degC" for c in channels),
    }


def _hours_per_s(logs: list[Log], rounds: int) -> float:
    """Return hours of log judged per second of this process's own time, so that other work on the machine counts less."""
    hours = sum(log.duration_s for log in logs) / 3600.0
    speeds = []
    for _ in range(rounds + 1):
        began = time.process_time()
        for log in logs:
            judge(log)
        speeds.append(hours / (time.process_time() - began))
    return statistics.median(speeds[1:])


def _one_temperature(log: Log) -> Log:
    kept = tuple(c for c in log.channels if c.unit != "degC" or c.quantity == "fluid_temp")
    return replace(log, channels=kept)


def _process(arguments: list[str], environment: dict[str, str]) -> str:
    done = subprocess.run(
        [sys.executable, *arguments], check=False, capture_output=True, text=True, env=environment
    )
    if done.returncode:
        raise SystemExit(done.stderr)
    return done.stdout


def _hour_of_twenty() -> bytes:
    """Return a practice hour at 10 rows a second, filled up to 20 channels."""
    text = log_text(simulate("healthy", seed=5, duration_s=3600.0, rate_hz=10.0).log, "plain").decode()
    header, *rows = text.splitlines()
    walk = np.cumsum(np.random.default_rng(5).normal(size=(len(rows), len(SPARE_NAMES))), axis=0)
    cells = np.abs((walk + 50.0) % 100.0).round(1)
    filled = [f"{row},{','.join(map(str, extra))}" for row, extra in zip(rows, cells.tolist(), strict=True)]
    return "\n".join([f"{header},{','.join(SPARE_NAMES)}", *filled, ""]).encode()


def _one_hertz(seed: int) -> Log:
    name = ("healthy", "wandering_contact", "cold_soak", "slow_swing")[seed % 4]
    return simulate(name, seed=seed, duration_s=3600.0, rate_hz=1.0).log


def main() -> int:
    """Print what was reached; 1 if it is not enough."""
    if ALONE in sys.argv:
        print(json.dumps(alone(int(sys.argv[-1]))))
        return 0
    speed = measure()
    print(speed)
    return int(not speed.good)


if __name__ == "__main__":
    sys.exit(main())
