"""Damper law: a plain hole each way, whose force grows with the square of speed."""

from typing import Annotated, Literal

import numpy as np
import numpy.typing as npt
from annotated_types import Gt
from pydantic import Field

from sim.describe.parts.dampers import ramps
from sim.describe.parts.dampers.law import Claims, DamperLaw
from sim.describe.parts.dampers.sides import two_sided
from sim.describe.units import Force
from sim.kernel.layout import Knot

FASTEST, SHARE, LEAST = 4.0, 0.01, 0.5


class Parabolic(DamperLaw):
    """Force as the square of speed."""

    kind: Literal["parabolic"]
    compression: Annotated[Force, Gt(0)] = Field(description="At 1 m/s.")
    rebound: Annotated[Force, Gt(0)] = Field(description="At 1 m/s.")

    def force(self, speed: npt.ArrayLike) -> npt.NDArray[np.float64]:
        """Return the force [N] at closing speeds [m/s]."""
        v = np.asarray(speed, float)
        return np.where(v > 0.0, self.compression, -self.rebound) * v * v

    def lower(self) -> tuple[Knot, ...]:
        """Return ramps within the bound that it claims."""
        speeds = ramps.speeds_of_a_curve(FASTEST)
        compression, rebound = (ramps.fitted(s, speeds, abs(self.force(s * speeds)), SHARE, LEAST) for s in (1.0, -1.0))
        return compression + rebound

    def scaled(self, factor: float) -> "Parabolic":
        """Return the law with every force multiplied."""
        return self.model_copy(update={"compression": self.compression * factor, "rebound": self.rebound * factor})

    def sided(self, compression: float, rebound: float) -> "Parabolic":
        """Return the law with the forces of its sides multiplied."""
        return two_sided(self, compression, rebound)

    @property
    def shape(self) -> str:
        """The curve in a few words."""
        return "parabolic; as the square of speed"

    @property
    def claims(self) -> Claims:
        """What it says of itself."""
        return Claims(
            "Orifice flow: pressure as the square of flow (Bernoulli).", odd=self.compression == self.rebound,
            fastest=FASTEST, bound_share=SHARE, bound_n=LEAST,
        )  # fmt: skip
