"""Run: off boards of a given height, all at once."""

from typing import Annotated, ClassVar, Literal

from annotated_types import Gt, Le
from pydantic import Field

from sim.describe.lowered import Lowered
from sim.describe.runs.base import RunDescription, Way
from sim.describe.runs.plan import Plan
from sim.describe.units import Duration, Length


class Drop(RunDescription):
    """The wheels of one or both axles stand on boards that are gone in an instant.

    A better signal than a push: leaf friction is broken and dampers go past their knee. On the real truck:
    chocks on the other axle, nobody underneath or in reach, 50 to 100 mm at most.
    """

    way: ClassVar[Way] = "held"
    caution: ClassVar[str] = (
        "on the truck, boards of 50 to 100 mm at most, chocks on the other axle, nobody underneath or within reach; look over bump stops, limit straps "
        "and mounts afterwards."
    )

    kind: Literal["drop"]
    axle: Literal["front", "rear", "both"] = "both"
    height: Annotated[Length, Gt(0), Le(2.0)]
    watch: Annotated[Duration, Gt(0), Le(120)] = Field(default=5.0, validate_default=False)

    def plan(self, setup: Lowered) -> Plan:
        """Return the run in plain SI."""
        front = self.height if self.axle in ("front", "both") else 0.0
        rear = self.height if self.axle in ("rear", "both") else 0.0
        # The truck stands on its boards, and the road is level ground from the first step on: no ramp between.
        return Plan(duration_s=self.watch, released_s=0.0, free_to_roll=True, boards_m=(front, rear))
