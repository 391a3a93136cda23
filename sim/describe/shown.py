"""How numbers in SI are shown to people: in workshop metric, in inch units, or in both.

Which of them is a person's choice (`shown_in`): tables, pictures, sheets and CSV files all ask here.
"""

import re
from collections.abc import Callable, Iterable, Iterator
from contextlib import AbstractContextManager, contextmanager
from functools import partial
from math import floor, inf, isfinite, log10
from typing import Literal, TypeVar, get_args

import numpy as np
import numpy.typing as npt

from sim.describe.notations import NUMBER
from sim.describe.unit_factors import USUAL

SHOWN: dict[str, tuple[tuple[float, str, int], ...]] = {
    "length": ((1e-3, "mm", 1), (0.0254, "in", 2)),
    "distance": ((1.0, "m", 2), (0.3048, "ft", 1)),
    "mass": ((1.0, "kg", 1), (0.45359237, "lb", 0)),
    "force": ((1.0, "N", 0), (4.4482216152605, "lbf", 0)),
    # What a weighbridge says of a force on the ground: by standard gravity, as for the pound.
    "load": ((9.80665, "kg", 0), (4.4482216152605, "lb", 0)),
    "speed": ((1.0, "m/s", 2), (0.0254, "in/s", 1)),
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
    "energy": ((1e3, "kJ", 2), (1.3558179483314004, "ft lbf", 0)),
    "spring_energy": ((1.0, "J", 0), (1.3558179483314004, "ft lbf", 0)),
    # A watt is what both systems have on the label of a heater.
    "power": ((1.0, "W", 0),),
    "pressure": ((1e5, "bar", 2), (6894.757293168361, "psi", 0)),
    "stress": ((1e6, "MPa", 0), (6894757.293168361, "kpsi", 0)),
    "inertia": ((1.0, "kg m²", 1), (0.45359237 * 0.3048**2, "lb ft²", 0)),
    # As the standard of the ride has it, in any system (ISO 2631-1); likewise the density of a road below (ISO 8608).
    "dose": ((1.0, "m/s^1.75", 2),),
    # 1 m/km is 63.36 in/mi, as a mile has 63 360 inches.
    "roughness": ((1e-3, "m/km", 2), (1e-3 / 63.36, "in/mi", 0)),
    "per_length": ((1.0, "1/m", 3), (1.0 / 0.3048, "1/ft", 3)),
    "road_density": ((1e-6, "10⁻⁶ m³", 1),),
    "percent": ((0.01, "%", 1),),
    "number": ((1.0, "", 2),),
    "count": ((1.0, "", 0),),
    "time": ((1.0, "s", 3),),
    "temperature": ((1.0, "°C", 0), (1 / 1.8, "°F", 0)),
    # Of a difference of temperature: the same degrees as above, and no zero to take off.
    "warmth": ((1.0, "°C", 0), (1 / 1.8, "°F", 0)),
    "travelled": ((1e3, "km", 1), (1609.344, "mi", 1)),
    "minutes": ((60.0, "min", 1),),
    "heat": ((1e3, "kJ", 1), (1055.05585262, "Btu", 0)),
    "oil_mass": ((1.0, "kg", 3), (0.45359237, "lb", 2)),
    "heat_capacity": ((1e3, "kJ/°C", 2), (1055.05585262 * 1.8, "Btu/°F", 2)),
    # A point along the truck: in inches, as its other lengths are; one that no tape reaches is a distance (`place_or_distance`).
    "place": ((1.0, "m", 2), (0.0254, "in", 1)),
}
"""How each quantity is shown: (divisor of the SI value, unit, decimals), workshop metric first, then inch.

1 lbf = 4.4482216152605 N and 1 lbf/in = 175.126835 N/m (NIST SP 811, appendix B); 1 Btu is 1055.05585262 J (the same, International Table).
"""


BY_SIZE: dict[str, tuple[tuple[float, int], ...]] = {
    "time": ((0.1, 3), (1.0, 2), (inf, 1)),
    "mass": ((100.0, 1), (inf, 0)),
}
"""Up to which number a quantity has how many decimals, where large ones have fewer: 1.4 s, not 1.38 s. All digits are in CSV files."""

