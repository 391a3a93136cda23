"""Guide: a sliding pillar that leans back, as a plunger runs in a tube."""

from collections.abc import Callable
from math import tan
from typing import Annotated, Literal

import numpy as np
import numpy.typing as npt
from annotated_types import Ge, Le

from sim.describe.parts.guides.base import GuideDescription, Point, Stroke
from sim.describe.parts.guides.series import Path, lowered
from sim.describe.parts.guides.wind_up import WindUp
from sim.describe.parts.places import BodyPoint, SprungPlace
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

    def outline(
        self, centre: Point, on_axle: Callable[[float, float], Point], on_body: Callable[[BodyPoint], Point]
    ) -> tuple[Stroke, ...]:
        """Return the pillar, a foot either way."""
        ends = [(centre[0] + tan(self.lean_back) * rise, centre[1] + rise) for rise in (-0.3, 0.3)]
        return (Stroke(tuple(ends)),)
