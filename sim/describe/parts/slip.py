"""How a tyre pulls and brakes along the road, and what it stands on."""

from functools import lru_cache
from itertools import pairwise
from math import atan, exp, pi, sin, tan
from typing import Annotated, ClassVar, Literal, NamedTuple

from annotated_types import Ge, Gt, Le, Len
from pydantic import Field, model_validator

from sim.describe.bare_numbers import Fraction, Number
from sim.describe.description import Description
from sim.describe.units import Duration, Length

# Just inside both ends: at 1 the peak moves to endless slip, and no curvature can bring it back.
SHAPE = (1.0001, 1.9999)
"""Range of the curve's shape: 1 does not fall after its peak, 2 falls to nothing."""


Relaxation = Literal["at_once", "after_length"]


class Surface(Description):
    """What the tyres stand on: their peak friction, how it falls when they slide, and where the peak is."""

    ORDERED: ClassVar[tuple[tuple[str, str], ...]] = (("sliding", "friction"),)

    name: str = "firm ground"
    friction: Annotated[Number, Gt(0.02), Le(2.0)] = Field(
        description="Greatest force along the road as a share of the load, before the tyre slides."
    )
    sliding: Annotated[Number, Gt(0.01), Le(2.0)] = Field(
        description="The same with the wheel locked, or spinning on the spot."
    )
    peak_at: Annotated[Fraction, Gt(0.01), Le(0.9)] = Field(default=0.15, description="Slip at the peak.")

    @model_validator(mode="after")
    def _falls(self) -> "Surface":
        # Without a fall after it there is no peak whose place could be given.
        if self.sliding >= self.friction:
            raise ValueError("sliding friction must be less than the peak's: write e.g. friction 0.8 and sliding 0.65")
        return self


class SlipCurve(NamedTuple):
    """Coefficients of one tyre's curve: load N in newtons, slip as a ratio (see `sim.kernel.layout.Wheels`)."""

    peak: float
    peak_rise: float
    stiffness: float
    stiffness_rise: float
    stiffness_fade: float
    curvature: float
    curvature_rise: float
    curvature_bend: float
    shape: float

    def force(self, slip: float, load: float) -> float:
        """Return the force along the road [N]: D sin(C atan(B phi)), phi = (1 - E) k + (E/B) atan(B k)."""
        d = (self.peak + self.peak_rise * load) * load
        slope = (self.stiffness + self.stiffness_rise * load) * load * exp(-self.stiffness_fade * load)
        # B C D is the slope at no slip (SAE 870421), so B follows from it.
        b = slope / (self.shape * d)
        e = self.curvature + self.curvature_rise * load + self.curvature_bend * load**2
        phi = (1.0 - e) * slip + e / b * atan(b * slip)
        return d * sin(self.shape * atan(b * phi))

    def of_tyres(self, count: int) -> "SlipCurve":
        """Return the curve of an axle of so many tyres by the axle's load."""
        # Tyres share the load evenly, so a coefficient is divided by their number once for each power of load in it.
        return SlipCurve(
            self.peak, self.peak_rise / count, self.stiffness, self.stiffness_rise / count,
            self.stiffness_fade / count, self.curvature, self.curvature_rise / count, self.curvature_bend / count**2,
            self.shape,
        )  # fmt: skip


