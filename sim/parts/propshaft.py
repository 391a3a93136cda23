"""The propshaft of one axle, for the angles of its joints."""

from math import acos, cos, sin, sqrt
from typing import NamedTuple

from pydantic import Field

from sim.description import Description
from sim.parts.places import AxlePoint, BodyPoint
from sim.units import Angle, Length


class JointAngles(NamedTuple):
    """Angles between shaft and yokes [rad]."""

    at_gearbox: float
    at_pinion: float


class Propshaft(Description):
    """Where its two joints are, and how the shafts they join stand at the measured ride height."""

    gearbox: BodyPoint = Field(description="Joint at the transfer case.")
    pinion: AxlePoint = Field(description="Joint at the pinion, from the axle's centre.")
    gearbox_slope: Angle = Field(
        default=0.0, description="How far the transfer case's output points down towards the axle.", validate_default=False
    )
    pinion_up: Angle = Field(
        default=0.0, description="How far the pinion points up from level.", validate_default=False
    )
    sideways: Length = Field(
        default=0.0, description="Distance across between the joints, seen from above.", validate_default=False
    )

    def angles(self, along: float, drop: float, pinion_turned_up: float) -> JointAngles:
        """Return both joint angles.

        Parameters
        ----------
        along : float
            Distance from the gearbox joint to the pinion joint, towards the axle [m], in body axes.
        drop : float
            How far the pinion joint is below the gearbox joint [m], in body axes.
        pinion_turned_up : float
            Turn of the housing since the truck was measured, pinion upwards [rad].
        """
        shaft = (along, -drop, self.sideways)
        length = sqrt(sum(c * c for c in shaft))
        output = (cos(self.gearbox_slope), -sin(self.gearbox_slope), 0.0)
        # The pinion's axis, followed from the joint into the housing, runs on away from the gearbox and down.
        turned = self.pinion_up + pinion_turned_up
        pinion = (cos(turned), -sin(turned), 0.0)
        return JointAngles(*(_between(shaft, length, axis) for axis in (output, pinion)))


def _between(shaft: tuple[float, float, float], length: float, axis: tuple[float, float, float]) -> float:
    share = sum(a * b for a, b in zip(shaft, axis, strict=True)) / length
    return acos(max(-1.0, min(1.0, share)))
