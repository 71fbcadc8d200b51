"""Writes entries until it is killed, and says each one that was acknowledged.

Run as a program it loads everything once and forks a writer for every line on its standard input, so that a few hundred
kills take seconds: `folder first_number` begins a writer; the writer prints `id job_id seq hash` after every
acknowledgement, in one write to the pipe. An empty line ends the program.
"""

import os
import sys
import threading
import uuid
from pathlib import Path

from tests.shop.entries import opened_body, torque

from coldsoak.shop import Draft, Shop, open_shop

THREADS = 4


def write_on(folder: Path, round_number: int) -> None:
    """Enter things from several threads at once, for ever."""
    with open_shop(folder) as shop:
        first = uuid.uuid5(uuid.NAMESPACE_OID, f"{round_number}")
        opened = shop.jobs.open(Draft(opened_body(job=f"{round_number}"), first), by="Writer")
        say(f"{opened.id} {opened.job_id} {opened.seq} {opened.head}")
        threads = [threading.Thread(target=enter, args=(shop, opened.job_id, n)) for n in range(THREADS)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()


def enter(shop: Shop, job_id: int, number: int) -> None:
    """One device: torque entries, notes, an undo, a file now and then."""
    count = 0
    while True:
        count += 1
        if count % 7 == 0:
            drafts = [
                Draft({"kind": "note", "text": f"Note {count} " + "x" * 300}, uuid.uuid4()) for _ in range(3)
            ]
        elif count % 11 == 0:
            kept = shop.blobs.put(os.urandom(20_000), "log", "x.csv", by="Writer").sha256
            body = {"kind": "log_kept", "moment": "before", "file": "x.csv", "sha256": kept, "rows": 1}
            drafts = [Draft(body, uuid.uuid4())]
        else:
            drafts = [Draft(torque(count), uuid.uuid4())]
        for one in shop.jobs.append_all(job_id, drafts, by=f"Device {number}"):
            say(f"{one.id} {one.job_id} {one.seq} {one.head}")


def say(line: str) -> None:
    """Write one whole line to the pipe; shorter than PIPE_BUF, so never torn (POSIX write)."""
    os.write(1, f"{line}\n".encode())


def main() -> None:
    """Fork a writer for every line, and say its number on the standard error."""
    os.write(2, b"ready\n")
    for line in sys.stdin:
        if not line.strip():
            return
        folder, number = line.rsplit(maxsplit=1)
        child = os.fork()
        if child == 0:
            os.setpgid(0, 0)
            try:
                write_on(Path(folder), int(number))
            finally:
                os._exit(1)
        os.write(2, f"{child}\n".encode())
        os.waitpid(child, 0)


if __name__ == "__main__":
    main()
