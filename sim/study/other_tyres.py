"""Other tyres than those as measured, as a parts list has them."""

from sim.describe.parts.vehicle import Vehicle
from sim.describe.shown import show
from sim.describe.to_measure import estimated


def tyres_in_words(vehicle: Vehicle, axle: str) -> str:
    """Return what other tyres are, by what stands on their wall where that is known, as nobody orders a radius."""
    now, was = (dict(one.axles)[axle].tyre for one in (vehicle, vehicle.reference))
    sizes = [one.tyre_size(axle) for one in (vehicle, vehicle.reference)]
    said = []
    if sizes[0] and sizes[0] != sizes[1]:
        said.append(sizes[0] + (f" in place of {sizes[1]}" if sizes[1] else ""))
    if now.radius != was.radius:
        said.append(f"radius {show(now.radius, 'length')} in place of {show(was.radius, 'length')}")
    if now.heavier_by != was.heavier_by:
        more = now.heavier_by - was.heavier_by
        guess = "some " if f"{axle}.tyre.heavier_by" in estimated(vehicle) else ""
        said.append(
            f"each wheel {guess}{show(abs(more), 'mass')} {'heavier' if more > 0.0 else 'lighter'}, which is in the axle's load"
        )
    if now.radius > was.radius:
        said.append(
            "whether they clear arches, arms and springs at full bump and steering lock is not looked at, nor brakes and gearing"
        )
    return "; ".join(said) or "of another rate or at another pressure"
