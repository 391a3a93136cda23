"""Numbers as people write them on a form: inches in fractions, feet and inches, thousands marks, kilograms as a force."""

import pytest
from pydantic import TypeAdapter, ValidationError

from sim.describe import units

# NIST SP 811 (2008), appendix B: exact.
INCH, POUND, G = 0.0254, 0.45359237, 9.80665


def read(kind, text):
    return TypeAdapter(kind).validate_python(text)


@pytest.mark.parametrize(
    ("kind", "text", "value"),
    [
        (units.Mass, "1,640 kg", 1640.0),
        (units.Mass, "3,615 lb", 3615 * POUND),
        (units.Mass, "1,640.5 kg", 1640.5),
        (units.Length, "1,234,567 mm", 1234.567),
        (units.Length, '33"', 33 * INCH),
        (units.Length, "33″", 33 * INCH),
        (units.Length, "2 1/2 in", 2.5 * INCH),
        (units.Length, "2-1/2 in", 2.5 * INCH),
        (units.Length, '2½"', 2.5 * INCH),
        (units.Length, "-3/8 in", -0.375 * INCH),
        (units.Length, "9 ft 8 in", 116 * INCH),
        (units.Length, "9' 8\"", 116 * INCH),
        (units.Length, "9'8 1/2\"", 116.5 * INCH),
        (units.Stiffness, "3.6 kg/mm", 3.6 * G * 1e3),
        (units.Stiffness, "3.6 kgf/mm", 3.6 * G * 1e3),
        (units.Torque, "30 kg m", 30 * G),
        (units.Pressure, "200 psi", 200 * POUND * G / INCH**2),
    ],
)
def test_notations_of_the_trade_are_read(kind, text, value):
    assert read(kind, text) == pytest.approx(value, rel=1e-12)


def test_kilograms_stay_a_mass_where_the_unit_is_right_so():
    """kg/s is N s/m (SI brochure: N = kg m/s²); and `1/K` and `8e-4` are no fractions."""
    assert read(units.Damping, "100 kg/s") == 100.0
    assert read(units.Mass, "36 kg") == 36.0
    assert read(units.Expansion, "8e-4 1/K") == 8e-4


@pytest.mark.parametrize(
    ("kind", "text", "low", "high"),
    [
        (units.Mass, "620 +- 15 kg", 605.0, 635.0),
        (units.Mass, "1,640 +- 15 kg", 1625.0, 1655.0),
        (units.Mass, "1,600 to 1,700 kg", 1600.0, 1700.0),
        (units.Stiffness, "180 to 260 N/mm", 180e3, 260e3),
        (units.Stiffness, "3 to 4 kg/mm", 3 * G * 1e3, 4 * G * 1e3),
        (units.Length, "2 1/2 in +- 1/8 in", 2.375 * INCH, 2.625 * INCH),
        (units.Length, '33" +- 1/4"', 32.75 * INCH, 33.25 * INCH),
        (units.Length, "9 ft 6 in to 9 ft 10 in", 114 * INCH, 118 * INCH),
        (units.Pressure, "190 to 210 psi", 190 * POUND * G / INCH**2, 210 * POUND * G / INCH**2),
    ],
)
def test_with_what_is_known_of_them(kind, text, low, high):
    value = read(kind, text)
    assert (value.doubt.low, value.doubt.high) == (pytest.approx(low), pytest.approx(high))
    assert value.doubt.written == text  # as it stands in the file


@pytest.mark.parametrize(
    ("kind", "text", "said"),
    [
        (units.Mass, "1,64 kg", "write the decimal point as a point"),
        (units.Mass, "1,6400 kg", "write the decimal point as a point"),
        (units.Length, "0,385 m", "write the decimal point as a point"),
        (units.Length, "12,5 mm", "write the decimal point as a point"),
        (units.Length, "9 ft 14 in", "not understood"),
        (units.Length, "5/2 in", "not understood"),
        (units.Length, "1/0 in", "not understood"),
        (units.Angle, "3'", "not understood"),  # a minute of arc, not a foot
        (units.Stiffness, "180-260 N/mm", "a range is written with 'to'"),
        (units.Stiffness, "36 kg", "not a rate"),
    ],
)
def test_what_may_mean_two_things_is_refused(kind, text, said):
    with pytest.raises(ValidationError, match="quantity") as caught:
        read(kind, text)
    assert said in str(caught.value)
