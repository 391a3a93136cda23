"""Run: push one end down by hand, then let go."""

from typing import Annotated, ClassVar, Literal

from annotated_types import Gt, Le
from pydantic import Field

from sim.describe.lowered import Lowered
from sim.describe.runs.base import RunDescription, Way
from sim.describe.runs.plan import Plan
from sim.describe.runs.plan import Push as PlannedPush
from sim.describe.shown import show
from sim.describe.units import Duration, Force, Length
from sim.errors import RunError


class Push(RunDescription):
    """Standing still, free to roll: a push on the body over one axle, held, then let go.

    What people do on a bumper. One person presses with some 400 to 700 N (common practice, no source).
    """

    way: ClassVar[Way] = "held"
    caution: ClassVar[str] = (
        "on the truck, level ground and nobody under it or between it and a wall; push where the body is strong, and keep hands and feet "
        "out of wheels and springs."
    )

    kind: Literal["push"]
    over: Literal["front", "rear"]
    force: Annotated[Force, Gt(0)] = Field(description="Downward force.")
    outside_wheels: Length = Field(
        default=0.0,
        description="How far beyond that axle it acts: a bumper is ahead of the front axle.",
        validate_default=False,
    )
    press: Annotated[Duration, Gt(0), Le(10)] = Field(
        default=1.0, description="Time to press it in.", validate_default=False
    )
    hold: Annotated[Duration, Gt(0), Le(10)] = Field(default=1.0, description="Time held down.", validate_default=False)
    watch: Annotated[Duration, Gt(0), Le(120)] = Field(
        default=4.0, description="Time after letting go.", validate_default=False
    )

    @property
    def axle_asked(self) -> str:
        """The axle over which it is pushed."""
        return self.over

    def plan(self, setup: Lowered) -> Plan:
        """Return the run in plain SI.

        Raises
        ------
        RunError
            If the push is more than the truck's own weight could answer.
        """
        weight = setup.body.mass * setup.body.gravity
        # Half the body's weight is far past any person: more is a slip of a digit or a unit.
        if self.force > 0.5 * weight:
            raise RunError(
                f"A push of {show(self.force, 'force')} is more than half of the body's weight of {show(weight, 'force')}."
            )
        axle = setup.vehicle.axle_behind_front_m(self.over)
        # Positive is outwards at both ends, so the sign turns at the front.
        behind = axle - self.outside_wheels if self.over == "front" else axle + self.outside_wheels
        # To the millisecond, on which output steps fall: half of the force counts at that very step (`Push.at`).
        released = round(self.press + self.hold, 3)
        push = PlannedPush(-self.force, setup.place.cg_behind_front_axle - behind, 0.0, self.press, released)
        return Plan(duration_s=released + self.watch, released_s=released, free_to_roll=True, push=push)
