"""Guide: the leaf pack itself, with one eye fixed and the other on a shackle."""

from typing import Annotated, ClassVar, Literal

import numpy as np
import numpy.typing as npt
from annotated_types import Gt
from pydantic import Field

from sim.describe.parts.guides.base import End, GuideDescription, Member, Shackle
from sim.describe.parts.guides.series import Path, lowered
from sim.describe.parts.guides.wind_up import WindUp
from sim.describe.parts.places import SprungPlace
from sim.describe.units import AnglePerLength, Length
from sim.kernel.layout import Arc

Array = npt.NDArray[np.float64]

RISE = 0.06
"""How far the ends of a pack are drawn above its seat [m]; no number of the model."""


class Leaf(GuideDescription):
    """The axle's centre runs on an arc towards the fixed eye.

    Its radius is about three quarters of the fixed half's working length (widely quoted from the SAE spring
    manual, from memory); a measured radius overrides it.
    """

    is_leaves: ClassVar[bool] = True

    kind: Literal["leaf"]
    fixed_eye: Literal["ahead", "behind"] = Field(default="ahead", description="Where the eye without a shackle is.")
    fixed_half_length: Annotated[Length, Gt(0.2)] = Field(
        description="Working length from the fixed eye to the U-bolts."
    )
    path_radius: Annotated[Length, Gt(0.2)] | None = Field(
        default=None, description="Radius of the centre's arc, if measured."
    )
    path_centre_above: Length = Field(
        default=0.0,
        description="Height of the arc's middle above the axle's centre at ride height; about 0 for a flat pack.",
        validate_default=False,
    )
    rotation_with_jounce: AnglePerLength = Field(
        default=0.0,
        description="Turn of the housing's front downwards per upward travel; 0 for an even pack.",
        validate_default=False,
    )
    wind_up: WindUp

    @property
    def radius_m(self) -> float:
        """Radius of the centre's arc [m]."""
        return self.path_radius if self.path_radius is not None else 0.75 * self.fixed_half_length

    def path(self, jounce: Array, place: SprungPlace, forward: float, up: float) -> tuple[Array, Array]:
        """Return the centre's forward place [m] and the housing's rotation [rad], positive lowers its front."""
        radius = self.radius_m
        # The axle swings about a middle towards the fixed eye; the end on its shackle only follows.
        side = 1.0 if self.fixed_eye == "ahead" else -1.0
        middle = side * np.sqrt(radius**2 - self.path_centre_above**2)
        # Held where the arc ends; the range of `lower` ends before.
        drop = np.clip(jounce - self.path_centre_above, -radius, radius)
        return forward + middle - side * np.sqrt(radius**2 - drop**2), self.rotation_with_jounce * jounce

    def lower(self, place: SprungPlace, forward: float, up: float) -> Path:
        """Return the path for the kernel, over at most 0.3 m each way.

        Raises
        ------
        ValueError
            If the arc's middle is too far above or below the axle for its radius.
        """
        # 0.6 of the radius off the middle's level the arc stands at 37 deg, steeper than a pack swings.
        room = 0.6 * self.radius_m
        if abs(self.path_centre_above) > 0.5 * self.radius_m:
            raise ValueError("path_centre_above is more than half of the path's radius: the pack would not be a leaf")
        low = max(-0.3, self.path_centre_above - room)
        high = min(0.3, self.path_centre_above + room)
        path = lowered(lambda jounce: self.path(jounce, place, forward, up), low, high)
        # The kernel's arc turns the housing as an arm does or not at all; anything between takes the polynomials.
        if self.rotation_with_jounce:
            return path
        ahead = 1.0 if self.fixed_eye == "ahead" else -1.0
        middle = forward + ahead * float(np.sqrt(self.radius_m**2 - self.path_centre_above**2))
        # The axle is behind the arc's middle if the fixed eye is ahead, hence the sign of `side`.
        return path._replace(
            arc=Arc(radius_square=self.radius_m**2, level=self.path_centre_above, forward=middle, side=-ahead)
        )

    @property
    def held(self) -> str:
        """How it holds the axle, in a few words."""
        return "held by the leaves"

    def shackle(self, up: float, sides: tuple[float, float] | None) -> Shackle:
        """Return the longer shackle that lifts the frame by `up` [m]: the pack turns about its fixed eye."""
        fixed = self.fixed_half_length
        # Without its halves a pack is taken as even.
        ahead, behind = sides or (fixed, fixed)
        other, sense = (behind, -1.0) if self.fixed_eye == "ahead" else (ahead, 1.0)
        return Shackle(up * (fixed + other) / fixed, sense * up / fixed)

    def members(self, place: SprungPlace, forward: float, up: float) -> tuple[Member, ...]:
        """Return the pack from eye to eye; both halves are drawn as long as the one whose length is known."""
        ahead = self.fixed_half_length if self.fixed_eye == "ahead" else -self.fixed_half_length
        fixed, shackled = (End("body", forward + reach, up + RISE) for reach in (ahead, -ahead))
        return (Member("leaf", (fixed, End("axle", 0.0, 0.0), shackled), (0,)),)
