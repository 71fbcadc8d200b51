"""A job as a page asks for it: who asks, the job as it stands, and how a refused form is shown on it."""

from collections.abc import Callable
from dataclasses import dataclass

from fastapi import Request
from starlette.responses import Response

from coldsoak.record.job_record import JobRecord
from coldsoak.shop.desk.at_vehicle import AtVehicle
from coldsoak.web.bay.again import Typed, shows_again
from coldsoak.web.bay.asked import frame, may, shop_of
from coldsoak.web.bay.door import Caller
from coldsoak.web.bay.pages import Frame, page


@dataclass(frozen=True)
class JobAsked:
    """One job, looked at by somebody; `typed` is the form that was refused just now."""

    request: Request
    caller: Caller
    desk: AtVehicle
    record: JobRecord
    typed: Typed
    status: int = 200

    @property
    def id(self) -> int:
        """The number of the job in the shop."""
        return self.desk.job_id

    @property
    def us(self) -> bool:
        """Whether numbers are shown in US units."""
        return self.caller.units == "us"

    def frame(self) -> Frame:
        """Return the frame of the page."""
        said = (self.typed.sentence,) if self.typed.sentence else ()
        return frame(self.request, self.caller, job_id=self.id, seq=self.record.count, refused=said)

    def page(self, template: str, view: object) -> Response:
        """Return the page of a view."""
        return page(self.request, template, self.frame(), view, status=self.status)


Show = Callable[[JobAsked], Response]


def job_asked(request: Request, job_id: int, typed: Typed | None = None, status: int = 200) -> JobAsked:
    """Return the job that somebody wants to look at."""
    caller = may(request, "look")
    desk = AtVehicle(shop_of(request), job_id, caller.name)
    return JobAsked(request, caller, desk, desk.job(), typed or Typed(), status)


def page_shows_again(stage: str, show: Show) -> None:
    """Let the page of a stage show its refused forms as they were typed."""

    def again(request: Request, job_id: int, typed: Typed, status: int) -> Response:
        return show(job_asked(request, job_id, typed, status))

    shows_again(stage, again)
