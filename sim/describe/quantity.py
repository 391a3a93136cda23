"""How a number with its unit becomes an SI float: what pydantic is told of a physical quantity, by factors and by the unit library.

The quantities themselves, and those with scales of their own, are in `units.py`.
"""

import re
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from functools import cache
from typing import Any

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler, ValidationInfo
from pydantic_core import PydanticCustomError, core_schema

from sim.describe.doubt import Estimated, Reading, is_doubtful
from sim.describe.notations import NUMBER, one_number, with_a_point
from sim.describe.shown import in_system
from sim.describe.spelled import spelled
from sim.describe.unit_factors import USUAL

MOST = {
    "m": 2e7, "kg": 1e8, "N": 1e8, "s": 1e6, "m/s": 1e3, "rad": 1e2, "N/m": 1e13, "N*s/m": 1e9, "kg*m^2": 1e10, "N*m/rad": 1e10,
    "N*m*s/rad": 1e8, "N*m": 1e7, "rad/s": 1e4, "Pa": 1e13, "kg/m^3": 1e5, "rad/m": 1e2, "m/s^2": 1e4, "J": 1e9, "W": 1e9,
    "m^3": 10.0, "K": 1e3, "m^2/s": 1.0, "J/(kg*K)": 1e6, "1/K": 10.0, "W/K": 1e6, "W/(m^2*K)": 1e10,
}  # fmt: skip
"""Largest size of each quantity, by its SI unit: far above what any truck or road has, and what a rig of a textbook needs to hold a
part as good as fast, so that nothing absurd gets to the physics. Keys have narrower ranges of their own."""

GRAIN = 1e-18
"""Share of the largest size below which a quantity that is not zero is refused: no text means that."""

MOST_KNOWN = 4096
"""Written values of one kind that are kept with what they are in SI."""

LONGEST = 120
"""Letters of a quantity with its unit: patterns take the square of the length, and the unit library what it pleases."""

UNIT = re.compile(
    r"(?:1\s*/|[^\W\d_]++[23]?\.?(?:\s*(?:\^|\*\*)\s*-?\d{1,2}(?![\d^*]|\s*[\^*]{2}|\s*\^))?|[²³°%µ*/()·\s])*"
)
"""What a unit is made of: words with a small power at most, and signs between them. The unit library also evaluates numbers:
nine to the ninth to the ninth would keep it busy for hours."""

DIGITS_WITH_LETTERS = re.compile(r"\s*[+-]?\d[\d.]*(?![eE][+-]?\d|x)[^\W\d_]+(?![23](?!\d))\d\w*")
"""A number with a letter among its digits; `3m2` is one with a unit."""

ANGLE_HINT = "; look whether it speaks of an angle (deg, rad, rpm) where one is wanted, and only there"


SI: dict[str, bool] = {"si": True}
"""Context of a validation whose numbers are SI already: parts of one that was read, with a value replaced."""


@cache
def registry() -> Any:
    """Return the unit registry, built at first use."""
    import pint  # loading it takes longer than checking most files does

    units: Any = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)
    return units


def article(name: str) -> str:
    """Return a name with `a` or `an` before it."""
    return f"{'an' if name[0] in 'aeiou' else 'a'} {name}"


