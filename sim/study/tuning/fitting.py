"""Whether dampers still fit when their mounts, lengths, stops or straps move: room over the whole travel, without a run."""

from collections.abc import Sequence
from functools import partial

from sim.describe.parts.vehicle import Vehicle
from sim.errors import RunError
from sim.integrate.result import Run
from sim.measure.measure import Measure
from sim.study.fit import fits

NOT_WHERE = ("valving", "tube", "count", "gas_force", "gas_rate", "seal_friction", "bush_rate", "tube_mass", "rod_mass")
"""What of a damper set says nothing of its lengths."""

GEOMETRY = ("dampers", "stop", "strap", "guide", "wheelbase", "housing")
"""Parts whose places and lengths a damper's room depends on."""


def room_measures(vehicle: Vehicle) -> tuple[Measure, ...]:
    """Return what can be asked of the fit of a set-up's dampers: room to both ends of each."""
    measures = []
    for axle, part in vehicle.axles:
        for name in part.dampers:
            for end, word in (("in", "fully in"), ("out", "fully out")):
                key = f"{axle}_{name}_room_{end}"
                label = f"{axle.capitalize()} '{name}': room to {word}, over the whole travel"
                # A measure is taken of a run, but room is known before one: asked of a run, it refuses.
                measures.append(
                    Measure(
                        key, label, "length", "more", partial(_nothing, key), "As on its order sheet, wind-up included."
                    )
                )
    return tuple(measures)


def _nothing(name: str, run: Run) -> float:
    raise RunError(f"'{name}' is of a set-up, not of a run")


def rooms(vehicle: Vehicle, measures: Sequence[str]) -> dict[str, float]:
    """Return the room [m] of every damper set that measures ask for; inf where its ends are not known.

    Raises
    ------
    RunError
        If the set-up cannot stand.
    """
    # `fits` puts the set-up at rest, which costs: not unless room is asked for.
    if not any("_room_" in name for name in measures):
        return {}
    room = {}
    for fit in fits(vehicle):
        room[f"{fit.axle}_{fit.name}_room_in"] = fit.margin_in
        room[f"{fit.axle}_{fit.name}_room_out"] = fit.margin_out
    return {name: value for name, value in room.items() if name in measures}


def axles_moved(paths: Sequence[str]) -> tuple[str, ...]:
    """Return the axles whose dampers must be of other lengths when anything at these paths changes."""
    axles: dict[str, None] = {}
    for path in paths:
        places = path.split(".")
        if any(place in GEOMETRY for place in places) and not any(place in NOT_WHERE for place in places):
            # What belongs to no one axle, as the wheelbase, changes both.
            axles.update(dict.fromkeys([places[0]] if places[0] in ("front", "rear") else ["front", "rear"]))
    return tuple(axles)