SI_UNITS: dict[str, str] = {
    "length": "m", "distance": "m", "travelled": "m", "mass": "kg", "oil_mass": "kg", "force": "N", "load": "N", "speed": "m/s",
    "road_speed": "m/s", "stiffness": "N/m", "damping": "N s/m", "acceleration": "m/s²", "torque": "N m", "rate": "1/s",
    "turning": "rad/s", "angle": "rad", "angular_acceleration": "rad/s²", "frequency": "Hz", "angular_stiffness": "N m/rad",
    "energy": "J", "spring_energy": "J", "heat": "J", "power": "W", "pressure": "Pa", "stress": "Pa", "inertia": "kg m²", "dose": "m/s^1.75", "roughness": "1",
    "per_length": "1/m", "road_density": "m³", "percent": "1", "number": "1", "count": "1", "time": "s", "minutes": "s",
    "temperature": "K", "warmth": "K", "heat_capacity": "J/K", "place": "m",
}  # fmt: skip
"""The unit of each quantity inside, as other programs get it; 1 of what has none."""

Numbers = TypeVar("Numbers", float, npt.NDArray[np.float64])

System = Literal["both", "metric", "inch"]
"""What people may ask to be shown."""

SYSTEMS: tuple[System, ...] = get_args(System)

ZEROS = {("temperature", "°C"): 273.15, ("temperature", "°F"): 255.3722222222222}
"""Where a scale has its zero, in SI, if not at zero."""


class _Chosen:
    """What is shown now, and whether it stands whatever a scenario's file wishes."""

    system: System = "both"
    firm: bool = False
    alone: System = "metric"


@contextmanager
def shown_in(system: System, firm: bool = True) -> Iterator[None]:
    """Show numbers in one system of units, or in both, as long as this lasts.

    Parameters
    ----------
    system : "both", "metric" or "inch"
    firm : bool
        Whether a scenario's own `units` count for nothing meanwhile.
    """
    before = _Chosen.system, _Chosen.firm, _Chosen.alone
    _Chosen.system, _Chosen.firm = system, firm
    try:
        yield
    finally:
        _Chosen.system, _Chosen.firm, _Chosen.alone = before


def wished(system: System | None) -> None:
    """Show numbers as a file wishes, until the `shown_in` around it ends; not against one that is firm."""
    if system is not None and not _Chosen.firm:
        _Chosen.system = system


def typed_in(system: System) -> None:
    """Take the units in which a truck was typed where a text has room for one unit alone, until the `shown_in` around it ends."""
    _Chosen.alone = "inch" if system == "inch" else "metric"


def system() -> System:
    """Return what is shown now."""
    return _Chosen.system


def as_now() -> Callable[[], AbstractContextManager[None]]:
    """Return what shows numbers as now, for other processes: they do not know what was chosen here."""
    return partial(shown_in, system())


def shown_units(quantity: str) -> tuple[tuple[float, str, int], ...]:
    """Return (divisor of the SI value, unit, decimals) of every unit in which a quantity is shown now.

    What the trade has in one unit only (seconds, degrees) has that in every system.
    """
    units = SHOWN[quantity]
    return {"both": units, "metric": units[:1], "inch": units[-1:]}[_Chosen.system]


WRITTEN_AS = {
    "m": "length", "kg": "mass", "N": "force", "m/s": "speed", "N/m": "stiffness", "N*s/m": "damping", "kg*m^2": "inertia",
    "N*m/rad": "angular_stiffness", "N*m": "torque", "Pa": "pressure", "m/s^2": "acceleration", "J": "spring_energy",
}  # fmt: skip
"""In which quantity's units a number reads in the other system, by the SI unit of what was written."""

IN_INCH_UNITS = re.compile(r"(?:in|ft|lbf?|mph|psi|deg/in)(?![A-Za-z])|mi$")
"""Begins a unit of the inch system."""


def other_unit(unit: str) -> tuple[float, str] | None:
    """Return by how much a number in a unit is multiplied in the other system, and that system's unit; None where there is none."""
    for units in SHOWN.values():
        names = [name for _, name, _ in units]
        # Scales with a zero of their own are not multiplied.
        if unit in names and len(units) == 2 and not unit.startswith("°"):
            own, other = (units[0], units[1]) if unit == names[0] else (units[1], units[0])
            return own[0] / other[0], other[1]
    # What files may have and tables do not: kN/mm, kN s/m, kg m^2.
    for si, factors in USUAL.items():
        if unit in factors and si in WRITTEN_AS:
            divisor, name, _ = SHOWN[WRITTEN_AS[si]][0 if IN_INCH_UNITS.match(unit) else 1]
            return factors[unit] / divisor, name
    return None


