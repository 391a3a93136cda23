"""The propshaft of one axle, for the angles of its joints."""

from typing import NamedTuple

import numpy as np
import numpy.typing as npt
from pydantic import Field

from sim.describe.description import Description
from sim.describe.parts.places import AxlePoint, BodyPoint
from sim.describe.units import Angle, Length

Array = npt.NDArray[np.float64]


class JointAngles(NamedTuple):
    """Angles between shaft and yokes [rad]."""

    at_gearbox: Array
    at_pinion: Array


class Propshaft(Description):
    """Where its two joints are, and how the shafts they join stand at the measured ride height."""

    gearbox: BodyPoint = Field(description="Joint at the transfer case.")
    pinion: AxlePoint = Field(description="Joint at the pinion, from the axle's centre.")
    gearbox_slope: Angle = Field(
        default=0.0,
        description="How far the transfer case's output points down towards the axle.",
        validate_default=False,
    )
    pinion_up: Angle = Field(
        default=0.0, description="How far the pinion points up from level.", validate_default=False
    )
    sideways: Length = Field(
        default=0.0, description="Distance across between the joints, seen from above.", validate_default=False
    )

    def angles(self, along: Array, drop: Array, pinion_turned_up: Array) -> JointAngles:
        """Return both joint angles.

        Parameters
        ----------
        along : (n,) array
            Distance from the gearbox joint to the pinion joint, towards the axle [m], in body axes.
        drop : (n,) array
            How far the pinion joint is below the gearbox joint [m], in body axes.
        pinion_turned_up : (n,) array
            Turn of the housing since the truck was measured, pinion upwards [rad].
        """
        # Yokes lie in the side view, but an offset across still bends both joints.
        length = np.sqrt(along**2 + drop**2 + self.sideways**2)
        # The pinion's axis, followed from the joint into the housing, runs on away from the gearbox and down.
        turned = self.pinion_up + pinion_turned_up
        slopes = np.full_like(along, self.gearbox_slope), turned
        shares = [(along * np.cos(slope) + drop * np.sin(slope)) / length for slope in slopes]
        # Rounding may carry the cosine of a joint that stands straight past 1.
        return JointAngles(*(np.arccos(np.clip(share, -1.0, 1.0)) for share in shares))