class Quantity:
    """Marks a pydantic float as a physical quantity that is written with its unit.

    Parameters
    ----------
    name : str
        What it is, for messages.
    si : str
        SI unit of the float inside.
    examples : tuple of str
        How people write it.
    trade_pounds : bool
        Read lb as pound-force, as the trade does in rates.
    """

    def __init__(self, name: str, si: str, examples: tuple[str, ...], trade_pounds: bool = False) -> None:
        self.name = name
        self.si = si
        self.examples = examples
        self.trade_pounds = trade_pounds
        self._known: dict[str, float] = {}

    def __repr__(self) -> str:
        return f"Quantity({self.name!r}, {self.si!r})"

    @property
    def usual(self) -> str:
        """Examples in words, in the units that are shown."""
        return " or ".join(f"'{example}'" for example in in_system(self.examples))

    def to_si(self, value: object) -> float:
        """Return a written value in SI.

        Raises
        ------
        PydanticCustomError
            Of kind `quantity`, with what is wrong and the usual form.
        """
        # A quantity of the unit library, known by its methods so that the library need not be loaded to ask.
        if hasattr(value, "to") and hasattr(value, "magnitude"):
            return self._converted(value, str(value))
        if isinstance(value, bool) or not isinstance(value, str | int | float):  # True is an int in Python
            raise self._refusal(f"{article(self.name)} is written as a number with its unit")
        if isinstance(value, int | float):
            raise self._refusal(f"the number {_cut(str(value))} needs a unit")
        # A file is checked again for every set-up of it: nearly all that is asked was asked before.
        known = self._known.get(value)
        if known is None:
            known = self._read(value)
            if len(self._known) >= MOST_KNOWN:
                self._known.clear()
            self._known[value] = known
        return known

    def _read(self, value: str) -> float:
        """Return a written value in SI, or refuse it."""
        if len(value) > LONGEST:
            raise self._refusal(f"'{_cut(value)}' is longer than any {self.name} is written")
        match = NUMBER.match(self.one_number(value))
        if match is None:
            raise self._refusal(f"{article(self.name)} is written as a number with its unit")
        number, unit = match.groups()
        # No default unit: 85 may be mm or in, and a guess between lb and N would be off by a factor of four.
        if not unit:
            raise self._refusal(f"the number {number} needs a unit")
        if re.match(r",\s*\d", unit):  # `12,5 mm`: the number ends at the comma
            point = with_a_point(value)
            message = "write the decimal point as a point, not a comma{} (a comma is read as a thousands mark before three digits only: 1,640)"
            # One answer, the number as it is to be written: an example beside it would be another one.
            if point:
                raise PydanticCustomError("quantity", message.format(f": {point}").replace("{", "{{"))
            raise self._refusal(message.format(""))
        if re.match(r"[-–—]\s*\d", unit):  # `180-260 N/mm`
            raise self._refusal("a range is written with 'to' between its ends: '180 to 260', not with a dash")
        # `28g0 lb`: a letter among digits; a power of a unit is 2 or 3.
        if slip := DIGITS_WITH_LETTERS.match(self.one_number(value)):
            raise self._refusal(f"the number '{_cut(slip[0].strip())}' is not understood")
        return _factor(self, unit)(float(number))

    def one_number(self, text: str) -> str:
        """Return a text with fractions, thousands marks, feet and inches brought to one number each."""
        return one_number(text, self.si == "m")

    def _checked(self, value: object, check: Callable[[Any], float], info: ValidationInfo) -> float:
        given = self._given(value, info)
        plain = check(given)
        return given if isinstance(given, Estimated) else plain

    def _given(self, value: object, info: ValidationInfo) -> float:
        """Return what was written in SI; a program that says so (`SI`) gives SI floats."""
        # by identity: no other context passes for it by looking alike
        if info.context is SI and isinstance(value, int | float):
            # what is known of it stays beside it, whatever else of its part is replaced
            return self._sized(value if isinstance(value, Estimated) else float(value))
        if isinstance(value, str) and len(value) <= LONGEST and is_doubtful(value):
            read = self._reading().read(self.one_number(value))
            # As it stands in the file: that is what a person looks for.
            if isinstance(read, Estimated):
                return Estimated(float(read), replace(read.doubt, written=value.strip()))
            return read
        return self._sized(self.to_si(value), str(value).strip())

    def _reading(self) -> Reading:
        """Return how a number of this kind is read together with what is known of it."""
        return Reading(
            self.name, self.si, lambda text: self._sized(self.to_si(text), text), self.difference_to_si, self._refusal
        )

    def difference_to_si(self, text: str) -> float:
        """Return a written difference between two of this kind in SI.

        Raises
        ------
        PydanticCustomError
            As `to_si`.
        """
        return self.to_si(text)

    def _sized(self, si: float, written: str = "") -> float:
        """Return a value whose size some truck or road may have; `written`: in a person's words, else it is a program's number in SI."""
        most = MOST[self.si]
        # zero is fine, a size that only a slip of the exponent gives is not
        if abs(si) > most or 0.0 < abs(si) < GRAIN * most:
            size = "large" if abs(si) > most else "small"
            raise self._refusal(
                f"'{_cut(written or f'{si:.6g} {self.si}')}' is too {size} for any truck or road (at most {most:,.15g} {self.si}): is that the wrong unit, "
                "or a digit too many"
            )
        return si

    def _converted(self, quantity: Any, written: str) -> float:
        import pint

        try:
            si = float(quantity.to(self.si).magnitude)
        except pint.DimensionalityError:
            raise self._refusal(f"'{written}' is not {article(self.name)}{self._pound_hint(written)}") from None
        if _angles(quantity) != _angles(registry().Quantity(1.0, self.si)):
            raise self._refusal(f"'{written}' is not {article(self.name)}{ANGLE_HINT}")
        return si

    def _pound_hint(self, unit: str) -> str:
        # A usual slip, so it gets an answer of its own: pounds and kilograms stand for mass and for force in speech.
        words = re.findall(r"[A-Za-z]+", unit)
        if self.name == "force" and ("lb" in words or "lbs" in words or "pound" in words):
            return "; lb is a mass, write lbf for a force"
        if self.name == "force" and "kg" in words:
            return "; kg is a mass, write kgf or N for a force"
        if self.name == "mass" and ("lbf" in words or "kgf" in words or "N" in words):
            return "; that is a force, write lb or kg for a mass"
        return ""

    def _refusal(self, message: str) -> PydanticCustomError:
        return PydanticCustomError(
            "quantity", "{message}: write e.g. {usual}", {"message": message, "usual": self.usual}
        )

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> core_schema.CoreSchema:
        # Before pydantic's own check, which would take '220' for a float and not mind the missing unit; and around it, as it
        # gives back a plain float, without what is known of the number.
        return core_schema.with_info_wrap_validator_function(
            self._checked, core_schema.float_schema(allow_inf_nan=False)
        )

    def __get_pydantic_json_schema__(
        self, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        return {
            # A text: bare numbers are refused, and an editor should say so while one writes.
            "type": "string",
            "description": f"{self.name[0].upper()}{self.name[1:]} with its unit, at most {MOST[self.si]:g} {self.si} either way.",
            "examples": list(self.examples),
        }


def _cut(text: str) -> str:
    return text if len(text) <= 40 else text[:37] + "..."


# A file has the same dozen units hundreds of times.
@cache
def _factor(quantity: Quantity, unit: str) -> Callable[[float], float]:
    """Return what turns a number in a written unit into SI; straight through zero."""
    known = USUAL.get(quantity.si, {})
    usual = known.get(unit)
    if usual is None:
        unit = spelled(unit, quantity.si)
        usual = known.get(unit)
    if usual is None:
        # `Kg`, `MM`: capitals that leave one unit of this quantity are read as that one.
        alike = {factor for name, factor in known.items() if name.lower() == unit.lower()}
        usual = alike.pop() if len(alike) == 1 else None
    if usual is not None:
        return lambda number: number * usual
    return _parsed(quantity, unit)


def _parsed(quantity: Quantity, unit: str) -> Callable[[float], float]:
    """Return the same by the unit library: any unit that it knows."""
    import pint

    if not UNIT.fullmatch(unit) or unit.count("(") > 4:
        words = "is not understood" if re.search(r"[\d'\"]", unit) else "is not known"
        raise quantity._refusal(f"the unit '{_cut(unit)}' {words}")
    # What people type, turned into what the unit library reads.
    text = unit.replace("²", "^2").replace("³", "^3").replace("·", " ").replace("°", " deg ")
    text = re.sub(r"\bin\.", "in", text)
    text = re.sub(r"\b(kg|m|mm|in|ft|lb|slug)([23])\b", r"\1^\2", text)  # m2, mm3, kg m2
    text = re.sub(r"\blbs\b", "lb", text)
    # In rates and damping lb is a force by custom of the trade; as a mass the dimensions would not match.
    if quantity.trade_pounds:
        text = re.sub(r"\blb\b", "lbf", text)
    text = re.sub(r"\bkph\b", "km/h", text)
    text = text.replace("%", "percent")
    units = registry()
    try:
        parsed = units.parse_units(text)
    # The library names the word that it does not know, out of a longer unit.
    except pint.UndefinedUnitError as error:
        names = error.unit_names
        named = names if isinstance(names, str) else ", ".join(names)
        raise quantity._refusal(f"the unit '{named or unit}' is not known") from None
    except Exception:  # the unit parser lets many kinds of errors through
        raise quantity._refusal(f"the unit '{unit}' is not understood") from None
    wanted = units.parse_units(quantity.si)
    # Old manuals write kg/mm and m kg for kgf; where a mass is right (kg/s), the dimensions match and it is left alone.
    if quantity.trade_pounds and parsed.dimensionality != wanted.dimensionality and re.search(r"\bkg\b", text):
        with suppress(Exception):
            force = units.parse_units(re.sub(r"\bkg\b", "kgf", text))
            parsed = force if force.dimensionality == wanted.dimensionality else parsed
    if parsed.dimensionality != wanted.dimensionality:
        raise quantity._refusal(f"'{unit}' is not {article(quantity.name)}{quantity._pound_hint(unit)}")
    one = units.Quantity(1.0, parsed)
    if _angles(one) != _angles(units.Quantity(1.0, wanted)):
        raise quantity._refusal(f"'{unit}' is not {article(quantity.name)}{ANGLE_HINT}")
    # One factor is enough: scales with another zero have a class of their own.
    factor = float(one.to(wanted).magnitude)
    return lambda number: number * factor


def _angles(quantity: Any) -> int:
    """Return in which power an angle stands in a quantity of the unit library.

    For the library an angle is a bare number, so that Hz passes for rad/s, off by 2 pi, and N m for N m/rad.
    """
    return int(dict(quantity.to_root_units().unit_items()).get("radian", 0))
