"""Half-sine bump: one arch of a sine, with a kink where it starts and ends."""

from typing import Literal

import numpy as np

from sim.describe.roads.arch import Arch
from sim.describe.roads.array import Array


class HalfSine(Arch):
    """A bump z = h sin(pi x / l)."""

    kind: Literal["half_sine"]

    def height_at(self, x: Array) -> Array:
        """Return the height [m] at distances `x` [m] from the start of the shape."""
        along = np.clip(x, 0.0, self.length)
        return self.height * np.sin(np.pi * along / self.length)
