"""The `sweep` section of a scenario file: what moves, and what is measured."""

from typing import Annotated

from annotated_types import Ge, Le
from pydantic import Field

from sim.describe.description import Description


class Range(Description):
    """An input's range: from the first to the last value in even steps."""

    # Any text or number: which quantity it is, is known only once the path is looked up in a vehicle.
    first: str | int | float = Field(description="with its unit, e.g. 10 km/h")
    last: str | int | float = Field(description="in the same unit")
    points: Annotated[int, Ge(2), Le(20_000)] = Field(description="how many values, both ends counted")
    called: Annotated[str, Field(max_length=60)] = Field(default="", description="what people read instead of the path")


class SweepAsked(Description):
    """What `jounce sweep` does with this scenario unless the command says otherwise."""

    vary: Annotated[dict[str, Range], Field(min_length=1, max_length=2)] = Field(  # more than two cannot be drawn
        description="One or two inputs by path, as in a set-up or `run.…`; several paths with commas between move together."
    )
    measures: tuple[str, ...] = Field(default=(), description="Names as in --json; left out: ride, tyres, travel.")
