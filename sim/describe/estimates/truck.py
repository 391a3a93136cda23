"""A truck as far as it is known while its estimates are found: the file's mapping, read in SI."""

import re
from collections.abc import Iterator, Mapping
from functools import cache, lru_cache
from math import floor, log10
from typing import Any

from pydantic import TypeAdapter, ValidationError

from sim.describe import units
from sim.describe.bare_numbers import Number
from sim.describe.doubt import Estimated
from sim.describe.shown import System, system
from sim.describe.unit_factors import USUAL

GRAVITY = 9.80665
"""Standard gravity [m/s²]: ISO 80000-3."""

AXLES = ("front", "rear")

KINDS: dict[str, Any] = {
    "length": units.Length, "mass": units.Mass, "force": units.Force, "stiffness": units.Stiffness, "damping": units.Damping,
    "inertia": units.PitchInertia, "angular_stiffness": units.AngularStiffness, "angular_damping": units.AngularDamping,
    "speed": units.Speed, "pressure": units.Pressure, "number": Number, "time": units.Duration,
}  # fmt: skip
"""Types of the quantities that are read here, by their names in `describe.shown.SHOWN`."""

WRITTEN_IN: dict[str, tuple[str, str]] = {
    "length": ("mm", "in"), "mass": ("kg", "lb"), "force": ("N", "lbf"), "stiffness": ("N/mm", "lb/in"),
    "damping": ("N s/m", "lb s/in"), "inertia": ("kg m^2", "lb ft^2"), "angular_stiffness": ("N m/deg", "lbf ft/deg"),
    "angular_damping": ("N m s/rad", "lbf ft s/rad"), "speed": ("m/s", "in/s"), "pressure": ("bar", "psi"), "number": ("", ""),
}  # fmt: skip
"""Units in which estimates are written: workshop metric, and inch for whoever measures in inches."""

EITHER_WAY = frozenset({
    "ahead", "above", "behind_front_axle", "above_ground", "lean_inward", "mass", "friction", "gas_force", "seal_friction", "tube_mass",
    "rod_mass", "damping", "heavier_by",
})  # fmt: skip
"""Keys that may be nothing or less: places, and what a part may be without. Of others such a value is as good as none."""

IN_INCHES = re.compile(r"(?<=[\d.\s])(in|ft|lb|lbs|lbf|psi)\b|[\"″”'′’½¼¾]")


@cache
def adapter(quantity: str) -> TypeAdapter[float]:
    """Return what reads a kind of quantity."""
    return TypeAdapter(KINDS[quantity])


def read_si(value: object, quantity: str) -> float | None:
    """Return a written value in SI; None if there is none or it is not understood, which others say."""
    # Rules ask for the same few texts hundreds of times.
    return _read_text(value, quantity) if isinstance(value, str) else _read(value, quantity)


def _read(value: object, quantity: str) -> float | None:
    if value is None:
        return None
    try:
        return adapter(quantity).validate_python(value)
    except ValidationError:
        return None


@lru_cache(maxsize=4096)
def _read_text(value: str, quantity: str) -> float | None:
    return _read(value, quantity)


def half_of(value: float) -> float:
    """Return how far off a read value may be, 95 times in 100 [SI]; 0 for one that is written without doubt."""
    return 0.5 * (value.doubt.high - value.doubt.low) if isinstance(value, Estimated) else 0.0


def copied(data: Any) -> Any:
    """Return plain data copied; what stood in it twice (`front` and `rear` alike) is two, of which either may be changed."""
    if isinstance(data, Mapping):
        return {key: copied(value) for key, value in data.items()}
    return [copied(value) for value in data] if isinstance(data, list | tuple) else data


