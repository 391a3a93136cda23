"""What a set-up comes to that nothing is compared with: those of its figures that say something by themselves."""

from collections.abc import Iterable, Mapping
from math import isnan

from sim.measure.change import noticed_of
from sim.measure.comparison import Comparison
from sim.measure.measure import Block, Kind, Measure


def alone(
    comparison: Comparison, by_block: Mapping[Block, Iterable[Measure]], setup: str, kind: Kind
) -> tuple[tuple[Measure, float], ...]:
    """Return the measures that have words for one truck, with their values [SI], of each block that of the axle that does more.

    What nobody would notice is left out; so is all that a run has left behind that blew up.
    """
    if any(flag.kind == "not_finite" for flag in comparison.runs[setup].flags):
        return ()
    values, found = comparison.values[setup], []
    for measures in by_block.values():
        known = [
            (one, values[one.name].value)
            for one in measures
            # Infinite is an answer too: it does not settle.
            if one.carries and one.carries.says_alone(kind) and one.name in values and not isnan(values[one.name].value)
        ]
        most = max(known, key=lambda pair: pair[1], default=None)
        if most and most[1] >= noticed_of(most[0]).floor:
            found.append(most)
    return tuple(found)
