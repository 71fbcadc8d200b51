"""SHA-256 of a file while it is being read."""

import hashlib
from concurrent.futures import Future, ThreadPoolExecutor
from types import TracebackType
from typing import Self


class Digest:
    """Takes bytes in order and hashes them beside the reading.

    >>> with Digest() as digest:
    ...     digest.update(b"abc")
    ...     digest.result()[:8]
    'ba7816bf'
    """

    def __init__(self) -> None:
        self._sha256 = hashlib.sha256()
        self._pool = ThreadPoolExecutor(max_workers=1)
        self._last: Future[None] | None = None

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, problem: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._pool.shutdown(wait=True)

    def update(self, data: bytes) -> None:
        """Take the next bytes; waits for those before, so that no more than one piece is kept."""
        if self._last is not None:
            self._last.result()
        self._last = self._pool.submit(self._sha256.update, data)

    def result(self) -> str:
        """Return the hash of all bytes taken, in hexadecimal."""
        if self._last is not None:
            self._last.result()
        return self._sha256.hexdigest()
