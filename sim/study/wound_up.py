"""Dampers that have room as a truck stands, and none once the housing winds up: an order counts on that, a truck at rest does not."""

from collections.abc import Iterator

from sim.describe.parts.vehicle import Vehicle
from sim.describe.shown import show
from sim.integrate.channels import line_length
from sim.integrate.damper_room import WITH_WIND_UP, room_in_bump, room_in_droop
from sim.kernel import layout as at
from sim.linear.damper_ends import is_known
from sim.linear.droop import droop
from sim.lower.lowering import lower
from sim.lower.rest import rest


def short_when_wound_up(vehicle: Vehicle) -> Iterator[str]:
    """Yield a sentence for each damper end that is clear of the travel as the truck stands, and is met with the housing wound up.

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
            squeezed = line_length(setup, line, axle.stop.gap + axle.stop.squeeze, wind_up)
            room = squeezed - part.length_collapsed, room_in_bump(setup, line, ride)
            ends.append(("collapsed", "squeezed bump stop", room))
        if end.place and part.length_extended is not None:
            room = (
                part.length_extended - line_length(setup, line, end.jounce, wind_up),
                room_in_droop(setup, line, ride, end.jounce),
            )
            ends.append(("extended", "end of droop", room))
        for own, place, (still, wound) in ends:
            if still >= 0.0 > wound and is_known(vehicle, line.axle, line.name, own):
                yield (
                    f"{line.axle} damper '{line.name}' has {show(still, 'length')} left at the {place} as the truck stands, and is "
                    f"{show(-wound, 'length')} short{WITH_WIND_UP}, as jounce sheet orders it"
                )
