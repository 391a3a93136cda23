"""Rates of springs that follow from their wire or leaves: what is taken where the box of a rate is left empty."""

from sim.describe.estimates.truck import estimate_text, shown_in_inches
from sim.describe.parts.vehicle import Vehicle


def by_dimensions(vehicle: Vehicle) -> dict[str, dict[str, str]]:
    """Return for each box of a rate that is left empty what its spring's dimensions come to, with its doubt, by path: written, of, reach and source."""
    inches = shown_in_inches(vehicle.typed_system == "inch")
    halves = {one.path: one.half for one in vehicle.estimates}
    found = {}
    for axle, part in vehicle.axles:
        for name, spring in part.springs.items():
            if spring.rate is not None or not spring.RATE_FROM.of:
                continue
            place = f"{axle}.springs.{name}"
            rate = spring.rate_n_per_m
            # A factor of 1 within 0.05 is 5 % of the rate.
            half = rate * halves.get(f"{place}.rate_factor", 0.0) / spring.rate_factor
            found[f"{place}.rate"] = {
                "written": estimate_text(rate, half, "stiffness", inches=inches),
                **spring.RATE_FROM._asdict(),
            }
    return found
