"""One whole job of the invented shop, from complaint to signature, for the documents to be made of."""

import dataclasses
import datetime as dt
import hashlib
from functools import cache
from pathlib import Path
from uuid import NAMESPACE_OID, uuid5

from tests.plan.units import demo_plan, prices

from coldsoak.judge.judge import judge
from coldsoak.logs.read import read_log
from coldsoak.practice.demo import demo_logs
from coldsoak.record.events import (
    BottlesOpened,
    CautionAcknowledged,
    CodesCleared,
    CodesRead,
    Estimated,
    FluidMoved,
    FrameValue,
    Hours,
    Input,
    Judged,
    LevelSet,
    LogKept,
    Measure,
    Monitor,
    Note,
    Opened,
    Override,
    PartUsed,
    Person,
    Photo,
    Planned,
    Proved,
    Shop,
    StepDone,
    TestResult,
    TorqueEntered,
    TrayChange,
    TroubleCode,
    Undone,
    UnitFitted,
    Vehicle,
)
from coldsoak.record.invoice import invoice
from coldsoak.record.ledger import Ledger

START = dt.datetime(2026, 11, 30, 8, 5, tzinfo=dt.timezone(dt.timedelta(hours=1)))
ANA, BO = "Ana Sorel", "Bo Lind"
CHANNEL = "Trans fluid temp"
AFTER = "wo-2044-orrin-van-after-the-repair.csv"


class Clock:
    """A ledger that is filled step by step while a clock runs."""

    def __init__(self) -> None:
        self.ledger = Ledger()
        self.now = START

    def add(self, body: object, minutes: float = 1.0, by: str = ANA) -> None:
        self.now += dt.timedelta(minutes=minutes)
        name = uuid5(NAMESPACE_OID, f"sample {len(self.ledger.events)}")
        self.ledger = self.ledger.add(body, at=self.at, by=by, id=name)  # type: ignore[arg-type]

    @property
    def at(self) -> str:
        return self.now.isoformat(timespec="seconds")


@cache
def log_bytes() -> dict[str, bytes]:
    """The logs before and after the repair: the same van, and the drive after it with a sound circuit."""
    (before,) = [one for one in demo_logs() if "lamp" in one.file]
    after = dataclasses.replace(
        before, file=AFTER, scenario="hot_start", duration_s=2520.0, seed=84, layout="plain"
    )
    return {one.file: one.text() for one in (before, after)}


def write_logs(folder: Path) -> Path:
    folder.mkdir(parents=True, exist_ok=True)
    for name, data in log_bytes().items():
        (folder / name).write_bytes(data)
    return folder


@cache
def sample(scratch: Path) -> Ledger:
    """The job up to, and without, its signature."""
    logs = {name: (data, hashlib.sha256(data).hexdigest()) for name, data in log_bytes().items()}
    before_name, after_name = logs
    folder = write_logs(scratch)
    judged = {name: judge(read_log(folder / name)) for name in logs}
    plan = demo_plan("orrin-r6", "lead_frame_repair")
    clock = Clock()
    add = clock.add
    _opening(clock)
    for moment, name in (("before", before_name),):
        add(LogKept(moment=moment, file=name, sha256=logs[name][1], rows=judged[name].log.rows, duration_s=judged[name].log.duration_s))  # type: ignore[arg-type]  # fmt: skip
    add(_judged(judged[before_name], before_name, logs[before_name][1]))
    add(
        TestResult(
            test="Wiggle connector and harness with the log running",
            result="The reading jumps when the plug at the lead frame is moved.",
            key="wiggle=jumps",
            measures=(Measure(name="Resistance, plug held up", value=2490, unit="ohm"), Measure(name="Resistance, plug let go", value=9800, unit="ohm")),
            tool="Multimeter 4",
        ),
        12,
    )  # fmt: skip
    add(
        Planned(
            plan=plan.to_dict(),
            inputs=(Input(role="sheet", file="orrin-r6.yaml", sha256=plan.job.sheet_sha256),),
            versions={"coldsoak": "0.1.0"},
            assumptions=("Steps are coupled with a correlation of 0.3.",),
        ),
        8,
    )
    add(Estimated(currency="EUR", low="720.00", likely="810.00", high="980.00", not_priced=("wipes",)))
    _work(clock, plan)
    add(Note(text="Plug at the lead frame had green contacts; kept in a bag for the customer."), 2)
    add(Photo(sha256="ab" * 32, file="plug-green.jpg", caption="Green contacts in the plug of the lead frame", step=42))  # fmt: skip
    add(CodesCleared(codes=("P0711-00",)))
    add(
        LogKept(
            moment="after",
            file=after_name,
            sha256=logs[after_name][1],
            rows=judged[after_name].log.rows,
            duration_s=judged[after_name].log.duration_s,
        ),
        45,
        BO,
    )
    add(_judged(judged[after_name], after_name, logs[after_name][1]))
    add(
        CodesRead(
            moment="after",
            monitors=(
                Monitor(name="Comprehensive component", status="complete"),
                Monitor(name="Catalyst", status="not_complete"),
            ),
        )
    )
    add(_proved(logs[before_name][1], logs[after_name][1], before_name, after_name))
    add(Hours(person=ANA, start="2026-11-30T08:05:00+01:00", end="2026-11-30T09:05:00+01:00", what="Logs, judging, tests"))  # fmt: skip
    add(Hours(person=ANA, start="2026-11-30T09:05:00+01:00", end="2026-11-30T12:35:00+01:00", what="Lead frame"))  # fmt: skip
    add(Hours(person=BO, start="2026-11-30T15:10:00+01:00", end="2026-11-30T15:55:00+01:00", what="Test drive", charged=False))  # fmt: skip
    add(invoice(clock.ledger.fold(), prices(), "2026-2044", "2026-11-30", "cd" * 32))
    return clock.ledger


