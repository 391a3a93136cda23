"""What stands in a cell of the table, with signs that the stream can carry."""

from dataclasses import dataclass
from math import isinf, isnan

from sim.describe.shown import show, show_parts
from sim.measure import Measure
from sim.measure.table import Value

MOST_DIGITS = 9
"""A longer number is shortened to three digits and a power of ten."""


@dataclass(frozen=True)
class Signs:
    """Signs of the table.

    Attributes
    ----------
    worst, nothing, doubt : str
        Worst of a row; does not apply; numerical error too large.
    encoding : str
        What the stream is written in.
    """

    worst: str
    nothing: str
    doubt: str
    encoding: str

    def said(self, text: str) -> str:
        """Return text in letters that the stream has."""
        # A stream that lacks the sign of the worst may lack superscripts and long dashes too: plain ASCII, say.
        simpler = text if self.worst == FULL.worst else text.replace("²", "2").replace("–", "-").replace("−", "-")
        return simpler.encode(self.encoding, "replace").decode(self.encoding)


FULL = Signs("◄", "–", "~", "utf-8")


def signs(encoding: str | None) -> Signs:
    """Return the signs for a stream of this encoding; ASCII if it has none or an unknown one."""
    known = encoding or "ascii"
    try:
        # Tried with the signs themselves: Windows' cp1252 has the dash and not the triangle.
        (FULL.worst + FULL.nothing).encode(known)
    except LookupError:
        return Signs("<", "-", "~", "ascii")
    except UnicodeEncodeError:
        return Signs("<", "-", "~", known)
    return Signs(FULL.worst, FULL.nothing, FULL.doubt, known)


def label(measure: Measure) -> str:
    """Return a measure's label with its units: `Front bump travel used [mm (in)]`."""
    units = [unit for _, unit in show_parts(1.0, measure.quantity) if unit]
    if not units:
        return measure.label
    return f"{measure.label} [{units[0]}]" if len(units) == 1 else f"{measure.label} [{units[0]} ({units[1]})]"


def decimals_of_a_band(size: float, quantity: str) -> int:
    """Return with how many decimals the ends of a band are written whose larger one has this size, in the unit that is shown.

    As many as its width is worth; what is counted is whole: no hits and three hits.
    """
    if quantity == "count":
        return 0
    return next((decimals for decimals, least in enumerate((100.0, 10.0, 1.0, 0.1)) if size >= least), 4)


def cell(value: Value | None, measure: Measure, sign: Signs) -> str:
    """Return a value in both unit systems without its units, with its sign of doubt."""
    if value is None or isnan(value.value):
        text = sign.nothing
    elif isinf(value.value):
        # inf is a measure's word for: not reached within the run.
        text = "never" if value.value > 0.0 else "-never"
    else:
        text = _numbers(value.value, measure.quantity)
    # The doubt stands in front: figures stay in line at their right end, where the sign of the worst comes.
    return sign.doubt + text if value is not None and value.flagged else text


def _numbers(value: float, quantity: str) -> str:
    parts = show_parts(value, quantity)
    text = show(value, quantity)
    for _, unit in parts:
        # The row's label already has the units; in every cell they would take the room of a set-up.
        text = text.replace(f" {unit}", "") if unit else text
    # Two letters more for the brackets around the inch figure.
    if max(map(len, text.split())) <= MOST_DIGITS + 2:
        return text
    short = [f"{number:.2e}" for number, _ in parts]
    return short[0] if len(short) == 1 else f"{short[0]} ({short[1]})"
