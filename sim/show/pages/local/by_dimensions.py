"""Rates of springs that follow from their wire or leaves: what is taken where the box of a rate is left empty."""

from sim.describe.estimates.truck import estimate_text, shown_in_inches
from sim.describe.parts.springs.coil import Coil
from sim.describe.parts.springs.leaf_pack import LeafPack
from sim.describe.parts.vehicle import Vehicle

COIL = {"of": "its wire, its middle diameter and its coils that work", "reach": "coils of round wire", "source": "Shigley, Mechanical Engineering Design, ch. 10, from memory"}  # fmt: skip
PACK = {"of": "its leaves", "reach": "packs of leaves of one thickness", "source": "Khurmi, Machine Design, leaf springs, from memory"}  # fmt: skip


def by_dimensions(vehicle: Vehicle) -> dict[str, dict[str, str]]:
    """Return for each box of a rate that is left empty what its spring's dimensions come to, with its doubt, by path: written, of, reach and source."""
    inches = shown_in_inches(vehicle.typed_system == "inch")
    halves = {one.path: one.half for one in vehicle.estimates}
    found = {}
    for axle, part in vehicle.axles:
        for name, spring in part.springs.items():
            if not isinstance(spring, Coil | LeafPack) or spring.rate is not None:
                continue
            place = f"{axle}.springs.{name}"
            rate = spring.rate_n_per_m
            # A factor of 1 within 0.05 is 5 % of the rate.
            half = rate * halves.get(f"{place}.rate_factor", 0.0) / spring.rate_factor
            words = COIL if isinstance(spring, Coil) else PACK
            found[f"{place}.rate"] = {"written": estimate_text(rate, half, "stiffness", inches=inches), **words}
    return found
