"""What the devices do, and how long each of it took."""

import asyncio
import contextlib
import gzip
import random
import time
import uuid
from dataclasses import dataclass, field

from bay_load.client import Answer, Browser
from bay_load.shop import PASSPHRASE, PEOPLE

BOLTS = 18
TORQUE = "8.6"
STAGES = ("judge", "plan", "build", "fill", "prove", "record", "entries")
WORDS = ("orrin", "leaks cold", "kestane van", "P0711", "brenner", "lk 30")


@dataclass
class Measured:
    """Milliseconds by what was asked, and what went wrong."""

    entries: list[float] = field(default_factory=list)
    pages: dict[str, list[float]] = field(default_factory=dict)
    refreshes: list[float] = field(default_factory=list)
    heard: list[float] = field(default_factory=list)
    wrong: list[str] = field(default_factory=list)
    largest: int = 0

    def page(self, what: str, answer: Answer) -> None:
        """Count a page."""
        self.pages.setdefault(what, []).append(answer.ms)
        self.check(answer, 200)

    def check(self, answer: Answer, status: int) -> None:
        """Count what is not as it should be."""
        self.largest = max(self.largest, len(answer.body))
        if answer.status != status:
            self.wrong.append(f"{answer.status}: {answer.body[:200]!r}")


class Devices:
    """All devices of one run; `_shown` is the last entry that the page of a device shows."""

    def __init__(self, port: int, in_bay: list[int], others: list[int]) -> None:
        self.port = port
        self.in_bay = in_bay
        self.others = others
        self.found = Measured()
        self.until = 0.0
        self._noted_at: dict[tuple[int, int], float] = {}
        self._shown: dict[int, int] = {}

    async def run(
        self, devices: int, readers: int, seconds: float, pause_s: float, *, in_step: bool
    ) -> Measured:
        """Load for some seconds; `in_step` lets all devices enter at the same moment."""
        browsers = [Browser(self.port) for _ in range(devices + readers)]
        for n, one in enumerate(browsers):
            await one.log_in(PEOPLE[n % len(PEOPLE)], PASSPHRASE)
        tokens = [(await one.get("/me", accept_encoding="identity")).body for one in browsers]
        self.until = time.perf_counter() + seconds
        beat = asyncio.Barrier(devices) if in_step else None
        work = [
            self._enters(one, n, _token(page), pause_s, beat)
            for n, (one, page) in enumerate(zip(browsers[:devices], tokens[:devices], strict=True))
        ]
        work += [self._reads(one, n) for n, one in enumerate(browsers[devices:])]
        listening = [asyncio.create_task(self._listens(one, n)) for n, one in enumerate(browsers[:devices])]
        await asyncio.gather(*work)
        for one in listening:
            one.cancel()
        await asyncio.gather(*listening, return_exceptions=True)
        for one in browsers:
            await one.close()
        return self.found

    async def _enters(
        self, browser: Browser, n: int, token: str, pause_s: float, beat: asyncio.Barrier | None
    ) -> None:
        """Torque one bolt after the other; then the page shows it."""
        rng = random.Random(n)  # noqa: S311 (when a device enters)
        job = self.in_bay[n // 2 % len(self.in_bay)]
        bolts = iter(range(10**9))
        while time.perf_counter() < self.until:
            await asyncio.sleep(pause_s if beat else rng.uniform(0.5, 1.5) * pause_s)
            if beat:
                try:
                    await beat.wait()
                except asyncio.BrokenBarrierError:  # somebody's time was up
                    return
            k = next(bolts) * 2 + n % 2
            form = {
                "token": token,
                "id": str(uuid.uuid4()),
                "kind": "torque_entered",
                "fastener": "pan_bolts",
                "name": "Pan bolts",
                "position": str(k % BOLTS + 1),
                "pass_number": str(k // BOLTS % 9 + 1),
                "torque": TORQUE,
                "torque.unit": "N·m",
                "tool": "Small wrench",
                "although": "measured for the benchmark",
            }
            sent = time.perf_counter()
            answer = await browser.post(f"/jobs/{job}/entries", form, accept="application/json")
            self.found.entries.append(answer.ms)
            self.found.check(answer, 200)
            if answer.status == 200:
                self._noted_at[job, int(answer.body.partition(b'"seq":')[2].partition(b",")[0])] = sent
                await self._refresh(browser, n, job)
        if beat:
            await beat.abort()

    async def _listens(self, browser: Browser, n: int) -> None:
        """Hear of entries on the job; where the page does not show them yet, load it anew, as every open page does."""
        job = self.in_bay[n // 2 % len(self.in_bay)]
        second = Browser(self.port)
        second.cookies = browser.cookies
        await self._refresh(second, n, job)
        with contextlib.suppress(ConnectionError):
            async for seq in browser.listen(f"/jobs/{job}/live?since={self._shown[n]}"):
                if seq <= self._shown[n]:
                    continue
                if (sent := self._noted_at.get((job, seq))) is not None:
                    self.found.heard.append((time.perf_counter() - sent) * 1e3)
                await self._refresh(second, n, job)

    async def _refresh(self, browser: Browser, n: int, job: int) -> None:
        answer = await browser.get(f"/jobs/{job}/build", accept="text/html", x_part="main")
        self.found.refreshes.append(answer.ms)
        self.found.check(answer, 200)
        seq = gzip.decompress(answer.body).partition(b'data-seq="')[2].partition(b'"')[0]
        self._shown[n] = max(self._shown.get(n, 0), int(seq))

    async def _reads(self, browser: Browser, n: int) -> None:
        """Go through the list, look for jobs, open them stage by stage."""
        rng = random.Random(1000 + n)  # noqa: S311 (which pages are looked at)
        while time.perf_counter() < self.until:
            await asyncio.sleep(rng.uniform(0.5, 1.5))
            drawn = rng.random()
            if drawn < 0.3:
                self.found.page("the list of jobs", await browser.get("/"))
            elif drawn < 0.45:
                words = rng.choice(WORDS).replace(" ", "%20")
                self.found.page("a search", await browser.get(f"/?find={words}"))
            elif drawn < 0.6:
                job = rng.choice(self.others)
                self.found.page("all entries of an old job", await browser.get(f"/jobs/{job}/entries"))
            else:
                job, stage = rng.choice([*self.in_bay, 1]), rng.choice(STAGES)
                self.found.page(f"the {stage} page", await browser.get(f"/jobs/{job}/{stage}"))


def _token(page: bytes) -> str:
    return page.partition(b'name="token" value="')[2][:64].decode()
