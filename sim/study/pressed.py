"""How far springs of a set-up are pressed at places of their axle's travel, and what force, energy and stress that is."""

from dataclasses import dataclass

from sim.describe.lowered import Lowered, NamedLine
from sim.describe.parts.springs import LineSpring
from sim.integrate.line_lengths import line_length
from sim.kernel import layout as at
from sim.lower.rest import Rest
from sim.lower.seat import raised_m


@dataclass(frozen=True)
class Pressed:
    """One spring at one place of its axle's travel."""

    length: float  # [m] seat to seat; of a leaf pack how far its seat is above where it is without load, negative
    force: float  # [N] of one
    energy: float  # [J] of one
    stress: float  # [Pa] of a coil's wire in shear, of leaves in bending; nan if wire or leaves are not given


def jounces_of(setup: Lowered, standing: Rest, axle: str) -> dict[str, float]:
    """Return the jounce [m] at "ride" and, with a stop, at "full bump", the stop squeezed."""
    stop = dict(setup.vehicle.axles)[axle].stop
    found = {"ride": float(standing.state[at.JOUNCE + 2 * ("front", "rear").index(axle)])}
    return found if stop is None else {**found, "full bump": stop.gap + stop.squeeze}


def line_of(setup: Lowered, axle: str, name: str) -> NamedLine | None:
    """Return the line along which a coil acts; None of a leaf pack."""
    return next((n for n in setup.lines if (n.axle, n.role, n.name) == (axle, "coil", name)), None)


def pressed_at(setup: Lowered, axle: str, name: str, own: float, jounce: float) -> Pressed:
    """Return how a spring with a free length or camber of its own [m] is pressed at a jounce [m]."""
    spring, line = dict(setup.vehicle.axles)[axle].springs[name], line_of(setup, axle, name)
    coil = isinstance(spring, LineSpring)
    length = line_length(setup, line, jounce) if line is not None else jounce
    # Of a leaf pack the camber is counted down from the measured height, as jounce is counted up.
    squeeze = own - length if coil else own + raised_m(setup.vehicle, axle, name) + length
    if line is not None and line.line.force_least == 0.0:
        squeeze = max(squeeze, 0.0)
    force = spring.rate_n_per_m * squeeze
    return Pressed(length if coil else -squeeze, force, 0.5 * force * squeeze, spring.stress_under(force))
