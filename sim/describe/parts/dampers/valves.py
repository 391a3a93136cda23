"""Damper law: valve parts. What is drilled, ground and preloaded, and the force that oil makes of it."""

from collections.abc import Mapping
from typing import Annotated, ClassVar, Literal, Self

import numpy as np
import numpy.typing as npt
from annotated_types import Gt
from pydantic import Field, PrivateAttr, model_validator

from sim.describe.parts.dampers import ramps
from sim.describe.parts.dampers.law import Claims, DamperLaw, Inside, MoveWord
from sim.describe.parts.dampers.oil import Oil
from sim.describe.parts.dampers.passages import Passage, Way
from sim.describe.parts.dampers.tubes import Rods, Tube
from sim.describe.parts.dampers.valve_flow import Fluid, circle
from sim.describe.shown import show
from sim.describe.units import Length
from sim.kernel.layout import Knot

Array = npt.NDArray[np.float64]

TEST_KELVIN = 293.15
"""20 °C, at which dampers are tested: 20 +/- 5 °C by a national component standard, read in a public summary."""

FASTEST = 4.0
"""Speed [m/s] up to which the law is lowered along its own curve; straight on beyond."""

BOUND, LEAST_BOUND = 4e-3, 0.5
"""Largest error of the lowered curve: a share of the force there, plus so much [N]."""


SENSES: tuple[tuple[float, Way], ...] = ((ramps.COMPRESSION, "compression"), (ramps.EXTENSION, "rebound"))


class Piston(Passage):
    """The piston: what passes through it either way, and how large it is."""

    diameter: Annotated[Length, Gt(0)] = Field(description="Bore of the tube in which it runs.")


