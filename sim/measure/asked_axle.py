"""Which axle a comparison's question is about: its figures are said before those of the other axle."""

from collections.abc import Sequence

from sim.measure.comparison import Comparison
from sim.measure.measure import Measure
from sim.measure.references import bare_springs

AXLES = ("front", "rear")


def axle_asked(comparison: Comparison) -> str:
    """Return the axle that is pushed, else the one that more of the set-ups change; empty where neither is asked for more."""
    by_runs = {run.run.axle_asked for run in comparison.runs.values()}
    if len(by_runs) == 1 and by_runs <= set(AXLES):
        return by_runs.pop()
    changes = getattr(comparison.scenario, "changes", None) or {}
    # Bare springs take out the dampers of both axles, whichever the question is about.
    judged = [setup for setup, run in comparison.runs.items() if not bare_springs(run)]
    own = [changes.get(setup) or {} for setup in judged]
    # What all of them change alike (a load of the case, say) tells none from another, so the question is not about it.
    shared = (
        [path for path in own[0] if all(path in one and one[path] == own[0][path] for one in own)]
        if len(own) > 1
        else []
    )
    roots = [{path.partition(".")[0] for path in one if path not in shared} for one in own]
    counts = {axle: sum(axle in those for those in roots) for axle in AXLES}
    # A load in the bed, or the body, is of both axles: then neither is asked for more than the other.
    if not set().union(*roots) <= set(AXLES) or counts["front"] == counts["rear"]:
        return ""
    return max(AXLES, key=counts.__getitem__)


def asked_first(measures: Sequence[Measure], axle: str) -> tuple[Measure, ...]:
    """Return measures with those of an axle before those that say the same of the other axle; else in their order."""
    ordered = list(measures)
    places = {one.name: place for place, one in enumerate(ordered)}
    for place, one in enumerate(measures):
        end, _, of = one.name.partition("_")
        twin = places.get(f"{axle}_{of}")
        if end in AXLES and end != axle and twin is not None and twin > place:
            ordered[place], ordered[twin] = ordered[twin], ordered[place]
    return tuple(ordered)
