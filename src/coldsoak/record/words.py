"""An event in one line of words."""

from collections.abc import Callable
from typing import Any

from coldsoak.record import events as of
from coldsoak.record.stamp import local

MOVES = {"off": "off", "on": "back on", "throw_away": "thrown away", "in": "put in", "out": "taken out"}


def event_words(body: of.Body) -> str:
    """Return what happened, for people.

    >>> event_words(of.FluidMoved(direction="out", volume_l=4.1, way="drain"))
    'fluid out, 4.10 L (drain)'
    """
    said = _WORDS.get(body.kind)
    return said(body) if said is not None else body.kind.replace("_", " ")


def _codes(body: of.CodesRead) -> str:
    found = ", ".join(f"{one.code} {one.status}" for one in body.codes) or "none"
    return f"codes {body.moment} the repair: {found}"


def _torque(body: of.TorqueEntered) -> str:
    turned = f" and {body.angle_deg:g}°" if body.angle_deg is not None else ""
    return f"{body.name} no. {body.position}, pass {body.pass_number}: {body.torque_nm:.2f} N·m{turned}, {body.tool}"


def _tray(body: of.TrayChange) -> str:
    return f"{body.count} × {body.name} {MOVES[body.action]}{', new' if body.new else ''}"


def _judged(body: of.Judged) -> str:
    said: Any = body.judgement.get("channels", ())
    verdicts = [f"{one.get('name')} {str(one.get('verdict')).replace('_', ' ')}" for one in said]
    return f"judged: {', '.join(verdicts)}"


_WORDS: dict[str, Callable[[Any], str]] = {
    "opened": lambda body: f"opened for {body.vehicle.name}: {body.complaint}",
    "codes_read": _codes,
    "codes_cleared": lambda body: f"codes cleared: {', '.join(body.codes) or 'all'}",
    "log_kept": lambda body: f"log {body.moment} the repair kept: {body.file}",
    "input_kept": lambda body: f"{body.input.role} kept: {body.input.file}",
    "judged": _judged,
    "planned": lambda body: f"planned: {body.plan.get('sentence', '')}",
    "fill_worked_out": lambda body: f"filling worked out: {body.result.get('sentence', '')}",
    "proved": lambda body: f"proof: {body.proof.get('sentence', '')}",
    "test_result": lambda body: f"test: {body.test}: {body.result}",
    "step_done": lambda body: f"{f'step {body.n}: ' if body.n is not None else ''}{body.sentence}",
    "tray_change": _tray,
    "torque_entered": _torque,
    "part_used": lambda body: f"{body.count} × {body.name} used{f', lot {body.lot}' if body.lot else ''}",
    "fluid_moved": lambda body: (
        f"fluid {body.direction}, {body.volume_l:.2f} L ({body.way.replace('_', ' ')})"
    ),
    "level_set": lambda body: f"level set at {body.temp_c:.1f} °C by {body.thermometer}: {body.drip}",
    "hours": lambda body: f"{body.person} worked {local(body.start):%H:%M} to {local(body.end):%H:%M}",
    "caution_acknowledged": lambda body: f"caution read: {body.caution}",
    "override": lambda body: f"done otherwise: {body.what} ({body.reason})",
    "photo": lambda body: f"photo {body.file}: {body.caption}",
    "note": lambda body: str(body.text),
    "undone": lambda body: f"event {body.takes_back} taken back: {body.reason}",
    "estimated": lambda body: f"estimate {body.likely} {body.currency} ({body.low} to {body.high})",
    "invoiced": lambda body: f"invoice {body.number}: {body.total} {body.currency}",
    "signed": lambda body: f"signed: {body.statement}",
}
