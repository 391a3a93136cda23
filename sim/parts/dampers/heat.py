"""Heat of one damper: oil, metal and air, advanced exactly through a time in which work and air stay as they are."""

from dataclasses import dataclass, replace

import numpy as np

from sim.parts.dampers.air import Air
from sim.parts.dampers.tube import Tube


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
        moved = max(abs(self.worked), abs(self.into_air), abs(self.into_oil) + abs(self.into_metal))
        missing = self.worked - self.into_oil - self.into_metal - self.into_air
        return abs(missing) / moved if moved > 0.0 else 0.0


def advanced(heat: Heat, tube: Tube, work_j: float, seconds: float, air: Air) -> Heat:
    """Return the heat after a time in which the damper does `work_j` at an even power.

    C_o dT_o/dt = P - G (T_o - T_m) and C_m dT_m/dt = G (T_o - T_m) - H (T_m - T_a) by the matrix exponential, and with them the
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
    from scipy.linalg import expm

    inside, outside = tube.oil_to_metal, tube.metal_to_air(heat.metal, air)
    oil, metal = tube.oil_capacity, tube.metal_capacity
    power = work_j / seconds
    rates = np.zeros((4, 4))  # oil and metal above the air [K], heat gone to the air [J], one
    rates[0] = [-inside / oil, inside / oil, 0.0, power / oil]
    rates[1] = [inside / metal, -(inside + outside) / metal, 0.0, 0.0]
    rates[2, 1] = outside
    start = np.array([heat.oil - air.kelvin, heat.metal - air.kelvin, 0.0, 1.0])
    end = expm(rates * seconds) @ start
    return replace(
        heat,
        oil=air.kelvin + float(end[0]),
        metal=air.kelvin + float(end[1]),
        worked=heat.worked + work_j,
        into_oil=heat.into_oil + oil * float(end[0] - start[0]),
        into_metal=heat.into_metal + metal * float(end[1] - start[1]),
        into_air=heat.into_air + float(end[2]),
    )


def settled(tube: Tube, power_w: float, air: Air) -> tuple[float, float]:
    """Return the temperatures of oil and metal [K] at which a steady power goes to the air as fast as it comes.

    T_m = T_a + P / H and T_o = T_m + P / G; H itself is of T_m, which a few turns settle.
    """
    metal = air.kelvin
    for _ in range(200):
        turned = air.kelvin + power_w / tube.metal_to_air(metal, air)
        moved, metal = abs(turned - metal), 0.5 * (metal + turned)
        if moved < 1e-9:
            break
    return metal + power_w / tube.oil_to_metal, metal
