"""Factors of the units that most files write."""

USUAL: dict[str, dict[str, float]] = {
    # Factors to SI are exact by definition, or rounded from exact ones (NIST SP 811, appendix B.8).
    "m": {"m": 1.0, "mm": 1e-3, "cm": 1e-2, "km": 1e3, "in": 0.0254, "ft": 0.3048},
    "kg": {"kg": 1.0, "g": 1e-3, "lb": 0.45359237},
    "N": {"N": 1.0, "kN": 1e3, "lbf": 4.4482216152605},
    "s": {"s": 1.0, "ms": 1e-3, "min": 60.0, "h": 3600.0},
    "m/s": {"m/s": 1.0, "mm/s": 1e-3, "km/h": 1 / 3.6, "mph": 0.44704, "in/s": 0.0254},
    "rad": {"rad": 1.0, "deg": 0.017453292519943295},
    "N/m": {
        "N/m": 1.0,
        "N/mm": 1e3,
        "kN/m": 1e3,
        "kN/mm": 1e6,
        "lb/in": 175.12683524647636,  # = 4.4482216152605 / 0.0254
        "lbf/in": 175.12683524647636,
        "kgf/mm": 9806.65,  # standard gravity x 1000, exact
        "kg/mm": 9806.65,  # as old manuals write it: a mass a length is no rate
    },
    "N*s/m": {
        "N s/m": 1.0,
        "kN s/m": 1e3,
        "N s/mm": 1e3,
        "lb s/in": 175.12683524647636,
        "lbf s/in": 175.12683524647636,
    },
    # 0.45359237 x 0.3048²
    "kg*m^2": {"kg m^2": 1.0, "kg m²": 1.0, "lb ft^2": 0.0421401100938048, "lb ft²": 0.0421401100938048},
    "N*m/rad": {
        "N m/rad": 1.0,
        "kN m/rad": 1e3,
        "N m/deg": 57.29577951308232,
        "lb ft/deg": 77.68264622747556,  # = 1.3558179483314004 x 180 / pi
        "lbf ft/deg": 77.68264622747556,
    },
    "N*m*s/rad": {"N m s/rad": 1.0, "lb ft s/rad": 1.3558179483314004, "lbf ft s/rad": 1.3558179483314004},
    "N*m": {"N m": 1.0, "kN m": 1e3, "lbf ft": 1.3558179483314004, "lb ft": 1.3558179483314004},
    "rad/s": {"rpm": 0.10471975511965977, "rad/s": 1.0},  # 2 pi / 60
    "Pa": {"Pa": 1.0, "kPa": 1e3, "MPa": 1e6, "GPa": 1e9, "bar": 1e5, "psi": 6894.757293168361},
    "kg/m^3": {"kg/m^3": 1.0, "kg/m³": 1.0},
    "m/s^2": {"m/s^2": 1.0, "m/s²": 1.0},
    "J": {"J": 1.0, "kJ": 1e3},
    "W": {"W": 1.0, "kW": 1e3},
    "m^3": {"l": 1e-3, "ml": 1e-6, "cm^3": 1e-6, "cm³": 1e-6, "mm^3": 1e-9, "in^3": 1.6387064e-5, "in³": 1.6387064e-5},
    "m^2/s": {"m^2/s": 1.0, "mm^2/s": 1e-6, "mm²/s": 1e-6, "cSt": 1e-6},
    "rad/m": {"rad/m": 1.0, "deg/m": 0.017453292519943295, "deg/in": 0.6871375007851691},  # pi / 180 / 0.0254
    "W/K": {"W/K": 1.0},
    "J/(kg*K)": {"J/(kg K)": 1.0, "kJ/(kg K)": 1e3},
    "W/(m^2*K)": {"W/(m^2 K)": 1.0, "W/(m² K)": 1.0},
}
"""Factors of units that most files write, so that the unit library need not be loaded for them; a test holds them to it."""
