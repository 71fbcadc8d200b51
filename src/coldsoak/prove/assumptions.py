"""What prove takes for granted, as data."""

import math
import tomllib
from importlib.resources import files
from pathlib import Path

from pydantic import Field, ValidationError

from coldsoak.errors import InputError
from coldsoak.text_file import read_text
from coldsoak.value import Value


class Conditions(Value):
    """How likely each kind of condition of failure is before the log is looked at; shares of one."""

    everywhere: float = Field(gt=0)
    own_temp: float = Field(ge=0)
    vehicle_speed: float = Field(ge=0)
    gear: float = Field(ge=0)
    engine_speed: float = Field(ge=0)
    engine_load: float = Field(ge=0)
    time: float = Field(ge=0)
    own_temp_and_motion: float = Field(ge=0)
    judged: float = Field(ge=0)


class Standing(Value):
    """Tolerances for faults that do not come and go."""

    agree_k: float = Field(gt=0)
    changes: float = Field(ge=0)
    share: float = Field(default=0.9, gt=0.5, le=1)
    look_s: float = Field(default=600.0, gt=0)


class Assumptions(Value):
    """Prior, limit and habits of faults; `assumptions.toml` says why."""

    prior: float = Field(gt=0, lt=1)
    limit: float = Field(gt=0, lt=0.5)
    least_expected: float = Field(ge=0)
    added: float = Field(ge=0)
    outside: float = Field(gt=0, le=1)
    false_per_h: float = Field(gt=0)
    apart_s: float = Field(gt=0)
    longest_apart_s: float = Field(gt=0)
    bursts_p: float = Field(gt=0, lt=1)
    conditions: Conditions
    standing: Standing


def load_assumptions(path: Path | None = None) -> Assumptions:
    """Return the assumptions of a file, or those that come with the program.

    >>> load_assumptions().prior
    0.5
    """
    own = files("coldsoak.prove").joinpath("assumptions.toml")
    content = own.read_text("utf-8") if path is None else read_text(path)
    try:
        found = Assumptions.model_validate(tomllib.loads(content))
    except tomllib.TOMLDecodeError as error:
        raise InputError(
            f"{path} is not TOML ({error}): start from the assumptions.toml of the program."
        ) from error
    except ValidationError as error:
        first = error.errors()[0]
        where = ".".join(str(part) for part in first["loc"])
        raise InputError(
            f"{path}, {where}: {first['msg']}; start from the assumptions.toml of the program."
        ) from error
    total = math.fsum(found.conditions.model_dump().values())
    if abs(total - 1.0) > 1e-6:
        raise InputError(
            f"{path}: the shares under [conditions] add up to {total:g}, not to 1: change one of them."
        )
    return found
