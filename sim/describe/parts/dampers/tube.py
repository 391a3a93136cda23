"""The tube of a damper: how much oil and metal it warms, how much surface the air cools, what heat does to its force."""

from math import pi
from typing import Annotated, ClassVar, Literal

from annotated_types import Ge, Gt, Le
from pydantic import Field, model_validator

from sim.describe.bare_numbers import Fraction
from sim.describe.description import Description
from sim.describe.parts.dampers.air import Air, film
from sim.describe.parts.dampers.oil import Oil
from sim.describe.shown import show
from sim.describe.units import FilmCoefficient, Length, Mass, Temperature, Volume

STEEL = 7850.0
"""Density of steel [kg/m³]."""

STEEL_HEAT = 460.0
"""Specific heat of plain carbon steel [J/(kg K)], handbook value from memory."""

USUAL_TEMPERATURE = 293.15
"""20 °C, at which dampers are tested (20 ± 5 °C, published-values section 7) [K]."""


class Tube(Description):
    """Size and heat of one damper of a set. Without it a damper is taken to keep its force however hot it gets.

    Two parts of uneven temperature, oil and metal; the damper's work warms the oil, the oil the metal, and the air cools that.
    """

    ORDERED: ClassVar[tuple[tuple[str, str], ...]] = (
        ("rod", "bore"),
        ("bore", "outside_diameter"),
        ("cold_limit", "hot_limit"),
    )

    construction: Literal["twin_tube", "monotube"]
    bore: Annotated[Length, Gt(5e-3), Le(0.2)] = Field(description="Inside of the tube in which the piston runs.")
    outside_diameter: Annotated[Length, Gt(5e-3), Le(0.3)] = Field(description="Of the outermost tube.")
    length: Annotated[Length, Gt(0.02), Le(2)] = Field(description="Of the tube, without eyes and rod.")
    rod: Annotated[Length, Gt(2e-3), Le(0.1)] = Field(description="Diameter of the rod.")
    wall: Annotated[Length, Gt(0)] = Field(
        default=2e-3, description="Of the tubes of a twin-tube; of a monotube it follows from its diameters.", validate_default=False
    )  # fmt: skip
    filled: Annotated[Fraction, Gt(0), Le(1)] | None = Field(
        default=None,
        description="Share filled with oil: of a monotube's bore (0.75 if left out), of the space around a twin-tube's inner tube "
        "(0.6 if left out). Common practice, no source.",
    )
    oil: Oil = Oil()
    oil_volume: Annotated[Volume, Gt(0)] | None = Field(default=None, description="Left out: from the dimensions.")
    metal_mass: Annotated[Mass, Gt(0)] | None = Field(default=None, description="Left out: walls and one end of steel.")
    oil_film: Annotated[FilmCoefficient, Gt(0)] = Field(
        default=250.0,
        description="How well oil warms the wall. An estimate, no source: with 100 W on 0.05 m² the oil is 8 K above the metal.",
        validate_default=False,
    )
    # Paint of any colour is nearly black to heat rays; bright metal is not (common practice, no source).
    emissivity: Annotated[Fraction, Ge(0), Le(1)] = Field(default=0.9, description="Of the paint; bright chrome 0.1.")
    air_speed_share: Annotated[Fraction, Ge(0), Le(1)] = Field(
        default=0.5, description="Air speed at the damper over road speed: it stands behind wheel and axle. An estimate, no source."
    )  # fmt: skip
    valving_temperature: Temperature = Field(
        default=USUAL_TEMPERATURE, description="Oil temperature at which the valving holds.", validate_default=False
    )
    # Fitted to one cold temperature, so what it says of hot oil is a forecast.
    laminar_share: Annotated[Fraction, Ge(0), Le(1)] = Field(
        default=0.055,
        description="Share of the force that goes with the oil's viscosity (bleed, leaks); the rest goes with its density. 0.055 "
        "with the default oil gives the 2.5 times at -30 °C that K. Hryciow measured on a twin-tube (Applied Sciences 12, 2022).",
    )
    hot_limit: Temperature = Field(
        default=393.15, description="Oil hotter than this is flagged. 120 °C is common practice, no source: ask for the seals' limit.",
        validate_default=False,
    )  # fmt: skip
    cold_limit: Temperature = Field(
        default=248.15, description="Oil colder than this is flagged: the damper is hard until it is warm.", validate_default=False
    )  # fmt: skip

    @model_validator(mode="after")
    def _fits(self) -> "Tube":
        sizes = f"bore {show(self.bore, 'length')}, outside_diameter {show(self.outside_diameter, 'length')}"
        if self.rod >= self.bore:
            raise ValueError(
                f"the rod, {show(self.rod, 'length')}, must be thinner than the bore, {show(self.bore, 'length')}"
            )
        if self.construction == "monotube" and not self.bore < self.outside_diameter:
            raise ValueError(f"a tube has a wall: {sizes}; are they crossed?")
        if self.construction == "twin_tube" and self.gap <= 0.0:
            raise ValueError(
                f"no room for oil between the two tubes: {sizes}, both with a wall of {show(self.wall, 'length')}"
            )
        if self.hot_limit <= self.cold_limit:
            raise ValueError("hot_limit must be above cold_limit: are they crossed?")
        return self

    @property
    def gap(self) -> float:
        """Width of the ring-shaped space between the two tubes of a twin-tube [m]."""
        return 0.5 * self.outside_diameter - self.wall - (0.5 * self.bore + self.wall)

    @property
    def oil_mass(self) -> float:
        """Mass of the oil [kg], the rod taken to be half way in."""
        # Oil is poured in cold, so the density of its sheet, at 15 °C, gives its mass.
        if self.oil_volume is not None:
            return self.oil_volume * self.oil.density
        bore = disc(self.bore) * self.length
        rod = 0.5 * disc(self.rod) * self.length
        if self.construction == "monotube":
            return self.oil.density * max((self.filled or 0.75) * bore - rod, 0.0)
        # The inner tube is full; between the tubes gas stands above the oil.
        ring = disc(self.outside_diameter - 2.0 * self.wall) - disc(self.bore + 2.0 * self.wall)
        return self.oil.density * (bore - rod + (self.filled or 0.6) * ring * self.length)

    @property
    def steel_mass(self) -> float:
        """Mass of the metal that warms with the oil [kg]."""
        if self.metal_mass is not None:
            return self.metal_mass
        # One end, taken as twice as thick as the wall (estimate).
        end = disc(self.outside_diameter) * 2.0 * self.wall
        if self.construction == "monotube":
            return STEEL * ((disc(self.outside_diameter) - disc(self.bore)) * self.length + end)
        outer = disc(self.outside_diameter) - disc(self.outside_diameter - 2.0 * self.wall)
        inner = disc(self.bore + 2.0 * self.wall) - disc(self.bore)
        return STEEL * ((outer + inner) * self.length + end)

    @property
    def oil_capacity(self) -> float:
        """Heat that warms the oil by a kelvin [J/K]."""
        return self.oil_mass * self.oil.specific_heat

    @property
    def metal_capacity(self) -> float:
        """Heat that warms the metal by a kelvin [J/K]."""
        return self.steel_mass * STEEL_HEAT

    @property
    def heat_capacity(self) -> float:
        """Heat that warms oil and metal together by a kelvin [J/K]."""
        return self.oil_capacity + self.metal_capacity

    @property
    def cooled_area(self) -> float:
        """Surface that the air cools [m²]: the tube and its free end."""
        # Its other end is the rod's: guide and seal, which oil warms little (estimate), are left out.
        return pi * self.outside_diameter * self.length + disc(self.outside_diameter)

    @property
    def oil_to_metal(self) -> float:
        """Heat that goes from oil to the outer wall for each kelvin between them [W/K].

        In a twin-tube it passes two films, to the ring of oil and from there to the outer wall.
        """
        if self.construction == "monotube":
            # The steel resists about a hundredth of what its film does (2 mm at 45 W/(m K)), so only films count.
            return self.oil_film * pi * self.bore * self.length
        # Two films in series: their resistances add; the inner tube's is taken at the middle of its wall.
        inner, outer = self.bore + self.wall, self.outside_diameter - 2.0 * self.wall
        return self.oil_film * pi * self.length * inner * outer / (inner + outer)

    def metal_to_air(self, metal_kelvin: float, air: Air) -> float:
        """Return the heat that goes to the air for each kelvin of the metal above it [W/K]."""
        # The tube is taken to stand upright, so its length is the height of the film in still air.
        return self.cooled_area * film(metal_kelvin, air, self.outside_diameter, self.length, self.emissivity)

    def force_share(self, kelvin: float) -> float:
        """Return the force of a law that knows no temperature, as a share of that at `valving_temperature`."""
        oil, known = self.oil, self.valving_temperature
        # Leaks are laminar and go with viscosity, jets go with density (equations.md, Heat of dampers).
        thin = oil.dynamic_viscosity_at(kelvin) / oil.dynamic_viscosity_at(known)
        light = oil.density_at(kelvin) / oil.density_at(known)
        return self.laminar_share * thin + (1.0 - self.laminar_share) * light


def disc(diameter: float) -> float:
    """Return the area of a disc [m²]."""
    return 0.25 * pi * diameter * diameter
