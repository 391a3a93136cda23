"""Loads that are possible, but hardly meant: the same cargo twice, a mass below nothing, a winch between the axles."""

from collections.abc import Collection, Iterator, Mapping
from typing import NamedTuple

from sim.describe.doubt import NO_SOURCE
from sim.describe.files.hardly_meant import Notice, head_of
from sim.describe.files.reader import Document
from sim.describe.parts.vehicle import Vehicle
from sim.describe.shown import show
from sim.describe.usual import HARDLY

NEAR = 0.02
"""Distance [m] along the truck and in height within which two loads lie at the same place; ours, no source."""

LIGHTER = "engine", "lighter", "less", "without", "removed"
"""Words of a load that may well be below nothing."""

AHEAD = "winch", "bumper"
"""Words of a load that is ahead of the front axle, or, at the tail, behind the rear one."""


FARTHEST_AHEAD, FARTHEST_BEHIND = 2.0, 4.0
"""How far ahead of the front axle and behind the rear one [m] a load of such a truck lies at most: bumpers and winches, and a bed's end with a
trailer's hitch; common practice, no source, and wide."""


class Placed(NamedTuple):
    """A load: mass [kg], place behind the front axle and above the ground [m]."""

    mass: float
    behind: float
    above: float


def of(vehicle: Vehicle) -> dict[str, Placed]:
    """Return the loads of a vehicle."""
    return {
        name: Placed(load.mass, load.place.behind_front_axle, load.place.above_ground)
        for name, load in vehicle.loads.items()
    }


def odd_loads(
    loads: Mapping[str, Placed], wheelbase: float, looked_at: Collection[str]
) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Yield the name of each load that is hardly meant, and what is said of it.

    Parameters
    ----------
    loads : mapping of str to Placed
        All that are aboard.
    wheelbase : float
        [m]
    looked_at : collection of str
        Those that somebody wrote: of a pair at one place the later is spoken of.
    """
    before: list[str] = []
    for name, load in loads.items():
        if name not in looked_at:
            continue
        words = name.lower()
        if load.mass < 0.0 and not any(word in words for word in LIGHTER):
            yield (
                name,
                (
                    f"{HARDLY}: a load below nothing lifts the truck",
                    f"given: {show(load.mass, 'mass')}",
                    f"try: {show(-load.mass, 'mass')}, or call it lighter if something was taken off",
                ),
            )
        if 0.0 < load.behind < wheelbase and any(word in words for word in AHEAD):
            yield (
                name,
                (
                    f"{HARDLY}: it would be between the axles",
                    f"given: {show(load.behind, 'length')} behind the front axle",
                    f"usual: ahead of the front axle, with a minus ({NO_SOURCE})",
                    f"try: {show(-load.behind, 'length')}",
                ),
            )
        if load.behind < -FARTHEST_AHEAD or load.behind > wheelbase + FARTHEST_BEHIND:
            ahead = load.behind < 0.0
            yield (
                name,
                (
                    f"{HARDLY}: it would be outside of the truck",
                    f"given: {show(abs(load.behind), 'length')} {'ahead of' if ahead else 'behind'} the front axle",
                    f"usual: up to {show(FARTHEST_AHEAD, 'length')} ahead of it, and up to {show(wheelbase + FARTHEST_BEHIND, 'length')} behind it ({NO_SOURCE})",
                    "try: look at the decimal point and at the unit",
                ),
            )
        twin = next((other for other in before if _together(loads[other], load)), "")
        if twin:
            yield (
                name,
                (
                    f"{HARDLY}: it lies where '{twin}' lies already, so both are aboard",
                    f"given: {show(load.mass, 'mass')} beside {show(loads[twin].mass, 'mass')}: {show(load.mass + loads[twin].mass, 'mass')} there",
                    "try: one of them alone, if they are the same",
                ),
            )
        before.append(name)


def _together(one: Placed, other: Placed) -> bool:
    return abs(one.behind - other.behind) <= NEAR and abs(one.above - other.above) <= NEAR


def odd_loads_of(vehicle: Vehicle, document: Document) -> tuple[Notice, ...]:
    """Return a notice for each load that a file has, and that is hardly meant."""
    written = [name for name in vehicle.loads if ("loads", name, "mass") not in document.estimates]
    found = odd_loads(of(vehicle), vehicle.wheelbase, written)
    return tuple(Notice(("loads", name), head_of(document, ("loads", name)), lines) for name, lines in found)
