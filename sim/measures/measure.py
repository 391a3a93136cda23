"""One measure: a number that says how a run went, and which way is better."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from sim.result import Run

Better = Literal["less", "more"] | None


@dataclass(frozen=True)
class Measure:
    """A named number of a run.

    Attributes
    ----------
    name : str
        Its key in tables and files, the same in every run that has it.
    label : str
        What people read.
    quantity : str
        Kind of quantity for `sim.units.show`; the value itself is in SI, a share is 0 to 1.
    better : "less", "more" or None
        Which way is better, None where it depends on what is wanted.
    of : callable
        From a run to its value. nan: does not apply to this run. inf: not reached within the run.
    note : str
        How it is taken, and what it does not say.
    """

    name: str
    label: str
    quantity: str
    better: Better
    of: Callable[[Run], float]
    note: str
