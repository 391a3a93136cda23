"""Gaps to a bump stop that a set-up writes where it also stands higher or lower: they count from the height as measured."""

from collections.abc import Iterator

from sim.describe.parts.vehicle import Vehicle
from sim.describe.shown import show
from sim.kernel import layout as at
from sim.lower.lowering import lower
from sim.lower.rest import rest

LEAST = 0.010
"""Change of height [m] from which on it is worth a word; ours, no source."""


def gaps_after_lift(vehicle: Vehicle) -> Iterator[str]:
    """Yield a sentence for each axle whose stop gap is this set-up's own, and which does not stand where it was measured.

    Raises
    ------
    RunError
        If it cannot stand.
    """
    measured = dict(vehicle.reference.axles)
    own = [
        (name, axle.stop.gap)
        for name, axle in vehicle.axles
        if axle.stop is not None
        and (before := measured[name].stop) is not None
        and abs(axle.stop.gap - before.gap) > 1e-6
    ]
    if not own:
        return
    state = rest(lower(vehicle)).state
    for name, gap in own:
        up = -float(state[at.JOUNCE + 2 * ("front", "rear").index(name)])
        if abs(up) < LEAST:
            continue
        higher = f"{show(abs(up), 'length')} {'higher' if up > 0.0 else 'lower'}"
        left = gap + up
        # What was meant as the gap of the lifted truck is less by the lift.
        meant = gap - up
        other = f"; if {show(gap, 'length')} are wanted there, write {show(meant, 'length')}" if meant > 0.0 else ""
        yield (
            f"{name}.stop.gap {show(gap, 'length')} counts from the height as measured; the truck stands {higher} there, so "
            f"{show(left, 'length')} are left to the stop as it stands{other}"
        )
