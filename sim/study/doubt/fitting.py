"""Between what lies what is read on a truck after the work, where numbers of it are in doubt."""

from collections.abc import Mapping
from math import isfinite

from sim.describe.parts.vehicle import Vehicle
from sim.errors import InputError, RunError
from sim.study.after_fitting import BOBS, Bands, push, quantities
from sim.study.doubt.standing import DRAWS, doubted_quantities
from sim.study.doubt.study import doubted

DRAWS_OF_BOBS = 32
"""Of pushes, each of which is a run; bobs are counted in halves."""


def fitting_bands(trucks: Mapping[str, Vehicle]) -> Bands:
    """Return the bands of what is read on trucks, by their labels; of one that cannot stand none."""
    _, standing = doubted_quantities(trucks, quantities, DRAWS)
    found = {label: {key: (one.low, one.high) for key, one in own.items()} for label, own in standing.items()}
    for axle in ("front", "rear"):
        measure = f"{axle}_body_cycles"
        try:
            bobs = doubted(trucks, push(axle), [measure], next(iter(trucks)), workers=1, count=DRAWS_OF_BOBS)
        except (RunError, InputError):  # none of them can be pushed so: what stands is said all the same
            continue
        for label, own in bobs.values.items():
            if measure in own and isfinite(own[measure].low):
                found.setdefault(label, {})[axle, BOBS, ""] = own[measure].low, own[measure].high
    return found
