"""Engine, gears and transfer case; the shafts of each axle are in its own part."""

from itertools import pairwise
from math import pi
from typing import Annotated, Literal, NamedTuple

from annotated_types import Ge, Gt, Le, Len
from pydantic import Field, field_validator, model_validator

from sim.describe.description import Description
from sim.describe.units import AngularDamping, AngularSpeed, AngularStiffness, PitchInertia, Torque
from sim.kernel.layout import ENGINE_RAMPS

GOVERNED = 0.03
"""Share of the limit's speed over which the torque falls to nothing there."""


class TorquePoint(Description):
    """Full-throttle torque at one engine speed."""

    speed: Annotated[AngularSpeed, Gt(0)]
    torque: Annotated[Torque, Ge(0)]


class EngineCurve(NamedTuple):
    """Torque by speed as the kernel adds it up: at idle, then changes of slope."""

    torque_idle: float  # [N m]
    ramps: tuple[tuple[float, float], ...]  # start [rad/s], change of slope [N m s/rad]

    def torque(self, speed: float) -> float:
        """Return the torque [N m] at an engine speed at or above idle [rad/s]."""
        return self.torque_idle + sum(change * max(speed - start, 0.0) for start, change in self.ramps)


class Engine(Description):
    """Torque at full throttle, one number or a curve; below idle a clutch or converter slips and passes that at idle."""

    # n points make n + 3 ramps: idle, the limit and the end of all torque add one each.
    torque: Annotated[Torque, Gt(0)] | Annotated[tuple[TorquePoint, ...], Len(2, ENGINE_RAMPS - 3)] = Field(
        description="One number, or points with rising speed: `- {speed: 1200 rpm, torque: 240 N m}`."
    )
    idle: Annotated[AngularSpeed, Gt(0)] = Field(default=80.0, validate_default=False)
    limit: Annotated[AngularSpeed, Gt(0)] = Field(description="Speed past which it pulls no more.")
    inertia: Annotated[PitchInertia, Gt(0)] = Field(description="Crank, flywheel and what turns with them.")
    drag: Annotated[Torque, Ge(0)] | Annotated[tuple[TorquePoint, ...], Len(2, 2)] = Field(
        default=0.0,
        description="What it takes to turn it with its throttle shut: one number, or two points of a straight line.",
    )

    @field_validator("torque", mode="before")
    @classmethod
    def _no_lone_point(cls, value: object) -> object:
        # As a maker's sheet has it, `210 N m at 1800 rpm`: the greatest torque and its speed, which is no curve.
        if isinstance(value, list | tuple) and len(value) == 1:
            (point,) = value
            torque = point.get("torque") if isinstance(point, dict) else None
            alone = f"{torque} alone" if isinstance(torque, str) else "the torque alone"
            raise ValueError(f"one point is no curve: write {alone}, which is taken at every speed, or a second point")
        return value

    @model_validator(mode="after")
    def _in_order(self) -> "Engine":
        if self.limit <= self.idle:
            raise ValueError("the limit must lie above idle")
        if isinstance(self.torque, tuple):
            for slower, faster in pairwise(self.torque):
                if faster.speed <= slower.speed:
                    raise ValueError("the points of the torque curve must have rising speeds")
        if isinstance(self.drag, tuple):
            slow, fast = self.drag
            if fast.speed <= slow.speed:
                raise ValueError("the two points of the drag must have rising speeds")
            # A line that falls would push the engine where it is turned fast enough.
            if min(self.drag_at(self.idle), self.drag_at(self.limit * (1.0 + GOVERNED))) < 0.0:
                raise ValueError(
                    "the line through the two points of the drag falls below nothing between idle and limit"
                )
        return self

    @property
    def drag_rise(self) -> float:
        """By how much the drag grows with speed [N m s/rad]."""
        if isinstance(self.drag, float):
            return 0.0
        slow, fast = self.drag
        return (fast.torque - slow.torque) / (fast.speed - slow.speed)

    def drag_at(self, speed: float) -> float:
        """Return the drag [N m] at a speed [rad/s], well above idle."""
        if isinstance(self.drag, float):
            return self.drag
        return self.drag[0].torque + self.drag_rise * (speed - self.drag[0].speed)

    def lower(self) -> EngineCurve:
        """Return the curve in straight stretches: the points, level outside them, to nothing past the limit."""
        points = self.torque if isinstance(self.torque, tuple) else ()
        flat = self.torque if isinstance(self.torque, float) else 0.0
        known = [(p.speed, p.torque) for p in points]

        def at(speed: float) -> float:
            if not known:
                return flat
            if speed <= known[0][0]:
                return known[0][1]
            for (low, low_torque), (high, high_torque) in pairwise(known):
                if speed <= high:
                    return low_torque + (high_torque - low_torque) * (speed - low) / (high - low)
            return known[-1][1]

        # Points below idle or past the limit shape nothing: there the clutch slips, or the governor has cut in.
        stations = [self.idle, *(s for s, _ in known if self.idle < s < self.limit), self.limit]
        # A steep fall, not a jump: fixed steps would chatter across a jump.
        nodes = [(s, at(s)) for s in stations] + [(self.limit * (1.0 + GOVERNED), 0.0)]
        ramps, slope = [], 0.0
        for (low, low_torque), (high, high_torque) in pairwise(nodes):
            steep = (high_torque - low_torque) / (high - low)
            ramps.append((low, steep - slope))
            slope = steep
        # Ends the last slope, so that torque stays at nothing instead of turning negative.
        ramps.append((nodes[-1][0], -slope))
        return EngineCurve(nodes[0][1], tuple(ramps))


