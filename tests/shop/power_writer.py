"""Enters things into a store on a recording disk and writes down what happened: `folder result synchronous`."""

import os
import pickle
import sys
import threading
import uuid
from pathlib import Path

from tests.shop.entries import opened_body, torque
from tests.shop.recording_disk import Disk

from coldsoak.shop import Draft, Shop, open_shop

ENTRIES = 250
THREADS = 4


def main(folder: str, result: str, synchronous: str) -> None:
    """Run until all entries are in; leave without closing, as a power cut does."""
    disk = Disk()
    shop = open_shop(Path(folder))
    if synchronous != "FULL":
        with shop.database._writer.connect() as connection:
            raw = connection.connection.dbapi_connection
            assert raw is not None
            raw.rollback()
            raw.cursor().execute(f"PRAGMA synchronous = {synchronous}")
    opened = shop.jobs.open(Draft(opened_body(), uuid.uuid4()), by="Writer")
    disk.say(opened.id, opened.job_id, opened.seq, opened.head)
    threads = [threading.Thread(target=enter, args=(shop, disk, opened.job_id)) for _ in range(THREADS)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    steps = list(disk.steps)
    Path(result).write_bytes(pickle.dumps([tuple(step) for step in steps]))
    os._exit(0)


def enter(shop: Shop, disk: Disk, job_id: int) -> None:
    """One device."""
    for count in range(1, ENTRIES + 1):
        if count % 5 == 0:
            drafts = [Draft({"kind": "note", "text": "x" * 500}, uuid.uuid4()) for _ in range(3)]
        else:
            drafts = [Draft(torque(count), uuid.uuid4())]
        for one in shop.jobs.append_all(job_id, drafts, by="Device"):
            disk.say(one.id, one.job_id, one.seq, one.head)


if __name__ == "__main__":
    main(*sys.argv[1:])