class Truck:
    """The mapping of a vehicle's file, copied, in which estimates are filled in one after the other.

    Parameters
    ----------
    data : mapping
        As the file has it.
    """

    def __init__(self, data: Mapping[str, Any]) -> None:
        self.data: dict[str, Any] = copied(data)
        self.inches = _in_inches(self.data)
        self.words: dict[tuple[str, str], str] = {}
        """The plain word for the valving of a damper set that has no curve, by axle and name."""

    def at(self, *place: str) -> Any:
        """Return what stands at a place; None if nothing does."""
        inside: Any = self.data
        for step in place:
            if not isinstance(inside, dict) or step not in inside:
                return None
            inside = inside[step]
        return inside

    def si(self, quantity: str, *place: str) -> float | None:
        """Return the value at a place in SI; None if none is given, or it is not understood or cannot be."""
        value = read_si(self.at(*place), quantity)
        return None if value is not None and value <= 0.0 and place[-1] not in EITHER_WAY else value

    def known(self, quantity: str, *place: str) -> float:
        """Return a value in SI that a rule before has filled in, if the file has none.

        A file may have one that is not understood; then anything serves, as the file is refused for it.
        """
        value = self.si(quantity, *place)
        return 1.0 if value is None else value

    def count(self, *place: str, otherwise: int = 2) -> int:
        """Return a count; `otherwise` what it is where none is given or it is no count."""
        value = self.at(*place)
        value = int(value) if isinstance(value, str) and value.isdigit() else value
        return value if isinstance(value, int) and not isinstance(value, bool) and 0 < value <= 1000 else otherwise

    def word(self, *place: str) -> str:
        """Return a word at a place; empty if there is none."""
        value = self.at(*place)
        return value if isinstance(value, str) else ""

    def part(self, *place: str) -> dict[str, Any]:
        """Return the mapping at a place, put there empty if there is none; a passing one if something else stands there."""
        inside: Any = self.data
        for step in place:
            following = inside.get(step)
            if following is None:
                following = inside[step] = {}
            if not isinstance(following, dict):
                return {}
            inside = following
        return inside if isinstance(inside, dict) else {}

    def named(self, axle: str, kind: str) -> Iterator[tuple[str, dict[str, Any]]]:
        """Yield the named parts of an axle: its springs or dampers."""
        parts = self.at(axle, kind)
        for name, part in parts.items() if isinstance(parts, dict) else ():
            if isinstance(part, dict):
                yield str(name), part

    def behind(self, axle: str) -> float:
        """Return how far an axle is behind the front one [m]."""
        return 0.0 if axle == "front" else self.known("length", "wheelbase")

    def written(self, value: float, half: float, quantity: str, exact: bool) -> str:
        """Return an estimate as a file has it, in the units of whoever measured the truck."""
        return estimate_text(value, half, quantity, self.inches, exact)


def estimate_text(value: float, half: float, quantity: str, inches: bool, exact: bool = False) -> str:
    """Return a value [SI] with how far off it may be as a file has it, in inch units or in workshop metric."""
    if quantity == "count":
        return f"{value:.0f}"
    unit = WRITTEN_IN[quantity][1 if inches else 0]
    factor = 1.0 if not unit else USUAL[KINDS[quantity].__metadata__[0].si][unit]
    number, off = value / factor, half / factor
    if not off:
        return f"{_rounded(number, 1e-3 * max(abs(number), 1.0))} {unit}".strip()
    step = 1e-5 * max(abs(number), off) if exact else off / 20.0
    return f"about {_rounded(number, step)} {unit} +- {_rounded(off, off / 20.0)} {unit}".replace("  ", " ").strip()


def shown_in_inches(typed: bool) -> bool:
    """Tell whether somebody is shown inch units: as was chosen, and where both were, as he writes himself."""
    chosen = system()
    return typed if chosen == "both" else chosen == "inch"


def typed_system(data: Mapping[str, Any]) -> System:
    """Return the system in which somebody writes most of a truck's numbers; both where he has written none yet."""
    texts = _numbers_typed(data)
    return "both" if not texts else "inch" if _in_inches(data) else "metric"


def _rounded(number: float, step: float) -> str:
    """Return a number to as many digits as a step is worth."""
    decimals = -floor(log10(step)) if step > 0.0 else 3
    text = f"{round(number, decimals):.{max(decimals, 0)}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in ("-0", "") else text


def _in_inches(data: Mapping[str, Any]) -> bool:
    """Tell whether somebody measures in inches and pounds: by most of what he writes."""
    inches = sum(bool(IN_INCHES.search(text)) for text in _texts(_measured(data)))
    return 2 * inches > len(_numbers_typed(data))


def _measured(data: Mapping[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in data.items() if key not in ("name", "note", "kind")}


def _numbers_typed(data: Mapping[str, Any]) -> list[str]:
    return [text for text in _texts(_measured(data)) if re.match(r"\s*(about\s+)?[-+.\d]", text)]


def _texts(data: Any) -> Iterator[str]:
    if isinstance(data, str):
        yield data
    elif isinstance(data, Mapping):
        for value in data.values():
            yield from _texts(value)
    elif isinstance(data, list | tuple):
        for value in data:
            yield from _texts(value)
