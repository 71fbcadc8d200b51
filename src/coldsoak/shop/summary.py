"""What the list of jobs shows of a job, worked out from its events as they come in.

A job stands in the stage to which its last telling event belongs, and waits for whoever must act next:

| waits for | when |
|---|---|
| technician | there is work to do in the bay |
| customer | an estimate was given and no work has been noted since |
| road_test | the last proof says that it is not proven yet |
| hand_over | it is proven, and nothing has been invoiced |
| signature | it is invoiced and nobody has signed |
| nobody | it is signed |
"""

from collections.abc import Sequence
from typing import Literal

from pydantic import Field

from coldsoak.record.events import (
    CodesRead,
    Event,
    FluidMoved,
    LogKept,
    Opened,
    Proved,
    TestResult,
    TrayChange,
)
from coldsoak.record.undo import standing
from coldsoak.value import Value

VERSION = "3"
"""Goes up when the same events give another summary or other search words; stores are then worked through anew."""

Stage = Literal["judge", "plan", "build", "fill", "prove", "record"]
Waits = Literal["technician", "customer", "road_test", "hand_over", "signature", "nobody"]

_STAGES: dict[str, Stage] = {
    "opened": "judge",
    "codes_read": "judge",
    "log_kept": "judge",
    "judged": "judge",
    "test_result": "judge",
    "planned": "plan",
    "estimated": "plan",
    "step_done": "build",
    "tray_change": "build",
    "torque_entered": "build",
    "fluid_moved": "fill",
    "fill_worked_out": "fill",
    "level_set": "fill",
    "codes_cleared": "prove",
    "proved": "prove",
    "invoiced": "record",
    "signed": "record",
}
_WAITS: dict[str, Waits] = {"estimated": "customer", "invoiced": "signature", "signed": "nobody"}
_PROOF_WAITS: dict[object, Waits] = {"not_proven": "road_test", "proven": "hand_over"}


class Summary(Value):
    """One line of the list of jobs."""

    number: str = Field(default="", description="of the work order")
    vehicle: str = ""
    plate: str | None = None
    identification: str | None = None
    unit: str = ""
    customer: str | None = None
    complaint: str = ""
    codes: tuple[str, ...] = ()
    stage: Stage = "judge"
    waits_for: Waits = "technician"
    entries: int = 0
    torque_entries: int = 0
    last_kind: str = ""
    last_by: str = ""
    last_at: str = ""

    @property
    def is_open(self) -> bool:
        """Whether anybody still has something to do."""
        return self.waits_for != "nobody"

    def after(self, event: Event) -> "Summary":
        """Return the summary after one more event that takes nothing back."""
        body = event.body
        change: dict[str, object] = {
            "entries": self.entries + 1,
            "last_kind": event.kind,
            "last_by": event.by,
            "last_at": event.at,
        }
        stage = _stage(event)
        if isinstance(body, CodesRead) and stage == "prove" and self.stage in {"prove", "record"}:
            stage = None  # read late, which takes no proof away
        if stage is not None:
            change["stage"] = stage
            change["waits_for"] = _WAITS.get(event.kind, "technician")
        if isinstance(body, Opened):
            change |= {
                "number": body.job,
                "vehicle": body.vehicle.name,
                "plate": body.vehicle.plate,
                "identification": body.vehicle.identification,
                "unit": body.unit.name,
                "customer": body.customer,
                "complaint": body.complaint,
            }
        elif isinstance(body, CodesRead):
            change["codes"] = tuple(dict.fromkeys((*self.codes, *(code.code for code in body.codes))))
        elif isinstance(body, Proved):
            change["waits_for"] = _PROOF_WAITS.get(body.proof.get("verdict"), "technician")
        elif event.kind == "torque_entered":
            change["torque_entries"] = self.torque_entries + 1
        return self.model_copy(update=change)


def summary_of(events: Sequence[Event]) -> Summary:
    """Return the summary of a whole job; what was taken back counts for nothing but the number of entries."""
    found = Summary()
    for event in standing(events):
        found = found.after(event)
    if not events:
        return found
    last = events[-1]
    return found.model_copy(
        update={"entries": len(events), "last_kind": last.kind, "last_by": last.by, "last_at": last.at}
    )


def _stage(event: Event) -> Stage | None:
    body = event.body
    if isinstance(body, CodesRead | LogKept) and body.moment == "after":
        return "prove"
    if isinstance(body, FluidMoved) and body.direction == "out" and body.way == "drain":
        return "build"
    if isinstance(body, TestResult) and body.key is None:
        return None  # a reading or another thing measured on the way, which no judgement asked for
    if isinstance(body, TrayChange) and body.action == "throw_away":
        return None  # tidied up, whenever it was
    return _STAGES.get(event.kind)
