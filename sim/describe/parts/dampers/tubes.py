"""Tubes: where the oil that the rod displaces goes, and so what the pressures of the chambers push with."""

from typing import Annotated, Literal, NamedTuple

import numpy as np
import numpy.typing as npt
from annotated_types import Ge, Gt
from pydantic import Field

from sim.describe.description import Description
from sim.describe.parts.dampers.passages import Passage, Way
from sim.describe.parts.dampers.valve_flow import Fluid
from sim.describe.units import Pressure, Volume

Array = npt.NDArray[np.float64]

GAS_EXPONENT = 1.4
"""Of nitrogen that has no time to trade heat while the damper strokes."""

ATMOSPHERE = 101325.0
"""Standard atmosphere [Pa] (ISO 2533): what a gauge does not read."""


class Rods(NamedTuple):
    """Areas [m²] that pressure works on."""

    annulus: float  # of the piston round the rod
    rod: float


class Stroke(NamedTuple):
    """What one speed makes of the chambers."""

    force: Array  # [N] against the motion, without gas
    suction: Array  # [Pa] by which the emptiest chamber lies below the gas


class Monotube(Description):
    """One tube; a floating piston parts its oil from gas under pressure. Runs any way up.

    The gas piston has no friction and no mass, so the compression chamber is at the pressure of the gas whatever the speed.
    """

    kind: Literal["monotube"]
    gas_pressure: Annotated[Pressure, Ge(0)] = Field(description="On the gauge, at the measured ride height, at 20 °C.")
    gas_volume: Annotated[Volume, Gt(0)] = Field(description="At the measured ride height.")

    def compression(self, speed: Array, piston: Passage, areas: Rods, fluid: Fluid) -> Stroke:
        """Return what a closing speed [m/s] makes: the rebound chamber is filled through the piston and may run empty."""
        # Oil of the annulus passes the piston; the rod's own volume moves the gas piston.
        drop = piston.drop(areas.annulus * speed, "compression", fluid)
        return Stroke(areas.annulus * drop, drop)

    def rebound(self, speed: Array, piston: Passage, areas: Rods, fluid: Fluid) -> Stroke:
        """Return what an opening speed [m/s] makes: the gas follows, so no chamber falls below it."""
        drop = piston.drop(areas.annulus * speed, "rebound", fluid)
        return Stroke(areas.annulus * drop, np.zeros_like(drop))

    def knees(self, way: Way, areas: Rods, fluid: Fluid) -> tuple[float, ...]:
        """Return the speeds [m/s] at which valves of the tube open: it has none."""
        return ()

    def gas(self, areas: Rods) -> tuple[float, float]:
        """Return the push on the rod [N] and its rate [N/m]: p a, and n p a² / V with the absolute pressure."""
        return gas_push(self.gas_pressure, self.gas_volume, areas.rod)


class TwinTube(Description):
    """Two tubes; the rod's oil goes through a foot valve into the outer one, which holds gas or air above its oil.

    Kind `twin_tube` has a free oil surface and must stand rod up; in `gas_cell` a sealed cell keeps oil and gas apart.
    """

    kind: Literal["twin_tube", "gas_cell"]
    foot: Passage = Field(description="Compression: from the inner tube outwards; rebound: the intake back in.")
    gas_pressure: Annotated[Pressure, Ge(0)] = Field(
        default=0.0, description="On the gauge, at the measured ride height, at 20 °C. Left out: air at rest."
    )
    gas_volume: Annotated[Volume, Gt(0)] | None = Field(default=None, description="At the measured ride height.")

    def compression(self, speed: Array, piston: Passage, areas: Rods, fluid: Fluid) -> Stroke:
        """Return what a closing speed [m/s] makes: foot valve and piston in turn; the chamber round the rod may run empty."""
        foot = self.foot.drop(areas.rod * speed, "compression", fluid)
        drop = piston.drop(areas.annulus * speed, "compression", fluid)
        # Pressure over the foot keeps the lower chamber above the gas, so suction is what is left (equations.md, 3.3).
        return Stroke(areas.rod * foot + areas.annulus * drop, drop - foot)

    def rebound(self, speed: Array, piston: Passage, areas: Rods, fluid: Fluid) -> Stroke:
        """Return what an opening speed [m/s] makes: the chamber under the piston must fill through the intake."""
        intake = self.foot.drop(areas.rod * speed, "rebound", fluid)
        drop = piston.drop(areas.annulus * speed, "rebound", fluid)
        # The upper chamber is pressed then; only the lower one can run empty.
        return Stroke(areas.rod * intake + areas.annulus * drop, intake)

    def knees(self, way: Way, areas: Rods, fluid: Fluid) -> tuple[float, ...]:
        """Return the speeds [m/s] at which valves of the foot open."""
        return self.foot.knees(way, areas.rod, fluid)

    def gas(self, areas: Rods) -> tuple[float, float]:
        """Return the push on the rod [N] and its rate [N/m], 0 if the gas's volume is not known."""
        return gas_push(self.gas_pressure, self.gas_volume, areas.rod)


def gas_push(gauge: float, volume: float | None, rod_area: float) -> tuple[float, float]:
    """Return the push of gas on a rod [N] and its rate [N/m].

    The atmosphere pushes back from outside, so the push is that of the gauge; what is compressed is all of the gas.
    """
    rate = 0.0 if volume is None else GAS_EXPONENT * (gauge + ATMOSPHERE) * rod_area**2 / volume
    return gauge * rod_area, rate


Tube = Annotated[Monotube | TwinTube, Field(discriminator="kind")]
