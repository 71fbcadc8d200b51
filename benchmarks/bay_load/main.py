"""Fill a shop, serve it, load it, and say how long everybody waited."""

import argparse
import asyncio
import os
import re
import signal
import socket
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from store_load import FULL, SMALL

from bay_load.load import Devices, Measured
from bay_load.shop import fill
from bay_load.table import circumstances, cpu_s, into_docs, missed, table
from bay_load.yardstick import Yardstick

DEVICES = 20
READERS = 4
IN_BAY = 10
HAND_S = 3.0
"""A bolt every three seconds is quick work with a wrench."""


def main() -> int:
    """Run and return the exit status."""
    parser = argparse.ArgumentParser(description="Load the bay.")
    parser.add_argument(
        "--full", action="store_true", help="10,000 jobs and 2 million entries (many minutes, 2 GB)"
    )
    parser.add_argument("--seconds", type=float, default=10.0, help="of each of the two runs")
    parser.add_argument("--devices", type=int, default=DEVICES)
    parser.add_argument(
        "--keep", type=Path, help="leave the store in this folder, and take up one that is there"
    )
    parser.add_argument(
        "--first", action="store_true", help="run ahead of other work on this machine (as root)"
    )
    parser.add_argument("--docs", action="store_true", help="write the table into docs/bay.md")
    options = parser.parse_args()
    before = os.getloadavg()[0]
    if options.first:
        os.nice(-15)
    with tempfile.TemporaryDirectory() as passing:
        folder = options.keep or Path(passing) / "shop"
        in_bay, others, store = fill(folder, *(FULL if options.full else SMALL), IN_BAY)
        print(store, flush=True)
        server, port = _serve(folder)
        try:
            began, cpu, own = time.perf_counter(), cpu_s(server.pid), time.process_time()
            with Yardstick() as yardstick:
                phases = {
                    name: _run(port, in_bay, others, options.devices, options.seconds, in_step=in_step)
                    for name, in_step in (
                        (f"{options.devices} devices, each a bolt every {HAND_S:.0f} s", False),
                        (f"{options.devices} devices, all at the same moment every {HAND_S:.0f} s", True),
                    )
                }
            shares = [
                100 * worked_s / (time.perf_counter() - began)
                for worked_s in (cpu_s(server.pid) - cpu, time.process_time() - own)
            ]
            said = circumstances(store, *shares, yardstick.found, before, first=options.first)
        finally:
            server.send_signal(signal.SIGINT)
            server.wait(30)
    text = table(phases)
    print(f"{said}\n\n{text}")
    print(
        f"The largest answer was {max(one.largest for one in phases.values()) / 1000:.0f} kB as it was sent."
    )
    if options.docs:
        into_docs(said, text)
    problems = missed(phases)
    for one in problems:
        print(f"missed: {one}")
    return 1 if problems else 0


def _run(
    port: int, in_bay: list[int], others: list[int], devices: int, seconds: float, *, in_step: bool
) -> Measured:
    asyncio.run(Devices(port, in_bay, others).run(devices, READERS, 3.0, HAND_S, in_step=in_step))  # warm
    return asyncio.run(Devices(port, in_bay, others).run(devices, READERS, seconds, HAND_S, in_step=in_step))


def _serve(folder: Path) -> tuple[subprocess.Popen[str], int]:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = int(probe.getsockname()[1])
    command = [
        Path(sys.executable).with_name("coldsoak"),
        "serve",
        "--lan",
        "--data",
        folder,
        "--port",
        str(port),
    ]
    command += ["--journal", folder / "journal.jsonl"]
    server = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
    for line in server.stdout or ():
        if re.match("Stop", line):
            return server, port
    raise SystemExit("the server did not start")
