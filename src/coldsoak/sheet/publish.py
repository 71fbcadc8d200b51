"""What the program gives out about sheets: their JSON Schema for editors, and a commented skeleton to start from."""

import json
import re
from importlib.resources import files

from pydantic import BaseModel

from coldsoak.sheet.crib import Crib
from coldsoak.sheet.prices import PriceList
from coldsoak.sheet.unit import UnitSheet

MODELS: dict[str, type[BaseModel]] = {"sheet": UnitSheet, "crib": Crib, "prices": PriceList}


def json_schema(kind: str = "sheet") -> str:
    """Return the JSON Schema of a file kind, for completion and checking in an editor.

    >>> json.loads(json_schema("crib"))["title"]
    'Tool crib'
    """
    schema = MODELS[kind].model_json_schema(by_alias=True, mode="validation")
    return json.dumps({"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}, indent=1) + "\n"


def example() -> str:
    """Return the skeleton with what its brackets show filled in: a sheet, and of no unit.

    >>> "FILL IN (" in example()
    False
    """
    return re.sub(r"FILL IN \((.+?)\)", r"\1", skeleton())


def skeleton() -> str:
    """Return a commented unit sheet to start from; what only the shop can know is to be filled in first."""
    return files("coldsoak.sheet").joinpath("skeleton.yaml").read_text("utf-8")
