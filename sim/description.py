"""Base of everything that people write: frozen, and strict about names."""

from pydantic import BaseModel, ConfigDict


class Description(BaseModel):
    """A part, road or run as written in a file; values are SI floats after validation."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", use_attribute_docstrings=True, allow_inf_nan=False, arbitrary_types_allowed=False
    )
