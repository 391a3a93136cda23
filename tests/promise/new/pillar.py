"""Guide: a sliding pillar that leans back, as a plunger runs in a tube."""

from math import tan
from typing import Annotated, Literal

import numpy as np
import numpy.typing as npt
from annotated_types import Ge, Le

from sim.describe.parts.guides.base import End, GuideDescription, Member
from sim.describe.parts.guides.series import Path, lowered
from sim.describe.parts.guides.wind_up import WindUp
from sim.describe.parts.places import SprungPlace
from sim.describe.units import Angle

Array = npt.NDArray[np.float64]


class Pillar(GuideDescription):
    """A straight path, upwards and back."""

    kind: Literal["pillar"]
    lean_back: Annotated[Angle, Ge(-0.5), Le(0.5)]
    wind_up: WindUp

    def path(self, jounce: Array, place: SprungPlace, forward: float, up: float) -> tuple[Array, Array]:
        """Return the centre's forward place [m] and no rotation [rad]."""
        return forward - tan(self.lean_back) * jounce, np.zeros_like(jounce)

    def lower(self, place: SprungPlace, forward: float, up: float) -> Path:
        """Return the path for the kernel."""
        return lowered(lambda jounce: self.path(jounce, place, forward, up), -0.3, 0.3)

    @property
    def held(self) -> str:
        """How it holds the axle."""
        return "on sliding pillars"

    def members(self, place: SprungPlace, forward: float, up: float) -> tuple[Member, ...]:
        """Return the pillar, a foot either way."""
        ends = (End("body", forward - tan(self.lean_back) * rise, up + rise) for rise in (-0.3, 0.3))
        return (Member("bar", tuple(ends)),)
