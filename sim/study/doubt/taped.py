"""Draws of a damper that was taped as the truck stands: wherever its guessed mounts are drawn, it has the length that was taped.

Its upper mount's height follows from that length (`sim.describe.estimates.damper_mounts`). Drawn each for itself a lean, a lower mount, a
tyre's radius and that height would give lengths that the tape rules out, and a damper that fits would be said to run into its ends.
"""

from collections.abc import Mapping
from math import sqrt
from typing import NamedTuple

from sim.describe.estimates.damper_mounts import OF_TAPED, OFF_TAPED
from sim.describe.parts.dampers.damper_set import DamperSet
from sim.describe.parts.vehicle import Vehicle
from sim.lower.stance import axle_stances


class Taped(NamedTuple):
    """A damper set of which an upper mount's place follows from its length as taped.

    Attributes
    ----------
    axle, name : str
    path : str
        Of the place: its height, or how far it is behind the front axle where the height was taped too.
    length : float
        As taped [m].
    place, off : float
        The place as it is centrally, and how far off it is drawn where the tape is off by one [m, m/m].
    """

    axle: str
    name: str
    path: str
    length: float
    place: float
    off: float = 1.0

    @property
    def is_height(self) -> bool:
        """Whether it is the mount's height."""
        return self.path.endswith(".above_ground")


def taped(vehicle: Vehicle) -> tuple[Taped, ...]:
    """Return the damper sets of a set-up that were taped as the truck stands, and have but guessed mounts."""
    estimates = [one for one in vehicle.estimates if one.of == OF_TAPED]
    if not estimates:
        return ()
    heights = _heights(vehicle.reference)
    found = []
    for one in estimates:
        axle, _, name, *_ = one.path.split(".")
        damper = dict(vehicle.axles)[axle].dampers.get(name)
        if damper is not None:
            rise = damper.body.above_ground - heights[axle] - damper.axle.above
            length = sqrt(rise**2 + _level(vehicle, axle, damper))
            made = Taped(axle, name, one.path, length, damper.body.above_ground)
            # What is drawn of a place along the truck says how far the tape is off, in its share of what it may be off.
            along = made._replace(place=damper.body.behind_front_axle, off=one.half / OFF_TAPED)
            found.append(made if made.is_height else along)
    return tuple(found)


def as_taped(drawn: Vehicle, measured: Vehicle, those: tuple[Taped, ...]) -> dict[str, float]:
    """Return where the upper mounts of a drawn set-up are [m], by path, so that each damper is as long as taped.

    Parameters
    ----------
    drawn : Vehicle
        With every number drawn for itself: how far a mount's height is then from its central value is how far the tape is off.
    measured : Vehicle
        The truck as measured with the same draw; it says how high the axles are.
    those : tuple of Taped
        Of the set-up as it is centrally.

    Raises
    ------
    RunError
        If the drawn truck cannot stand.
    """
    heights = _heights(measured)
    found = {}
    for one in those:
        damper = dict(drawn.axles)[one.axle].dampers[one.name]
        at = damper.body.above_ground if one.is_height else damper.body.behind_front_axle
        length = one.length + (at - one.place) / one.off
        if one.is_height:
            # As the estimate itself: a damper that would lie flat is held up.
            rise = sqrt(max(length**2 - _level(drawn, one.axle, damper), (0.5 * length) ** 2))
            found[one.path] = heights[one.axle] + damper.axle.above + rise
            continue
        rise = damper.body.above_ground - heights[one.axle] - damper.axle.above
        along = sqrt(max(length**2 - rise**2 - damper.lean_inward**2, 0.0))
        lower = drawn.axle_behind_front_m(one.axle) - damper.axle.ahead
        found[one.path] = lower + (along if one.axle == "front" else -along)
    return found


def _heights(vehicle: Vehicle) -> Mapping[str, float]:
    return {axle: stance.centre_height for axle, stance in axle_stances(vehicle).items()}


def _level(vehicle: Vehicle, axle: str, damper: DamperSet) -> float:
    """Return the square of the level distance between both mounts [m²]."""
    along = damper.body.behind_front_axle - vehicle.axle_behind_front_m(axle) + damper.axle.ahead
    return float(along**2 + damper.lean_inward**2)
