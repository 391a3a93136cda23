"""What a number that is out of the usual would be if one of the usual slips were behind it: another unit, a digit, a radius for a diameter."""

from sim.describe.doubt import without_doubt
from sim.describe.notations import NUMBER, one_number
from sim.describe.unit_factors import USUAL
from sim.describe.usual import OTHER_UNITS, Usual

DIGITS = (
    (0.1, "a digit too many, or a decimal point too far right"), (10.0, "a digit too few, or a decimal point too far left"),
)  # fmt: skip


def slip(written: str, value: float, si: str, usual: Usual, digits: bool) -> str:
    """Return what the value would be if one of the usual slips were behind it; empty if none brings it within the range."""
    match = NUMBER.match(without_doubt(one_number(written, length=si == "m")))
    if match is None:
        return ""
    number, unit = abs(float(match[1])), match[2]
    for factor, words in usual.slips:
        if usual.low <= abs(value) * factor <= usual.high:
            return f"{_short(number * factor)} {unit} would be usual: it looks like {words}"
    within = [
        f"{match[1].lstrip('+-')} {other}"
        for other, factor in OTHER_UNITS.get(si, ())
        if other != unit and usual.low <= number * factor <= usual.high
    ]
    if within:
        return f"{' or '.join(within[:2])} would be usual: look at the unit"
    for factor, words in DIGITS if digits else ():
        if usual.low <= abs(value) * factor <= usual.high:
            return f"{_short(number * factor)} {unit} would be usual: {words}"
    return ""


def _short(number: float) -> str:
    return f"{number:.6g}"


def slip_of_text(written: str, usual: Usual) -> str:
    """Return the same of a text alone, past the limits of its key; empty if its unit is not one of the usual ones."""
    match = NUMBER.match(without_doubt(one_number(written, length=True)))
    si = next((si for si, factors in USUAL.items() if match and match[2] in factors), "")
    return slip(written, float(match[1]) * USUAL[si][match[2]], si, usual, digits=True) if match and si else ""
