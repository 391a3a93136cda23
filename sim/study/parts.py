"""What a list of parts consists of: its lines, and what stays."""

from dataclasses import dataclass
from math import nan


@dataclass(frozen=True)
class Part:
    """One line of the list.

    Attributes
    ----------
    axle : str
        "front", "rear" or empty.
    kind : str
        "coil", "leaf pack", "damper", "strap", "stop", "spacer", "block", "U-bolt", "shackle" or "other".
    count : int
    what, words : str
        What it is, and what is ordered.
    first : str
        What must be measured or decided before; empty if it can be ordered.
    size : float
        Its length, height or thickness [m]; nan where it has none.
    """

    axle: str
    kind: str
    count: int
    what: str
    words: str
    first: str = ""
    size: float = nan


@dataclass(frozen=True)
class PartsList:
    """The parts of a set-up.

    Attributes
    ----------
    order : tuple of Part
    stays, off : tuple of str
        What stays as it was measured, and what comes off, in words.
    offers : tuple of str
        Springs that the set-up does not change, and that another height would ask for.
    """

    order: tuple[Part, ...]
    stays: tuple[str, ...]
    off: tuple[str, ...] = ()
    offers: tuple[str, ...] = ()
