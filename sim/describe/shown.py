"""How numbers in SI are shown to people: in workshop metric and, where the trade has one, in inch units."""

from sim.describe.doubt import without_doubt
from sim.describe.notations import one_number
from sim.describe.units import NUMBER, USUAL

SHOWN: dict[str, tuple[tuple[float, str, int], ...]] = {
    "length": ((1e-3, "mm", 1), (0.0254, "in", 2)),
    "distance": ((1.0, "m", 2), (0.3048, "ft", 1)),
    "mass": ((1.0, "kg", 1), (0.45359237, "lb", 0)),
    "force": ((1.0, "N", 0), (4.4482216152605, "lbf", 0)),
    "speed": ((1.0, "m/s", 3), (0.0254, "in/s", 1)),
    "road_speed": ((1 / 3.6, "km/h", 1), (0.44704, "mph", 1)),
    "stiffness": ((1e3, "N/mm", 2), (175.12683524647636, "lb/in", 1)),
    "damping": ((1.0, "N s/m", 0), (175.12683524647636, "lb s/in", 2)),
    # Standard gravity, by convention (NIST SP 811): wherever the truck is.
    "acceleration": ((1.0, "m/s²", 2), (9.80665, "g", 3)),
    "torque": ((1.0, "N m", 0), (1.3558179483314004, "lbf ft", 0)),
    "rate": ((1.0, "1/s", 2),),
    "turning": ((0.10471975511965977, "rpm", 0),),
    "angle": ((0.017453292519943295, "deg", 2),),
    "angular_acceleration": ((1.0, "rad/s²", 3),),
    "frequency": ((1.0, "Hz", 2),),
    "angular_stiffness": ((57.29577951308232, "N m/deg", 0), (57.29577951308232 * 1.3558179483314004, "lbf ft/deg", 0)),
    "energy": ((1.0, "J", 1),),
    "power": ((1.0, "W", 0),),
    "pressure": ((1e5, "bar", 2), (6894.757293168361, "psi", 0)),
    "inertia": ((1.0, "kg m²", 1), (0.45359237 * 0.3048**2, "lb ft²", 0)),
    "dose": ((1.0, "m/s^1.75", 2),),
    # 1 m/km is 63.36 in/mi, as a mile has 63 360 inches.
    "roughness": ((1e-3, "m/km", 2), (1e-3 / 63.36, "in/mi", 0)),
    "per_length": ((1.0, "1/m", 3),),
    "road_density": ((1e-6, "10⁻⁶ m³", 1),),
    "percent": ((0.01, "%", 1),),
    "number": ((1.0, "", 2),),
    "count": ((1.0, "", 0),),
    "time": ((1.0, "s", 3),),
    "temperature": ((1.0, "°C", 0), (1 / 1.8, "°F", 0)),
    # Of a difference of temperature: the same degrees as above, and no zero to take off.
    "warmth": ((1.0, "K", 0), (1 / 1.8, "°F", 0)),
    "travelled": ((1e3, "km", 1), (1609.344, "mi", 1)),
    "minutes": ((60.0, "min", 1),),
    "heat": ((1e3, "kJ", 1),),
    "oil_mass": ((1.0, "kg", 3), (0.45359237, "lb", 2)),
    "heat_capacity": ((1.0, "J/K", 0),),
}
"""How each quantity is shown: (divisor of the SI value, unit, decimals), workshop metric first, then inch.

1 lbf = 4.4482216152605 N and 1 lbf/in = 175.126835 N/m (NIST SP 811, appendix B).
"""


ZEROS = {("temperature", "°C"): 273.15, ("temperature", "°F"): 255.3722222222222}
"""Where a scale has its zero, in SI, if not at zero."""


def in_the_unit_of(written: object, value_si: float) -> str:
    """Return an SI value in the unit that a written value has, where the usual units have it: `252 km/h` beside `400 km/h`."""
    match = NUMBER.match(without_doubt(one_number(written, length=True))) if isinstance(written, str) else None
    unit = match.group(2) if match else ""
    if unit == "%":  # shares are no physical unit, and not in USUAL
        return f"{100.0 * value_si:g} %"
    # Each unit stands under one quantity only, so the first that has it is the right one.
    factor = next((factors[unit] for factors in USUAL.values() if unit in factors), None)
    # zero is zero in any unit
    return f"{value_si:g}" if factor is None or not value_si else f"{value_si / factor:.6g} {unit}"


def show_parts(value_si: float, quantity: str) -> tuple[tuple[float, str], ...]:
    """Return a value as (number, unit) in workshop metric and, where the trade has one, in inch units."""
    return tuple(
        ((value_si - ZEROS.get((quantity, unit), 0.0)) / divisor, unit) for divisor, unit, _ in SHOWN[quantity]
    )


def show(value_si: float, quantity: str) -> str:
    """Return a value in both unit systems: `63.5 mm (2.50 in)`."""
    texts = []
    for divisor, unit, decimals in SHOWN[quantity]:
        number = f"{(value_si - ZEROS.get((quantity, unit), 0.0)) / divisor:.{decimals}f}"
        if float(number) == 0.0:  # no "-0.0" after rounding
            number = number.lstrip("-")
        texts.append(f"{number} {unit}".strip())
    return texts[0] if len(texts) == 1 else f"{texts[0]} ({texts[1]})"


def show_numbers(value_si: float, quantity: str) -> str:
    """Return a value in both unit systems without their units: `63.5 (2.50)`."""
    text = show(value_si, quantity)
    # Taken off the finished text, so that digits are rounded in one place only.
    for _, unit in show_parts(value_si, quantity):
        text = text.replace(f" {unit}", "") if unit else text
    return text


def unit_names(quantity: str) -> str:
    """Return the units of `show_numbers`: `[mm (in)]`, or nothing for a bare number."""
    units = [unit for _, unit in show_parts(1.0, quantity) if unit]
    if not units:
        return ""
    return f"[{units[0]}]" if len(units) == 1 else f"[{units[0]} ({units[1]})]"