def in_system(examples: tuple[str, ...]) -> tuple[str, ...]:
    """Return those of some written numbers that are in the system that alone is shown; all where it has none of them."""
    if _Chosen.system == "both":
        return examples
    units = {text: match.group(2) for text in examples if (match := NUMBER.match(text))}
    inch = _Chosen.system == "inch"
    return tuple(text for text in examples if bool(IN_INCH_UNITS.match(units.get(text, ""))) == inch) or examples


def unit_now(unit: str) -> tuple[float, str]:
    """Return by how much a number in a unit that a person wrote is multiplied where one system alone is shown, and in which unit it then is."""
    other = other_unit(unit)
    if other is None or _Chosen.system == "both" or bool(IN_INCH_UNITS.match(unit)) == (_Chosen.system == "inch"):
        return 1.0, unit
    return other


def written_beside(number: float, unit: str) -> str:
    """Return a number in the unit that a person wrote, in the other system beside it or in its place, as is shown now."""
    text, other = f"{_digits(number, 4)} {unit}".strip(), other_unit(unit)
    if other is None or (_Chosen.system == "both" and not number):
        return text
    beside = f"{_digits(number * other[0], 3)} {other[1]}"
    if _Chosen.system == "both":
        return f"{text} ({beside})"
    return text if unit_now(unit)[1] == unit else beside


def written_now(text: str, beside: bool = False) -> str:
    """Return what a person wrote of a number, `220 to 310 N/mm`, in the system that alone is shown: `1256 to 1770 lb/in`.

    beside : where both are shown, have the other one in brackets, as sentences and tables have it.
    """

    def replaced(match: re.Match[str]) -> str:
        other = other_unit(match["unit"])
        both = beside and _Chosen.system == "both"
        if other is None or (unit_now(match["unit"])[1] == match["unit"] and not both):
            return match[0]
        numbers = re.sub(NUMBER_ALONE, lambda one: _digits(float(one[0]) * other[0], 3), match["numbers"])
        text = f"{numbers} {other[1]}"
        if not both:
            return text
        # The metric one first, as everywhere.
        return f"{text} ({match[0]})" if IN_INCH_UNITS.match(match["unit"]) else f"{match[0]} ({text})"

    return WITH_UNIT.sub(replaced, text)


NUMBER_ALONE = re.compile(r"-?\d+(?:\.\d+)?")

WITH_UNIT = re.compile(
    rf"(?P<numbers>{NUMBER_ALONE.pattern}(?: (?:to|\+-) {NUMBER_ALONE.pattern})?) ?"
    rf"(?P<unit>{'|'.join(sorted((re.escape(unit) for si in WRITTEN_AS for unit in USUAL[si]), key=len, reverse=True))})(?![\w^/²³])"
)
"""A number, or a range, with a unit that files usually have."""


def _digits(number: float, least: int) -> str:
    """Return a number with so many digits, or whole if it has more: never a power of ten, which nobody reads off a gauge."""
    if not number or not isfinite(number):
        return f"{number:g}"
    decimals = max(least - 1 - floor(log10(abs(number))), 0)
    text = f"{number:.{decimals}f}"
    return text.rstrip("0").rstrip(".") if decimals else text


def si_unit(quantity: str) -> str:
    """Return the unit in which a quantity is kept, whatever is shown: `N/m`, or `1` of what has none."""
    return SI_UNITS[quantity]


def show_parts(value_si: float, quantity: str) -> tuple[tuple[float, str], ...]:
    """Return a value as (number, unit) in each unit in which it is shown: workshop metric first, then inch."""
    return tuple(
        ((value_si - ZEROS.get((quantity, unit), 0.0)) / divisor, unit) for divisor, unit, _ in shown_units(quantity)
    )


TAPE_M = 25 * 0.3048
"""Farthest place that is shown in inches: what a shop's long tape reaches, 25 ft."""


def place_or_distance(values_m: Iterable[float]) -> str:
    """Return the quantity in which places along a truck are shown together: a place, or a distance if one of them is past a tape's reach."""
    return "distance" if any(isfinite(value) and abs(value) > TAPE_M for value in values_m) else "place"


