"""A browser as the server sees it: one connection that is kept, cookies, packed answers; nothing that costs much here."""

import asyncio
import re
import time
from collections.abc import AsyncIterator
from dataclasses import dataclass
from urllib.parse import urlencode

FORM = "application/x-www-form-urlencoded"
TOKEN = re.compile(rb'name="token" value="([0-9a-f]{64})"')


@dataclass(frozen=True)
class Answer:
    """What came back, and after how many milliseconds the last byte was there."""

    status: int
    headers: dict[str, str]
    body: bytes
    ms: float


class Browser:
    """One device."""

    def __init__(self, port: int) -> None:
        self.port = port
        self.cookies: dict[str, str] = {}
        self._reader: asyncio.StreamReader | None = None
        self._writer: asyncio.StreamWriter | None = None

    async def get(self, path: str, **headers: str) -> Answer:
        """Ask for a page."""
        return await self._ask("GET", path, b"", headers)

    async def post(self, path: str, form: dict[str, str], **headers: str) -> Answer:
        """Send a form."""
        return await self._ask("POST", path, urlencode(form).encode(), {"content-type": FORM, **headers})

    async def log_in(self, name: str, passphrase: str) -> None:
        """Log in as the page does."""
        page = await self.get("/login", accept_encoding="identity")
        found = TOKEN.search(page.body)
        if found is None:
            raise RuntimeError(f"the login page has no form: {page.status}")
        form = {"token": found[1].decode(), "name": name, "passphrase": passphrase, "to": "/"}
        answer = await self.post("/login", form)
        if answer.status != 303:
            raise RuntimeError(f"the login was refused: {answer.status}")

    async def listen(self, path: str) -> AsyncIterator[int]:
        """Yield the number of each new entry of a job."""
        reader, writer = await asyncio.open_connection("127.0.0.1", self.port)
        try:
            writer.write(self._head("GET", path, {}) + b"\r\n")
            while line := await reader.readline():
                if line.startswith(b"data: "):
                    yield int(line[6:])
        finally:
            writer.close()

    async def close(self) -> None:
        """Close the connection."""
        if self._writer is not None:
            self._writer.close()

    def _head(self, method: str, path: str, headers: dict[str, str]) -> bytes:
        cookie = "; ".join(f"{name}={value}" for name, value in self.cookies.items())
        sent = {"host": f"127.0.0.1:{self.port}", "accept-encoding": "gzip", "cookie": cookie}
        sent |= {name.replace("_", "-"): value for name, value in headers.items()}
        lines = "".join(f"{name}: {value}\r\n" for name, value in sent.items())
        return f"{method} {path} HTTP/1.1\r\n{lines}".encode()

    async def _ask(self, method: str, path: str, body: bytes, headers: dict[str, str]) -> Answer:
        began = time.perf_counter()
        length = {"content-length": str(len(body))} if body else {}
        message = self._head(method, path, {**headers, **length}) + b"\r\n" + body
        for again in (True, False):
            if self._writer is None or self._reader is None or self._writer.is_closing():
                self._reader, self._writer = await asyncio.open_connection("127.0.0.1", self.port)
            self._writer.write(message)
            try:
                head = await self._reader.readuntil(b"\r\n\r\n")
                break
            except (asyncio.IncompleteReadError, ConnectionError):  # an idle connection was closed meanwhile
                self._writer.close()
                self._writer = None
                if not again:
                    raise
        status, found = self._read_head(head)
        content = await self._reader.readexactly(int(found.get("content-length", "0")))
        return Answer(status, found, content, (time.perf_counter() - began) * 1e3)

    def _read_head(self, head: bytes) -> tuple[int, dict[str, str]]:
        first, *rest = head.decode("latin-1").split("\r\n")
        found = {}
        for line in rest:
            name, _, value = line.partition(":")
            if name.lower() == "set-cookie":
                cookie, _, held = value.strip().partition(";")[0].partition("=")
                self.cookies[cookie] = held
            found[name.lower()] = value.strip()
        return int(first.split(" ")[1]), found
