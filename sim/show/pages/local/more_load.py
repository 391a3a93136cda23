"""More load in the bed, of all set-ups of the page alike: added to what the truck and its set-ups carry themselves, and said so."""

from collections.abc import Iterable, Mapping
from typing import Any

from sim.describe.estimates.as_measured import LOADS_OF_PEOPLE
from sim.describe.files.odd_loads import NEAR
from sim.describe.parts.body import Load
from sim.describe.parts.vehicle import Vehicle
from sim.describe.shown import show, show_short
from sim.describe.to_measure import listed

NAMES = ("in the bed", "more in the bed", "more in the bed yet")
"""What the load is called in set-ups: the first name that neither the truck nor one of its set-ups has, as it is added to those."""


def loaded(vehicle: Vehicle, typed: str, rows: Iterable[Mapping[str, Any]] = ()) -> dict[str, Any]:
    """Return the change that puts a load into the bed: over the place of that name, or over the rear axle.

    Parameters
    ----------
    vehicle : Vehicle
        The truck as typed.
    typed : str
        The mass; empty: none.
    rows : iterable of mapping
        The set-ups, each with its changes by path.
    """
    if not typed.strip():
        return {}
    bed = vehicle.points.get("bed")
    behind = bed.behind_front_axle if bed else vehicle.wheelbase
    above = bed.above_ground if bed else vehicle.body.centre_of_gravity.above_ground
    place = {"behind_front_axle": f"{behind!r} m", "above_ground": f"{above!r} m"}
    taken = {path.split(".")[1] for row in rows for path in row.get("changes") or {} if path.startswith("loads.")}
    name = next((one for one in NAMES if one not in taken | vehicle.loads.keys()), NAMES[-1])
    return {f"loads.{name}": {"mass": typed.strip(), "place": place}}


def more_load_words(base: Vehicle, load: Mapping[str, Any], setups: Mapping[str, Vehicle]) -> list[str]:
    """Return sentences on what is added to what: beside the cargo that the truck and set-ups carry themselves; none where nothing is added.

    Parameters
    ----------
    base : Vehicle
        The truck as typed, without the load.
    load : mapping
        The change that adds it (`loaded`).
    setups : mapping of str to Vehicle
        By name, with the load.
    """
    if not load or not setups:
        return []
    name = next(iter(load)).partition(".")[2]
    own = {
        setup: {key: one for key, one in vehicle.loads.items() if _cargo(key, name)}
        for setup, vehicle in setups.items()
    }
    more = next(iter(setups.values())).loads.get(name)
    if more is None:
        return []
    said = [
        f"{show(more.mass, 'mass')} is added to every set-up, {show_short(more.place.behind_front_axle, 'length', (0, 1))} behind the front axle."
    ]
    for setup, loads in own.items():
        if not loads:
            continue
        whole = show(more.mass + sum(one.mass for one in loads.values()), "mass")
        carried = listed([f"{key} {show(one.mass, 'mass')}" for key, one in loads.items()])
        text = f"“{setup}” carries {carried} of its own: with it {whole} of load."
        if twins := [key for key, one in loads.items() if _together(one, more)]:
            # By their names, as they are written.
            text += f" “{'” and “'.join(twins)}” {'lies' if len(twins) == 1 else 'lie'} at the same place: if it is the same cargo, empty this box."
        said.append(text)
    return said


def _cargo(name: str, added: str) -> bool:
    return name != added and name not in LOADS_OF_PEOPLE


def _together(one: Load, other: Load) -> bool:
    return (
        abs(one.place.behind_front_axle - other.place.behind_front_axle) <= NEAR
        and abs(one.place.above_ground - other.place.above_ground) <= NEAR
    )
