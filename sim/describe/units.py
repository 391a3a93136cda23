"""The one door through which units come in: text with a unit becomes an SI float. How it goes out again is `shown.py`.

Pounds are told apart: `lb` is a mass and `lbf` a force. In a rate (`lb/in`) or a damping (`lb s/in`) the
trade writes lb and means pound-force, and so it is read there; likewise kg/mm of old manuals is kgf/mm.
How numbers may be written (`1,640`, `2 1/2`, `9 ft 8 in`) is in `notations.py`; numbers without a unit are in `bare_numbers.py`; how one
with a unit is read is in `quantity.py`.
"""

import re
from math import atan
from typing import Annotated

from sim.describe.notations import NUMBER
from sim.describe.quantity import Quantity

# A factor and an offset each, where every other unit needs but a factor.
TEMPERATURE_UNITS = {"°c": (1.0, 273.15), "°f": (1 / 1.8, 459.67 / 1.8), "k": (1.0, 0.0)}
"""Factor to kelvin, and what is added: exact (NIST SP 811, 8.5 and appendix B.8)."""


COLDEST, HOTTEST = 173.15, 773.15
"""Temperatures that a truck, its parts or its air may have [K]."""


class TemperatureQuantity(Quantity):
    """A temperature on one of three scales, two of which do not begin at zero."""

    def to_si(self, value: object) -> float:
        """Return a written temperature in kelvin."""
        if isinstance(value, str) and (match := NUMBER.match(value)):
            number, unit = match.groups()
            scale = _scale(unit)
            if scale in TEMPERATURE_UNITS:
                factor, added = TEMPERATURE_UNITS[scale]
                kelvin = float(number) * factor + added
                # Here and not by MOST, so that the message speaks of °C as people do.
                if not COLDEST <= kelvin <= HOTTEST:
                    raise self._refusal(f"'{value}' is not between -100 °C and 500 °C")
                return kelvin
        return super().to_si(value)  # a bare number or an unknown unit, refused as for any quantity

    def difference_to_si(self, text: str) -> float:
        """Return a written difference of temperatures in kelvin: the zeros of their scales fall out."""
        if (match := NUMBER.match(text)) and (scale := _scale(match.group(2))) in TEMPERATURE_UNITS:
            return float(match.group(1)) * TEMPERATURE_UNITS[scale][0]
        return super().to_si(text)


STEEPEST_RAD = 0.6
"""Slope of a hill [rad] that a truck may be driven on."""


class SlopeQuantity(Quantity):
    """The slope of a hill, as an angle or in per cent as a road sign has it: rise by run, so 100 % is 45 deg."""

    def to_si(self, value: object) -> float:
        """Return a written slope in radians."""
        if isinstance(value, str) and (match := NUMBER.match(value)) and match.group(2).strip() == "%":
            slope = atan(float(match.group(1)) / 100.0)
        else:
            slope = super().to_si(value)
        # Here and not by a limit of its key, which would say per cent where it means radians.
        if abs(slope) > STEEPEST_RAD:
            raise self._refusal(f"'{value}' is steeper than any truck drives (at most 34 deg or 68 %)")
        return slope

    def difference_to_si(self, text: str) -> float:
        """Return a written difference of slopes in radians; of small slopes per cent are hundredths."""
        if (match := NUMBER.match(text)) and match.group(2).strip() == "%":
            return float(match.group(1)) / 100.0
        return super().to_si(text)


def _scale(unit: str) -> str:
    """Return the scale of a temperature that is written deg C, degrees F, ° C, kelvin ...: one of TEMPERATURE_UNITS, if it is one."""
    scale = re.sub(r"deg\s*|degrees\s+", "°", unit.lower().strip())
    return {"c": "°c", "f": "°f", "°k": "k", "kelvin": "k"}.get(scale, scale.replace("° ", "°"))


Length = Annotated[float, Quantity("length", "m", ("85 mm", "3.35 in"))]
Mass = Annotated[float, Quantity("mass", "kg", ("220 kg", "485 lb"))]
Force = Annotated[float, Quantity("force", "N", ("450 N", "100 lbf"))]
Duration = Annotated[float, Quantity("time", "s", ("2.5 s", "400 ms"))]
Speed = Annotated[float, Quantity("speed", "m/s", ("30 km/h", "0.13 m/s", "5 in/s"))]
Angle = Annotated[float, Quantity("angle", "rad", ("3.5 deg", "0.06 rad"))]
Slope = Annotated[float, SlopeQuantity("slope", "rad", ("7 deg", "12 %"))]
Stiffness = Annotated[float, Quantity("rate", "N/m", ("31 N/mm", "180 lb/in"), trade_pounds=True)]
Damping = Annotated[float, Quantity("damping", "N*s/m", ("2.1 kN s/m", "12 lb s/in"), trade_pounds=True)]
PitchInertia = Annotated[float, Quantity("moment of inertia", "kg*m^2", ("2600 kg m^2", "61700 lb ft^2"))]
AngularStiffness = Annotated[
    float, Quantity("angular rate", "N*m/rad", ("25 kN m/rad", "440 N m/deg", "320 lbf ft/deg"), trade_pounds=True)
]
AngularDamping = Annotated[
    float, Quantity("angular damping", "N*m*s/rad", ("150 N m s/rad", "110 lbf ft s/rad"), trade_pounds=True)
]
Torque = Annotated[float, Quantity("torque", "N*m", ("300 N m", "220 lbf ft"), trade_pounds=True)]
AngularSpeed = Annotated[float, Quantity("engine speed", "rad/s", ("2400 rpm",))]
Pressure = Annotated[float, Quantity("pressure", "Pa", ("14 bar", "200 psi"))]
TyrePressure = Annotated[float, Quantity("pressure", "Pa", ("1.8 bar", "26 psi"))]
Density = Annotated[float, Quantity("density", "kg/m^3", ("860 kg/m^3",))]
AnglePerLength = Annotated[float, Quantity("angle per length", "rad/m", ("0.5 deg/in", "20 deg/m"))]
Modulus = Annotated[float, Quantity("modulus", "Pa", ("79.3 GPa", "11.5e6 psi"))]
Acceleration = Annotated[float, Quantity("acceleration", "m/s^2", ("9.81 m/s^2",))]
Energy = Annotated[float, Quantity("energy", "J", ("120 J",))]
Power = Annotated[float, Quantity("power", "W", ("300 W",))]
Volume = Annotated[float, Quantity("volume", "m^3", ("0.3 l", "18 in^3"))]
Temperature = Annotated[float, TemperatureQuantity("temperature", "K", ("20 °C", "68 °F"))]
KinematicViscosity = Annotated[float, Quantity("kinematic viscosity", "m^2/s", ("15 cSt", "15 mm^2/s"))]
SpecificHeat = Annotated[float, Quantity("specific heat", "J/(kg*K)", ("1.9 kJ/(kg K)", "1900 J/(kg K)"))]
Expansion = Annotated[float, Quantity("thermal expansion", "1/K", ("0.08 %/K", "8e-4 1/K"))]
HeatConductance = Annotated[float, Quantity("heat conductance", "W/K", ("12 W/K",))]
FilmCoefficient = Annotated[float, Quantity("film coefficient", "W/(m^2*K)", ("250 W/(m^2 K)",))]
