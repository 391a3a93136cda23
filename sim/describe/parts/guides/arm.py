"""Guide: radius or trailing arms. Axle and arm turn as one about a pivot on the frame."""

from typing import Literal

import numpy as np
import numpy.typing as npt

from sim.describe.parts.guides.base import End, GuideDescription, Member
from sim.describe.parts.guides.series import Path, lowered
from sim.describe.parts.guides.wind_up import WindUp
from sim.describe.parts.places import BodyPoint, SprungPlace
from sim.describe.shown import show
from sim.kernel.layout import Arc

Array = npt.NDArray[np.float64]


class Arm(GuideDescription):
    """Arms fixed to the housing, on bushes at a pivot on the frame: an exact circle."""

    kind: Literal["arm"]
    pivot: BodyPoint
    wind_up: WindUp

    @property
    def swings_about(self) -> BodyPoint:
        """The arms' bushes on the frame."""
        return self.pivot

    def path(self, jounce: Array, place: SprungPlace, forward: float, up: float) -> tuple[Array, Array]:
        """Return the centre's forward place [m] and the housing's rotation [rad], positive lowers its front.

        forward, up : the centre at zero jounce in body axes [m]. A point turned by psi has
        up = R sin(alpha - psi), which gives psi for the rise asked.
        """
        dx = forward - place.forward(self.pivot)
        dz = up - place.up(self.pivot)
        radius = float(np.hypot(dx, dz))
        # Past the arm's reach there is no angle; the range of `lower` ends well before.
        lift = np.arcsin(np.clip((dz + jounce) / radius, -1.0, 1.0))
        # Of a trailing arm the axle is behind the pivot, and the housing turns the other way.
        ahead = np.sign(dx)
        reach = ahead * radius * np.cos(lift)
        return place.forward(self.pivot) + reach, ahead * (np.arcsin(dz / radius) - lift)

    def lower(self, place: SprungPlace, forward: float, up: float) -> Path:
        """Return the path for the kernel over as much travel as the arm allows, at most 0.35 m each way.

        Raises
        ------
        ValueError
            If the arm is shorter than 0.3 m or stands nearly upright.
        """
        dx = forward - place.forward(self.pivot)
        dz = up - place.up(self.pivot)
        radius = float(np.hypot(dx, dz))
        # An arm that stands nearly upright carries the axle along the truck instead of up.
        if abs(dx) < 0.25:
            raise ValueError(
                f"the arm reaches only {show(abs(dx), 'length')} along the truck; at least {show(0.25, 'length')} is needed"
            )
        # With the centre 0.7 of the radius off the pivot's level an arm stands at 44 deg: past any truck's travel.
        room = 0.7 * radius
        path = lowered(
            lambda jounce: self.path(jounce, place, forward, up), max(-0.35, -room - dz), min(0.35, room - dz)
        )
        square = radius**2
        # Run as the arc that it is (equations.md, 1.1); the fit gives its range and how well polynomials would do.
        return path._replace(
            arc=Arc(
                radius_square=square, level=-dz, forward=forward - dx, side=float(np.sign(dx)),
                turns=1.0, ahead=dx / square, above=dz / square,
            )
        )  # fmt: skip

    @property
    def held(self) -> str:
        """How it holds the axle, in a few words."""
        return "arms"

    def members(self, place: SprungPlace, forward: float, up: float) -> tuple[Member, ...]:
        """Return the arm from the axle's centre to its pivot."""
        pivot = End("body", place.forward(self.pivot), place.up(self.pivot))
        return (Member("bar", (End("axle", 0.0, 0.0), pivot), (0, 1)),)
