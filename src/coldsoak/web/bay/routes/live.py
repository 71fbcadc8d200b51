"""Entries as they come in, to every device that has the job open (server-sent events)."""

import asyncio
import contextlib
from collections.abc import AsyncIterator

from fastapi import APIRouter, Request
from sse_starlette import EventSourceResponse, ServerSentEvent

from coldsoak.errors import ColdsoakError
from coldsoak.web.bay.asked import door_of, may, shop_of
from coldsoak.web.bay.door import Caller
from coldsoak.web.bay.threads import at_once

router = APIRouter(include_in_schema=False)
QUIET_S = 15
GATHER_S = 0.08
"""Entries that come in together are told together: whoever looks on loads the page once, and not before they are all noted."""
READINGS_S = 0.4
"""However often a thermometer is read, the page is told no more often than this."""
LOOK_AGAIN_S = 20
"""How long a device that was logged out, or somebody who was locked out, may still be told numbers."""


@router.get("/jobs/{job_id}/live")
async def live(request: Request, job_id: int, since: int = 0) -> EventSourceResponse:
    """Tell the number of the last entry whenever it grows, and of readings; `since` is what the device has seen."""
    caller = await at_once(may, request, "look")
    await at_once(shop_of(request).list.line, job_id)  # a job that is not there is refused before the stream
    return EventSourceResponse(_numbers(request, caller, job_id, since), ping=QUIET_S)


async def _numbers(
    request: Request, caller: Caller, job_id: int, seen: int
) -> AsyncIterator[ServerSentEvent]:
    shop, loop, arrived = shop_of(request), asyncio.get_running_loop(), asyncio.Event()
    last = read = said = 0

    def told(seq: int) -> None:
        nonlocal last
        last = max(last, seq)
        arrived.set()

    def tell(_job: int, seq: int) -> None:
        loop.call_soon_threadsafe(told, seq)

    def told_reading(count: int) -> None:
        nonlocal read
        read = count
        arrived.set()

    def tell_reading(count: int) -> None:
        loop.call_soon_threadsafe(told_reading, count)

    end = await at_once(shop.changes.listen, tell, job_id)
    end_readings = shop.runs.listen(tell_reading, job_id)
    try:
        told((await at_once(shop.list.line, job_id)).last_seq)
        run = await at_once(shop.runs.of, job_id)
        told_reading(
            len(run.readings) if run is not None else 0
        )  # what came in while the page was on its way
        look_again = loop.time() + LOOK_AGAIN_S
        while True:
            arrived.clear()
            if last > seen:
                await asyncio.sleep(GATHER_S if seen else 0)
                seen = last
                yield ServerSentEvent(data=str(last), event="entry")
            if read != said:
                said = read
                yield ServerSentEvent(data=str(said), event="reading")
                await asyncio.sleep(READINGS_S)
            with contextlib.suppress(TimeoutError):
                await asyncio.wait_for(arrived.wait(), max(0.0, look_again - loop.time()))
            if loop.time() >= look_again:
                if not await at_once(door_of(request).still_in, caller):
                    return
                look_again = loop.time() + LOOK_AGAIN_S
    except ColdsoakError:
        return  # the store went away in the middle: the device asks anew and is told why
    finally:
        end()
        end_readings()
