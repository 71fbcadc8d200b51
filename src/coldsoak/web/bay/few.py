"""A few things that were worked out lately, so that looking again costs nothing."""

from collections.abc import Callable, Hashable
from threading import Lock
from typing import Generic, TypeVar

K = TypeVar("K", bound=Hashable)
T = TypeVar("T")


class Few(Generic[K, T]):
    """Keeps the last `most` by what they depend on.

    >>> few: Few[str, int] = Few(1)
    >>> few.get_or_make("a", lambda: 1), few.get_or_make("a", lambda: 2), few.get_or_make("b", lambda: 3)
    (1, 1, 3)
    >>> few.get_or_make("a", lambda: 4)
    4
    """

    def __init__(self, most: int) -> None:
        self._most = most
        self._held: dict[K, T] = {}
        self._lock = Lock()

    def get_or_make(self, key: K, make: Callable[[], T]) -> T:
        """Return what was made for the key, or make it; two at one moment may both make it."""
        with self._lock:
            if key in self._held:
                self._held[key] = self._held.pop(key)
                return self._held[key]
        made = make()
        with self._lock:
            self._held[key] = made
            while len(self._held) > self._most:
                self._held.pop(next(iter(self._held)))
        return made
