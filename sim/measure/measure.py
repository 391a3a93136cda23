"""One measure: a number that says how a run went, and which way is better."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from sim.integrate.result import Run

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
        Kind of quantity for `sim.describe.units.show`; the value itself is in SI, a share is 0 to 1.
    better : "less", "more" or None
        Which way is better, None where it depends on what is wanted.
    of : callable
        From a run to its value. nan: does not apply to this run. inf: not reached within the run.
    note : str
        How it is taken, and what it does not say.
    many : "lanes", "lane" or "no"
        Of what it can be taken when many set-ups run in a block: of all lanes at once, signals (n, lanes), then it is
        (lanes,); of one lane's signals (n,), which know no energy, springs or straps; or only of a run of its own.
    """

    name: str
    label: str
    quantity: str
    better: Better
    of: Callable[[Run], float]
    note: str
    many: Literal["lanes", "lane", "no"] = "no"