class Slip(Description):
    """How one tyre answers slip along the road.

    The curve is that of E. Bakker, L. Nyborg, H. B. Pacejka, SAE 870421 (1987): either through what the surface says of
    its peak and its sliding end, or with the paper's eight coefficients for a measured tyre, its forces then scaled to
    the surface's friction.
    """

    stiffness: Annotated[Number, Gt(1), Le(80)] | None = Field(
        default=None,
        description="Force by slip at small slip, as a share of the load; 10 to 40 (from memory, no source).",
    )
    coefficients: Annotated[tuple[float, ...], Len(8, 8)] | None = Field(
        default=None, description="a1 to a8 of the paper: load in kN, slip in %, force in N. Instead of stiffness."
    )
    coefficients_friction: Annotated[Number, Gt(0.1), Le(2.0)] = Field(
        default=1.0, description="Friction of what the coefficients were measured on."
    )
    relaxation_length: Annotated[Length, Ge(0.02), Le(1.0)] = Field(
        default=0.2,
        description="Distance rolled until 63 % of a step of slip acts; 0.05 to 0.3 m (from memory, no source).",
        validate_default=False,
    )
    relaxation: Relaxation = Field(
        default="at_once",
        description="How grip follows load: `at_once`, and slip builds up in less length the more it slips; or `after_length`, "
        "load and slip both over the whole relaxation length. Sources differ; wind-up can depend on it.",
    )
    carcass_time: Annotated[Duration, Ge(0), Le(0.02)] = Field(
        default=0.004,
        description="Damping of the carcass along the road, over its rate (estimate).",
        validate_default=False,
    )

    @model_validator(mode="after")
    def _one_way(self) -> "Slip":
        if (self.stiffness is None) == (self.coefficients is None):
            raise ValueError("give either stiffness, or the eight coefficients of a measured tyre")
        return self

    def curve(self, surface: Surface | None = None) -> SlipCurve:
        """Return the coefficients of one tyre's curve on a surface; without one, as it was measured.

        Raises
        ------
        ValueError
            If no curve of this form has the peak and the sliding end asked for.
        """
        if self.coefficients is not None:
            a1, a2, a3, a4, a5, a6, a7, a8 = self.coefficients
            # Another ground scales peak and slope alike, so the slip at the peak stays where it was measured.
            scale = 1.0 if surface is None else surface.friction / self.coefficients_friction
            # kN and % to N and ratio.
            # C is 1.65 for forces along the road (the paper, from memory).
            return SlipCurve(
                scale * a2 * 1e-3, scale * a1 * 1e-6, scale * a4 * 0.1, scale * a3 * 1e-4, a5 * 1e-3, a8, a7 * 1e-3,
                a6 * 1e-6, 1.65,
            )  # fmt: skip
        assert self.stiffness is not None
        if surface is None:
            raise ValueError("a tyre with only its stiffness needs a surface")
        return _through(self.stiffness, surface)


@lru_cache(maxsize=64)  # all tyres of a kind are alike, and most set-ups have the same
def _through(stiffness: float, surface: Surface) -> SlipCurve:
    """Return the curve with a given slope at no slip, peak, and end at a slip of one: C from the end, E from the peak."""

    def curve(shape: float) -> SlipCurve:
        # At the peak C atan(B phi) is a right angle: B phi = tan(pi / 2C) there, which gives E.
        steep = stiffness / (shape * surface.friction)
        reach, wanted = steep * surface.peak_at, tan(0.5 * pi / shape)
        bend = (reach - wanted) / (reach - atan(reach))
        return SlipCurve(surface.friction, 0.0, stiffness, 0.0, 0.0, bend, 0.0, 0.0, shape)

    def miss(shape: float) -> float:
        # At a load of 1 a force is a share of the load; a slip of 1 is a locked wheel.
        return curve(shape).force(1.0, 1.0) - surface.sliding

    low, high = SHAPE
    shapes = [low + (high - low) * i / 400 for i in range(401)]
    # E above 1 would turn phi back at large slip, and in the end the sign of the force.
    allowed = [
        c for c in shapes if stiffness / (c * surface.friction) * surface.peak_at > 1e-6 and curve(c).curvature <= 1.0
    ]
    for left, right in pairwise(allowed):
        if miss(left) * miss(right) <= 0.0:
            # Halved to the last digit: a library's root finder takes longer to load than a launch to run.
            while left < (middle := 0.5 * (left + right)) < right:
                left, right = (middle, right) if miss(left) * miss(middle) > 0.0 else (left, middle)
            return curve(middle)
    said = f"a slope of {stiffness:g} and a peak of {surface.friction:g} at {100 * surface.peak_at:.0f} % slip"
    if not allowed:
        raise ValueError(
            f"no slip curve has {said}: that slope would be past its peak there; move the peak to more slip"
        )
    ends = [miss(c) + surface.sliding for c in allowed]
    raise ValueError(
        f"a slip curve with {said} ends between {min(ends):.3f} and {max(ends):.3f} when sliding, not at {surface.sliding:g}; "
        "change the sliding friction, or move the peak"
    )
