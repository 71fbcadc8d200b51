"""The page of judge, and what is entered on it: logs, codes, results of tests."""

import contextlib
from collections.abc import Callable
from uuid import UUID, uuid5

from fastapi import APIRouter, Request
from starlette.responses import Response

from coldsoak.errors import ColdsoakError, InputError
from coldsoak.judge.circuit.curves import SensorCurve
from coldsoak.judge.explain.evidence import parse_evidence
from coldsoak.judge.explain.trade_tests import load_knowledge
from coldsoak.judge.judgement import ChannelJudgement
from coldsoak.record.events import Measure, TestResult
from coldsoak.record.measures import number_and_unit
from coldsoak.shop.desk.desk import Desk
from coldsoak.shop.entry import Noted
from coldsoak.web.bay.codes_form import codes_typed
from coldsoak.web.bay.deeds import Does, deed
from coldsoak.web.bay.forms import fields
from coldsoak.web.bay.job_asked import JobAsked, job_asked, page_shows_again
from coldsoak.web.bay.log_form import LogTyped, log_typed
from coldsoak.web.bay.plots import log_plot
from coldsoak.web.bay.sensor_form import beside_typed, curve_in_doubt, resistance_typed
from coldsoak.web.bay.threads import in_turn
from coldsoak.web.bay.views.judge import Doubt, Drawn, doubt_of, drawn_of, judge_view
from coldsoak.web.bay.views.shown import Shown, capital

router = APIRouter(include_in_schema=False)
Form = dict[str, str]


@router.get("/jobs/{job_id}/judge")
def judge(request: Request, job_id: int) -> Response:
    """Show what the log says, and what to do next."""
    return _page(job_asked(request, job_id))


@router.post("/jobs/{job_id}/judge")
async def judge_again(request: Request, job_id: int) -> Response:
    """Judge the last log once more, all of it or one channel."""
    form, _ = await fields(request)
    return await in_turn(deed, request, job_id, form, _judge)


@router.post("/jobs/{job_id}/judge/log")
async def add_log(request: Request, job_id: int) -> Response:
    """Keep a log from before the repair, and judge it."""
    form, uploads = await fields(request)

    def keep(desk: Desk, form: Form, id: UUID, at: str | None) -> Noted:  # noqa: A002 (the word of the record)
        return _keep(desk, log_typed(form, uploads), id, at)

    return await in_turn(deed, request, job_id, form, keep)


@router.post("/jobs/{job_id}/judge/test")
async def note_result(request: Request, job_id: int) -> Response:
    """Note what a test showed, and judge again with it."""
    form, _ = await fields(request)
    return await in_turn(deed, request, job_id, form, _test)


@router.post("/jobs/{job_id}/judge/resistance")
async def note_resistance(request: Request, job_id: int) -> Response:
    """Note a resistance of the sensor, and judge again with it."""
    form, _ = await fields(request)
    return await in_turn(deed, request, job_id, form, _measured(resistance_typed))


@router.post("/jobs/{job_id}/judge/beside")
async def note_beside(request: Request, job_id: int) -> Response:
    """Note a reading beside a thermometer, and judge again with it."""
    form, _ = await fields(request)
    return await in_turn(deed, request, job_id, form, _measured(beside_typed))


@router.post("/jobs/{job_id}/judge/codes")
async def codes(request: Request, job_id: int) -> Response:
    """Note the codes that were read; that there is none is a finding too."""
    form, _ = await fields(request)
    return await in_turn(deed, request, job_id, form, _codes)


def _page(asked: JobAsked) -> Response:
    doubt = doubt_of(asked.record)
    drawn = _drawn(asked, doubt) if doubt is not None else None
    quantity = doubt.channel.quantity if doubt is not None and doubt.channel is not None else None
    has_curve = asked.desk.has_curve(asked.record, quantity)
    shown = Shown(asked.us)
    view = judge_view(asked.id, asked.record, doubt, drawn, shown, asked.typed, has_curve=has_curve)
    return asked.page("judge.html.j2", view)


page_shows_again("judge", _page)


def _drawn(asked: JobAsked, doubt: Doubt) -> Drawn | None:
    channel = doubt.channel
    if channel is None:
        return None
    spans = tuple((one.start_s, one.end_s) for one in channel.episodes)
    with contextlib.suppress(ColdsoakError):  # a record made elsewhere may speak of logs that are not here
        path = asked.desk.shop.blobs.path(doubt.log.sha256)
        svg = log_plot(path, doubt.log, channel.name, spans, us=asked.us)
        return drawn_of(asked.id, doubt, svg)
    return None


def _judge(desk: Desk, form: Form, id: UUID, at: str | None) -> Noted:  # noqa: A002, ARG001
    return desk.judge(id, form.get("channel") or None)


def _keep(desk: Desk, log: LogTyped | None, id: UUID, at: str | None) -> Noted:  # noqa: A002
    if desk.shop.jobs.noted(id) is None:
        if log is None:
            raise InputError("no log came with this form: choose the file, then send it.")
        desk.shop.jobs.append(desk.job_id, log.kept(desk.shop, desk.by, "before"), by=desk.by, id=id, at=at)
    return desk.judge(uuid5(id, "judged"))


def _test(desk: Desk, form: Form, id: UUID, at: str | None) -> Noted:  # noqa: A002
    key, knowledge = form.get("other", "") or form.get("key", ""), load_knowledge()
    if not key:
        raise InputError("no result was chosen: choose what the test showed.")
    name, result = parse_evidence(key, knowledge)
    test = knowledge.tests[name]
    measured = form.get("measured", "").strip()
    value, unit = number_and_unit(measured)
    if measured and (value is None or unit is None):
        raise InputError(f"{measured[:40]!r} is no value with its unit: write it as in 2.31 kohm.")
    measures = (
        (Measure(name=capital(test.label), value=value, unit=unit),) if value is not None and unit else ()
    )
    tool = form.get("tool", "").strip()[:200] or None
    body = TestResult(
        test=capital(test.label),
        result=f"{capital(test.node.says[result])}.",
        key=f"{name}={result}",
        measures=measures,
        tool=tool,
    )
    return desk.test(body, id, _judged(doubt_of(desk.job())).name, at)


def _measured(typed: Callable[[Form, SensorCurve | None], TestResult]) -> Does:
    """Return the deed of noting what was measured at the sensor, as one of the forms types it."""

    def note(desk: Desk, form: Form, id: UUID, at: str | None) -> Noted:  # noqa: A002 (the word of the record)
        job = desk.job()
        doubt = doubt_of(job)
        return desk.test(typed(form, curve_in_doubt(desk, job, doubt)), id, _judged(doubt).name, at)

    return note


def _judged(doubt: Doubt | None) -> ChannelJudgement:
    if doubt is None or doubt.channel is None:
        raise InputError("a result belongs to a judged channel: put in a log and have it judged first.")
    return doubt.channel


def _codes(desk: Desk, form: Form, id: UUID, at: str | None) -> Noted:  # noqa: A002
    found = codes_typed(form)
    if not found and not form.get("none"):
        raise InputError("no code was entered: enter what is stored, or tick that none is.")
    body = {"kind": "codes_read", "moment": form.get("moment", "before"), "codes": found}
    return desk.shop.jobs.append(desk.job_id, body, by=desk.by, id=id, at=at)
