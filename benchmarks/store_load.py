"""How quick the shop's store is with many jobs in it: generate them, then measure what pages and devices ask.

`python benchmarks/store_load.py` takes a small store and under a minute; `--full` 10,000 jobs and 2 million events;
`--docs` writes the table into docs/shop.md; `--keep FOLDER` leaves the store there and takes it up again. All names are
invented and every draw is seeded.
"""

import argparse
import datetime as dt
import os
import platform
import random
import sqlite3
import statistics
import tempfile
import threading
import time
import uuid
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from coldsoak.record.events import Event, body_from
from coldsoak.record.header import Header
from coldsoak.shop import Shop, Summary, open_shop
from coldsoak.shop.clock import microseconds
from coldsoak.shop.entry import chained
from coldsoak.shop.keep import keep_events, make_job

DOCS = Path(__file__).resolve().parents[1] / "docs" / "shop.md"
BEGIN, END = "<!-- load: begin -->", "<!-- load: end -->"
SMALL = (500, 20_000)
FULL = (10_000, 2_020_000)  # the draw of lengths falls a little short of what is asked
DEVICES = 20
TOGETHER = 50
"""Jobs to one commit while generating; nobody waits for them one by one."""

MAKERS = ("Orrin", "Haldor", "Kestane", "Brask", "Velmo", "Tarn", "Ostra", "Lunde", "Marrow", "Quill")
KINDS = ("van", "estate", "coupé", "pick-up", "hatch", "wagon")
TROUBLES = (
    "lamp on",
    "harsh shift",
    "slips when warm",
    "leaks",
    "whines in third",
    "no reverse",
    "hunts at cruise",
)
CODES = ("P0711", "P0712", "P0713", "P0730", "P0741", "P0868", "P0218")
PEOPLE = ("Ana Sorel", "Ben Arlo", "Mia Tal", "Rob Elm")
LETTERS = "ABCDEFGHJKLMNPRSTUVWXYZ0123456789"


def bodies(rng: random.Random, number: int, count: int) -> Iterator[dict[str, Any]]:
    """Yield the bodies of one invented job, `count` of them, in the order of the work."""
    maker = rng.choice(MAKERS)
    trouble = rng.choice(TROUBLES)
    yield {
        "kind": "opened",
        "job": f"{2015 + number % 12}-{number:05d}",
        "vehicle": {
            "name": f"{maker} {rng.choice(KINDS)}",
            "plate": f"{''.join(rng.choices(LETTERS[:23], k=2))}-{rng.randrange(10_000):04d}",
            "identification": "".join(rng.choices(LETTERS, k=11)) + f"{number:06d}",
            "year": rng.randrange(2005, 2027),
        },
        "unit": {
            "name": f"{maker} {rng.choice('RTVK')}{rng.randrange(2, 9)}",
            "serial": f"{rng.randrange(10**7)}",
        },
        "complaint": f"{trouble}, {rng.choice(('cold', 'warm', 'wet', 'towing'))} mornings",
        "customer": f"{rng.choice(('Brenner', 'Lahti', 'Moreau', 'Silva', 'Novak'))} {rng.randrange(900)}",
    }
    yield {
        "kind": "codes_read",
        "moment": "before",
        "codes": [{"code": rng.choice(CODES), "status": "stored"}],
    }
    yield {
        "kind": "judged",
        "judgement": {"verdict": "not_believable", "sentence": "The reading cannot be true."},
    }
    yield {"kind": "planned", "plan": {"steps": [{"n": n, "item": f"step_{n}"} for n in range(1, 12)]}}
    last = [
        {"kind": "proved", "proof": {"verdict": "proven"}},
        {
            "kind": "note",
            "text": f"Handed over, {rng.choice(('quiet', 'smooth', 'dry'))} after {rng.randrange(90)} km.",
        },
    ]
    for n in range(max(0, count - 4 - len(last))):
        yield work(rng, n)
    yield from last[: max(0, count - 4)]


