"""A tyre's size as it stands on its wall: width, height of the wall and rim, in metres."""

import re
from typing import NamedTuple

from sim.describe.parts.tyre_pressure import RIM, WIDTH

INCH = 0.0254

METRIC = re.compile(
    r"(?:LT|P|C)?\s*(\d{3})\s*/\s*(\d{2,3})\s*(?:-|[ZBDR]*R|[BD])\s*(\d{2}(?:\.\d)?)(?!\d)", re.IGNORECASE
)
"""235/85R16, LT235/85 R16, 205/80-16: width in mm, height of the wall as a per cent of it, rim in inches."""

FLOTATION = re.compile(
    r"(?:LT)?\s*(\d{2}(?:\.\d+)?)\s*[x×/]\s*(\d{1,2}(?:\.\d+)?)\s*(?:-|[BDR])\s*(\d{2}(?:\.\d)?)(?!\d)", re.IGNORECASE
)
"""33x12.50R15: outside diameter, width and rim in inches."""

NUMERIC = re.compile(r"(\d{1,2}\.\d{2})\s*(?:-|[BDR]|x)\s*(\d{2}(?:\.\d)?)(?!\d)", re.IGNORECASE)
"""7.50-16, 7.50R16: width and rim in inches; the wall is about as high as the tyre is wide."""

FULL_METRIC = re.compile(r"(\d{3})\s*R\s*(\d{2})(?!\d|/)", re.IGNORECASE)
"""205R16: width in mm and rim in inches; the wall is 82 per cent of it, as such sizes are made."""

NUMBERS = re.compile(r"\d+(?:\.\d+)?")

WALL_OF_NUMERIC, WALL_OF_FULL_METRIC = 1.04, 0.82
"""Height of the wall as a share of the nominal width, of sizes that do not say it: from diameters of catalogues, from memory."""


class TyreSize(NamedTuple):
    """A size [m]."""

    diameter: float
    width: float
    rim: float

    @property
    def aspect(self) -> float:
        """Height of the wall as a share of the width."""
        return 0.5 * (self.diameter - self.rim) / self.width


def tyre_size(text: str) -> TyreSize | None:
    """Return the size that stands on a wall; None if it is not understood.

    The notations are those of ISO 4000-1 and of the tyre and rim yearbooks; words after the size (load index, ply) are not read.
    """
    text = text.strip()
    if match := METRIC.match(text):
        width, wall, rim = float(match[1]) * 1e-3, float(match[2]) / 100.0, float(match[3]) * INCH
        return _sensible(TyreSize(rim + 2.0 * width * wall, width, rim))
    if match := FLOTATION.match(text):
        return _sensible(TyreSize(float(match[1]) * INCH, float(match[2]) * INCH, float(match[3]) * INCH))
    if match := NUMERIC.match(text):
        width, rim = float(match[1]) * INCH, float(match[2]) * INCH
        return _sensible(TyreSize(rim + 2.0 * WALL_OF_NUMERIC * width, width, rim))
    if match := FULL_METRIC.match(text):
        width, rim = float(match[1]) * 1e-3, float(match[2]) * INCH
        return _sensible(TyreSize(rim + 2.0 * WALL_OF_FULL_METRIC * width, width, rim))
    return None


def looks_like_size(text: str) -> bool:
    """Tell whether a text that is no length was meant for a size: of three numbers, as `35-12.50/15`, or of two, `31x10.5`."""
    return len(NUMBERS.findall(text)) >= 3 or TWO_NUMBERS.fullmatch(text.strip()) is not None


def near_size(text: str) -> str:
    """Return how a size that is not understood would be written, if its three numbers make one; empty if they do not."""
    # A decimal comma is what its three numbers are most often spoilt by.
    numbers = NUMBERS.findall(text.replace(",", "."))
    if len(numbers) != 3:
        return ""
    first, second, rim = numbers
    return next(
        (one for one in (f"{first}x{second}R{rim}", f"{first}/{second}R{rim}") if tyre_size(one) is not None), ""
    )


TWO_NUMBERS = re.compile(r"(?:LT)?\s*(\d{2}(?:\.\d+)?)\s*[x×/]\s*(\d{1,2}(?:\.\d+)?)\s*(?:in|\")?", re.IGNORECASE)
"""A size in inches whose rim was left out: 31x10.5."""

ALONE = re.compile(r"(\d+(?:\.\d+)?)\s*(in|inch|inches|\"|″|cm|mm)?s?", re.IGNORECASE)
"""A diameter where a size is wanted: 31, 31 in, 787 mm."""

BIG, SMALL = 48.0, 22.0
"""Outside diameters [in] between which tyres of such trucks lie; common practice, no source."""


def meant_for_size(text: str) -> str:
    """Return what was meant by a text that is no size, in the words of the field; empty if nobody can tell."""
    plain = text.strip().replace(",", ".")
    if match := TWO_NUMBERS.fullmatch(plain):
        sizes = (tyre_size(f"{match[1]}x{match[2]}R{rim}") for rim in (15, 16))
        return f"the rim is missing: {match[1]}x{match[2]}R15 on a rim of 15 in" if any(sizes) else ""
    if match := ALONE.fullmatch(plain):
        number, unit = float(match[1]), (match[2] or "").lower()
        # 31 cm is no tyre of a truck, 31 in is one.
        if SMALL <= number <= BIG:
            return f"is it outside_diameter: {match[1]} in?"
        factor = {"cm": 10.0, "mm": 1.0}.get(unit, 0.0)
        if SMALL * 25.4 <= number * factor <= BIG * 25.4:
            return f"is it outside_diameter: {match[1]} {unit}?"
    near = near_size(text)
    return f"is it {near}?" if near else ""


def _sensible(size: TyreSize) -> TyreSize | None:
    """Return a size that a tyre can have: its wall must be there."""
    return size if 0.3 < size.diameter < 2.0 and 0.15 < size.aspect < 1.2 else None


def of_diameter(diameter: float) -> TyreSize:
    """Return the size that a tyre of an outside diameter [m] usually has: 0.32 as wide, on a rim of 0.47 (common practice, no source)."""
    return TyreSize(diameter, WIDTH * diameter, RIM * diameter)
