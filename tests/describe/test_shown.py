"""Numbers as people read them: both systems, and back again."""

from math import inf, nan, radians

import pint
import pytest

from sim.describe import shown


@pytest.mark.parametrize("quantity", shown.SHOWN)
def test_what_is_shown_reads_back(quantity):
    for number, unit in shown.show_parts(1.2345, quantity):
        divisor = next(d for d, u, _ in shown.SHOWN[quantity] if u == unit)
        assert number * divisor + shown.ZEROS.get((quantity, unit), 0.0) == pytest.approx(1.2345)


def test_both_systems():
    assert shown.show(0.0635, "length") == "63.5 mm (2.50 in)"
    assert shown.show(31522.83, "stiffness") == "31.52 N/mm (180.0 lb/in)"
    assert shown.show(-1e-9, "length") == "0.0 mm (0.00 in)"
    assert shown.show_numbers(0.0635, "length") == "63.5 (2.50)"
    assert shown.unit_names("length") == "[mm (in)]"
    assert shown.unit_names("number") == ""


@pytest.mark.parametrize(
    ("value", "quantity", "text"),
    [
        # by 25.4 mm an inch
        (7e-5, "length", "0.070 mm (0.0028 in)"), (1e-3, "length", "1.0 mm (0.039 in)"), (-1e-4, "length", "-0.10 mm (-0.0039 in)"),
        (0.0635, "length", "63.5 mm (2.50 in)"), (0.0, "length", "0.0 mm (0.00 in)"), (radians(0.0042), "angle", "0.0042 deg"),
    ],
)  # fmt: skip
def test_a_small_size_that_counts_is_shown_with_enough_digits(value, quantity, text):
    assert shown.show_enough(value, quantity) == text


def test_a_place_is_in_inches_as_far_as_a_tape_reaches():
    assert shown.show(3.74, shown.place_or_distance([3.74])) == "3.74 m (147.2 in)"
    assert shown.show(-25 * 0.3048, shown.place_or_distance([-25 * 0.3048])) == "-7.62 m (-300.0 in)"
    assert shown.show(12.0, shown.place_or_distance([12.0])) == "12.00 m (39.4 ft)"
    # Beside each other in one unit; what has no place says nothing of it.
    assert shown.place_or_distance([0.63, -12.0]) == "distance"
    assert shown.place_or_distance([0.63, nan, inf]) == "place"


@pytest.mark.parametrize("quantity", shown.SHOWN)
def test_the_unit_inside_is_the_one_that_pint_reduces_to(quantity):
    """Of what is shown and of what is kept alike: pint's own factor between both is the divisor (NIST SP 811)."""
    units = pint.UnitRegistry()
    said = {"kg": "kgf", "lb": "lbf"} if quantity == "load" else {"g": "standard_gravity", "K": "delta_degC"}
    said |= {
        "°C": "delta_degC",
        "°F": "delta_degF",
        "%": "percent",
        "": "dimensionless",
        "in": "inch",
        "10⁻⁶ m³": "1e-6 m**3",
    }

    def read(unit):
        # `kg m²` is a product, `min` a time, and pounds of a rate are forces.
        words = said.get(unit, unit).replace("²", "**2").replace("³", "**3").replace("^", "**")
        words = words.replace("in/", "inch/").replace("/in", "/inch")
        # Per degree, and the International Table's Btu.
        words = words.replace("/°C", "/delta_degC").replace("/°F", "/delta_degF").replace("Btu", "Btu_it")
        if quantity in ("stiffness", "damping"):
            words = words.replace("lb", "lbf")
        return units.parse_expression("*".join(words.split()) if "e-6" not in words else words)

    def quantity_of(unit):
        found = read(unit)
        return found if hasattr(found, "to") else units.Quantity(found, "dimensionless")

    inside = quantity_of(shown.si_unit(quantity))
    for divisor, unit, _ in shown.SHOWN[quantity]:
        factor = quantity_of(unit).to(inside.units).magnitude / inside.magnitude
        assert factor == pytest.approx(divisor, rel=1e-9), unit


@pytest.mark.parametrize(
    ("number", "unit", "text"),
    [
        (1000.0, "kg", "1000 kg (2205 lb)"),  # 1 lb is 0.45359237 kg (NIST SP 811)
        (92.0, "in", "92 in (2337 mm)"),
        (36.0, "N/mm", "36 N/mm (206 lb/in)"),
        (0.12, "m/s", "0.12 m/s (4.72 in/s)"),
    ],
)
def test_a_number_and_its_other_unit_are_never_a_power_of_ten(number, unit, text):
    assert shown.written_beside(number, unit) == text
