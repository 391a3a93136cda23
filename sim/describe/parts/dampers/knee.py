"""Damper law: a low-speed slope up to a knee and a high-speed slope beyond it, each way."""

from typing import Annotated, Literal

import numpy as np
import numpy.typing as npt
from annotated_types import Ge, Gt
from pydantic import Field

from sim.describe.description import Description
from sim.describe.parts.dampers.law import Claims, DamperLaw, Handle
from sim.describe.parts.dampers.ramps import COMPRESSION, EXTENSION, side
from sim.describe.parts.dampers.sides import SENSES, SLOWEST_PULLED, two_sided, written
from sim.describe.shown import show
from sim.describe.units import Damping, Speed
from sim.kernel.layout import Knot

FAST = 4.0
"""How many times the knee's speed the second handle of a side stands at."""


class KneeSide(Description):
    """One side of the curve."""

    low: Annotated[Damping, Ge(0)] = Field(description="Slope below the knee.")
    knee: Annotated[Speed, Gt(0)] = Field(description="Speed at which the valve opens.")
    # It may be the steeper one: progressive valving is written the same way.
    high: Annotated[Damping, Ge(0)] = Field(description="Slope above the knee.")

    def force(self, speed: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
        """Return the force [N] at speeds [m/s] of this side, both positive."""
        return self.low * np.minimum(speed, self.knee) + self.high * np.maximum(speed - self.knee, 0.0)


class Knee(DamperLaw):
    """Bleed slope, knee and blow-off slope, apart for compression and rebound."""

    kind: Literal["knee"]
    compression: KneeSide
    rebound: KneeSide

    def force(self, speed: npt.ArrayLike) -> npt.NDArray[np.float64]:
        """Return the force [N] at closing speeds [m/s]; both positive in compression."""
        v = np.asarray(speed, float)
        # Each side is written with speeds and forces of its own, both positive.
        return self.compression.force(np.maximum(v, 0.0)) - self.rebound.force(np.maximum(-v, 0.0))

    def lower(self) -> tuple[Knot, ...]:
        """Return the ramps that the kernel adds up; exact."""
        # A broken line is a sum of ramps already, so there is no bound to keep.
        return side(COMPRESSION, [0.0, self.compression.knee], [self.compression.low, self.compression.high]) + side(
            EXTENSION, [0.0, self.rebound.knee], [self.rebound.low, self.rebound.high]
        )

    def scaled(self, factor: float) -> "Knee":
        """Return the same law with every force multiplied by `factor` and the knees where they were."""
        sides = {
            name: side_.model_copy(update={"low": side_.low * factor, "high": side_.high * factor})
            for name, side_ in (("compression", self.compression), ("rebound", self.rebound))
        }
        return self.model_copy(update=sides)

    def sided(self, compression: float, rebound: float) -> "Knee":
        """Return the law with the forces of its two sides multiplied and the knees where they were."""
        return two_sided(self, compression, rebound)

    def opens_at(self) -> tuple[tuple[float, ...], tuple[float, ...]]:
        """Return the speeds [m/s] of its knees, in compression and in rebound."""
        return (self.compression.knee,), (self.rebound.knee,)

    @property
    def handles(self) -> tuple[Handle, ...]:
        """Its knees, and on each side a point of the slope past the knee."""
        sides = [(SENSES[name], getattr(self, name)) for name in SENSES]
        return tuple(
            Handle(sense * speed, sense * float(own.force(np.array(speed))))
            for sense, own in sides
            for speed in (own.knee, FAST * own.knee)
        )

    def pulled(self, number: int, speed: float, force: float) -> dict[str, object]:
        """Return slopes and knee for a handle to stand elsewhere: a knee moves both ways, the point past it up and down."""
        name = tuple(SENSES)[number // 2]
        own, force = getattr(self, name), max(SENSES[name] * force, 0.0)
        if number % 2 == 0:
            knee = max(SENSES[name] * speed, SLOWEST_PULLED)
            return {f"{name}.low": written(force / knee, "N s/m"), f"{name}.knee": written(knee, "m/s")}
        past = (FAST - 1.0) * own.knee
        return {f"{name}.high": written(max(force - own.low * own.knee, 0.0) / past, "N s/m")}

    @property
    def shape(self) -> str:
        """The speeds of its knees; the word for its curve comes from the curve (`curve_words`)."""
        return f"knees at {show(self.compression.knee, 'speed')} and {show(self.rebound.knee, 'speed')}"

    @property
    def claims(self) -> Claims:
        """What it says of itself."""
        return Claims(
            "Two straight lines each way, as the trade tells a curve by bleed, knee and blow-off; common practice, no source.",
            odd=self.compression == self.rebound,
        )
