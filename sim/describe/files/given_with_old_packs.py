"""Rates against wind-up that were given with other leaf packs than a set-up has: nobody knows how they follow."""

from collections.abc import Iterator, Mapping
from typing import Any

from sim.describe.files.given_before import gives_itself, of_set_ups
from sim.describe.parts.axle import Axle
from sim.describe.parts.springs import SeatSpring
from sim.describe.parts.springs.leaves import turned
from sim.describe.parts.vehicle import Vehicle
from sim.describe.shown import show

LEAST = 0.02
"""Change of what packs hold as a share from which on it is worth a word; ours, no source."""


OF_A_PACK = frozenset(
    (
        "rate",
        "count",
        "leaves",
        "full_length_leaves",
        "leaf_width",
        "leaf_thickness",
        "length",
        "clamped",
        "rate_factor",
        "modulus",
        "ahead",
        "behind",
    )
)
"""Numbers of a pack with which goes what it holds against wind-up."""


def pack_of(path: str) -> tuple[str, str] | None:
    """Return axle and name of the spring of which a path is a number that changes what a leaf pack holds against wind-up; None of others."""
    axle, *inside = path.split(".")
    is_one = len(inside) >= 3 and inside[0] == "springs" and inside[-1] in OF_A_PACK
    return (axle, inside[1]) if is_one else None


def renews_wind_up(vehicle: Vehicle, path: str) -> bool:
    """Tell whether a number at a path changes a rate against wind-up that was estimated from it."""
    found = pack_of(path)
    return (
        found is not None
        and estimated_from_packs(vehicle, found[0])
        and isinstance(dict(vehicle.axles)[found[0]].springs.get(found[1]), SeatSpring)
    )


def estimated_from_packs(vehicle: Vehicle, axle: str) -> bool:
    """Tell whether an axle's rate against wind-up was estimated, and from its leaf packs."""
    return dict(vehicle.axles)[axle].guide.is_leaves and any(
        one.path == f"{axle}.guide.wind_up.rate" for one in vehicle.estimates
    )


def given_with_old_packs(
    setups: Mapping[str, Vehicle], changes: Mapping[str, Mapping[str, Any]] | None = None
) -> Iterator[str]:
    """Yield a notice of each axle whose packs a set-up changes, and whose rate against wind-up somebody gave of the packs before.

    One that was estimated is found anew from the packs, and 'from_leaves' is theirs. A rate that was measured has clamps, eyes and
    shackles in it: it is not changed for anybody, but what it comes to if it grows as the packs' own does is said.
    """
    said: dict[str, list[str]] = {}
    for name, vehicle in setups.items():
        found_anew = {one.path for one in vehicle.estimates}
        for axle, part in vehicle.axles:
            path = f"{axle}.guide.wind_up.rate"
            measured: Axle = dict(vehicle.reference.axles)[axle]
            rate, before = part.guide.wind_up.rate, measured.guide.wind_up.rate
            # One that the set-up gives itself is of its own packs.
            if not part.guide.is_leaves or isinstance(rate, str) or rate != before or path in found_anew:
                continue
            if gives_itself((changes or {}).get(name, {}), path):
                continue
            now, was = held(part), held(measured)
            if was and abs(now / was - 1.0) > LEAST:
                stiffer = f"{100.0 * abs(now / was - 1.0):.0f} % {'more' if now > was else 'less'}"
                said.setdefault(
                    f"its {axle} leaf packs hold the axle {stiffer} against wind-up, and {path}, {show(rate, 'angular_stiffness')}, was given with those "
                    f"fitted: it does not follow. If it changes as they do it is some {show(rate * now / was, 'angular_stiffness')}: write that into the set-up, "
                    "or measure it once they are fitted",
                    [],
                ).append(name)
    yield from of_set_ups(said)


def held(axle: Axle) -> float:
    """Return what an axle's packs hold by themselves against a turn [N m/rad]; packs without halves are taken as even."""
    half = getattr(axle.guide, "fixed_half_length", 0.0)
    packs = [pack for pack in axle.springs.values() if isinstance(pack, SeatSpring)]
    return sum(pack.count * turned(pack.rate_n_per_m, *(pack.sides_m or (half, half)))[0] for pack in packs)
