"""The stages as a record runs them: from settings in plain JSON and files known by their content to a result in plain JSON.

A job is written and a record is recomputed by the same functions, so that they cannot differ in how they call a stage.
"""

import datetime as dt
import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from pathlib import Path
from typing import Any, TypeVar

from coldsoak.build.tighten import orders_of
from coldsoak.errors import InputError
from coldsoak.fill.ledger import Entry
from coldsoak.fill.make import Conditions as Known
from coldsoak.fill.make import plan_fill
from coldsoak.judge.circuit.bench import check_bench
from coldsoak.judge.circuit.curves import SensorCurve
from coldsoak.judge.circuit.inversion import invert_circuit
from coldsoak.judge.circuit.sheet_curve import find_curve
from coldsoak.judge.explain.evidence import parse_all_evidence
from coldsoak.judge.explain.trade_tests import load_knowledge
from coldsoak.judge.judge import judge
from coldsoak.judge.measured import Measured
from coldsoak.judge.measured_text import measured_channel
from coldsoak.logs.log import Log
from coldsoak.logs.read import read_log
from coldsoak.plan.conditions import Conditions
from coldsoak.plan.make import make_plan
from coldsoak.prove.assumptions import load_assumptions
from coldsoak.prove.codes import parse_readiness, weigh_codes
from coldsoak.prove.make import prove
from coldsoak.prove.seen import Circuit, Seen
from coldsoak.record.kinds import Input, Plain
from coldsoak.sheet.load import load_crib, load_prices, load_sheet
from coldsoak.shop.desk import sensor
from coldsoak.shop.desk.seen import circuit_of, see_all

T = TypeVar("T")


@lru_cache(maxsize=32)
def _read(load: Callable[[Path], T], path: Path, sha256: str) -> T:  # noqa: ARG001 (a file that was changed is another)
    return load(path)


@dataclass
class Shelf:
    """Files by their SHA-256, and logs that were read already."""

    paths: Mapping[str, Path]
    logs: dict[str, Log] = field(default_factory=dict)

    def path(self, sha256: str, what: str) -> Path:
        """Return where a file lies, or raise one sentence."""
        if sha256 not in self.paths:
            raise InputError(f"{what} is not there: no file with the SHA-256 {sha256[:16]} … was found.")
        return self.paths[sha256]

    def read(self, load: Callable[[Path], T], said: Input) -> T:
        """Return a file of the shop as `load` reads it; what has one hash is read once."""
        found: T = _read(load, self.path(said.sha256, said.file), said.sha256)
        return found

    def log(self, said: Any) -> Log:
        """Return a log by its hash, mapping and rate; its name has no folder, so that it is the same everywhere."""
        key = json.dumps(said, sort_keys=True)
        if key not in self.logs:
            path = self.path(said["sha256"], f"the log {said['file']}")
            log = read_log(path, mapping=said.get("map", ()), rate_hz=said.get("rate_hz"))
            self.logs[key] = replace(log, provenance=replace(log.provenance, file=said["file"]))
        return self.logs[key]


def judged(settings: Plain, inputs: Sequence[Input], shelf: Shelf) -> Plain:
    """Judge the log that `settings` names, with what was measured at the sensor on the sheet among the inputs."""
    log = shelf.log(settings["log"])
    channels = tuple(_texts(settings.get("channels")))
    knowledge = load_knowledge()
    evidence = parse_all_evidence(_texts(settings.get("evidence")), knowledge)
    bench, pairs = sensor.points(settings.get("bench")), sensor.pairs(settings.get("pairs"))
    if (evidence or bench or pairs) and not channels:
        channels = measured_channel(judge(log))
    measured = Measured(evidence)
    if (bench or pairs) and (curve := _curve(inputs, shelf, log.channel(channels[0]).quantity)) is not None:
        measured = Measured(
            evidence,
            check_bench(bench, curve) if bench else None,
            invert_circuit(pairs, curve) if pairs else None,
        )
    return _plain(judge(log, channels, measured, knowledge))


def _curve(inputs: Sequence[Input], shelf: Shelf, quantity: str | None) -> SensorCurve | None:
    """Return the curve of the sensor that reads `quantity`; None where no sheet has one."""
    sheet = next((one for one in inputs if one.role == "sheet"), None)
    return None if sheet is None else find_curve(shelf.read(load_sheet, sheet), quantity)