def signed(scratch: Path) -> Ledger:
    ledger = sample(scratch)
    return ledger.sign(
        ANA,
        "The work is done as written here.",
        at="2026-11-30T16:40:00+01:00",
        id=uuid5(NAMESPACE_OID, "sample signature"),
        role="Transmission technician",
    )


def _opening(clock: Clock) -> None:
    clock.add(
        Opened(
            job="WO-2044",
            vehicle=Vehicle(
                name="Orrin van, long wheelbase",
                plate="LW 20 44",
                identification="ZZZORR1NR60002044",
                year=2021,
            ),
            unit=UnitFitted(name="Orrin R6, six-speed automatic for rear drive", serial="R6-118-204"),
            complaint="Warning lamp comes and goes, worse on rough roads. The shop before changed the fluid, no help.",
            odometer_km=148_212,
            customer="Mira Tolland",
            shop=Shop(
                name="Larkwater Gearbox Works",
                address=("Mill Lane 7", "Larkwater"),
                contact="desk at Larkwater, 0100 200 300",
            ),
            people=(
                Person(name=ANA, role="Transmission technician"),
                Person(name=BO, role="Test driver"),
            ),
        )
    )
    clock.add(
        CodesRead(
            moment="before",
            codes=(
                TroubleCode(
                    code="P0711-00",
                    status="stored",
                    meaning="Transmission fluid temperature sensor A, range or performance",
                    module="Transmission control",
                    freeze_frame=(
                        FrameValue(name="Transmission fluid temperature", value=-38, unit="degC"),
                        FrameValue(name="Engine speed", value=1840, unit="rpm"),
                        FrameValue(name="Vehicle speed", value=63, unit="km/h"),
                        FrameValue(name="Coolant temperature", value=88, unit="degC"),
                    ),
                ),
                TroubleCode(
                    code="P0713",
                    status="pending",
                    meaning="Transmission fluid temperature sensor A, circuit high",
                ),
            ),
        )
    )


def _judged(judgement: object, file: str, sha256: str) -> Judged:
    return Judged(
        channel=CHANNEL,
        judgement=judgement.to_dict(),  # type: ignore[attr-defined]
        inputs=(Input(role="log", file=file, sha256=sha256),),
        versions={"coldsoak": "0.1.0", "numpy": "2.3.1", "scipy": "1.16.0"},
        sources=("SAE J1979: E/E diagnostic test modes", "Incropera, Fundamentals of Heat and Mass Transfer, 7th edition, chapter 5"),
        assumptions=("The sensor needs 4 s to follow the fluid (common practice, no source).",),
    )  # fmt: skip


