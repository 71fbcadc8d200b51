"""The base of what judge hands on: frozen, strict, to JSON and back."""

from pydantic import BaseModel, ConfigDict


class Value(BaseModel):
    """A frozen value that refuses fields it does not know."""

    model_config = ConfigDict(frozen=True, extra="forbid", ser_json_inf_nan="strings")
