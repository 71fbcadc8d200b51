"""How long a piece of work of five milliseconds takes on this machine while everything else runs: what it gives anybody."""

import subprocess
import sys
from types import TracebackType

PIECE_S = 0.005
_WORK = f"""
import time
while True:
    began, worked = time.perf_counter(), time.process_time()
    while time.process_time() - worked < {PIECE_S}:
        pass
    print((time.perf_counter() - began) * 1e3, flush=True)
    time.sleep(0.1)
"""


class Yardstick:
    """Ten pieces a second, from the block's beginning to its end; `found` has their milliseconds."""

    def __init__(self) -> None:
        self.found: list[float] = []

    def __enter__(self) -> "Yardstick":
        self._process = subprocess.Popen([sys.executable, "-c", _WORK], stdout=subprocess.PIPE, text=True)
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._process.terminate()
        said, _ = self._process.communicate()
        self.found = [float(line) for line in said.splitlines()[:-1]]
