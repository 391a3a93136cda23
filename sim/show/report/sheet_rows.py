"""Lines of the order sheet: metric and inch beside each other, or a blank to fill in."""

from dataclasses import dataclass, field
from math import isfinite

from sim.describe.shown import show

BLANK = "__________"


@dataclass(frozen=True)
class Row:
    """One line of the sheet.

    Attributes
    ----------
    section, label : str
    metric, inch : str
        The value; `inch` is empty where the trade has one unit only.
    table : tuple of (str, str)
        Column and line of the table of forces in which the page shows it; empty if it stands alone.
    """

    section: str
    label: str
    metric: str
    inch: str = ""
    table: tuple[str, ...] = ()


@dataclass
class Rows:
    """A sheet that is being filled."""

    made: list[Row] = field(default_factory=list)

    @staticmethod
    def both(value: float, quantity: str) -> tuple[str, str]:
        """Return a value as metric and inch texts with their units; blanks if it is not known."""
        # A blank can be filled in by hand; a nan on an order would be asked about.
        if not isfinite(value):
            return BLANK, BLANK
        metric, _, inch = show(value, quantity).partition(" (")
        return metric, inch.rstrip(")")

    def add(self, section: str, label: str, metric: str = BLANK, inch: str = "", table: tuple[str, ...] = ()) -> None:
        """Add a line of text; left out, the value is a blank."""
        self.made.append(Row(section, label, metric, inch, table))

    def add_value(self, section: str, label: str, value: float, quantity: str) -> None:
        """Add a number in both unit systems."""
        metric, inch = self.both(value, quantity)
        # One blank to fill in is enough.
        self.add(section, label, metric, inch if metric != BLANK else "")
