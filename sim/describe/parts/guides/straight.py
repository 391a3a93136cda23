"""Guide: straight up and down, for textbook cases."""

from typing import Literal

import numpy as np
import numpy.typing as npt

from sim.describe.parts.guides.base import GuideDescription
from sim.describe.parts.guides.series import Path, lowered
from sim.describe.parts.guides.wind_up import WindUp
from sim.describe.parts.places import SprungPlace

Array = npt.NDArray[np.float64]


class Straight(GuideDescription):
    """Vertical travel with no rotation."""

    kind: Literal["straight"]
    wind_up: WindUp = WindUp(rate="rigid")

    def path(self, jounce: Array, place: SprungPlace, forward: float, up: float) -> tuple[Array, Array]:
        """Return the centre's forward place [m] and the housing's rotation [rad], positive lowers the front."""
        return np.full_like(jounce, forward), np.zeros_like(jounce)

    def lower(self, place: SprungPlace, forward: float, up: float) -> Path:
        """Return the path for the kernel; exact."""
        # A straight line has no end of its own: 0.4 m each way is past any travel of a truck.
        return lowered(lambda jounce: self.path(jounce, place, forward, up), -0.4, 0.4)

    @property
    def held(self) -> str:
        """How it holds the axle, in a few words."""
        return "guided straight"
