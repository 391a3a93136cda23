"""A number in the unit that a person wrote, so that a limit and what is beyond it can be read side by side."""

from contextlib import suppress
from functools import cache
from math import tan
from typing import get_args

from pydantic_core import PydanticCustomError

from sim.describe import units
from sim.describe.doubt import without_doubt
from sim.describe.notations import NUMBER, one_number
from sim.describe.quantity import Quantity
from sim.describe.unit_factors import USUAL

KINDS: tuple[Quantity, ...] = tuple(
    get_args(kind)[1]
    for kind in (
        units.Length, units.Mass, units.Force, units.Duration, units.Speed, units.Angle, units.Stiffness, units.Damping, units.PitchInertia,
        units.AngularStiffness, units.AngularDamping, units.Torque, units.AngularSpeed, units.Pressure, units.Density, units.AnglePerLength,
        units.Acceleration, units.Energy, units.Power, units.Volume, units.KinematicViscosity, units.SpecificHeat, units.HeatConductance,
        units.FilmCoefficient,
    )
)  # fmt: skip
"""What is asked whether it knows a rare unit: each unit stands under one quantity only, so the first that does is the right one."""


def in_the_unit_of(written: object, value_si: float, si: str = "") -> str:
    """Return an SI value in the unit that a written value has: `252 km/h` beside `400 km/h`, `10.9361 fathom` beside `40 fathom`.

    si : unit of the value, where it is known: per cent of a slope are no share of an angle.
    """
    match = NUMBER.match(without_doubt(one_number(written, length=True))) if isinstance(written, str) else None
    unit = match.group(2) if match else ""
    if unit == "%":  # shares are no physical unit, and not in USUAL
        return f"{100.0 * (tan(value_si) if si == 'rad' else value_si):g} %"
    # zero is zero in any unit
    if not unit or not value_si:
        return f"{value_si:g}"
    factor = next((factors[unit] for factors in USUAL.values() if unit in factors), None) or _rare(unit)
    return f"{value_si:g}" if factor is None else f"{value_si / factor:.6g} {unit}"


@cache
def _rare(unit: str) -> float | None:
    """Return the factor to SI of a unit that few write; None if no quantity has it."""
    for kind in KINDS:
        with suppress(PydanticCustomError):
            return float(kind.to_si(f"1 {unit}"))
    return None
