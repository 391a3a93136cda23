"""Springs of another rate that keep the length of those before: a coil its free length, a leaf pack its arch; what that does to the height."""

from collections.abc import Iterator
from math import isfinite

from sim.describe.parts.springs import LineSpring
from sim.describe.parts.vehicle import Vehicle
from sim.describe.shown import show
from sim.integrate.line_lengths import line_length
from sim.lower.lowering import lower
from sim.study.spring_order import camber, keeps_its_length

LEAST = 0.005
"""Change of height [m] from which on it is worth a word; ours, no source."""


def lengths_kept(vehicle: Vehicle) -> Iterator[str]:
    """Yield a sentence for each spring of another rate that is as long without load as the one before, and so stands otherwise.

    Raises
    ------
    RunError
        If the truck as measured cannot stand.
    """
    measured = vehicle.reference
    for axle, part in vehicle.axles:
        for name, spring in part.springs.items():
            before = dict(measured.axles)[axle].springs.get(name)
            if before is None or not keeps_its_length(spring, before):
                continue
            setup = lower(measured)
            share = before.count * before.rate_n_per_m / (spring.count * spring.rate_n_per_m)
            coil = isinstance(spring, LineSpring)
            if coil:
                line = next(one for one in setup.lines if (one.axle, one.role, one.name) == (axle, "coil", name))
                free = line.line.length_free
                pressed = free - line_length(setup, line, 0.0)
            else:
                free = camber(setup, axle, name)
                pressed = free + getattr(before, "raised_m", 0.0)
            # Under the load that the one before held: F/k of each.
            up = pressed * (1.0 - share)
            if not isfinite(up) or abs(up) < LEAST:
                continue
            stiffer = f"{100.0 * abs(1.0 / share - 1.0):.0f} % {'stiffer' if share < 1.0 else 'softer'}"
            key = f"{axle}.springs.{name}.{'free_length' if coil else 'free_camber'}"
            what = (
                ("free length", f"a {'shorter' if up > 0.0 else 'longer'} one")
                if coil
                else ("arch", f"one of {'less' if up > 0.0 else 'more'} arch")
            )
            yield (
                f"{axle} {'coils' if coil else 'leaf packs'} '{name}' are {stiffer} and keep the {what[0]} of those before, {show(free, 'length')} "
                f"({'' if coil else 'more than at ride as measured; '}{key}): that holds the frame some {show(abs(up), 'length')} "
                f"{'higher' if up > 0.0 else 'lower'}; for the height as before write {what[1]}, {show(free - up, 'length')}, or ask jounce sheet"
            )
