"""Materials and property classes, from tables."""

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from coldsoak.sheet.thread import Thread


@dataclass(frozen=True)
class Material:
    """What a material does under load and heat."""

    modulus_mpa: float
    poisson: float
    expansion_ppm_k: float
    shear_strength_mpa: float | None = None


@cache
def materials() -> dict[str, Material]:
    """Return every material by its name.

    >>> materials()["aluminium"].shear_strength_mpa
    130
    """
    table = tomllib.loads(files("coldsoak.build").joinpath("materials.toml").read_text("utf-8"))
    return {name: Material(**row) for name, row in table.items()}


@cache
def yield_mpa() -> dict[str, float]:
    """Return the yield strength of every property class.

    >>> yield_mpa()["10.9"]
    940
    """
    return dict(tomllib.loads(files("coldsoak.build").joinpath("strength.toml").read_text("utf-8")))


def ultimate_n(thread: Thread, property_class: str) -> float:
    """Return the least load that breaks a screw: a hundred times the number before the point, over its area.

    >>> from coldsoak.sheet.thread import read_thread
    >>> round(ultimate_n(read_thread("M8"), "8.8"), -2)
    29300.0
    """
    return float(property_class.split(".", maxsplit=1)[0]) * 100 * thread.stress_area_mm2