def show_part(value_si: float, quantity: str) -> tuple[float, str]:
    """Return a value in the one unit that a text takes which has no room for two: of both systems that in which the truck was typed."""
    return show_parts(value_si, quantity)[-1 if _Chosen.alone == "inch" else 0]


def show(value_si: float, quantity: str) -> str:
    """Return a value with its units: `63.5 mm (2.50 in)`, or one of the two."""
    texts = [
        f"{rounded(number, quantity, decimals)} {unit}".strip()
        for (number, unit), (_, _, decimals) in zip(show_parts(value_si, quantity), shown_units(quantity), strict=True)
    ]
    return texts[0] if len(texts) == 1 else f"{texts[0]} ({texts[1]})"


TWICE = re.compile(
    r"(\d[\d./ to-]*(?:mm|kg|kg/m|N/mm|N s/m|N|bar|m|m/s|km|km/h|°C)) \((\d[\d./ to-]*(?:in|lb|lb/ft|lb/in|lb s/in|lbf|psi|ft|in/s|mi|mph|°F))\)"
)
"""A size that a sentence has in both systems: 100 mm (4 in)."""


def in_shown_units(sentence: str) -> str:
    """Return a sentence of ours whose sizes stand in both systems with those alone that are shown."""
    return sentence if _Chosen.system == "both" else TWICE.sub(r"\2" if _Chosen.system == "inch" else r"\1", sentence)


def show_short(value_si: float, quantity: str, decimals: tuple[int, ...]) -> str:
    """Return a value with its units and few decimals, one number a unit of SHOWN, as a sentence needs it: `64 mm (2.5 in)`."""
    by_unit = {unit: places for (_, unit, _), places in zip(SHOWN[quantity], decimals, strict=True)}
    texts = [f"{number:.{by_unit[unit]}f} {unit}" for number, unit in show_parts(value_si, quantity)]
    return texts[0] if len(texts) == 1 else f"{texts[0]} ({texts[1]})"


def show_enough(value_si: float, quantity: str, figures: int = 2) -> str:
    """Return a value with its units, and of a small one as many decimals as it needs to be read: `0.07 mm (0.0028 in)`."""
    texts = []
    for (number, unit), (_, _, decimals) in zip(show_parts(value_si, quantity), shown_units(quantity), strict=True):
        seen = figures - 1 - floor(log10(abs(number))) if number and isfinite(number) else 0
        text = f"{number:.{seen}f}" if seen > decimals else rounded(number, quantity, decimals)
        texts.append(f"{text} {unit}".strip())
    return texts[0] if len(texts) == 1 else f"{texts[0]} ({texts[1]})"


def rounded(number: float, quantity: str, decimals: int) -> str:
    """Return a number with as many digits as the trade reads of its quantity."""
    text = ""
    for up_to, places in BY_SIZE.get(quantity, ((inf, decimals),)):
        text = f"{number:.{min(places, decimals)}f}"
        # As it reads: 0.996 s is 1.0 s.
        if not abs(float(text)) >= up_to:
            break
    return text.lstrip("-") if float(text) == 0.0 else text  # no "-0.0" after rounding


def show_numbers(value_si: float, quantity: str) -> str:
    """Return a value without its units: `63.5 (2.50)`."""
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


def heading_of(quantity: str) -> str:
    """Return the one unit of a column of figures: the workshop's metric one, or the inch one where only that is shown."""
    return shown_units(quantity)[0][1]


def headed(name: str, quantity: str) -> str:
    """Return the head of a column of figures: `road front [mm]`."""
    # Letters that every program of tables reads.
    return f"{name} [{heading_of(quantity).replace('²', '2')}]"


def in_si(figures: Numbers, quantity: str, unit: str) -> Numbers:
    """Return figures of a column in SI; `unit` is one of those in which the quantity may be shown."""
    divisor = next(size for size, name, _ in SHOWN[quantity] if name == unit)
    return figures * divisor + ZEROS.get((quantity, unit), 0.0)


def figures_of(values: npt.NDArray[np.float64], quantity: str) -> npt.NDArray[np.float64]:
    """Return values (n,) in the unit of `heading_of`."""
    (divisor, unit, _), *_ = shown_units(quantity)
    figures: npt.NDArray[np.float64] = (values - ZEROS.get((quantity, unit), 0.0)) / divisor
    return figures


def figure_of(value_si: float, quantity: str) -> float:
    """Return a value in the unit of `heading_of`, with all its digits."""
    return show_parts(value_si, quantity)[0][0]
