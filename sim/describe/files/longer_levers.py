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
        for axle, _ in vehicle.axles:
            longer = longer_lever(vehicle, vehicle.reference, axle)
            if longer > 0.0:
                yield (
                    f"set-up '{name}': a block of {show(_block_m(vehicle, axle), 'length')} lengthens the lever that winds the {axle} leaf packs up by some "
                    f"{100.0 * longer:.0f} %; runs wind them up about the axle's centre, so launches and stops show less wind-up than there is."
                )


def longer_lever(vehicle: Vehicle, other: Vehicle, axle: str) -> float:
    """Return by which share the lever that winds an axle's leaf packs up is longer than another truck's, by their blocks; 0 without packs."""
    if not dict(vehicle.axles)[axle].guide.is_leaves:
        return 0.0
    block, before = (_block_m(one, axle) for one in (vehicle, other))
    return (block - before) / (dict(vehicle.axles)[axle].tyre.radius + before)


def _block_m(vehicle: Vehicle, axle: str) -> float:
    springs = getattr(vehicle, axle).springs.values()
    return next((spring.block for spring in springs if isinstance(spring, SeatSpring)), 0.0)
