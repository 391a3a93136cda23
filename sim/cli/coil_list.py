"""A coil as somebody types it in one line: its wire, its mean diameter and its active turns, one after the other."""

import re

from sim.describe.estimates.truck import read_si
from sim.describe.notations import in_a_list

FORM = "wire, mean diameter (outside less one wire) and active turns (all turns less those that lie on their seats)"
"""How the list is written."""

LIST = "0.63 in wire, 5.5 in, 8.5 turns"
"""Such a list."""

KEYS = ("wire_diameter", "coil_diameter", "active_coils")

WORDS = re.compile(r"\b(?:wire|mean|across|diameter|active|turns?|coils?)\b", re.IGNORECASE)
"""Words beside the values, which say what their order says."""


def is_coil_list(text: str) -> bool:
    """Tell whether a coil's dimensions are meant, and no rate: that may have a comma too, `40,000 N/m` or, wrongly, `33,5 N/mm`."""
    values = _values(text)
    rate = any(read_si(one, "stiffness") is not None for one in (text, values[-1]))
    return not rate and read_si(values[0], "length") is not None


def coil_list(text: str) -> dict[str, str]:
    """Return what a list says, by the key of a coil; a wire is thinner than its turns are wide, whichever of the two comes first.

    Raises
    ------
    ValueError
        If it is no such list.
    """
    values = _values(text)
    lengths = [read_si(one, "length") for one in values[:2]]
    point = in_a_list(text)
    if len(values) != 3 or None in lengths or re.fullmatch(r"\d+(?:\.\d+)?", values[2]) is None:
        raise ValueError(
            f"{f'a comma parts the values, so a decimal comma is a point, write {point}; ' if point else ''}this is not the list of a coil, which is {FORM}"
        )
    thin, wide = sorted(values[:2], key=lambda one: read_si(one, "length") or 0.0)
    return dict(zip(KEYS, (thin, wide, values[2]), strict=True))


def _values(text: str) -> list[str]:
    return [" ".join(WORDS.sub(" ", one).split()) for one in text.split(",")]
