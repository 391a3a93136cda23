"""Dampers that have room as a truck stands, and none once the housing winds up: an order counts on that, a truck at rest does not."""

from collections.abc import Callable, Iterator, Mapping
from typing import NamedTuple

from sim.describe.parts.vehicle import Vehicle
from sim.describe.shown import show
from sim.describe.to_measure import estimated, listed
from sim.errors import RunError
from sim.integrate.damper_room import WITH_WIND_UP, room_in_bump, room_in_droop
from sim.integrate.line_lengths import line_length
from sim.kernel import layout as at
from sim.linear.damper_ends import is_known
from sim.linear.doubt_of_room import doubt_of_room
from sim.linear.droop import FREE_COIL, droop
from sim.lower.lowering import lower
from sim.lower.rest import rest


def said_of(setups: Mapping[str, Vehicle], sentences: Callable[[Vehicle], Iterator[str]]) -> dict[str, list[str]]:
    """Return the sentences that something says of set-ups, each with those of which it is so; one that cannot stand is left out."""
    said: dict[str, list[str]] = {}
    for name, vehicle in setups.items():
        try:
            for text in sentences(vehicle):
                said.setdefault(text, []).append(name)
        except RunError:
            continue
    return said


class WoundUp(NamedTuple):
    """A damper end that is met with the housing wound up: its axle, the fault in a few words, and in a sentence."""

    axle: str
    words: str
    sentence: str


def short_when_wound_up(vehicle: Vehicle) -> Iterator[str]:
    """Yield the sentences of `met_when_wound_up`."""
    return (one.sentence for one in met_when_wound_up(vehicle))


def met_when_wound_up(vehicle: Vehicle) -> Iterator[WoundUp]:
    """Yield each damper end that is clear of the travel as the truck stands, and is met with the housing wound up.

    What is met as it stands is a flag (`sim.linear.standing_flags`). An end that was estimated is not judged.

    Raises
    ------
    RunError
        If it cannot stand.
    """
    setup = lower(vehicle)
    standing = rest(setup)
    for line in setup.lines:
        if line.role != "damper" or not setup.axles[line.axle].wind_up_free:
            continue
        index = ("front", "rear").index(line.axle)
        ride, wind_up = (float(standing.state[place + 2 * index]) for place in (at.JOUNCE, at.WIND_UP))
        axle = dict(vehicle.axles)[line.axle]
        part = axle.dampers[line.name]
        end = droop(setup, standing, line.axle)
        ends = []
        if axle.stop is not None and part.length_collapsed is not None:
            at_end = axle.stop.gap + axle.stop.squeeze
            squeezed = line_length(setup, line, at_end, wind_up)
            room = squeezed - part.length_collapsed, room_in_bump(setup, line, ride)
            ends.append(("collapsed", "squeezed bump stop", at_end, room))
        # Where a loose coil asks for a strap, that is a flag, and the strap is set to the damper.
        if end.place not in ("", FREE_COIL) and part.length_extended is not None:
            room = (
                part.length_extended - line_length(setup, line, end.jounce, wind_up),
                room_in_droop(setup, line, ride, end.jounce),
            )
            ends.append(("extended", "end of droop", end.jounce, room))
        for own, place, at_end, (still, wound) in ends:
            if still >= 0.0 > wound and is_known(estimated(vehicle), line.axle, line.name, own):
                doubt = doubt_of_room(setup, line, own, ride, at_end)
                left = f"{line.axle} damper '{line.name}' has {show(still, 'length')} left at the {place} as the truck stands, and"
                may = wound + doubt.half > 0.0
                ended = "solid" if own == "collapsed" else "fully out"
                words = f"damper '{line.name}' {'may be' if may else 'is'} {ended} before the {place}{WITH_WIND_UP}"
                if may:
                    said = (
                        f"{left} may be short{WITH_WIND_UP}: as far as estimates say by {show(-wound, 'length')}, {show(doubt.half, 'length')} more or "
                        f"less; measure {listed(doubt.measure)}. jounce sheet orders it with that wind-up"
                    )
                else:
                    said = f"{left} is {show(-wound, 'length')} short{WITH_WIND_UP}, as jounce sheet orders it"
                yield WoundUp(line.axle, words, said)
