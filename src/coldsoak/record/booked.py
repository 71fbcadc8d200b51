"""What the record says went on new, held against the parts that it lists as used."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from coldsoak.record.job_record import JobRecord
from coldsoak.sheet.unit import UnitSheet


@dataclass
class _Line:
    """One line of the price list: what went on new of it, by the names of the things, and how many."""

    new: int = 0
    names: list[str] = field(default_factory=list)


def not_booked(job: JobRecord, sheet: UnitSheet) -> tuple[str, ...]:
    """Return one sentence for every part of which more went on new than the parts used have.

    A single-use bolt that nobody took from the shelf went back used, whatever the tray says. A part counts under its own name
    on the sheet and under that of its line in the price list; what shares a line is counted together.
    """
    lines = _lines(sheet)
    wanted: dict[str, _Line] = {}
    for row in job.on_tray:
        if row.new:
            one = wanted.setdefault(lines.get(row.item, row.item), _Line())
            one.new += row.new
            one.names.append(row.name)
    booked: dict[str, int] = {}
    for used in job.parts:
        key = lines.get(used.body.part, used.body.part)
        booked[key] = booked.get(key, 0) + used.body.count
    return tuple(
        _sentence(one, booked.get(key, 0)) for key, one in wanted.items() if booked.get(key, 0) < one.new
    )


def _lines(sheet: UnitSheet) -> Mapping[str, str]:
    """The line in the price list of everything on the sheet that has one of another name."""
    parts = {key: part.part for key, part in sheet.components.items()}
    parts |= {key: group.part for key, group in sheet.fasteners.items()}
    return {key: line for key, line in parts.items() if line is not None}


def _sentence(one: _Line, booked: int) -> str:
    """Say what is missing.

    >>> _sentence(_Line(5, ["Solenoid body end bolts"]), 3)
    'solenoid body end bolts: 5 went on new, and 3 are among the parts used'
    >>> _sentence(_Line(1, ["Pan gasket"]), 0)
    'pan gasket: 1 went on new, and none is among the parts used'
    """
    name = " and ".join(
        each if each[1:2].isupper() else each[:1].lower() + each[1:] for each in dict.fromkeys(one.names)
    )
    there = "none is" if not booked else "1 is" if booked == 1 else f"{booked} are"
    return f"{name}: {one.new} went on new, and {there} among the parts used"
