"""What an estimate is: a rule for a number that nobody gave, and the number that comes of it on one truck."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple

from sim.describe.doubt import GUESS
from sim.describe.estimates.truck import IN_INCHES, Truck, estimate_text, shown_in_inches

Place = tuple[str, ...]


class Where(NamedTuple):
    """Which of several parts of a kind is meant: its axle, and its name where it has one."""

    axle: str = ""
    name: str = ""


@dataclass(frozen=True)
class Worth:
    """A value that a rule finds for one truck.

    Attributes
    ----------
    value : float
        In SI.
    half : float
        How far off it may be, 95 times in 100 [SI]; 0 where the place of a part decides little and has no doubt of its own.
    of : str
        What it was computed from on this truck, where that differs from what the rule says.
    source : str
        As the rule's, where this truck's numbers come another way.
    """

    value: float
    half: float
    of: str = ""
    source: str = ""


@dataclass(frozen=True)
class Rule:
    """How a number is estimated where nobody gives it.

    Attributes
    ----------
    path : str
        Where it is filled in; `{axle}` and `{name}` stand for every axle, and for every spring, damper set or load of the
        mapping before it.
    label : str
        What it is, in words.
    quantity : str
        Its kind, a key of `describe.shown.SHOWN`.
    of : str
        What it is computed from.
    value : callable
        From the truck as far as it is known and the part that is meant to its `Worth`; None where the rule has nothing to say.
    reach : str
        For which trucks it is valid.
    source : str
        Publication, "common practice, no source", or "a guess of ours, no source".
    page : str
        Page of docs/measure that says how to measure it instead.
    exact : bool
        It is arithmetic of what was measured, and written to more digits than its doubt is worth, so that the sum comes out.
    """

    path: str
    label: str
    quantity: str
    of: str
    value: Callable[[Truck, Where], Worth | None]
    reach: str
    source: str
    page: str
    exact: bool = False


@dataclass(frozen=True)
class Estimate:
    """One number of one truck that nobody gave.

    Attributes
    ----------
    path : str
        Where it stands, as a set-up writes it.
    label, quantity, of, reach, source, page
        As in `Rule`, in the words of this truck.
    value, half : float
        As in `Worth` [SI].
    written : str
        As it is filled in, with its unit and its spread: "about 244 N/mm +- 60 N/mm".
    """

    path: str
    label: str
    quantity: str
    value: float
    half: float
    written: str
    of: str
    reach: str
    source: str
    page: str

    @property
    def is_guess(self) -> bool:
        """Whether nothing but a guess of ours stands behind it, so that it is to be measured first."""
        return self.source == GUESS

    @property
    def source_said(self) -> str:
        """Where it comes from; of a guess with the page that says how to measure it."""
        return f"{self.source}: measure it first, docs/measure/{self.page}" if self.is_guess else self.source

    @property
    def shown(self) -> str:
        """As `written`, in the units that are shown now: where both are, in those of whoever measured the truck."""
        inches = shown_in_inches(bool(IN_INCHES.search(self.written)))
        # Its own text wherever that will do, to its own digits.
        if inches == bool(IN_INCHES.search(self.written)) or self.quantity in ("count", "number"):
            return self.written
        return estimate_text(self.value, self.half, self.quantity, inches)

    @property
    def place(self) -> Place:
        """Its path step by step."""
        return tuple(self.path.split("."))
