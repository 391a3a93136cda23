"""A leaf pack as somebody types it in one line: its leaves, one value after the other."""

import re

from sim.describe.estimates.truck import read_si
from sim.describe.notations import in_a_list

FORM = (
    "number of leaves, those of full length (left out where nobody counted them), width, thickness, then both halves, each from its eye to the nearer U-bolt, "
    "or one whole length from eye to eye (left out where nobody taped it) and with it, if known, what the U-bolts hold of it: held 100 mm"
)
"""How the list is written."""

UNKNOWN = ("", "?", "-")
"""What stands for a value that somebody has not."""

COUNT = re.compile(r"(\d+)(?:\s+(?:of\s+)?(?:full(?:[\s-]*length)?|leaf|leaves))*", re.IGNORECASE)
"""A count of leaves: 7, 7 leaves, 2 full length."""

HELD = re.compile(r"(?:held|clamped|u-?bolts?(?:\s+hold)?)\s+(.*)", re.IGNORECASE)
"""How much of its length the U-bolts hold, which does not bend."""

_UNIT = re.compile(r"[^\W\d_]+$|[\"'″′]+$")
"""The unit at the end of a length."""

_BARE = re.compile(r"\d+(?:\.\d+)?")

SECTION = ("leaf_width", "leaf_thickness")
LENGTHS = ((), ("length",), ("halves.ahead", "halves.behind"))


def is_leaf_list(text: str) -> bool:
    """Tell whether values of a pack are meant, and no rate: a rate may have a comma too, `40,000 N/m` or, wrongly, `12,5 N/mm`."""
    values = _values(text)
    return len(values) > 1 and read_si(text, "stiffness") is None and read_si(values[-1], "stiffness") is None


def leaf_list(text: str) -> dict[str, str]:
    """Return what a list says, by the key of a leaf pack.

    Counts have no unit and lengths have one, so that the list may be shorter without being taken for another; a leaf is wider than
    thick, whichever of the two comes first.

    Raises
    ------
    ValueError
        If it is no such list.
    """
    values = _values(text)
    while len(values) > 1 and values[-1] in UNKNOWN:
        values.pop()
    held = [match[1] for one in values if (match := HELD.fullmatch(one))]
    values = [one for one in values if not HELD.fullmatch(one)]
    counts = [match[1] for one in values[:2] if (match := COUNT.fullmatch(one))]
    unknown = len(counts) == 1 and len(values) > 1 and values[1] in UNKNOWN
    lengths = values[len(counts) + unknown :]
    bare = next((one for one in lengths if _BARE.fullmatch(one)), "")
    if bare and counts:
        point = in_a_list(text)
        raise ValueError(
            f"{f'write {point}: ' if point else ''}'{bare}' has no unit: every width, thickness and length has its own, {bare} mm or {bare} in. A comma parts the values, so a decimal comma is "
            "written as a point, 7.5 mm. The list is written so"
        )
    of_whole = next((keys for keys in LENGTHS if len(keys) + len(SECTION) == len(lengths)), None)
    if not counts or not COUNT.fullmatch(values[0]) or of_whole is None or any(one in UNKNOWN for one in lengths):
        raise ValueError(f"{len(values)} values are not the list of a leaf pack, which is {FORM}")
    if held and (len(held) > 1 or of_whole != ("length",)):
        raise ValueError(
            f"'held {held[0]}' is what the U-bolts hold of a length eye to eye, and goes behind that once; both halves end at the U-bolts. The list is {FORM}"
        )
    width, thickness = (read_si(one, "length") for one in lengths[:2])
    if width is not None and thickness is not None and width < thickness:
        lengths[:2] = lengths[1::-1]
    keys = (*("leaves", "full_length_leaves")[: len(counts)], *SECTION, *of_whole)
    return {
        **dict(zip(keys, (*counts, *lengths), strict=True)),
        **dict.fromkeys(("clamped",) if held else (), "".join(held)),
    }


def whole(found: dict[str, str]) -> str:
    """Return how a list of both halves, taped to the centre bolt, is written as one length and what is held of it, in the unit of the first.

    4 in (100 mm) between the U-bolts, as the example of a list has it.
    """
    ahead, behind = (found[f"halves.{way}"] for way in ("ahead", "behind"))
    lengths = [read_si(one, "length") for one in (ahead, behind)]
    unit = _UNIT.search(ahead)
    each = read_si(f"1 {unit[0]}", "length") if unit else None
    held = "held 100 mm" if unit and unit[0] in ("mm", "cm", "m") else "held 4 in"
    if None in lengths or not unit or not each:
        return f"{ahead} and {behind} together, {held}"
    return f"{sum(one for one in lengths if one) / each:.6g}{' ' if unit[0].isalpha() else ''}{unit[0]}, {held}"


def turned_round(text: str, found: dict[str, str]) -> bool:
    """Tell whether a list had its thickness before its width."""
    values = _values(text)
    return values.index(found["leaf_thickness"]) < values.index(found["leaf_width"])


def _values(text: str) -> list[str]:
    return [one.strip() for one in text.split(",")]
