"""Parabolic hump: a speed hump of constant curvature."""

from typing import Literal

import numpy as np

from sim.describe.roads.arch import Arch
from sim.describe.roads.array import Array


class ParabolicHump(Arch):
    """A hump z = 4 h (x / l) (1 - x / l), entry slope 4 h / l, curvature 8 h / l²."""

    kind: Literal["parabolic_hump"]

    def height_at(self, x: Array) -> Array:
        """Return the height [m] at distances `x` [m] from the start of the shape."""
        share = np.clip(x / self.length, 0.0, 1.0)  # clipped, so that it ends level and does not go on downwards
        return 4.0 * self.height * share * (1.0 - share)