def work(rng: random.Random, n: int) -> dict[str, Any]:
    """Return one thing that is done on a job: three of five are torque entries."""
    drawn = rng.random()
    if drawn < 0.6:
        torque = {
            "position": n % 24 + 1,
            "pass_number": n // 24 + 1,
            "torque_nm": round(rng.gauss(11.0, 0.3), 1),
        }
        tool = {"tool": "Small wrench", "target_nm": 11.0, "calibrated": "2026-09-01", "due": "2027-09-01"}
        return {"kind": "torque_entered", "fastener": "pan_bolts", "name": "Pan bolts", **torque, **tool}
    if drawn < 0.8:
        return {
            "kind": "step_done",
            "n": n % 60 + 1,
            "sentence": f"Take off the bolts of cover {n % 9}, count them.",
        }
    if drawn < 0.95:
        return {
            "kind": "tray_change",
            "action": rng.choice(("off", "on")),
            "item": f"bolt_{n % 40}",
            "name": "Bolt",
            "count": 4,
        }
    if drawn < 0.98:
        return {
            "kind": "part_used",
            "part": "pan_gasket",
            "name": "Pan gasket",
            "count": 1,
            "number": f"{rng.randrange(10**6)}",
        }
    return {"kind": "note", "text": f"Bolt {n} was {rng.choice(('dry', 'oily', 'rusty', 'loose'))}."}


def generate(shop: Shop, jobs: int, events: int) -> None:
    """Fill the store up to this many jobs, chained and summed up as if they had been entered one by one."""
    begun = len(_job_numbers(shop))
    start = time.perf_counter()
    for first in range(begun, jobs, TOGETHER):
        with shop.database.write() as connection:
            for number in range(first, min(first + TOGETHER, jobs)):
                rng = random.Random(number)  # noqa: S311 (invented jobs)
                count = max(6, round(events / jobs * rng.uniform(0.5, 1.5)))
                at = dt.datetime(2026, 1, 5, 7, tzinfo=dt.UTC) + dt.timedelta(
                    minutes=30 * number / jobs * 365
                )
                header = Header()
                before, entries = header.hash, []
                job_id = make_job(
                    connection,
                    str(uuid.UUID(int=rng.getrandbits(128), version=4)),
                    header,
                    before,
                    microseconds(at),
                )
                by = rng.choice(PEOPLE)
                for seq, body in enumerate(bodies(rng, number, count), 1):
                    signed = seq == count and number % 10 != 0  # nine of ten are handed over
                    content = (
                        body
                        if not signed
                        else {
                            "kind": "signed",
                            "person": by,
                            "statement": "Done.",
                            "count": seq - 1,
                            "head": before,
                        }
                    )
                    own = uuid.UUID(int=rng.getrandbits(128), version=4)
                    event = Event(seq=seq, at=at.isoformat(), by=by, id=own, body=body_from(content))
                    entry = chained(job_id, event, before)
                    before = entry.hash
                    entries.append(entry)
                keep_events(connection, Summary(), entries, microseconds(at))
        done = min(first + TOGETHER, jobs)
        if done % 1000 == 0:
            print(f"  {done} jobs after {time.perf_counter() - start:.0f} s", flush=True)


def _job_numbers(shop: Shop) -> list[int]:
    with shop.database.read() as connection:
        return [row[0] for row in connection.exec_driver_sql("SELECT id FROM job ORDER BY id")]


def timed(calls: int, call: Callable[[int], object]) -> list[float]:
    """Return the milliseconds of each call."""
    found = []
    for n in range(calls):
        start = time.perf_counter()
        call(n)
        found.append((time.perf_counter() - start) * 1e3)
    return found


def torque(n: int) -> dict[str, Any]:
    """Return a torque entry."""
    return {
        "kind": "torque_entered",
        "fastener": "pan_bolts",
        "name": "Pan bolts",
        "position": n % 24 + 1,
        "torque_nm": 11.0,
        "tool": "Small wrench",
    }


