"""The base of what one stage hands to the next: frozen, strict, to JSON and back."""

from pydantic import BaseModel, ConfigDict


class Value(BaseModel):
    """A frozen value that refuses fields it does not know; infinity survives JSON.

    >>> class Turn(Value):
    ...     angle_deg: float
    >>> Turn.model_validate_json(Turn(angle_deg=45.0).model_dump_json())
    Turn(angle_deg=45.0)
    """

    model_config = ConfigDict(
        frozen=True, extra="forbid", validate_by_alias=True, validate_by_name=True, ser_json_inf_nan="strings"
    )
