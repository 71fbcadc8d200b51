"""Live readings at the desk: taken in as they come, and kept as a log of the job when the run is over."""

import datetime as dt
import io
import math
from collections.abc import Sequence
from dataclasses import dataclass
from uuid import UUID, uuid5

from coldsoak.errors import InputError, LogError
from coldsoak.fill.forecast.forecaster import LEAST_C, MOST_C
from coldsoak.record.stamp import moment
from coldsoak.shop.desk.by_hand import NO_THERMOMETER
from coldsoak.shop.desk.desk import log_kept
from coldsoak.shop.jobs import Draft
from coldsoak.shop.runs import Run, TimeAndTemp
from coldsoak.shop.store import Shop

FORGOTTEN_S = 1800.0
"""A run that nothing was added to for so long is over: it is kept when the next readings come in, on whatever job."""
FEWEST = 2
AHEAD_S = 60.0
"""Readings further ahead than this come from a clock that was set meanwhile."""


@dataclass(frozen=True)
class Taken:
    """What became of a batch: how many readings the run has now, whether it is over, how many were none of a fluid."""

    count: int
    ended: bool
    left_out: int = 0


def take(
    shop: Shop,
    job_id: int,
    run_id: UUID,
    by: str,
    thermometer: str,
    readings: Sequence[TimeAndTemp],
    now_s: float | None = None,
    *,
    ends: bool = False,
) -> Taken:
    """Take in a batch of a run, in seconds of the sender's clock, which shows `now_s` as it is sent.

    Readings that were sent before are known by their time. Another run on the same job ends the one before it; one that
    is over takes nothing more.
    """
    shop.list.line(job_id)
    if thermometer.casefold() == "none":
        raise InputError(NO_THERMOMETER)
    if (over := shop.jobs.noted(_log_id(run_id))) is not None and over.job_id == job_id:
        return Taken(0, ended=True)
    good = [one for one in readings if math.isfinite(one[0]) and LEAST_C <= one[1] <= MOST_C]
    known = shop.runs.of(job_id)
    for run in shop.runs.every():
        if run.id != run_id and (
            run.job_id == job_id or (shop.now() - run.last_at).total_seconds() > FORGOTTEN_S
        ):
            end(shop, run)
    if known is None or known.id != run_id:
        last_s = max((one[0] for one in good), default=0.0)
        shows_s = max(now_s, last_s) if now_s is not None else last_s
        known = Run(run_id, job_id, by, thermometer, shop.now() - dt.timedelta(seconds=shows_s))
    latest = shop.now() + dt.timedelta(seconds=AHEAD_S)
    good = [one for one in good if known.at(one[0]) <= latest]
    run = shop.runs.add(known, good)
    level = shop.jobs.record(job_id).level
    over_now = ends or (level is not None and moment(level.at) > run.began)
    if over_now:
        end(shop, run)
    return Taken(len(run.readings), over_now, len(readings) - len(good))


def end(shop: Shop, run: Run) -> None:
    """Keep a run as a log of its job, and forget it; one of a single reading is no log."""
    if len(run.readings) >= FEWEST:
        name = f"readings-{run.at(run.readings[0][0]).astimezone():%Y-%m-%d-%H%M}.csv"
        try:
            body, log = log_kept(shop, run.by, io.BytesIO(run.csv()), name, "during")
        except LogError:
            return  # it stays where it is, for somebody to look at
        said = {"channel": log.channels[0].name, "thermometer": run.thermometer}
        at = run.last_at.astimezone().isoformat(timespec="milliseconds")
        draft = Draft(body.model_copy(update=said), _log_id(run.id), at)
        shop.jobs.append_all(run.job_id, [draft], by=run.by)
    shop.runs.forget(run)


def end_of(shop: Shop, job_id: int) -> None:
    """Keep the run of a job as a log, where there is one."""
    if (run := shop.runs.of(job_id)) is not None:
        end(shop, run)


def _log_id(run_id: UUID) -> UUID:
    return uuid5(run_id, "log")
