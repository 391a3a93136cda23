"""Rates of tyres that were given with another size of tyre than a set-up has: nobody knows how they follow."""

from collections.abc import Iterator, Mapping
from typing import Any

from sim.describe.estimates.tyre_rate import rate_of
from sim.describe.estimates.tyre_size import TyreSize, of_diameter, tyre_size
from sim.describe.estimates.tyres import USUAL_PRESSURE
from sim.describe.files.given_before import gives_itself, of_set_ups
from sim.describe.parts.vehicle import Vehicle
from sim.describe.shown import show

LEAST = 0.01
"""Change of the radius as a share from which on the tyre is another one; ours, no source."""


def given_with_old_tyres(
    setups: Mapping[str, Vehicle], changes: Mapping[str, Mapping[str, Any]] | None = None
) -> Iterator[str]:
    """Yield a notice of each axle on whose tyres of another size a set-up stands, and whose rate somebody gave of the tyres before.

    One that was estimated is found anew from the size. A rate that was measured is not changed for anybody, but what it comes to if
    it changes as the rule for radial tyres has it is said.
    `changes`: what each set-up writes, by its name; who writes the same rate again has looked at it.
    """
    said: dict[str, list[str]] = {}
    for name, vehicle in setups.items():
        found_anew = {one.path for one in vehicle.estimates}
        for axle, part in vehicle.axles:
            was, path = dict(vehicle.reference.axles)[axle].tyre, f"{axle}.tyre.rate"
            another = abs(part.tyre.radius / was.radius - 1.0) > LEAST
            # One that the set-up gives itself is of its own tyres.
            if not another or part.tyre.rate != was.rate or path in found_anew:
                continue
            if gives_itself((changes or {}).get(name, {}), path):
                continue
            pressure = part.tyre.measured_at or USUAL_PRESSURE
            now, before = (rate_of(_size(one, axle), pressure) for one in (vehicle, vehicle.reference))
            said.setdefault(
                f"its {axle} tyres are of another size, and {path}, {show(was.rate, 'stiffness')}, was given with those before: it does not follow. "
                f"If it changes as that of radial tyres by their size it is some {show(was.rate * now / before, 'stiffness')}: write that into the set-up, or "
                "measure the new ones (docs/measure/tyre.md)",
                [],
            ).append(name)
    yield from of_set_ups(said)


def _size(vehicle: Vehicle, axle: str) -> TyreSize:
    """Return the size of an axle's tyres, by their wall where its file has it."""
    return tyre_size(vehicle.tyre_size(axle)) or of_diameter(2.0 * dict(vehicle.axles)[axle].tyre.radius)
