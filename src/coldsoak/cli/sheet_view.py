"""A sheet, crib or price list that is right, in one or two lines."""

from collections.abc import Iterator
from pathlib import Path

from coldsoak.sheet.document import read_document
from coldsoak.sheet.load import load_crib, load_prices, load_sheet
from coldsoak.sheet.references import part

NOT_SURE = "estimated"


def summary(file: Path) -> Iterator[str]:
    """Yield what is in a file; its own `schema` line says which kind it is."""
    text = file.read_bytes().decode("utf-8", errors="replace")
    kind = f"{part(read_document(text).data, 'schema')}".partition("/")[0].removeprefix("coldsoak.")
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
