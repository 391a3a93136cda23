"""What instant centre, anti-dive and anti-squat are called, and what they rest on where nobody measured it."""

from collections.abc import Sequence
from math import isfinite, nan

from sim.describe.parts.vehicle import Vehicle

# Which way an end is held depends on the torque: behind it is the drive that matters, in front the brake.
ANTI = {
    "front": "anti-dive: share of the dive that the arms hold up, all braking in front",
    "rear": "anti-squat: share of the squat that the rear guide holds up, rear drive",
}


def anti_words(axle: str, vehicles: Sequence[Vehicle]) -> str:
    """Return what the share of an axle is called, with what it rests on where that is an estimate."""
    said = list(dict.fromkeys(text for vehicle in vehicles if (text := _rests_on(axle, vehicle))))
    return f"{ANTI[axle]}{f' ({said[0]})' if said else ''}"


def _rests_on(axle: str, vehicle: Vehicle) -> str:
    """Return what of a guide nobody measured that decides the share; empty if all of it was."""
    guide = f"{axle}.guide."
    paths = {one.path for one in vehicle.estimates if one.path.startswith(guide) and "wind_up" not in one.path}
    if f"{guide}pivot.above_ground" in paths or f"{guide}pivot.behind_front_axle" in paths:
        return "rests on an estimated pivot: measure its height"
    # A pack that nobody says is arched at ride is taken as flat, which is no share at all.
    if f"{guide}fixed_half_length" in paths:
        return "rests on estimated leaves, taken as flat at ride: tape their arch"
    return "rests on what is estimated of its guide" if paths else ""


def ahead_or_behind(values: Sequence[float]) -> tuple[str, list[float]]:
    """Return where instant centres stand, and the distances [m] to show: without a minus where all of them are behind the axle."""
    known = [value for value in values if isfinite(value)]
    if known and all(value < 0.0 for value in known):
        return "behind the axle", [-value if isfinite(value) else nan for value in values]
    both = " (behind it: minus)" if any(value < 0.0 for value in known) else ""
    return f"ahead of the axle{both}", list(values)
