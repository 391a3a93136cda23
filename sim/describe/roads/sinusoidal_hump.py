"""Sinusoidal hump: a full raised cosine, which starts and ends level."""

from typing import Literal

import numpy as np

from sim.describe.roads.arch import Arch
from sim.describe.roads.array import Array


class SinusoidalHump(Arch):
    """A hump z = (h / 2) (1 - cos(2 pi x / l)), steepest slope pi h / l."""

    kind: Literal["sinusoidal_hump"]

    def height_at(self, x: Array) -> Array:
        """Return the height [m] at distances `x` [m] from the start of the shape."""
        along = np.clip(x, 0.0, self.length)
        # sin² is the same as (1 - cos) / 2 and keeps its digits near the ends
        return self.height * np.sin(np.pi * along / self.length) ** 2