def _work(clock: Clock, plan: object) -> None:
    add = clock.add
    for caution in plan.cautions[:-1]:  # type: ignore[attr-defined]
        add(CautionAcknowledged(caution=caution), 0.2)
    tools = {
        "small": ("Small wrench 2 to 11 N·m", "2026-09-01", "2028-09-01"),
        "middle": ("Middle wrench 10 to 50 N·m", "2026-09-01", "2028-09-01"),
    }
    for step in plan.steps:  # type: ignore[attr-defined]
        minutes = step.minutes.likely if step.minutes is not None else 1.0
        if step.action in ("off", "on", "in", "out") and step.item not in ("fluid", "level"):
            new = step.action == "on" and step.renew
            add(
                TrayChange(
                    action=step.action, item=step.item, name=step.name, count=step.count or 1, new=new
                ),
                0.1,
            )
            if new:
                add(TrayChange(action="throw_away", item=step.item, name=step.name, count=step.count or 1), 0.1)  # fmt: skip
        if step.torque_nm is not None:
            tool, calibrated, due = tools["small" if step.torque_nm <= 11 else "middle"]
            for number in range(1, (step.passes or 1) + 1):
                for position in range(1, (step.count or 1) + 1):
                    add(
                        TorqueEntered(
                            fastener=step.item,
                            name=step.name,
                            position=position,
                            pass_number=number,
                            torque_nm=round(step.torque_nm * (1.012 if position == 3 else 1.0), 2),
                            target_nm=step.torque_nm,
                            angle_deg=step.angle_deg,
                            target_deg=step.angle_deg,
                            tool=tool,
                            calibrated=calibrated,
                            due=due,
                        ),
                        0.2,
                    )
        if step.item == "fluid" and step.action == "drain":
            add(FluidMoved(direction="out", volume_l=4.25, way="drain", temp_c=44, measured_with="measuring jug 6 L"))  # fmt: skip
        if step.item == "fluid" and step.action == "fill":
            add(FluidMoved(direction="in", volume_l=4.6, way="first_fill", fluid="LX-6 thin", temp_c=19, lot="LX6-2609", measured_with="suction pump 9 L", bottles=(BottlesOpened(size_l=5, count=1), BottlesOpened(size_l=1, count=1))))  # fmt: skip
            add(FluidMoved(direction="in", volume_l=0.9, way="top_up", fluid="LX-6 thin", temp_c=19, lot="LX6-2609", measured_with="suction pump 9 L"))  # fmt: skip
        if step.item == "level":
            add(FluidMoved(direction="out", volume_l=0.15, way="overflow", temp_c=41))
            add(
                LevelSet(
                    temp_c=41,
                    thermometer="Contact thermometer on the pan",
                    due="2028-04-30",
                    low_c=38,
                    high_c=48,
                    time=clock.at,
                    engine="running",
                    drip="A stream for 20 s, then drips.",
                )
            )
        add(StepDone(n=step.n, sentence=step.sentence), minutes)
    add(
        Override(
            what="The solenoid screens were not renewed although they were within reach.",
            reason="The customer did not want it; the screens were clean.",
            step=45,
        )
    )
    add(StepDone(sentence="Washed the undertray, twice by mistake."))
    add(Undone(takes_back=len(clock.ledger.events), reason="Entered on the wrong job."))
    for part in plan.kit.parts:  # type: ignore[attr-defined]
        if part.need == "must":
            lot = {"lead_frame": "LF-77120", "filter": "F-2611"}.get(part.part)
            add(
                PartUsed(
                    part=part.part,
                    name=part.name,
                    count=part.count,
                    lot=lot,
                    number={"lead_frame": "OR6-4471"}.get(part.part),
                    invoice="S-90112" if lot else None,
                ),
                0.2,
            )


def _proved(before: str, after: str, before_file: str, after_file: str) -> Proved:
    """A proof as its stage hands it on, with the fields that paper shows; its numbers are made up to be shown."""
    return Proved(
        proof={
            "schema": "coldsoak.proof/1",
            "verdict": "proven",
            "fault": "comes_and_goes",
            "channel": CHANNEL,
            "quantity": "fluid_temp",
            "episodes_before": 2,
            "exposure_before_s": 875.4,
            "episodes_after": 0,
            "exposure_after_s": 2105.0,
            "chance_still_there": 0.0034,
            "drive_more_s": None,
            "where_words": "fluid above 70 °C, moving",
            "before": {"logged_s": 1499.9, "distance_km": 16.055},
            "after": {"logged_s": 2519.9, "distance_km": 26.945},
            "evidence": {"expected_after": 4.8, "conditional_p": 0.0087},
            "notes": ["3 min after the repair count for nothing: it was never driven like that before."],
            "sentence": "0 episodes in 35 min where it used to fail (fluid above 70 °C, moving); at the old rate you would have seen 4.8: chance that it is still there 0.3 %.",
            "next_step": "",
        },
        inputs=(
            Input(role="log", file=before_file, sha256=before),
            Input(role="log", file=after_file, sha256=after),
        ),
        versions={"coldsoak": "0.1.0", "numpy": "2.3.1", "scipy": "1.16.0"},
        sources=("Garwood 1936, Biometrika 28: exact limits for a Poisson mean",),
        assumptions=("Episodes come at a steady rate at the conditions under which they came before.",),
    )
