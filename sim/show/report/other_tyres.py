"""What other tyres than those on which a truck was measured do to its height, in words."""

from sim.describe.parts.vehicle import Vehicle
from sim.describe.shown import show
from sim.show.report.naming import listed

STILL = 5e-4
"""Movement [m] below what a tape can tell."""


def raised_by_tyres(vehicle: Vehicle) -> str:
    """Return how far other tyres than those as measured raise or lower the truck; empty if they have its radius."""
    before = dict(vehicle.reference.axles)
    # By the radius without load, as a tape around the tread has it: what they give beside is the load's.
    more = {axle: part.tyre.radius - before[axle].tyre.radius for axle, part in vehicle.axles}
    if max(map(abs, more.values())) < STILL:
        return ""

    def by(value: float) -> str:
        return f"{'raise' if value > 0.0 else 'lower'} {{}} by {show(abs(value), 'length')}"

    if abs(more["front"] - more["rear"]) < STILL:
        return f"its tyres {by(more['front']).format('it')}"
    return (
        f"its tyres {listed([by(value).format(f'the {axle}') for axle, value in more.items() if abs(value) >= STILL])}"
    )
