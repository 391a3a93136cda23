"""What is taken for granted of a set-up on lift blocks: that its leaf packs lie on top of the axle, and, driven or braked, how high."""

from collections.abc import Iterator, Mapping

from sim.describe.parts.springs.base import LIFTS_ON_TOP, SeatSpring
from sim.describe.parts.vehicle import Vehicle
from sim.describe.shown import show

USUAL_M = 0.07
"""Height of a pack's main leaf over or under the axle's centre [m], half of a tube and of a pack; common practice, no source."""


def unmeasured_seats(setups: Mapping[str, Vehicle]) -> Iterator[str]:
    """Yield a notice of each axle that stands on other blocks than as measured, and of which nobody taped how high its packs lie.

    They are taken to lie at the axle's centre. About the seat a push at the tyre has the lever radius + seat + block: what seat is left
    out, every set-up lacks alike, so that a block is shown to do more than its share.
    """
    said: dict[str, list[str]] = {}
    for name, vehicle in setups.items():
        for axle, part in vehicle.axles:
            if not part.guide.is_leaves or not part.guide.wind_up.is_free:
                continue
            for key, pack in part.springs.items():
                if isinstance(pack, SeatSpring) and pack.seat_above == 0.0 and on_another_block(vehicle, axle, key):
                    more = 100.0 * USUAL_M / part.tyre.radius
                    said.setdefault(
                        f"how high the {axle} leaf packs lie over the axle's centre without a block is not given ({axle}.springs.{key}.seat_above) and taken as "
                        f"none; {show(USUAL_M, 'length')} is usual (common practice, no source), and winds up all set-ups by some {more:.0f} % more, or less "
                        "where packs lie under the axle",
                        [],
                    ).append(name)
    yield from _said(said)


def blocks_that_may_lower(setups: Mapping[str, Vehicle]) -> Iterator[str]:
    """Yield a notice of each axle that stands on other blocks than as measured, and of which nobody said whether its packs lie on top of it.

    Which way a block goes is no matter of degree: packs under the axle have their block between axle and pack, and the frame comes down.
    """
    said: dict[str, list[str]] = {}
    for name, vehicle in setups.items():
        for axle, part in vehicle.axles:
            for key, pack in part.springs.items():
                if isinstance(pack, SeatSpring) and pack.seat_above == 0.0 and on_another_block(vehicle, axle, key):
                    said.setdefault(
                        f"{LIFTS_ON_TOP}. Where the {axle} packs lie is not given, and taken as on top: look, and write {axle}.springs.{key}.seat_above into "
                        "the vehicle's file, a minus for packs under the axle",
                        [],
                    ).append(name)
    yield from _said(said)


def on_another_block(vehicle: Vehicle, axle: str, name: str) -> bool:
    """Tell whether a pack stands on a block of another thickness than as its truck was measured."""
    pack, measured = (dict(one.axles)[axle].springs.get(name) for one in (vehicle, vehicle.reference))
    before = measured.block if isinstance(measured, SeatSpring) else 0.0
    return isinstance(pack, SeatSpring) and pack.block != before


def _said(said: Mapping[str, list[str]]) -> Iterator[str]:
    for words, names in said.items():
        which = " and ".join(f"'{name}'" for name in names)
        yield f"set-up{'s' if len(names) > 1 else ''} {which}: {words}."