def planned(settings: Plain, inputs: Sequence[Input], shelf: Shelf) -> Plain:
    """Plan what `settings` ask for, on the sheet, crib and prices among the inputs."""
    found = {one.role: one for one in inputs}
    temps: dict[str, Any] = {key: settings[key] for key in ("unit_c", "ambient_c") if key in settings}
    conditions = Conditions(day=dt.date.fromisoformat(str(settings["day"])), **temps)
    sheet = shelf.read(load_sheet, found["sheet"])
    plan = make_plan(
        sheet,
        conditions,
        _texts(settings.get("replace")),
        _texts(settings.get("services")),
        shelf.read(load_crib, found["crib"]) if "crib" in found else None,
        shelf.read(load_prices, found["prices"]) if "prices" in found else None,
        orders_of(sheet),
    )
    return _plain(plan)


def filled(settings: Plain, inputs: Sequence[Input], shelf: Shelf) -> Plain:
    """Work out the filling from the ledger in `settings`."""
    found = {one.role: one for one in inputs}
    typed: dict[str, Any] = dict(settings)
    typed["entries"] = tuple(Entry.model_validate(one) for one in typed["entries"])
    prices = shelf.read(load_prices, found["prices"]) if "prices" in found else None
    return _plain(plan_fill(shelf.read(load_sheet, found["sheet"]), Known(**typed, prices=prices)))


def proved(settings: Plain, inputs: Sequence[Input], shelf: Shelf) -> Plain:
    """Prove from the logs before and after that `settings` name, and the codes."""
    said: Any = settings
    logs = [*said["before"], *said["after"]]
    paths = [shelf.path(log["sha256"], f"the log {log['file']}") for log in logs]
    cut = len(said["before"])
    mapping = [text for log in logs for text in log.get("map", ())]
    rate_hz = next((log["rate_hz"] for log in logs if "rate_hz" in log), None)
    first, second = see_all(
        paths[:cut], paths[cut:], said["channel"], mapping, rate_hz, any_vehicle=bool(said.get("any_vehicle"))
    )
    names = {one.sha256: one.file for one in inputs}
    before, after = ([_named(seen, names) for seen in side] for side in (first, second))
    quantity = str(before[0].log.channel(before[0].channel).quantity)
    curve = _curve(inputs, shelf, quantity)
    before[0] = replace(before[0], circuit=_circuit(said.get("pairs_before"), curve))
    after[-1] = replace(after[-1], circuit=_circuit(said.get("pairs_after"), curve))
    soak = sensor.soak_of(said.get("soaks_after"))
    if soak is not None and all(one.soak is None for one in after):
        after[-1] = replace(after[-1], soak=soak)
    codes = said["codes"]
    read = [tuple(codes[key]) if key in codes else None for key in ("before", "after", "pending")]
    listed = ",".join(codes.get("monitors", ()))
    status = parse_readiness(listed) if listed else None
    weighed = weigh_codes(before[0].quantity, read[0], read[1], read[2], status)
    return _plain(prove(before, after, load_assumptions(), weighed))


def _circuit(said: object, curve: SensorCurve | None) -> Circuit | None:
    """What readings beside a thermometer say of the circuit; None where there are none, or no curve."""
    pairs = sensor.pairs(said)
    if curve is None or not pairs:
        return None
    return circuit_of(invert_circuit(pairs, curve), [one.true_c for one in pairs])


def _named(seen: Seen, names: Mapping[str, str]) -> Seen:
    """What was seen of a log, under the name that the record has for it."""
    provenance = seen.log.provenance
    file = names.get(provenance.sha256, provenance.file)
    return replace(seen, log=replace(seen.log, provenance=replace(provenance, file=file)))


@dataclass(frozen=True)
class Stage:
    """A stage: how it is run, where its result stands in the event, and how its verdict is read."""

    name: str
    run: Callable[[Plain, Sequence[Input], Shelf], Plain]
    result: str
    verdict: Callable[[Plain], Any]


def _verdicts(judgement: Any) -> Any:
    return [(channel["name"], channel["verdict"]) for channel in judgement["channels"]]


STAGES = {
    "judged": Stage("judge", judged, "judgement", _verdicts),
    "planned": Stage("plan", planned, "plan", lambda plan: [step["sentence"] for step in plan["steps"]]),  # type: ignore[index, union-attr, call-overload]
    "fill_worked_out": Stage("fill", filled, "result", lambda result: result["sentence"]),
    "proved": Stage("prove", proved, "proof", lambda proof: proof["verdict"]),
}


def _plain(value: Any) -> Plain:
    """A stage's value as its own JSON says it."""
    found: Plain = json.loads(value.to_json())
    return found


def _texts(said: Any) -> list[str]:
    return [str(one) for one in said] if isinstance(said, list | tuple) else []
