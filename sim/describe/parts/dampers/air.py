"""Air around a damper: its properties, and how much heat it takes off a cylinder that it flows round."""

from dataclasses import dataclass
from math import sqrt

STEFAN_BOLTZMANN = 5.670374419e-8
"""W/(m² K⁴), CODATA 2018."""

GAS_CONSTANT = 287.053
"""Of dry air [J/(kg K)]."""

SEA_LEVEL_PA = 101325.0
SPECIFIC_HEAT = 1006.0
"""Of air at constant pressure [J/(kg K)]."""

GRAVITY = 9.80665


@dataclass(frozen=True)
class Air:
    """Air that comes towards a damper.

    Attributes
    ----------
    kelvin : float
        Its temperature [K].
    pressure : float
        [Pa].
    speed : float
        At which it passes the damper [m/s].
    """

    kelvin: float
    pressure: float = SEA_LEVEL_PA
    speed: float = 0.0


def pressure_at(altitude_m: float) -> float:
    """Return the pressure [Pa] at a height above the sea [m]: U.S. Standard Atmosphere, 1976, up to 11 km."""
    # In the lowest layer it gets 6.5 K colder a kilometre, which gives both factor and exponent.
    return float(SEA_LEVEL_PA * (1.0 - 2.25577e-5 * altitude_m) ** 5.25588)


def viscosity(kelvin: float) -> float:
    """Return the dynamic viscosity of air [Pa s]: Sutherland's law, U.S. Standard Atmosphere, 1976."""
    return float(1.458e-6 * kelvin**1.5 / (kelvin + 110.4))


def conductivity(kelvin: float) -> float:
    """Return the thermal conductivity of air [W/(m K)]: U.S. Standard Atmosphere, 1976."""
    return float(2.64638e-3 * kelvin**1.5 / (kelvin + 245.4 * 10.0 ** (-12.0 / kelvin)))


def prandtl(kelvin: float) -> float:
    """Return the Prandtl number of air."""
    return SPECIFIC_HEAT * viscosity(kelvin) / conductivity(kelvin)


def blown(reynolds: float, prandtl_number: float) -> float:
    """Return the mean Nusselt number of a cylinder across a stream.

    S. W. Churchill, M. Bernstein, J. Heat Transfer 99 (1977) 300-306, for Re Pr > 0.2, all properties at the mean of
    wall and air; within some 20 % of measurements (from memory, as in any heat transfer text).
    """
    bend = (1.0 + (0.4 / prandtl_number) ** (2.0 / 3.0)) ** 0.25
    fast = (1.0 + (reynolds / 282000.0) ** 0.625) ** 0.8
    return float(0.3 + 0.62 * sqrt(reynolds) * prandtl_number ** (1.0 / 3.0) / bend * fast)


def still(rayleigh: float, prandtl_number: float) -> float:
    """Return the mean Nusselt number, by its height, of an upright wall in still air.

    S. W. Churchill, H. H. S. Chu, Int. J. Heat Mass Transfer 18 (1975) 1323-1329, from memory. A cylinder as stout as a
    damper counts as a wall.
    """
    bend = (1.0 + (0.492 / prandtl_number) ** (9.0 / 16.0)) ** (8.0 / 27.0)
    return float((0.825 + 0.387 * max(rayleigh, 0.0) ** (1.0 / 6.0) / bend) ** 2)


def film(wall_kelvin: float, air: Air, diameter_m: float, height_m: float, emissivity: float) -> float:
    """Return the film coefficient of a damper's outside [W/(m² K)]: stream, rising warm air and radiation.

    Forced and free convection add as cubes (Incropera and DeWitt, sec. 9.9, from memory); radiation goes to surroundings as
    warm as the air.

    Parameters
    ----------
    wall_kelvin : float
        Temperature of the wall [K].
    air : Air
    diameter_m, height_m : float
        Of the tube [m].
    emissivity : float
        Of its paint, 0 to 1.
    """
    # Properties of the air at the film's mean temperature, as both correlations ask.
    mean = 0.5 * (wall_kelvin + air.kelvin)
    density = air.pressure / (GAS_CONSTANT * mean)
    kinematic, number = viscosity(mean) / density, prandtl(mean)
    forced = 0.0
    # The stream's fit holds for Re Pr > 0.2 and leaves 0.3 at rest; still air has a film of its own below.
    if air.speed > 0.0:
        forced = blown(air.speed * diameter_m / kinematic, number) * conductivity(mean) / diameter_m
    # An ideal gas grows by 1/T for each kelvin; a damper colder than the air sinks it just as well.
    lift = GRAVITY / mean * abs(wall_kelvin - air.kelvin)
    rayleigh = lift * height_m**3 * number / kinematic**2
    free = still(rayleigh, number) * conductivity(mean) / height_m
    # The difference of fourth powers over that of temperatures, divided out: no 0/0 where both are alike.
    radiation = emissivity * STEFAN_BOLTZMANN * (wall_kelvin**2 + air.kelvin**2) * (wall_kelvin + air.kelvin)
    return float((forced**3 + free**3) ** (1.0 / 3.0) + radiation)
