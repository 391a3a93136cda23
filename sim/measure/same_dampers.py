"""Set-ups that differ from the reference by how many of the same damper an axle has: their damping goes by the number."""

from collections.abc import Mapping
from dataclasses import dataclass

from sim.describe.parts.dampers.damper_set import DamperSet
from sim.describe.parts.vehicle import Vehicle


@dataclass(frozen=True)
class Counted:
    """An axle that has the dampers of the reference, and more or fewer of them.

    Attributes
    ----------
    axle : str
    count, before : int
        Dampers of the set-up and of the reference.
    """

    axle: str
    count: int
    before: int


def counted(setups: Mapping[str, Vehicle], reference: str) -> dict[str, tuple[Counted, ...]]:
    """Return by set-up the axles whose damper sets differ from the reference's in their count alone; set-ups without such are left out.

    Parameters
    ----------
    setups : mapping of str to Vehicle
    reference : str
    """
    if reference not in setups:
        return {}
    own = dict(setups[reference].axles)
    found = {}
    for name, vehicle in setups.items():
        changed = [one for axle, part in vehicle.axles if (one := _of(axle, own[axle].dampers, part.dampers))]
        if name != reference and changed:
            found[name] = tuple(changed)
    return found


def _of(axle: str, before: Mapping[str, DamperSet], after: Mapping[str, DamperSet]) -> Counted | None:
    if before.keys() != after.keys():
        return None
    # Only what damps must be the same: mounts may have moved apart to make room.
    if any(before[name].valving != after[name].valving for name in before):
        return None
    one, two = (sum(each.count for each in sets.values()) for sets in (before, after))
    return Counted(axle, two, one) if one != two and one and two else None
