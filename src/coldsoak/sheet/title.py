"""The name of the unit on a sheet, read without reading the rest: a list of many sheets needs no more."""

from ruamel.yaml import YAML
from ruamel.yaml.events import (
    MappingEndEvent,
    MappingStartEvent,
    ScalarEvent,
    SequenceEndEvent,
    SequenceStartEvent,
)

UNDER, WANTED = "unit", "name"


def unit_title(text: str) -> str:
    """Return what a sheet, which was checked when it was put in, calls its unit; nothing where it does not say so.

    >>> unit_title("schema: coldsoak.sheet/1\\nunit: {maker: [a, b], name: Orrin R6}\\n")
    'Orrin R6'
    """
    keys: list[str | None] = []  # of each mapping or list around: the key whose value comes next
    for event in YAML(typ="safe", pure=True).parse(text):
        if isinstance(event, MappingStartEvent | SequenceStartEvent):
            keys.append(None)
        elif isinstance(event, MappingEndEvent | SequenceEndEvent):
            keys.pop()
            if keys:
                keys[-1] = None
        elif isinstance(event, ScalarEvent) and keys:
            if keys == [UNDER, WANTED]:
                return str(event.value)
            keys[-1] = None if keys[-1] is not None else str(event.value)
    return ""
