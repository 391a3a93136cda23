"""What goes along when the tube of a damper moves: walls stay as thick, valves get the new piston and rod, the end its weight.

And with a leaf pack what was estimated from it: how stiffly it holds the axle against wind-up.
"""

from collections.abc import Collection, Mapping
from math import sqrt
from typing import Any

from sim.describe.files.given_with_old_packs import held, pack_of, renews_wind_up
from sim.describe.parts.dampers.damper_set import DamperSet
from sim.describe.parts.dampers.tube import Tube
from sim.describe.parts.vehicle import Vehicle
from sim.describe.replaced import put_in, value_at

TUBE = ("bore", "outside_diameter", "length", "rod", "wall")


def damper_of(path: str) -> str | None:
    """Return the path of the damper set whose tube a path moves, None if it moves none."""
    parent, _, last = path.rpartition(".")
    return parent.removesuffix(".tube") if parent.endswith(".tube") and last in TUBE else None


def followers(vehicle: Vehicle, changes: Mapping[str, Any], moved: Collection[str]) -> dict[str, Any]:
    """Return what follows from changes of tubes and leaf packs, by path.

    The outside keeps its distance from the bore. Of a law of valve parts, the piston is as large as the bore and the rod as
    the tube's, so that its flow balance gives other forces; a written curve stays, as the builder valves the tube to give it.
    Heat capacities and the cooled surface are worked out from the dimensions anyway. The weight of the tube's end
    (`tube_mass`, if given) changes by what oil and steel do. An estimated rate against wind-up goes as what the packs hold
    (`sim.describe.estimates.wind_up`), its damping as the root of that.

    Parameters
    ----------
    moved : collection of str
        Paths that anything moves; none of these follows.
    """
    following = _of_packs(vehicle, changes, moved)
    for damper_path in dict.fromkeys(d for d in map(damper_of, changes) if d is not None):
        damper: DamperSet = value_at(vehicle, damper_path)
        tube = damper.tube
        if tube is None:
            continue
        own = {key: changes[f"{damper_path}.tube.{key}"] for key in TUBE if f"{damper_path}.tube.{key}" in changes}
        outside = f"{damper_path}.tube.outside_diameter"
        if "bore" in own and "outside_diameter" not in own and outside not in moved:
            # Into `own` as well: the weight below is of steel that reaches to the new outside.
            own["outside_diameter"] = following[outside] = tube.outside_diameter + own["bore"] - tube.bore
        for key, place in damper.valving.of_tube.items():
            # A move of the law's own piston or rod goes before what would follow.
            if key in own and f"{damper_path}.valving.{place}" not in moved:
                following[f"{damper_path}.valving.{place}"] = own[key]
        weight = f"{damper_path}.tube_mass"
        # 0 is weight not given, of which nothing can be put right.
        if damper.tube_mass > 0.0 and weight not in moved:
            following[weight] = max(damper.tube_mass + _weight(tube.model_copy(update=own)) - _weight(tube), 0.0)
    return following


def followed(vehicle: Vehicle, paths: Collection[str]) -> list[str]:
    """Return the paths at which something follows when the values at `paths` move."""
    # The values stay as they are: which paths follow is asked, not what comes there.
    return list(
        followers(vehicle, {path: value_at(vehicle, path) for path in paths if damper_of(path) or pack_of(path)}, paths)
    )


def _of_packs(vehicle: Vehicle, changes: Mapping[str, Any], moved: Collection[str]) -> dict[str, Any]:
    following: dict[str, Any] = {}
    own = {path: value for path, value in changes.items() if renews_wind_up(vehicle, path)}
    for name in dict.fromkeys(path.partition(".")[0] for path in own):
        axle = dict(vehicle.axles)[name]
        inside = {path.removeprefix(f"{name}."): value for path, value in own.items() if path.startswith(f"{name}.")}
        more = held(put_in(axle, inside)) / held(axle)
        wind_up = axle.guide.wind_up
        for key, value in (("rate", wind_up.rate_n_m_per_rad * more), ("damping", wind_up.damping * sqrt(more))):
            path = f"{name}.guide.wind_up.{key}"
            if path not in moved and any(one.path == path for one in vehicle.estimates):
                following[path] = value
    return following


def _weight(tube: Tube) -> float:
    return tube.oil_mass + tube.steel_mass