class Driveline(Description):
    """What turns the propshafts. Its ratios are those of the gear and range that is in."""

    engine: Engine
    gear: Annotated[float, Gt(0), Le(100)] = Field(description="Ratio of the gear that is in; engine turns a turn out.")
    transfer: Annotated[float, Gt(0), Le(20)] = Field(default=1.0, description="Ratio of the transfer case's range.")
    drive: Literal["rear", "front", "both"] = Field(default="rear", description="Axles that are driven.")
    centre: Literal["locked", "open", "limited_slip"] = Field(
        default="locked",
        description="What is between the propshafts of a truck that drives both: nothing that lets them differ, a differential, or one with a clutch.",
    )
    centre_torque: Annotated[Torque, Gt(0)] | None = Field(
        default=None, description="Of the clutch of a limited_slip centre, between the propshafts, before it slips."
    )
    propshaft_inertia: Annotated[PitchInertia, Gt(0)] = Field(
        default=0.02, description="Of each propshaft with what turns with it, for a centre that lets them differ (an estimate).",
        validate_default=False,
    )  # fmt: skip

    @model_validator(mode="after")
    def _centre_is_whole(self) -> "Driveline":
        if self.centre != "locked" and self.drive != "both":
            raise ValueError(
                f"centre: {self.centre} is between two propshafts, and drive: {self.drive} has one: write drive: both"
            )
        if (self.centre == "limited_slip") != (self.centre_torque is not None):
            raise ValueError(
                "centre: limited_slip needs centre_torque, the torque at which its clutch slips, e.g. centre_torque: 200 N m"
                if self.centre_torque is None else "centre_torque is of centre: limited_slip"
            )  # fmt: skip
        return self

    @property
    def gears(self) -> float:
        """Engine turns a propshaft turn."""
        return self.gear * self.transfer

    def drives(self, axle: str) -> bool:
        """Tell whether an axle is driven."""
        return self.drive in ("both", axle)


class Shafts(Description):
    """Final drive and shafts of one axle."""

    final_drive: Annotated[float, Gt(0), Le(30)] = Field(description="Propshaft turns a wheel turn.")
    # At the wheels a propshaft's twist counts by the final drive squared, so half shafts usually give the most.
    rate: Annotated[AngularStiffness, Gt(0)] = Field(
        description="Twist of propshaft and half shafts together, seen at the wheels, both sides."
    )
    damping: Annotated[AngularDamping, Ge(0)] = Field(default=0.0, validate_default=False)


def rpm(speed: float) -> float:
    """Return an engine speed in turns a minute."""
    return speed * 30.0 / pi
