"""Oil through holes and sprung valves: flow against pressure drop, and the pressure drop that a flow needs.

Quasi-static and incompressible. Every path is monotone, so a flow has one pressure drop; paths side by side add their flows.
"""

from collections.abc import Sequence
from math import pi
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]


class Fluid(NamedTuple):
    """What the oil is at its temperature."""

    density: float  # [kg/m³]
    viscosity: float  # [Pa s], dynamic


class HolePath(NamedTuple):
    """Drilled holes side by side."""

    area: float  # [m²] of all
    discharge: float  # share of the area that the jet fills
    resistance: float  # [1/m³] 128 length / (pi diameter⁴ number): laminar, times viscosity


class ValvePath(NamedTuple):
    """A plate held on a seat by a preloaded spring, with holes before it."""

    port_area: float  # [m²]
    discharge: float
    seat_area: float  # [m²] that pressure lifts
    edge: float  # [m] round the seat, where oil leaves
    preload: float  # [N]
    rate: float  # [N/m]
    lift_most: float  # [m]

    @property
    def opens_at(self) -> float:
        """Pressure drop [Pa] at which it opens: preload over area."""
        return self.preload / self.seat_area


def hole_flow(drop: Array, path: HolePath, fluid: Fluid) -> Array:
    """Return the flow [m³/s] through holes at a pressure drop [Pa].

    Drop = viscosity resistance Q + density Q² / (2 Cd² A²): Hagen and Poiseuille's law along the hole and Bernoulli's
    at its end, solved for Q. Written so that neither part may vanish and nothing cancels.
    """
    laminar = fluid.viscosity * path.resistance
    jet = fluid.density / (2.0 * (path.discharge * path.area) ** 2)
    whole = laminar + np.sqrt(laminar**2 + 4.0 * jet * drop)
    return np.divide(2.0 * drop, whole, out=np.zeros_like(drop), where=whole > 0.0)


def valve_lift(drop: Array, path: ValvePath) -> Array:
    """Return how far a valve lifts [m] at a pressure drop [Pa] over its ports and itself.

    The same flow passes ports and edge, so the drop over the plate is drop / (1 + (c x)²) with c x the ratio of edge to port
    area; its force on the seat is preload + rate x. That is a cubic in x, rising and hollow upwards: Newton's method from
    above, where the ports cost nothing, comes down to its root without overshoot.
    """
    narrow = path.edge / path.port_area
    push = drop * path.seat_area
    lift = np.maximum((push - path.preload) / path.rate, 0.0)
    for _ in range(60):
        open_ = 1.0 + (narrow * lift) ** 2
        spring = path.preload + path.rate * lift
        slope = path.rate * open_ + 2.0 * narrow**2 * lift * spring
        step = np.where(lift > 0.0, (spring * open_ - push) / slope, 0.0)
        lift = np.maximum(lift - step, 0.0)
        if np.all(np.abs(step) <= 1e-14 * lift):
            break
    return np.minimum(lift, path.lift_most)


def valve_flow(drop: Array, path: ValvePath, fluid: Fluid) -> Array:
    """Return the flow [m³/s] through a valve at a pressure drop [Pa] over its ports and itself."""
    lift = valve_lift(drop, path)
    across = drop / (1.0 + (path.edge / path.port_area * lift) ** 2)
    flow: Array = path.discharge * path.edge * lift * np.sqrt(2.0 * across / fluid.density)
    return flow


def whole_flow(drop: npt.ArrayLike, bleed: HolePath, valves: Sequence[ValvePath], fluid: Fluid) -> Array:
    """Return the flow [m³/s] through bleed and valves side by side at a pressure drop [Pa]."""
    p = np.asarray(drop, float)
    total: Array = sum((valve_flow(p, valve, fluid) for valve in valves), start=hole_flow(p, bleed, fluid))
    return total


def pressure_drop(flow: npt.ArrayLike, bleed: HolePath, valves: Sequence[ValvePath], fluid: Fluid) -> Array:
    """Return the pressure drop [Pa] that a flow [m³/s] needs through bleed and valves side by side.

    The bleed alone has a closed form, which is also the most that it can be. Below it the root of `whole_flow` is closed in by
    the Illinois method (M. Dowell, P. Jarratt, BIT 11, 1971) in the root of the pressure, in which flow runs almost straight.
    """
    q = np.asarray(flow, float)
    laminar, jet = fluid.viscosity * bleed.resistance, fluid.density / (2.0 * (bleed.discharge * bleed.area) ** 2)
    most: Array = laminar * q + jet * q * q
    if not valves:
        return most
    # Below the first opening the bleed is all there is; its closed form stands.
    opens = min(valve.opens_at for valve in valves)
    low, high = np.sqrt(np.minimum(most, opens)), np.sqrt(most)
    closed = most <= opens

    def miss(root: Array) -> Array:
        missing: Array = whole_flow(root * root, bleed, valves, fluid) - q
        return missing

    below, above = miss(low), miss(high)
    kept = np.zeros_like(q)  # which end stayed last time
    for _ in range(200):
        steep = above - below
        share = np.divide(-below, steep, out=np.full_like(q, 0.5), where=steep > 0.0)
        middle = low + np.clip(share, 0.0, 1.0) * (high - low)
        excess = miss(middle)
        past = excess > 0.0
        # An end that stays twice is given half its weight, so that both ends move.
        below, above = (
            np.where(past, np.where(kept < 0.0, 0.5 * below, below), excess),
            np.where(past, excess, np.where(kept > 0.0, 0.5 * above, above)),
        )
        low, high = np.where(past, low, middle), np.where(past, middle, high)
        kept = np.where(past, -1.0, 1.0)
        if np.all(closed | (np.abs(excess) <= 1e-13 * q) | (high - low <= 1e-14 * high)):
            break
    drop: Array = np.where(closed, most, middle * middle)
    return drop


def circle(diameter: float) -> float:
    """Return the area of a circle [m²] of a diameter [m]."""
    return pi * diameter * diameter / 4.0
