"""Axles of which a lift has taken most of the droop: what is left of it, and how much longer straps and dampers give it back."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from sim.describe.parts.vehicle import Vehicle
from sim.describe.shown import show
from sim.errors import JounceError
from sim.linear.droop import STRAP
from sim.linear.standing import AxleStanding, Standing, stand

LEAST = 0.25
"""Share of the droop as measured below which most of it is gone; ours, no source."""


@dataclass(frozen=True)
class LittleDroop:
    """An axle that has little of its droop left.

    Attributes
    ----------
    before, after : float
        Droop left as the truck was measured, and as it is set up [m].
    strap : bool
        Whether limit straps end it.
    up : float
        How far the frame has come up over the axle [m]: straps as much longer leave the droop that there was.
    strokes : mapping of str to float
        Of each damper set how far it is drawn out by that [m]: as much longer, extended, it goes with such straps.
    empty : bool
        Whether that is without loads which the set-up brings along.
    """

    before: float
    after: float
    strap: bool
    up: float
    strokes: Mapping[str, float]
    empty: bool = False

    @property
    def left(self) -> str:
        """What is left, in words."""
        return f"those fitted leave {show(self.after, 'length')} of droop{' without the loads of this set-up' if self.empty else ''}"


def of_axle(before: AxleStanding, after: AxleStanding) -> LittleDroop | None:
    """Return what an axle lacks of its droop; None where it has kept a quarter or more, or nobody knows."""
    if not after.droop_left < LEAST * before.droop_left:
        return None
    strokes = {
        new.name: old.stroke_left_out - new.stroke_left_out
        for old in before.dampers
        for new in after.dampers
        if old.name == new.name
    }
    return LittleDroop(
        before.droop_left, after.droop_left, after.droop.place == STRAP, before.jounce - after.jounce, strokes
    )


def of_standing(before: Standing, after: Standing) -> dict[str, LittleDroop]:
    """Return the axles that have little of their droop left, by their names."""
    found = {axle: of_axle(before.axles[axle], after.axles[axle]) for axle in after.axles}
    return {axle: one for axle, one in found.items() if one is not None}


def little_droop(vehicle: Vehicle) -> dict[str, LittleDroop]:
    """Return the axles of a set-up that have little of their droop left, against the truck as measured.

    Without the loads that the set-up brings along: the truck is driven home empty too, and stands highest then.
    """
    measured = vehicle.reference
    away = {f"loads.{load}": "none" for load in vehicle.loads if load not in measured.loads}
    try:
        found = of_standing(stand(measured), stand(vehicle.changed(away) if away else vehicle))
    except JounceError:  # it cannot stand empty, which is said where that is asked
        return {}
    return {axle: replace(one, empty=bool(away)) for axle, one in found.items()}
