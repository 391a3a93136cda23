"""The drag link of a steered axle whose box stands on the frame: what the axle's travel does to the wheels (bump steer)."""

from typing import Annotated

import numpy as np
import numpy.typing as npt
from annotated_types import Ge, Gt, Le
from pydantic import Field

from sim.describe.description import Description
from sim.describe.parts.places import AxlePoint, BodyPoint
from sim.describe.units import Length

Array = npt.NDArray[np.float64]


class DragLink(Description):
    """A link along the truck, from the steering box's drop arm to an arm on the axle; the steering wheel is held."""

    box: BodyPoint = Field(description="Joint at the drop arm, steering straight ahead.")
    axle: AxlePoint = Field(description="Joint at the steering arm, from the axle's centre.")
    steering_arm: Annotated[Length, Gt(0), Le(1)] = Field(
        description="From the kingpin's axis to that joint, seen from above."
    )
    sideways: Annotated[Length, Ge(-2), Le(2)] = Field(
        default=0.0, description="Distance across between its two joints, seen from above.", validate_default=False
    )

    def steers(self, along: Array, drop: Array, stood: int) -> Array:
        """Return by how much the steering arm is turned [rad], positive with its joint pushed ahead of where the axle takes it.

        Parameters
        ----------
        along, drop : (n,) array
            From the box's joint to where the axle takes the other one: how far ahead of it, and how far below [m].
        stood : int
            The place at which the wheels stand straight ahead.
        """
        length = np.hypot(np.hypot(along[stood], drop[stood]), self.sideways)
        # The link keeps its length; what the axle's path does not leave to it turns the arm.
        reach = np.sqrt(np.maximum(length**2 - drop**2 - self.sideways**2, 0.0))
        forward = np.where(along >= 0.0, reach, -reach)
        turned: Array = np.arcsin(np.clip((forward - along) / self.steering_arm, -1.0, 1.0))
        return turned
