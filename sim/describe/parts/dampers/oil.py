"""Damper oil: what stands on its data sheet, and what follows at any temperature."""

from math import exp, log10
from typing import Annotated, ClassVar

from annotated_types import Gt, Le
from pydantic import Field, model_validator

from sim.describe.description import Description
from sim.describe.units import Density, Expansion, KinematicViscosity, SpecificHeat

FIFTEEN, FORTY, HUNDRED = 288.15, 313.15, 373.15
"""Temperatures at which oils are described [K]: density at 15 °C, viscosity at 40 °C and 100 °C."""

CST = 1e-6
"""One centistoke, 1 mm²/s, in m²/s."""


class Oil(Description):
    """An oil by its data sheet.

    The defaults are a light damper oil within the ranges of J. C. Dixon, The Shock Absorber Handbook (2007), from memory;
    put in what the sheet of the oil at hand says.
    """

    ORDERED: ClassVar[tuple[tuple[str, str], ...]] = (("viscosity_100", "viscosity_40"),)

    # Defaults are SI: checked as if written, a number without its unit would be refused.
    density: Annotated[Density, Gt(500), Le(1500)] = Field(
        default=870.0, description="At 15 °C.", validate_default=False
    )
    expansion: Annotated[Expansion, Gt(0), Le(3e-3)] = Field(
        default=8e-4, description="Of its volume, per kelvin.", validate_default=False
    )
    viscosity_40: Annotated[KinematicViscosity, Gt(1e-6), Le(1e-3)] = Field(
        default=15.0 * CST, description="Kinematic, at 40 °C.", validate_default=False
    )
    viscosity_100: Annotated[KinematicViscosity, Gt(0.3e-6), Le(1e-3)] = Field(
        default=3.7 * CST, description="Kinematic, at 100 °C.", validate_default=False
    )
    specific_heat: Annotated[SpecificHeat, Gt(500), Le(5000)] = Field(default=1900.0, validate_default=False)

    @model_validator(mode="after")
    def _thins_when_hot(self) -> "Oil":
        if self.viscosity_100 >= self.viscosity_40:
            raise ValueError(
                f"viscosity_100 ({self.viscosity_100 / CST:g} cSt) must be less than viscosity_40 "
                f"({self.viscosity_40 / CST:g} cSt): are they crossed?"
            )
        return self

    def density_at(self, kelvin: float) -> float:
        """Return the density [kg/m³] at a temperature [K]."""
        return density(kelvin, self.density, self.expansion)

    def kinematic_viscosity_at(self, kelvin: float) -> float:
        """Return the kinematic viscosity [m²/s] at a temperature [K]."""
        return kinematic_viscosity(kelvin, self.viscosity_40, self.viscosity_100)

    def dynamic_viscosity_at(self, kelvin: float) -> float:
        """Return the dynamic viscosity [Pa s] at a temperature [K]."""
        return self.density_at(kelvin) * self.kinematic_viscosity_at(kelvin)


def density(kelvin: float, density_15: float, expansion: float) -> float:
    """Return the density [kg/m³] at a temperature [K].

    Parameters
    ----------
    kelvin : float
        Temperature [K].
    density_15 : float
        Density at 15 °C [kg/m³].
    expansion : float
        Share of its volume at 15 °C by which it grows, per kelvin [1/K]: the mass stays, the volume runs straight.
    """
    return density_15 / (1.0 + expansion * (kelvin - FIFTEEN))


def kinematic_viscosity(
    kelvin: float, first: float, second: float, first_kelvin: float = FORTY, second_kelvin: float = HUNDRED
) -> float:
    """Return the kinematic viscosity [m²/s] of an oil whose viscosity at two temperatures is known.

    log10 log10 Z runs straight over log10 T, with Z of `blend`: ASTM D341, "Viscosity-Temperature Charts for Liquid
    Petroleum Products" (form and constants from memory). Good for mineral oils from where wax begins to where they boil;
    of synthetic ones and such with thickeners it is an estimate outside the two temperatures.

    Parameters
    ----------
    kelvin : float
        Temperature [K].
    first, second : float
        Kinematic viscosities [m²/s] at `first_kelvin` and `second_kelvin` [K].
    """
    # Two points make the line, and sheets name viscosity at 40 and 100 °C.
    upper, lower = (log10(log10(blend(v / CST))) for v in (first, second))
    slope = (upper - lower) / (log10(second_kelvin) - log10(first_kelvin))
    return CST * from_blend(10.0**10.0 ** (upper - slope * (log10(kelvin) - log10(first_kelvin))))


def blend(cst: float) -> float:
    """Return Z of a viscosity in cSt, down to 0.21 cSt: ν + 0.7 + exp(-1.47 - 1.84 ν - 0.51 ν²), ASTM D341."""
    return cst + 0.7 + exp(-1.47 - 1.84 * cst - 0.51 * cst * cst)  # the exponential counts below 2 cSt only


def from_blend(z: float) -> float:
    """Return the viscosity in cSt of a Z: `blend` turned round by Newton's method, whose slope is within 0.2 and 1."""
    # The chart ends at 0.21 cSt; thinner oils are held there.
    if z <= blend(0.21):
        return 0.21
    # Above 2 cSt this is the root itself to a thousandth, so few turns are needed.
    cst = z - 0.7
    for _ in range(60):
        bent = exp(-1.47 - 1.84 * cst - 0.51 * cst * cst)
        miss = cst + 0.7 + bent - z
        cst -= miss / (1.0 - bent * (1.84 + 1.02 * cst))
        if abs(miss) <= 1e-14 * z:
            break
    return cst
