"""What a person says of a column: NAME=QUANTITY[UNIT]."""

import re
from collections.abc import Iterable
from dataclasses import dataclass

from coldsoak.errors import InputError, UnitError
from coldsoak.logs.dictionary import Quantity, Unit, find_unit, quantity

_FORM = re.compile(r"\s*(?P<name>.+?)\s*=\s*(?P<quantity>[a-z_0-9]+)\s*(?:\[\s*(?P<unit>[^\]]*?)\s*\])?\s*")


@dataclass(frozen=True)
class Mapping:
    """One override: the column called `name` measures `quantity` in `unit` (None: as the header says)."""

    name: str
    quantity: Quantity
    unit: Unit | None


def parse_mapping(text: str) -> Mapping:
    """Read NAME=QUANTITY or NAME=QUANTITY[UNIT].

    >>> m = parse_mapping("Probe 3=fluid_temp[°F]")
    >>> m.name, m.quantity.name, m.unit.name
    ('Probe 3', 'fluid_temp', 'degF')
    """
    m = _FORM.fullmatch(text)
    if m is None:
        raise InputError(
            f"{text!r} is no mapping: write NAME=QUANTITY[UNIT], such as 'Probe 3=fluid_temp[°F]'."
        )
    wanted = quantity(m["quantity"])
    if not m["unit"]:
        return Mapping(m["name"], wanted, None)
    unit = find_unit(m["unit"], wanted.kind)
    if unit is None:
        raise UnitError(
            f"{m['unit']!r} is no unit of {wanted.name}: give one that can be turned into {wanted.unit}."
        )
    return Mapping(m["name"], wanted, unit)


def parse_mappings(mapping: Iterable[str | Mapping]) -> dict[str, Mapping]:
    """Read several mappings into a table by column name, blanks around and case of the name being free."""
    parsed = [m if isinstance(m, Mapping) else parse_mapping(m) for m in mapping]
    return {mapping_key(m.name): m for m in parsed}


def mapping_key(name: str) -> str:
    """Return the form in which column names are compared with those of a mapping."""
    return " ".join(name.split()).casefold()
