"""A sheet, crib or price list that is right, in one or two lines."""

import re
from collections.abc import Iterator
from pathlib import Path

from coldsoak.sheet.load import LARGEST_BYTES, load_crib, load_prices, load_sheet

_SCHEMA = re.compile(rb"schema[\"']?\s*:\s*[\"']?coldsoak\.(\w+)/")


def summary(file: Path) -> Iterator[str]:
    """Yield what is in a file; its own `schema` line says which kind it is."""
    with file.open("rb") as handle:
        said = _SCHEMA.search(handle.read(LARGEST_BYTES))
    kind = said[1].decode() if said else ""
    if kind == "crib":
        crib = load_crib(file)
        yield f"{file}: right. {crib.shop}: {len(crib.wrenches)} torque wrenches, {len(crib.tools)} other tools."
    elif kind == "prices":
        prices = load_prices(file)
        yield f"{file}: right. {len(prices.parts)} parts and {len(prices.fluids)} fluids in {prices.currency}."
    else:
        sheet = load_sheet(file)
        new = sum(group.renewed for group in sheet.fasteners.values())
        yield f"{file}: right. {sheet}, {new} groups always new."
        names = ", ".join(sheet.services)
        if names:
            yield f"  Services: {names}. Next: coldsoak plan {file} --service {next(iter(sheet.services))}"
