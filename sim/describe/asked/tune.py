"""The `tune` section of a scenario file: what may move, over what, for which goal and within which limits."""

from typing import Annotated, Any, Literal

from annotated_types import Ge, Gt, Le, Len, Lt
from pydantic import Field, model_validator

from sim.describe.bare_numbers import Fraction
from sim.describe.description import Description

Paths = str | Annotated[tuple[str, ...], Len(1)]


class ValueMove(Description):
    """A value that moves between two ends; several paths take the same value. What physics ties to it goes along.

    Notes
    -----
    See `sim.study.tuning.followers` for tubes and `sim.study.tuning.fitting` for the room of dampers.
    """

    kind: Literal["value"]
    path: Paths = Field(
        description="As in a set-up, e.g. `front.dampers.main.valving.compression.low`; a table's point by its row, from 0. With a tube's "
        "bore its outside goes along, and its weight; valve parts get its bore and rod, so their forces change. With mounts, leans, "
        "lengths, bump stops, limit straps and guides, dampers must keep 12.7 mm of room at both ends of the whole travel, or what they have now."
    )
    # Any: the unit is judged by what stands at the path, when the vehicle is there.
    low: Any = Field(description="Least value, as it would be written there.")
    high: Any = Field(description="Greatest value.")

    @property
    def paths(self) -> tuple[str, ...]:
        """Every path."""
        return (self.path,) if isinstance(self.path, str) else self.path


class ScaleMove(Description):
    """A factor on what stands there: on all forces of a valving (knees stay where they are), or on a number."""

    # A valving has no one number to move; a factor keeps its shape, as a builder does who only stiffens it.
    kind: Literal["scale"]
    path: Paths = Field(description="A valving, e.g. `rear.dampers.main.valving`, or a number.")
    low: Annotated[float, Gt(0)]
    high: Annotated[float, Gt(0)]

    @property
    def paths(self) -> tuple[str, ...]:
        """Every path."""
        return (self.path,) if isinstance(self.path, str) else self.path


class SplitMove(Description):
    """How a valving shares its force between rebound and compression: rebound over compression at 0.1 m/s, the sum of both kept."""

    # Sum and split apart: the sum is most of the damping over a cycle, the split decides whether it jacks down.
    kind: Literal["split"]
    path: Paths = Field(description="A valving with a compression and a rebound side.")
    low: Annotated[float, Gt(0)]
    high: Annotated[float, Gt(0)]

    @property
    def paths(self) -> tuple[str, ...]:
        """Every path."""
        return (self.path,) if isinstance(self.path, str) else self.path


# `kind` picks, so that an error speaks of that move and not of all three.
Move = Annotated[ValueMove | ScaleMove | SplitMove, Field(discriminator="kind")]


class Case(Description):
    """One thing that the truck must do well: a run, with a load or other changes."""

    # Read by `sim.describe.files.runs`, as it may name a course file.
    run: Any = Field(
        default=None,
        description="Course, push, drop, release, launch, brake or track; left out: the scenario's own. Of a track the search rides one lap at "
        "four temperatures and warms the dampers through its hours by that; the answer is driven in full.",
    )
    changes: dict[str, Any] = Field(default={}, description="As in a set-up, e.g. a load in the bed.")
    weight: Annotated[float, Gt(0)] = 1.0


class Limit(Description):
    """A bound on a measure, in every case in which it says anything."""

    at_most: Any = Field(
        default=None,
        description="As a value with its unit, or `105 % of now`, of several cases of its value in the worst of them; of a temperature that is a "
        "share of what it is above the air.",
    )
    at_least: Any = Field(
        default=None,
        description="As a value with its unit, or `95 % of now`, of several cases of its value in the worst of them.",
    )

    @model_validator(mode="after")
    def _one(self) -> "Limit":
        if (self.at_most is None) == (self.at_least is None):  # neither, or both: two bounds are two limits
            raise ValueError("write either at_most or at_least")
        return self


class Holding(Description):
    """By how much dampers come out other than ordered; for the study whether the choice still holds."""

    scatter: Annotated[Fraction, Ge(0), Le(0.5)] = Field(
        default=0.1, validate_default=False,
        description="Builders' scatter of each side's force; 5 to 15 %, common practice, no source.",
    )  # fmt: skip
    hot: Annotated[Fraction, Gt(0), Le(1)] = Field(
        default=0.8, validate_default=False, description="Force when hot, as a share. An assumption: write your own."
    )
    cold: Annotated[Fraction, Ge(1), Le(3)] = Field(
        default=1.25, validate_default=False, description="Force when cold, as a share. An assumption: write your own."
    )
    # 48: enough for a spread, not for rare cases
    draws: Annotated[int, Ge(16), Le(512)] = Field(default=48, description="How many truckloads of dampers are drawn.")


class Tune(Description):
    """What `jounce tune` searches, and by what it judges."""

    start: str | None = Field(default=None, description="Set-up from which it starts; left out: the first.")
    move: Annotated[dict[str, Move], Field(max_length=24)] = Field(
        description="By name: what may move, and within what."
    )
    over: Annotated[dict[str, Case], Field(max_length=8)] = Field(
        default={}, description="By name: cases that count; left out: the scenario's run alone."
    )
    goal: Annotated[dict[str, Annotated[float, Gt(0)]], Field(max_length=6)] = Field(
        description="Measures by name, with weights: each is taken as a share of what the starting set-up has."
    )
    judge: Literal["weighted", "worst case"] = Field(
        default="weighted", description="How cases count for a measure: by their weights, or the worst alone."
    )
    limits: dict[str, Limit] = Field(
        default={},
        description="By measure: what must hold in every case. Besides those of runs: room of a damper, e.g. `rear_main_room_in`, `rear_main_room_out`.",
    )
    # Three measures still make a surface that can be drawn.
    trade_off: Annotated[tuple[str, ...], Len(0, 3)] = Field(
        default=(), description="Two or three measures whose trade-off is wanted as a front."
    )
    seed: Annotated[int, Ge(0)] = Field(default=1, description="Of the search: the same seed, the same answer.")
    generations: Annotated[int, Ge(1), Le(2000)] = Field(default=40, description="At most so many rounds of search.")
    precision: Annotated[float, Gt(0), Lt(0.1)] = Field(
        default=1e-3, description="The search ends when its candidates differ by less than this share of the goal."
    )
    hold: Holding = Field(default=Holding(), description="For the study whether the choice still holds.")

    @model_validator(mode="after")
    def _together(self) -> "Tune":
        # Empty mappings pass as types; without these checks the search would run and answer nothing.
        if not self.goal:
            raise ValueError("goal: nothing is asked for; name a measure and its weight, e.g. ride_wk_driver: 1")
        if not self.move:
            raise ValueError(
                "move: nothing may move; name something, e.g. {kind: scale, path: front.dampers.main.valving, low: 0.5, high: 2}"
            )
        if len(self.trade_off) == 1:
            raise ValueError("trade_off: one measure alone has no trade-off; name two or three")
        return self
