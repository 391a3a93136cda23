"""What the wire of a coil bears beside what it is under, at the box in which its wire is typed."""

from collections.abc import Iterator
from math import isfinite

from sim.describe.parts.springs import LineSpring
from sim.describe.parts.springs.wire import AS_WOUND, CHROME_SILICON, PRESET, bears
from sim.describe.parts.vehicle import Vehicle
from sim.describe.shown import show
from sim.lower.lowering import lower
from sim.lower.rest import rest
from sim.study.pressed import jounces_of, line_of, pressed_at
from sim.study.spring_stress import coil_stress_words, stress_off

BEARS = "Shigley, from memory"


def wire_stresses(vehicle: Vehicle) -> Iterator[tuple[str, str]]:
    """Yield the box of each coil's wire, and the stress in it at ride and at full bump beside what wires bear; nothing of coils given by their rate.

    Raises
    ------
    RunError
        If the truck cannot stand.
    """
    coils = [
        (axle, name, spring)
        for axle, part in vehicle.axles
        for name, spring in part.springs.items()
        if isinstance(spring, LineSpring) and spring.wire
    ]
    if not coils:
        return
    setup = lower(vehicle)
    standing = rest(setup)
    for axle, name, spring in coils:
        line = line_of(setup, axle, name)
        if line is None or not spring.wire:
            continue
        places = {
            where: pressed_at(setup, axle, name, line.line.length_free, jounce).stress
            for where, jounce in jounces_of(setup, standing, axle).items()
        }
        if not all(map(isfinite, places.values())):
            continue
        limits = tuple(bears(spring.wire[0], *kind) for kind in ((AS_WOUND,), (PRESET,), (PRESET, CHROME_SILICON)))
        under = ", ".join(f"{show(stress, 'stress')} at {where}" for where, stress in places.items())
        said = (
            f"Stress in this wire, its bend counted (Wahl): {under}. Oil-tempered wire of it bears {show(limits[0], 'stress')} as wound and "
            f"{show(limits[1], 'stress')} preset, chrome-silicon {show(limits[2], 'stress')} preset ({BEARS})."
        )
        words = coil_stress_words(
            "", spring.wire, max(places.values()), (limits[0], limits[1], limits[2]), stress_off(vehicle, axle, spring)
        )
        own = [text.removeprefix(": ") for text in words if text]
        yield f"{axle}.springs.{name}.wire_diameter", " ".join([said, *(f"{one[0].upper()}{one[1:]}." for one in own)])
