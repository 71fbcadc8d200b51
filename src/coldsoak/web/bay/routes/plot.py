"""The live plot of a judged channel: a page for a frame, and its figure as a script of its own."""

from fastapi import APIRouter, Request
from starlette.exceptions import HTTPException
from starlette.responses import HTMLResponse, Response

from coldsoak.judge.judgement import ChannelJudgement
from coldsoak.record.findings import LogKept
from coldsoak.web.bay.asked import may, shop_of
from coldsoak.web.bay.headers import PLOT_POLICY
from coldsoak.web.bay.pages import environment
from coldsoak.web.bay.plots import live_plot
from coldsoak.web.bay.views.judged import judged_channels

router = APIRouter(include_in_schema=False)


@router.get("/jobs/{job_id}/plot/{sha256}/{n}.js")
def figure(request: Request, job_id: int, sha256: str, n: int) -> Response:
    """Return the script that draws the plot."""
    kept, judged = _found(request, job_id, sha256, n)
    us = may(request, "look").units == "us"
    path = shop_of(request).blobs.path(kept.sha256)
    script = f"Bokeh.embed.embed_item({live_plot(path, kept, judged, us=us)});\n"
    return Response(script, media_type="text/javascript; charset=utf-8")


@router.get("/jobs/{job_id}/plot/{sha256}/{n}")
def plot(request: Request, job_id: int, sha256: str, n: int) -> Response:
    """Return the page that holds the plot; only our own pages may frame it."""
    kept, judged = _found(request, job_id, sha256, n)
    text = (
        environment()
        .get_template("bay/plot.html.j2")
        .render(title=judged.title, file=kept.file, script=f"/jobs/{job_id}/plot/{sha256}/{n}.js")
    )
    return HTMLResponse(text, headers={"content-security-policy": PLOT_POLICY})


def _found(request: Request, job_id: int, sha256: str, n: int) -> tuple[LogKept, ChannelJudgement]:
    may(request, "look")
    record = shop_of(request).jobs.record(job_id)
    kept = next((one.body for one in record.logs if one.body.sha256 == sha256), None)
    channels = judged_channels(record, sha256)
    if kept is None or not 0 <= n < len(channels):
        raise HTTPException(404, "There is no such plot on this job: open it from the page of judge.")
    return kept, channels[n]
