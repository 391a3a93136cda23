"""What a run that drives or brakes leaves out of a set-up on thicker lift blocks: the lever by which its leaf packs are wound up."""

from collections.abc import Iterator, Mapping

from sim.describe.parts.springs.base import SeatSpring
from sim.describe.parts.vehicle import Vehicle
from sim.describe.shown import show


def longer_levers(setups: Mapping[str, Vehicle]) -> Iterator[str]:
    """Yield a notice of each axle of a set-up whose blocks are thicker than on the truck as measured.

    The road's push F acts a tyre's radius r below the axle's centre and the frame's answer at the pack, a block b above it: about the
    pack its moment is F (r + b). Runs have F r, as a housing winds up about its centre.
    """
    for name, vehicle in setups.items():
        for axle, part in vehicle.axles:
            if not part.guide.is_leaves:
                continue
            block, before = (_block_m(one, axle) for one in (vehicle, vehicle.reference))
            if block > before:
                longer = (block - before) / (part.tyre.radius + before)
                yield (
                    f"set-up '{name}': a block of {show(block, 'length')} lengthens the lever that winds the {axle} leaf packs up by some "
                    f"{100.0 * longer:.0f} %; runs wind them up about the axle's centre, so launches and stops show less wind-up than there is."
                )


def _block_m(vehicle: Vehicle, axle: str) -> float:
    springs = getattr(vehicle, axle).springs.values()
    return next((spring.block for spring in springs if isinstance(spring, SeatSpring)), 0.0)
