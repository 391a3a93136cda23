"""Ways for oil through a piston or a foot: bleed holes, ports, valves that open against preload and spring."""

from math import inf, pi
from typing import Annotated, Literal

import numpy as np
import numpy.typing as npt
from annotated_types import Ge, Gt, Le
from pydantic import Field

from sim.describe.bare_numbers import Fraction
from sim.describe.description import Description
from sim.describe.parts.dampers.valve_flow import Fluid, HolePath, ValvePath, circle, pressure_drop, whole_flow
from sim.describe.units import Force, Length, Stiffness

Array = npt.NDArray[np.float64]
Way = Literal["compression", "rebound"]


class Holes(Description):
    """Drilled holes, all alike."""

    count: Annotated[int, Gt(0), Le(1000)] = 1
    diameter: Annotated[Length, Gt(0)]
    length: Annotated[Length, Ge(0)] = Field(
        default=0.0, description="Through the metal: adds drag by viscosity, which fades as oil warms. 0: sharp edge."
    )
    discharge: Annotated[Fraction, Gt(0), Le(1)] = Field(
        default=0.7, description="Share of its area that the jet fills: 0.6 to 0.75."
    )

    @property
    def area(self) -> float:
        """Area of all [m²]."""
        return self.count * circle(self.diameter)

    @property
    def path(self) -> HolePath:
        """What the flow balance needs."""
        # Hagen and Poiseuille, the flow shared by `count` holes (equations.md, 3.1).
        return HolePath(self.area, self.discharge, 128.0 * self.length / (pi * self.diameter**4 * self.count))


class Ports(Description):
    """Holes that lead to a valve."""

    count: Annotated[int, Gt(0), Le(1000)] = 1
    diameter: Annotated[Length, Gt(0)]


class Valve(Description):
    """Shims, a plate or a poppet on a seat: opens when pressure over the seat passes the preload, lifts by the rest over its rate."""

    ports: Ports = Field(description="Holes before it; they limit the flow once it stands open.")
    seat_diameter: Annotated[Length, Gt(0)] = Field(
        description="Of the area that pressure lifts; oil leaves round its edge."
    )
    preload: Annotated[Force, Ge(0)] = Field(description="Force that holds it shut.")  # may be 0: a check valve
    rate: Annotated[Stiffness, Gt(0)] = Field(description="Of spring or shims, at the seat's edge.")
    lift_most: Annotated[Length, Gt(0)] | None = Field(default=None, description="Where its stop is. Left out: none.")
    discharge: Annotated[Fraction, Gt(0), Le(1)] = 0.7

    @property
    def path(self) -> ValvePath:
        """What the flow balance needs."""
        # Oil leaves round the seat's edge, so a lift x opens pi D x (equations.md, 3.2).
        return ValvePath(
            self.ports.count * circle(self.ports.diameter), self.discharge, circle(self.seat_diameter),
            pi * self.seat_diameter, self.preload, self.rate, inf if self.lift_most is None else self.lift_most,
        )  # fmt: skip


class Passage(Description):
    """Bleed holes that are always open, and valves each way."""

    # Never left out: every valve leaks, and the bleed alone bounds the pressure of a flow (`pressure_drop`).
    bleed: Holes = Field(description="Open both ways: holes, slots in a shim, leaks.")
    compression: tuple[Valve, ...] = Field(default=(), description="Valves that open in compression.")
    rebound: tuple[Valve, ...] = Field(default=(), description="Valves that open in extension.")

    def paths(self, way: Way) -> tuple[ValvePath, ...]:
        """Return the valves of one way."""
        return tuple(valve.path for valve in getattr(self, way))

    def flow(self, drop: npt.ArrayLike, way: Way, fluid: Fluid) -> Array:
        """Return the flow [m³/s] at pressure drops [Pa]."""
        return whole_flow(np.asarray(drop, float), self.bleed.path, self.paths(way), fluid)

    def knees(self, way: Way, area: float, fluid: Fluid) -> tuple[float, ...]:
        """Return the speeds [m/s] of a piston or rod of an area [m²] at which the valves open, rising."""
        # Rising, as a valve opens on top of the flow through those that are open already.
        opens = np.array(sorted(path.opens_at for path in self.paths(way)))
        return tuple(float(q) / area for q in self.flow(opens, way, fluid))

    def drop(self, flow: npt.ArrayLike, way: Way, fluid: Fluid) -> Array:
        """Return the pressure drop [Pa] that flows [m³/s] need."""
        return pressure_drop(flow, self.bleed.path, self.paths(way), fluid)
