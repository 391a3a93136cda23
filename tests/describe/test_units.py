"""Units: exact definitions of NIST SP 811 (2008), appendix B; pounds of mass and of force; what is refused."""

import pint
import pytest
from pydantic import TypeAdapter, ValidationError

from sim.describe import units
from sim.describe.bare_numbers import Fraction
from sim.describe.quantity import Quantity, _parsed
from sim.describe.unit_factors import USUAL


def read(kind, text):
    return TypeAdapter(kind).validate_python(text)


G = 9.80665  # standard gravity, exact
POUND = 0.45359237  # kg, exact
INCH = 0.0254  # m, exact
FOOT = 0.3048

EXACT = [
    (units.Length, "1 in", INCH),
    (units.Length, "2.5 in", 2.5 * INCH),
    (units.Length, "1 ft", FOOT),
    (units.Mass, "1 lb", POUND),
    (units.Mass, "3 slug", 3 * POUND * G / FOOT),
    (units.Force, "1 lbf", POUND * G),
    (units.Force, "1 kgf", G),
    (units.Stiffness, "1 lb/in", POUND * G / INCH),
    (units.Stiffness, "1 lbf/in", POUND * G / INCH),
    (units.Stiffness, "31 N/mm", 31e3),
    (units.Damping, "1 lb s/in", POUND * G / INCH),
    (units.Damping, "1 lb/(in/s)", POUND * G / INCH),
    (units.Damping, "2.1 kN s/m", 2100.0),
    (units.Speed, "90 km/h", 25.0),
    (units.Speed, "1 mph", 0.44704),
    (units.Speed, "10 in/s", 0.254),
    (units.Angle, "180 deg", 3.141592653589793),
    (units.Angle, "10°", 0.17453292519943295),
    # a road sign's per cent: rise by run
    (units.Slope, "10 %", 0.09966865249116204),
    (units.Slope, "7 deg", 0.12217304763960307),
    (units.Pressure, "1 psi", POUND * G / INCH**2),
    (units.Pressure, "14 bar", 1.4e6),
    (units.PitchInertia, "1 lb ft^2", POUND * FOOT**2),
    (units.PitchInertia, "2600 kg m2", 2600.0),
    (units.AngularStiffness, "1 lb ft/deg", POUND * G * FOOT * 180 / 3.141592653589793),
    (units.Modulus, "79.3 GPa", 79.3e9),
    (units.Temperature, "20 °C", 293.15),
    (units.Temperature, "212 °F", 373.15),
    (units.Temperature, "-40 degF", 233.15),
    (units.Temperature, "300 K", 300.0),
    (units.KinematicViscosity, "15 cSt", 15e-6),
    (units.KinematicViscosity, "15 mm²/s", 15e-6),
    (units.SpecificHeat, "1.9 kJ/(kg K)", 1900.0),
    (units.Expansion, "0.08 %/K", 8e-4),
    (Fraction, "30 %", 0.3),
    (Fraction, 0.3, 0.3),
]


@pytest.mark.parametrize(("kind", "text", "value"), EXACT)
def test_exact_definitions(kind, text, value):
    assert read(kind, text) == pytest.approx(value, rel=1e-12)


def test_printed_conversion_factors():
    """NIST SP 811 prints 1 lbf/in = 1.751268 E+02 N/m and 1 psi = 6.894757 E+03 Pa."""
    assert read(units.Stiffness, "1 lbf/in") == pytest.approx(175.1268, abs=5e-5)
    assert read(units.Pressure, "1 psi") == pytest.approx(6894.757, abs=5e-4)


@pytest.mark.parametrize(
    ("kind", "given", "said"),
    [
        (units.Length, 85, "the number 85 needs a unit: write e.g. '85 mm' or '3.35 in'"),
        (units.Length, "85", "needs a unit"),
        (units.Length, "2,5 mm", "decimal point"),
        (units.Length, "85 kg", "'kg' is not a length"),
        (units.Length, "85 furlonks", "'furlonks' is not known"),
        (units.Length, "roughly 3 mm", "a number with its unit"),
        (units.Length, True, "a number with its unit"),
        (units.Length, None, "a number with its unit"),
        (units.Length, "3 m; import os", "not known"),
        (units.Force, "12 lb", "write lbf for a force"),
        (units.Force, "12 kg", "write kgf or N"),
        (units.Mass, "12 lbf", "write lb or kg for a mass"),
        (Fraction, "30 mm", "a share is"),
    ],
)
def test_what_is_refused_says_what_to_write(kind, given, said):
    with pytest.raises(ValidationError) as caught:
        read(kind, given)
    assert said in str(caught.value)


def test_a_quantity_of_the_unit_library_is_read():
    assert read(units.Length, pint.UnitRegistry().Quantity(2.0, "ft")) == pytest.approx(0.6096)


@pytest.mark.parametrize(
    ("kind", "text"),
    [
        (units.AngularSpeed, "40 Hz"),
        (units.AngularSpeed, "40 1/s"),
        (units.AngularStiffness, "25 kN m"),
        (units.Angle, "5 %"),
        (units.AnglePerLength, "0.5 1/m"),
        (units.Torque, "300 N m/rad"),
    ],
)
def test_an_angle_is_no_bare_number(kind, text):
    """For the unit library it is: 40 Hz would pass for 40 rad/s, where 2 pi times as much is meant (ISO 80000-3: rotational
    frequency and angular velocity are two quantities)."""
    with pytest.raises(ValidationError, match="speaks of an angle"):
        read(kind, text)
    with pytest.raises(ValidationError, match="speaks of an angle"):
        read(kind, pint.UnitRegistry()(text.replace("%", "percent")))


def test_turns_are_angles():
    assert read(units.AngularSpeed, "40 turn/s") == pytest.approx(40 * 2 * 3.141592653589793)


def test_usual_units_are_those_of_the_library():
    """The short way past pint for units of most files gives what pint gives."""
    from sim.describe import units

    marks = [mark for kind in vars(units).values() for mark in getattr(kind, "__metadata__", ())]
    every = {mark.si: mark for mark in marks if isinstance(mark, Quantity)}
    assert set(USUAL) <= set(every)
    for si, table in USUAL.items():
        for unit, factor in table.items():
            assert _parsed(every[si], unit)(1.0) == pytest.approx(factor, rel=1e-14), (si, unit)
