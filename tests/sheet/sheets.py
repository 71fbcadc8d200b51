"""Small sheets for tests, as text."""

from coldsoak.sheet.load import parse_sheet
from coldsoak.sheet.unit import UnitSheet

MINUTES = "{off: [1, 2, 3], on: [2, 3, 4]}"


def group(
    key: str,
    *,
    count: int = 4,
    torque: str = "9 N·m",
    drive: str = "hex",
    size: str = "10 mm",
    more: str = "",
) -> str:
    return (
        f"  {key}: {{name: {key}, count: {count}, thread: M6, drive: {drive}, size: {size}, into: aluminium, "
        f"friction: dry, torque: {torque}{', ' + more if more else ''}}}"
    )


def component(key: str, more: str = "", *, kind: str = "other", minutes: str = MINUTES) -> str:
    return f"  {key}: {{name: {key}, kind: {kind}, place: below, minutes: {minutes}{', ' + more if more else ''}}}"


def text(components: list[str], fasteners: list[str] | None = None, *rest: str) -> str:
    lines = ["schema: coldsoak.sheet/1", "unit: {name: Test unit, kind: automatic}"]
    lines += ["fasteners:", *fasteners] if fasteners else []
    return "\n".join([*lines, "components:", *components, *rest]) + "\n"


def sheet(components: list[str], fasteners: list[str] | None = None, *rest: str) -> UnitSheet:
    return parse_sheet(text(components, fasteners, *rest))


FLUID = """fluid:
  specification: Test fluid
  capacity: {total: 7 L, pan: 3 L}
  drain: {method: plug, open_first: [drain_plug], minutes: [1, 2, 3], drip: 5 min, cool: false, lift: any}
  fill: {minutes: [2, 3, 4], lift: any}
  level: {method: overflow, engine: 'off', low: 30 °C, high: 45 °C, minutes: [1, 2, 3], lift: any}"""
