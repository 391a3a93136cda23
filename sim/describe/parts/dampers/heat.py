"""Heat of one damper: oil, metal and air, advanced exactly through a time in which work and air stay as they are."""

from dataclasses import dataclass, replace
from math import expm1, sqrt

import numpy as np
import numpy.typing as npt

from sim.describe.parts.dampers.air import Air
from sim.describe.parts.dampers.tube import Tube


@dataclass(frozen=True)
class Heat:
    """Where the heat of one damper is.

    Attributes
    ----------
    oil, metal : float
        Temperatures [K].
    worked, into_oil, into_metal, into_air : float
        Work done by the damper since it was put in, and where it went [J].
    """

    oil: float
    metal: float
    worked: float = 0.0
    into_oil: float = 0.0
    into_metal: float = 0.0
    into_air: float = 0.0

    @property
    def open_share(self) -> float:
        """What the balance leaves open, as a share of all heat that moved."""
        # A damper that cools without work moves heat too, so the largest part is what the error is measured by.
        moved = max(abs(self.worked), abs(self.into_air), abs(self.into_oil) + abs(self.into_metal))
        missing = self.worked - self.into_oil - self.into_metal - self.into_air
        return abs(missing) / moved if moved > 0.0 else 0.0


def advanced(heat: Heat, tube: Tube, work_j: float, seconds: float, air: Air) -> Heat:
    """Return the heat after a time in which the damper does `work_j` at an even power.

    C_o dT_o/dt = P - G (T_o - T_m) and C_m dT_m/dt = G (T_o - T_m) - H (T_m - T_a), solved exactly, and with them the
    integral of what goes to the air. H is that of the metal's temperature at the start.

    Parameters
    ----------
    heat : Heat
        At the start.
    work_j : float
        Work of one damper in that time [J].
    seconds : float
        How long [s].
    air : Air
    """
    # H hardly moves within a piece of 10 s; halving the pieces quarters the error (equations.md, Heat of dampers).
    inside, outside = tube.oil_to_metal, tube.metal_to_air(heat.metal, air)
    oil, metal = tube.oil_capacity, tube.metal_capacity
    power = work_j / seconds
    # Where an even power would settle in the end: only the way from there dies out.
    settled_metal = air.kelvin + power / outside
    away = np.array([heat.oil - settled_metal - power / inside, heat.metal - settled_metal])
    change, summed = decayed(inside / oil, inside / metal, outside / metal, away, seconds)
    return replace(
        heat,
        oil=heat.oil + float(change[0]),
        metal=heat.metal + float(change[1]),
        worked=heat.worked + work_j,
        into_oil=heat.into_oil + oil * float(change[0]),
        into_metal=heat.into_metal + metal * float(change[1]),
        # H (T_m - T_a) is P where it settles, and H times what is away from there.
        into_air=heat.into_air + work_j + outside * float(summed[1]),
    )


def decayed(
    a: float, b: float, h: float, away: npt.NDArray[np.float64], seconds: float
) -> tuple[npt.NDArray[np.float64], npt.NDArray[np.float64]]:
    """Return change and integral of d' = [[-a, a], [b, -b - h]] d from d = away, all rates above zero.

    exp(A t) - 1 by Sylvester's formula, whose two rates are real and apart, as oil and metal heat each other.
    """
    matrix = np.array([[-a, a], [b, -b - h]])
    middle = -0.5 * (a + b + h)
    apart = sqrt(middle * middle - a * h)
    fast, one = middle - apart, np.eye(2)
    slow = a * h / fast  # the product of both is the determinant; their difference would lose digits
    # expm1, because over a short time the change is small beside 1.
    grown = (expm1(slow * seconds) * (matrix - fast * one) - expm1(fast * seconds) * (matrix - slow * one)) / (
        slow - fast
    )
    change = grown @ away
    inverse = np.array([[-b - h, -a], [-b, -a]]) / (a * h)
    return change, inverse @ change


def settled(tube: Tube, power_w: float, air: Air) -> tuple[float, float]:
    """Return the temperatures of oil and metal [K] at which a steady power goes to the air as fast as it comes.

    T_m = T_a + P / H and T_o = T_m + P / G; H itself is of T_m, which a few turns settle.
    """
    metal = air.kelvin
    for _ in range(200):
        turned = air.kelvin + power_w / tube.metal_to_air(metal, air)
        # Half the way: the film falls as the metal cools, and whole turns could swing to and fro.
        moved, metal = abs(turned - metal), 0.5 * (metal + turned)
        if moved < 1e-9:
            break
    return metal + power_w / tube.oil_to_metal, metal