def devices(shop: Shop, jobs: list[int], each: int, pause_s: float) -> list[float]:
    """Return the milliseconds of every entry of twenty devices at once, two on a job."""
    found: list[float] = []
    start = threading.Barrier(DEVICES)

    def device(number: int) -> None:
        rng = random.Random(number)  # noqa: S311 (invented jobs)
        start.wait()
        for n in range(each):
            time.sleep(rng.uniform(0.5, 1.5) * pause_s)
            found.extend(timed(1, lambda _n, n=n: enter(shop, jobs[number // 2], n)))

    threads = [threading.Thread(target=device, args=(number,)) for number in range(DEVICES)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return found


def enter(shop: Shop, job_id: int, n: int) -> None:
    """Note one torque value, on the disk when this returns."""
    shop.jobs.append(job_id, torque(n), by="Ana Sorel", id=uuid.uuid4())


def measure(shop: Shop, calls: int) -> list[tuple[str, list[float]]]:
    """Return what is asked of the store and how long each answer took."""
    rng = random.Random(5)  # noqa: S311 (which jobs are asked)
    numbers = _job_numbers(shop)
    picked = [rng.choice(numbers) for _ in range(calls)]
    ends = [shop.list.line(one).summary.identification or "" for one in picked[:50]]
    page = shop.list.page
    return [
        ("the list of open jobs, 50 of them", timed(calls, lambda _n: page(is_open=True))),
        (
            "the list, one stage",
            timed(calls, lambda n: page(is_open=True, stage=("plan", "prove", "judge")[n % 3])),
        ),
        ("how many stand where", timed(calls, lambda _n: shop.list.counts())),
        ("search: last six of the frame number", timed(calls, lambda n: page(find=ends[n % len(ends)][-6:]))),
        ("search: two words", timed(calls, lambda n: page(find=f"{MAKERS[n % 10]} leaks"))),
        (
            "search: two letters that begin a tenth of all jobs",
            timed(calls, lambda n: page(find=MAKERS[n % 10][:2])),
        ),
        ("one job as it stands, with all its entries", timed(calls, lambda n: shop.jobs.record(picked[n]))),
        (
            "what is new on a job",
            timed(
                calls, lambda n: shop.jobs.entries(picked[n], since=shop.list.line(picked[n]).last_seq - 3)
            ),
        ),
        ("one entry, one device", timed(calls, lambda n: enter(shop, picked[n % 10], n))),
        (
            "one entry, 20 devices, each about one a second",
            devices(shop, numbers[-10:], max(3, calls // 40), 1.0),
        ),
        ("one entry, 20 devices without a pause", devices(shop, numbers[-10:], max(10, calls // 10), 0.0)),
    ]


def table(rows: list[tuple[str, list[float]]]) -> str:
    """Return the measurements as a table."""
    lines = ["| what | p50 ms | p99 ms | n |", "|---|---:|---:|---:|"]
    for what, found in rows:
        cuts = statistics.quantiles(found, n=100, method="inclusive")
        lines.append(f"| {what} | {cuts[49]:.1f} | {cuts[98]:.1f} | {len(found)} |")
    return "\n".join(lines)


def machine() -> str:
    """Say what it was measured on."""
    cpu = platform.processor() or platform.machine()
    info = Path("/proc/cpuinfo")
    if info.exists():
        names = [
            line.split(":", 1)[1].strip()
            for line in info.read_text().splitlines()
            if line.startswith("model name")
        ]
        cpu = names[0] if names else cpu
    return (
        f"{dt.datetime.now().astimezone():%Y-%m-%d}, {os.cpu_count()} cores ({cpu}), {platform.system()}, Python "
        f"{platform.python_version()}, SQLite {sqlite3.sqlite_version}, load average {os.getloadavg()[0]:.0f}"
    )


def main() -> None:
    """Generate, measure, print, and write into the docs when asked."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument(
        "--full", action="store_true", help="10,000 jobs and 2 million events (several minutes, 2 GB)"
    )
    parser.add_argument("--jobs", type=int)
    parser.add_argument("--events", type=int)
    parser.add_argument("--calls", type=int, default=300, help="how often each thing is asked")
    parser.add_argument(
        "--keep", type=Path, help="leave the store in this folder, and go on with one that is there"
    )
    parser.add_argument("--database", help="a PostgreSQL server instead of a file")
    parser.add_argument("--docs", action="store_true", help="write the table into docs/shop.md")
    options = parser.parse_args()
    jobs, events = FULL if options.full else SMALL
    jobs, events = options.jobs or jobs, options.events or events
    with (
        tempfile.TemporaryDirectory() as passing,
        open_shop(options.keep or Path(passing), options.database) as shop,
    ):
        generate(shop, jobs, events)
        with shop.database.read() as connection:
            count = connection.exec_driver_sql("SELECT count(*) FROM event").scalar_one()
        size = shop.place.file.stat().st_size / 1e6 if shop.place.file else 0.0
        said = f"{len(_job_numbers(shop)):,} jobs, {count:,} events" + (f", {size:,.0f} MB" if size else "")
        print(f"{said}; {machine()}")
        rows = measure(shop, options.calls)
    text = table(rows)
    print(text)
    if options.docs:
        page = DOCS.read_text("utf-8")
        before, _, rest = page.partition(BEGIN)
        after = rest.partition(END)[2]
        DOCS.write_text(f"{before}{BEGIN}\n{said}; {machine()}.\n\n{text}\n{END}{after}", "utf-8")


if __name__ == "__main__":
    main()
