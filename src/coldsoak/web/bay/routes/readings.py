"""Readings of the fluid as a program or a phone takes them, for every page of the fluid that is open."""

from fastapi import APIRouter, Request

from coldsoak.shop.desk.live import take
from coldsoak.web.bay.api_values import SAID, Enters, JobId, NewReadings, TakenReadings
from coldsoak.web.bay.asked import shop_of
from coldsoak.web.bay.threads import at_once

router = APIRouter(prefix="/api", responses=SAID, tags=["readings"])


@router.post("/jobs/{job_id}/readings")
async def readings(request: Request, caller: Enters, job_id: JobId, new: NewReadings) -> TakenReadings:
    """Take in readings of a run; it is kept as a log of the job when it ends, when another begins, or when the level is set."""
    pairs = [(one.time_s, one.temp_c) for one in new.readings]
    taken = await at_once(
        take,
        shop_of(request),
        job_id,
        new.id,
        caller.name,
        new.thermometer.strip(),
        pairs,
        new.now_s,
        ends=new.ends,
    )
    return TakenReadings(job=job_id, id=new.id, count=taken.count, ended=taken.ended, left_out=taken.left_out)
