"""What goes to the shop's pages from `coldsoak fill send`: a login where there is one, and batches of readings."""

import http.client
import json
import math
import re
import ssl
import tempfile
import time
from collections.abc import Callable, Sequence
from http.cookiejar import CookieJar
from pathlib import Path
from typing import Any
from urllib import error, parse, request
from uuid import uuid4

from coldsoak.errors import AccessError, InputError, LogError, StoreError
from coldsoak.fill.forecast.from_log import fluid_channel
from coldsoak.logs.read import read_log

PATIENCE_S = 10.0
LOOK_EVERY_S = 1.0
MOST_AT_ONCE = 2000
_TOKEN = re.compile(r'name="token" value="([0-9a-f]+)"')


class NoAnswerError(StoreError):
    """Nobody answered at the address."""


def readings_of(
    file: Path, channel: str | None, mapping: tuple[str, ...], rate_hz: float | None
) -> tuple[list[tuple[float, float]], float]:
    """Return the readings in a file that may still grow, and what its clock shows now.

    A last line that is only half written yet is left for later.
    """
    content, written = file.read_bytes(), file.stat().st_mtime
    if b"\0" not in content:
        content = content[: content.rfind(b"\n") + 1] or content
    with tempfile.TemporaryDirectory() as place:
        copy = Path(place) / file.name
        copy.write_bytes(content)
        try:
            log = read_log(copy, mapping=mapping, rate_hz=rate_hz)
        except InputError as problem:
            raise type(problem)(str(problem).replace(str(copy), str(file))) from None
    chosen = fluid_channel(log, channel)
    time_s, value_c = log.readings(chosen)
    if not len(time_s):
        raise InputError(
            f"{chosen.name!r} has no reading yet: send the file once its thermometer has been read."
        )
    now_s = float(log.time_s[-1]) + max(time.time() - written, 0.0)
    return list(zip(time_s.tolist(), value_c.tolist(), strict=True)), now_s


class Sender:
    """One run of readings for one job."""

    def __init__(self, address: str, job_id: int, thermometer: str, trust: Path | None = None) -> None:
        typed = address.rstrip("/")
        self.address = typed if "://" in typed else f"{'https' if trust else 'http'}://{typed}"
        parts = parse.urlsplit(self.address)
        if parts.scheme not in {"http", "https"} or not parts.netloc or parts.path:
            raise InputError(f"{address!r} is no address of the shop's pages: name it as in 127.0.0.1:8765.")
        self._job_id = job_id
        self._said = {"id": str(uuid4()), "thermometer": thermometer}
        try:
            context = ssl.create_default_context(cafile=trust)
        except ssl.SSLError:
            raise InputError(
                f"{trust} holds no certificate: name the PEM file that the shop's pages were started with."
            ) from None
        self._opener = request.build_opener(
            request.ProxyHandler({}),
            request.HTTPSHandler(context=context),
            request.HTTPCookieProcessor(CookieJar()),
        )

    def log_in(self, person: str, passphrase: str) -> None:
        """Log in as a person does."""
        found = _TOKEN.search(self._ask("/login").decode("utf-8", "replace"))
        form = {"name": person, "passphrase": passphrase, "token": found[1] if found else "", "to": "/"}
        self._ask("/login", parse.urlencode(form).encode(), "application/x-www-form-urlencoded")

    def send(self, readings: Sequence[tuple[float, float]], now_s: float, *, ends: bool = False) -> bool:
        """Send readings; return whether the run is over at the other end."""
        batch = [{"time_s": round(t, 3), "temp_c": round(c, 3)} for t, c in readings]
        body = json.dumps({**self._said, "readings": batch, "now_s": round(now_s, 3), "ends": ends})
        answer = self._ask(f"/api/jobs/{self._job_id}/readings", body.encode(), "application/json")
        said: Any = json.loads(answer)
        return bool(said["ended"])

    def _ask(self, path: str, body: bytes | None = None, kind: str = "") -> bytes:
        headers = {"accept": "application/json", **({"content-type": kind} if kind else {})}
        asked = request.Request(f"{self.address}{path}", body, headers)  # noqa: S310 (http and https only)
        try:
            with self._opener.open(asked, timeout=PATIENCE_S) as answer:
                content: bytes = answer.read()
        except error.HTTPError as refused:
            raise InputError(_sentence(refused)) from None
        except (error.URLError, http.client.HTTPException, OSError) as problem:
            why = getattr(problem, "reason", problem)
            if isinstance(why, ssl.SSLCertVerificationError):
                raise AccessError(
                    f"the certificate of {self.address} is not trusted ({why.verify_message}): where it is the shop's own, "
                    "name its file with --trust."
                ) from None
            raise NoAnswerError(
                f"nobody answers at {self.address} ({why}): start `coldsoak serve`, or name its address with --to."
            ) from None
        return content


class Follower:
    """Sends what is new in a file, as long as somebody wants it."""

    def __init__(
        self,
        sender: Sender,
        file: Path,
        channel: str | None,
        mapping: tuple[str, ...],
        rate_hz: float | None,
    ) -> None:
        self._sender = sender
        self._said = (file, channel, mapping, rate_hz)
        self._looked_at: tuple[int, int] | None = None
        self._sent_s = -math.inf
        self.count = 0

    def look(self) -> bool:
        """Send what is new; return whether the run is over at the other end. A file that has not grown is not read again."""
        stands = self._said[0].stat()
        state = stands.st_size, stands.st_mtime_ns
        if state == self._looked_at:
            return False
        found, now_s = readings_of(*self._said)
        new = [one for one in found if one[0] > self._sent_s]
        for start in range(0, len(new), MOST_AT_ONCE):
            part = new[start : start + MOST_AT_ONCE]
            if self._sender.send(part, now_s):
                return True
            self._sent_s = part[-1][0]
            self.count += len(part)
        self._looked_at = state
        return False

    def follow(self, say: Callable[[str], object]) -> None:
        """Look once a second until Ctrl-C or the end of the run; a shop that does not answer is asked again."""
        lost = False
        try:
            while True:
                try:
                    if self.look():
                        return
                    lost = False
                except (NoAnswerError, LogError) as problem:
                    if not self.count:
                        raise
                    if not lost:
                        say(f"{problem} It is tried again.")
                    lost = True
                time.sleep(LOOK_EVERY_S)
        except KeyboardInterrupt:
            if self.count:
                self.end()

    def end(self) -> None:
        """Have the readings kept as a log of the job."""
        self._sender.send([], self._sent_s, ends=True)


def _sentence(refused: error.HTTPError) -> str:
    """What the other end says of a refusal."""
    if refused.code == 401:
        return "the shop's pages want to know who you are: name yourself with --person."
    try:
        return str(json.loads(refused.read())["sentence"])
    except (ValueError, KeyError, TypeError):
        return f"the shop's pages refused it (status {refused.code}): look whether the address and the job are right."
