"""Who waits for whom: entries for nobody, pages for pages, and long work for long work.

Python makes pages one at a time, however many threads there are. With twenty devices that load their page anew after one
entry, the next entry would share the processor with all of those pages; so only a few are made at once, and the others stand
in line where they cost nothing.
"""

from collections.abc import Callable
from typing import ParamSpec, TypeVar

from anyio import CapacityLimiter, to_thread
from anyio.lowlevel import RunVar

P = ParamSpec("P")
T = TypeVar("T")

PAGES_AT_ONCE = 4
ENTRIES_AT_ONCE = 40
"""Entries that wait together share one commit, so that many of them cost the disk as much as one."""
WORKS_AT_ONCE = 2
_entries: RunVar[CapacityLimiter] = RunVar("coldsoak_entries")
LOGINS_AT_ONCE = 2
_logins: RunVar[CapacityLimiter] = RunVar("coldsoak_logins")
_works: RunVar[CapacityLimiter] = RunVar("coldsoak_works")


def few_pages_at_once() -> None:
    """Let the running loop make few pages at once."""
    to_thread.current_default_thread_limiter().total_tokens = PAGES_AT_ONCE


async def at_once(call: Callable[P, T], *args: P.args, **kwargs: P.kwargs) -> T:
    """Run what is short and must not wait behind pages: an entry, and the look at who sends it."""
    return await _run(call, _limiter(_entries, ENTRIES_AT_ONCE), *args, **kwargs)


async def at_the_door(call: Callable[P, T], *args: P.args, **kwargs: P.kwargs) -> T:
    """Run a look at a passphrase: it takes 64 MiB for a moment, on purpose, so few are looked at at once."""
    return await _run(call, _limiter(_logins, LOGINS_AT_ONCE), *args, **kwargs)


async def in_turn(call: Callable[P, T], *args: P.args, **kwargs: P.kwargs) -> T:
    """Run what may take seconds, such as judging a log, a few at a time."""
    return await _run(call, _limiter(_works, WORKS_AT_ONCE), *args, **kwargs)


async def _run(call: Callable[P, T], limiter: CapacityLimiter, *args: P.args, **kwargs: P.kwargs) -> T:
    return await to_thread.run_sync(lambda: call(*args, **kwargs), limiter=limiter)


def _limiter(held: RunVar[CapacityLimiter], most: int) -> CapacityLimiter:
    """One for each loop, as it belongs to the loop that waits in it."""
    try:
        return held.get()
    except LookupError:
        made = CapacityLimiter(most)
        held.set(made)
        return made
