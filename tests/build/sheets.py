"""An invented sheet for the tests of build; no unit has these figures."""

import tempfile
from pathlib import Path

from coldsoak.sheet.crib import Crib
from coldsoak.sheet.fastener import FastenerGroup
from coldsoak.sheet.load import load_crib, parse_sheet
from coldsoak.sheet.unit import UnitSheet

TEXT = """
schema: coldsoak.sheet/1
unit: {name: Test gearbox, kind: automatic}
fasteners:
  cover_bolts:
    name: Cover bolts
    count: 8
    thread: M6x1
    property_class: 8.8
    drive: hex
    size: 10 mm
    into: aluminium
    friction: oiled
    clamped_length: 8 mm
    clamped_material: aluminium
    engaged_length: 12 mm
    torque: 80 lbf·in
    passes: 2
    sequence: star
    positions_mm: [[0, 50], [35.36, 35.36], [50, 0], [35.36, -35.36], [0, -50], [-35.36, -35.36], [-50, 0], [-35.36, 35.36]]
  stretch_bolts:
    name: End bolts
    count: 4
    thread: M5x0.8
    property_class: 8.8
    drive: hexalobular
    size: T25
    access: [low_profile]
    into: aluminium
    friction: oiled
    clamped_length: 20 mm
    clamped_material: aluminium
    engaged_length: 10 mm
    torque: 35 lbf·in
    angle: 45 deg
    torque_to_yield: true
    single_use: true
    sequence: cross
    positions_mm: [[0, 0], [40, 0], [40, 40], [0, 40]]
  plug: {name: Drain plug, count: 1, thread: M14x1.5, drive: hex_socket, size: 6 mm, into: steel, friction: coated, torque: 27 N·m}
components:
  cover: {name: Cover, kind: cover, place: below, held_by: [cover_bolts], minutes: {off: [1, 2, 3], on: [1, 2, 3]}}
  cover_seal: {name: Cover seal, kind: seal, place: below, exposed_by: [cover], minutes: {off: [1, 1, 1], on: [1, 1, 1]}}
  body: {name: Solenoid body, kind: solenoid_body, place: inside, held_by: [stretch_bolts], minutes: {off: [1, 2, 3], on: [1, 2, 3]}}
  drain: {name: Drain plug, kind: plug, place: below, held_by: [plug], minutes: {off: [1, 1, 1], on: [1, 1, 1]}}
aids:
  tie: {name: Tie that holds the cooler line aside, kind: tie, used_with: [cover]}
"""
CRIB = """
schema: coldsoak.crib/1
shop: Test shop
wrenches:
  small: {name: Small wrench, lowest: 2 N·m, highest: 15 N·m, unit: N·m, step: 0.1 N·m, square: 1/4 in, deviation_percent: 6,
          handle_length: 200 mm, calibrated: 2026-01-10, due: 2027-01-10}
  middle: {name: Middle wrench, lowest: 10 N·m, highest: 60 N·m, unit: N·m, square: 3/8 in, deviation_percent: 4,
           handle_length: 300 mm, calibrated: 2026-01-10, due: 2027-01-10}
  inches: {name: Inch wrench, lowest: 30 lbf·in, highest: 200 lbf·in, unit: lbf·in, step: 1 lbf·in, square: 1/4 in,
           deviation_percent: 4, calibrated: 2024-01-10, due: 2025-01-10}
"""


def sheet() -> UnitSheet:
    return parse_sheet(TEXT, "test.yaml")


def group(key: str) -> FastenerGroup:
    return sheet().fasteners[key]


def tools() -> Crib:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "crib.yaml"
        path.write_text(CRIB, encoding="utf-8")
        return load_crib(path)