class Valves(DamperLaw):
    """Force from orifice flow: bleed holes, ports and preloaded, sprung valves each way.

    Flow balance is solved for every speed, quasi-static and incompressible; the push of the gas is not part of it but of the
    damper set. Every valve leaks: what passes a closed one is the bleed.

    Notes
    -----
    With annulus area A (piston less rod) and rod area a, a monotube pushes with A dp(A v) each way. A twin-tube adds
    a dp_foot(a v): oil that the rod displaces goes through the foot valve.

    References
    ----------
    J. C. Dixon, The Shock Absorber Handbook, 2nd ed. (2007), chapters 5 and 6, from memory; derived anew.
    """

    kind: Literal["valves"]
    piston: Piston
    rod_diameter: Annotated[Length, Gt(0)]
    tube: Tube = Field(description="Monotube with gas piston, or twin-tube with foot valve.")
    oil: Oil = Field(default=Oil(), description="By its data sheet.")

    ORDERED: ClassVar[tuple[tuple[str, str], ...]] = (("rod_diameter", "piston.diameter"),)

    moves: ClassVar[frozenset[MoveWord]] = frozenset(("value",))
    moved_instead: ClassVar[tuple[str, str]] = (
        "forces of valve parts follow from the parts, so they cannot be scaled or split",
        "move the parts: {law}.piston.bleed.diameter, {law}.piston.rebound.0.preload, …",
    )
    of_tube: ClassVar[Mapping[str, str]] = {"bore": "piston.diameter", "rod": "rod_diameter"}
    without_gas: ClassVar[Mapping[str, str]] = {"tube.gas_pressure": "0 bar"}

    # Not keys of the law: copies differ in oil temperature and factor, and ramps are kept once fitted.
    _kelvin: float = PrivateAttr(default=TEST_KELVIN)
    _factor: float = PrivateAttr(default=1.0)
    _lowered: tuple[Knot, ...] | None = PrivateAttr(default=None)

    @model_validator(mode="after")
    def _rod_within_piston(self) -> Self:
        if self.rod_diameter >= self.piston.diameter:
            raise ValueError(
                f"rod_diameter, {show(self.rod_diameter, 'length')}, must be less than the piston's, "
                f"{show(self.piston.diameter, 'length')}: are they crossed?"
            )
        return self

    @property
    def rods(self) -> Rods:
        """Areas [m²]: of the annulus round the rod, and of the rod."""
        rod = circle(self.rod_diameter)
        return Rods(circle(self.piston.diameter) - rod, rod)

    @property
    def fluid(self) -> Fluid:
        """The oil at this law's temperature."""
        return Fluid(self.oil.density_at(self._kelvin), self.oil.dynamic_viscosity_at(self._kelvin))

    def force(self, speed: npt.ArrayLike) -> Array:
        """Return the force [N] at closing speeds [m/s]; both positive in compression, without the gas."""
        v = np.asarray(speed, float)
        # Flows are solved for rows of speeds; a single speed comes back as it went in.
        return (self._factor * self._unscaled(np.atleast_1d(v).ravel())).reshape(v.shape)

    def _unscaled(self, speed: Array) -> Array:
        """Return the force [N] at a row of closing speeds [m/s], as the parts make it."""
        # Each side sees its own speeds only, the other's as rest, where it has no force.
        compression = self.tube.compression(np.maximum(speed, 0.0), self.piston, self.rods, self.fluid).force
        rebound = self.tube.rebound(np.maximum(-speed, 0.0), self.piston, self.rods, self.fluid).force
        force: Array = compression - rebound
        return force

    def least_gas_pressure(self, speed: npt.ArrayLike) -> Array:
        """Return the least charge [Pa], as a gauge reads it, that keeps every chamber at or above the atmosphere.

        At closing speeds [m/s], positive in compression. Oil holds air that it took up at about that pressure and lets it go
        below (common practice, no source); it boils one atmosphere further down.
        """
        v = np.asarray(speed, float)
        flat = np.atleast_1d(v).ravel()
        compression = self.tube.compression(np.maximum(flat, 0.0), self.piston, self.rods, self.fluid).suction
        rebound = self.tube.rebound(np.maximum(-flat, 0.0), self.piston, self.rods, self.fluid).suction
        # Forces that are scaled stand for pressures that are, so suction is scaled as well.
        least: Array = np.maximum(self._factor * np.where(flat >= 0.0, compression, rebound), 0.0)
        return least.reshape(v.shape)

    def starved(self, speed: Array) -> npt.NDArray[np.bool_]:
        """Return where, in a row of closing speeds [m/s], a chamber falls below the atmosphere for want of gas pressure."""
        # Suction grows with speed each way, so the fastest moments tell whether there is anything to look for.
        ends = np.array([np.max(speed, initial=0.0), np.min(speed, initial=0.0)])
        if np.all(self.least_gas_pressure(ends) <= self.tube.gas_pressure):
            return np.zeros(speed.shape, bool)
        short: npt.NDArray[np.bool_] = self.least_gas_pressure(speed) > self.tube.gas_pressure
        return short

    def opens_at(self) -> tuple[tuple[float, ...], tuple[float, ...]]:
        """Return the speeds [m/s] at which the piston's valves open, in compression and in rebound: the knees of the curve.

        Where the flow that the bleed, and valves already open, let through at preload over area is that of the speed.
        """
        area, fluid = self.rods.annulus, self.fluid
        return self.piston.knees("compression", area, fluid), self.piston.knees("rebound", area, fluid)

    @property
    def gas(self) -> tuple[float, float]:
        """Push of the gas at ride height [N] and how it grows as the damper is shortened [N/m]."""
        return self.tube.gas(self.rods)

    def at_temperature(self, kelvin: float) -> "Valves":
        """Return the law with its oil at a temperature [K]: bleed thins with viscosity, jets lighten with density."""
        law = self.model_copy()
        # Oil of another temperature has other ramps; those that were kept are dropped.
        law._kelvin, law._lowered = kelvin, None
        return law

    def scaled(self, factor: float) -> "Valves":
        """Return the same law with every force multiplied by `factor`, opening where it did."""
        law = self.model_copy()
        # Ramps are kept without the factor (`lower`), so they hold for the copy too.
        law._factor = self._factor * factor
        return law

    def sided(self, compression: float, rebound: float) -> "Valves":
        """Return the law with all forces multiplied by the mean: compression and rebound come out of the same parts."""
        return self.scaled(0.5 * (compression + rebound))

    @property
    def shape(self) -> str:
        """The curve in a few words, with the speeds at which its valves open."""
        compression, rebound = (
            " then ".join(show(knee, "speed") for knee in side) or "no speed" for side in self.opens_at()
        )
        return f"bleed, then valves; open at {compression} and {rebound}"

    @property
    def claims(self) -> Claims:
        """What it says of itself."""
        return Claims(
            "J. C. Dixon, The Shock Absorber Handbook, 2nd ed. (2007), chapters 5 and 6, from memory; derived anew.",
            fastest=FASTEST, bound_share=BOUND, bound_n=self._factor * LEAST_BOUND,
        )  # fmt: skip

    @property
    def inside(self) -> Inside:
        """What its parts say of the damper around them."""
        return Inside(
            self.tube.kind, self.piston.diameter, self.rod_diameter, self.tube.gas_pressure, self.oil.viscosity_40
        )

    def lower(self) -> tuple[Knot, ...]:
        """Return ramps within BOUND and LEAST_BOUND of the curve up to FASTEST."""
        if self._lowered is None:
            knots: tuple[Knot, ...] = ()
            for sense, way in SENSES:
                # Valves of piston and foot open at speeds of their own; both are places where the curve bends.
                knees = self.piston.knees(way, self.rods.annulus, self.fluid)
                knees += self.tube.knees(way, self.rods, self.fluid)
                speeds = ramps.speeds_of_a_curve(FASTEST, knees)
                # Without the factor, which then scales the bound of 0.5 N too, as `claims` says; it may be nought.
                forces = np.abs(self._unscaled(sense * speeds))
                knots += ramps.fitted(sense, speeds, forces, BOUND, LEAST_BOUND)
            self._lowered = knots
        return tuple(knot._replace(slope=self._factor * knot.slope) for knot in self._lowered)
