"""Invented sheets for the tests of fill; no unit has these figures."""

from coldsoak.sheet.load import parse_sheet
from coldsoak.sheet.unit import UnitSheet

HEAD = """
schema: coldsoak.sheet/1
unit: {name: Test gearbox, kind: automatic}
fasteners:
  level_thread: {name: Level plug, count: 1, thread: M10x1, drive: hex_socket, size: 5 mm, into: plastic, friction: oiled,
                 torque: 71 lbf·in}
  fill_thread: {name: Fill plug, count: 1, thread: M18x1.5, drive: hex_socket, size: 8 mm, into: aluminium,
                friction: oiled, torque: 30 N·m}
components:
  level_plug: {name: Level plug, kind: plug, place: below, held_by: [level_thread],
               minutes: {off: [1, 1, 1], on: [1, 1, 1]}}
  fill_plug: {name: Fill plug, kind: plug, place: right, held_by: [fill_thread], minutes: {off: [1, 1, 1], on: [1, 1, 1]}}
  level_ring: {name: Ring of the level plug, kind: seal, place: below, exposed_by: [level_plug],
               minutes: {off: [1, 1, 1], on: [1, 1, 1]}}
  valve_body: {name: Valve body, kind: valve_body, place: above, spills: 0.6 L, minutes: {off: [1, 2, 3], on: [1, 2, 3]}}
  filter: {name: Filter, kind: filter, place: above, minutes: {off: [1, 2, 3], on: [1, 2, 3]}}
"""
FULL = """
fluid:
  specification: TT-9 test
  capacity: {total: 11 L, pan: 6 US quart, dry: 10.4 L%(drawn)s}
  reserve: 0.5 L
  density_15c: 850 kg/m³
  viscosity_40c: 30 mm²/s
  viscosity_100c: 6 mm²/s
  drain: {method: suction, minutes: [4, 6, 9]}
  fill: {plug: fill_plug, minutes: [6, 8, 14]%(above)s}
  level: {method: overflow, plug: level_plug, engine: running, low: 93 °F, high: 113 °F, minutes: [10, 16, 30],
          hole_diameter: 8 mm, pan_area: 800 cm²%(pickup)s}
"""
BARE = """
fluid:
  specification: TT-9 test
  capacity: {total: 8 L, pan: 3.5 L}
  drain: {method: plug, minutes: [4, 6, 9]}
  fill: {minutes: [6, 8, 14]}
  level: {method: %(method)s, engine: %(engine)s, low: 35 °C, high: 45 °C, minutes: [10, 16, 30]}
"""
PRICES = """
schema: coldsoak.prices/1
currency: EUR
labour: {per_hour: 90.00}
fluids:
  - specification: TT-9 test
    bottles: [{size: 1 L, price: 12.00, in_stock: 3}, {size: 5 L, price: 50.00}]
"""


def full(drawn: str | None = None, above: str | None = None, pickup: str | None = None) -> UnitSheet:
    """A large automatic whose sheet has everything; the last three figures only when named."""
    figures = {
        "drawn": f", drawn: {drawn}" if drawn else "",
        "above": f", hole_above: {above}" if above else "",
        "pickup": f", pickup_below: {pickup}" if pickup else "",
    }
    return parse_sheet(HEAD + FULL % figures, "test.yaml")


def bare(engine: str = "running", method: str = "overflow") -> UnitSheet:
    """A unit whose sheet has no more than it must."""
    return parse_sheet(HEAD + BARE % {"engine": f'"{engine}"', "method": method}, "test.yaml")
