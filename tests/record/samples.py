"""Records to test with: one small and signed, and strategies that make every kind of event."""

import datetime as dt
from decimal import Decimal
from typing import Any
from uuid import UUID

from hypothesis import strategies as st

from coldsoak.record import events as of
from coldsoak.record.ledger import Ledger

AT = "2027-03-31T14:05:00+02:00"
SHA = "ab" * 32
OPENED = of.Opened(
    job="WO-1",
    vehicle=of.Vehicle(name="Orrin van", plate="LK 2044"),
    unit=of.UnitFitted(name="Orrin R6"),
    complaint="Lamp comes on at 80 °C",
    odometer_km=84210.5,
    people=(of.Person(name="Ana Sorel", role="technician"),),
)
BOLT = of.TorqueEntered(
    fastener="pan_bolts",
    name="Pan bolts",
    position=1,
    torque_nm=8.5871,
    tool="Small wrench",
    due="2028-09-01",
)
PART = of.PartUsed(part="filter", name="Fluid filter", count=1, lot="F6", price=Decimal("41.50"))


OFF = of.TrayChange(action="off", item="pan", name="Fluid pan")


def ledger(*bodies: Any, sign: bool = True) -> Ledger:
    """A record of a few events, in the order given after the opening."""
    found = Ledger()
    for n, body in enumerate((OPENED, *bodies), 1):
        found = found.add(body, at=AT, by="Ana Sorel", id=UUID(int=n))
    if sign:
        return found.sign(
            "Ana Sorel", "All done as written.", at="2027-03-31T15:05:00+02:00", id=UUID(int=10**6)
        )
    return found


def small() -> Ledger:
    """Seven events and a signature."""
    undone = of.Undone(takes_back=3, reason="wrong job")
    return ledger(BOLT, PART, of.Note(text="Magnet: grey paste."), undone, PART, OFF)


text = st.text(st.characters(exclude_categories=("Cs",)), min_size=1, max_size=20)
number = st.floats(allow_nan=False, allow_infinity=False, min_value=-1e6, max_value=1e6)
positive = st.floats(min_value=1e-3, max_value=900.0)
count = st.integers(1, 500)
money = st.decimals(min_value=0, max_value=10**6, places=2)
sha = st.text("0123456789abcdef", min_size=64, max_size=64)
day = st.dates().map(lambda one: one.isoformat().rjust(10, "0"))


def maybe(one: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    return st.none() | one


plain: st.SearchStrategy[Any] = st.dictionaries(
    text,
    st.recursive(
        st.none() | st.booleans() | st.integers(-(2**53) + 1, 2**53 - 1) | number | text,
        lambda inner: st.lists(inner, max_size=3) | st.dictionaries(text, inner, max_size=3),
        max_leaves=6,
    ),
    max_size=3,
)
stamp = st.datetimes(min_value=dt.datetime(1900, 1, 1)).map(  # noqa: DTZ001 (gets its offset below)
    lambda one: one.replace(microsecond=0).strftime("%Y-%m-%dT%H:%M:%S").rjust(19, "0") + "+02:00"
)
inputs = st.lists(
    st.builds(of.Input, role=st.sampled_from(["log", "sheet"]), file=text, sha256=sha), max_size=2
).map(tuple)
computed = {
    "inputs": inputs,
    "settings": plain,
    "versions": st.dictionaries(text, text, max_size=2),
    "sources": st.lists(text, max_size=2).map(tuple),
    "assumptions": st.lists(text, max_size=2).map(tuple),
}
line = st.builds(
    of.LineOfMoney,
    kind=st.sampled_from(["labour", "parts", "fluid", "supplies", "tax"]),
    text=text,
    quantity=maybe(money),
    unit_price=maybe(money),
    amount=money,
)
lines = st.lists(line, max_size=3).map(tuple)
BODIES: dict[str, st.SearchStrategy[Any]] = {
    "opened": st.just(OPENED),
    "codes_read": st.builds(
        of.CodesRead,
        moment=st.sampled_from(["before", "during", "after"]),
        codes=st.lists(
            st.builds(
                of.TroubleCode,
                code=st.from_regex(r"\A[PCBU][0-3][0-9A-F]{3}(-[0-9A-F]{2})?\Z"),
                status=st.sampled_from(["pending", "stored", "permanent"]),
                freeze_frame=st.lists(
                    st.builds(of.FrameValue, name=text, value=number | text, unit=maybe(text)), max_size=2
                ).map(tuple),
            ),
            max_size=2,
        ).map(tuple),
        monitors=st.lists(
            st.builds(of.Monitor, name=text, status=st.sampled_from(["complete", "not_complete"])), max_size=2
        ).map(tuple),
    ),
    "codes_cleared": st.builds(of.CodesCleared, codes=st.just(("P0711",))),
    "log_kept": st.builds(
        of.LogKept, moment=st.just("before"), file=text, sha256=sha, rows=count, duration_s=maybe(positive)
    ),
    "input_kept": st.builds(
        of.InputKept, input=st.builds(of.Input, role=st.just("crib"), file=text, sha256=sha)
    ),
    "judged": st.builds(of.Judged, judgement=plain, channel=maybe(text), **computed),
    "test_result": st.builds(
        of.TestResult,
        test=text,
        result=text,
        measures=st.lists(st.builds(of.Measure, name=text, value=number, unit=text), max_size=2).map(tuple),
    ),
    "planned": st.builds(of.Planned, plan=plain, **computed),
    "estimated": st.builds(
        of.Estimated, currency=st.just("EUR"), low=money, likely=money, high=money, lines=lines
    ),
    "step_done": st.builds(of.StepDone, n=maybe(count), sentence=text, note=maybe(text)),
    "tray_change": st.builds(
        of.TrayChange,
        action=st.sampled_from(["off", "on", "throw_away", "in", "out"]),
        item=text,
        name=text,
        count=count,
        new=st.booleans(),
    ),
    "torque_entered": st.builds(
        of.TorqueEntered,
        fastener=text,
        name=text,
        position=count,
        pass_number=count,
        torque_nm=positive,
        angle_deg=maybe(positive),
        tool=text,
        calibrated=maybe(day),
    ),
    "part_used": st.builds(
        of.PartUsed, part=text, name=text, count=count, lot=maybe(text), price=maybe(money)
    ),
    "fluid_moved": st.builds(
        of.FluidMoved, direction=st.sampled_from(["in", "out"]), volume_l=positive, temp_c=maybe(positive)
    ),
    "fill_worked_out": st.builds(of.FillWorkedOut, result=plain, **computed),
    "level_set": st.builds(
        of.LevelSet, temp_c=positive, thermometer=text, time=stamp, engine=st.just("running"), drip=text
    ),
    "proved": st.builds(of.Proved, proof=plain, **computed),
    "caution_acknowledged": st.builds(of.CautionAcknowledged, caution=text, step=maybe(count)),
    "override": st.builds(of.Override, what=text, reason=text),
    "photo": st.builds(of.Photo, sha256=sha, file=text, caption=text),
    "hours": st.just(of.Hours(person="Ana", start=AT, end="2027-03-31T15:05:00+02:00")),
    "note": st.builds(of.Note, text=text),
    "undone": st.builds(of.Undone, takes_back=count, reason=text),
    "invoiced": st.builds(
        of.Invoiced,
        number=text,
        day=day,
        currency=st.just("KWD"),
        lines=lines,
        net=money,
        tax=money,
        total=money,
        rounding=text,
    ),
    "signed": st.builds(of.Signed, person=text, statement=text, count=count, head=sha),
}
