"""How far an axle can drop: to its limit strap, or without one as far as its springs let it."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import nan

from sim.describe.lowered import Lowered, NamedLine
from sim.integrate.line_lengths import line_length, taut_m
from sim.kernel import layout as at
from sim.lower.rest import Equations, Rest

STRAP, HANGING, FREE_COIL = "limit strap taut", "hanging on its springs", "coil at its free length"
"""Places at which droop ends: at a limit strap, or without one where springs that hold the axle let it hang, or a loose coil parts."""

ENDS = {
    STRAP: "at its limit strap", HANGING: "no strap: it hangs on its springs", FREE_COIL: "no strap: its coil is loose",
    "": "not known: no strap, springs still push",
}  # fmt: skip
"""Where droop ends, in words for a table."""

HALVINGS = 40


@dataclass(frozen=True)
class Droop:
    """How far an axle can drop.

    Attributes
    ----------
    place : str
        STRAP, HANGING or FREE_COIL; empty if that is not known.
    jounce : float
        From the measured ride height [m]; nan if not known.
    held : bool
        Whether strap or springs hold the axle there; after a loose coil has parted only the dampers do.
    """

    place: str
    jounce: float
    held: bool


def droop(setup: Lowered, standing: Rest, axle: str) -> Droop:
    """Return where an axle's droop ends.

    Without a strap that is where springs that can pull (leaf packs, held coils) let it hang by its weight; a loose coil only pushes,
    so past its free length nothing but a damper holds the axle.
    """
    taut = taut_m(setup, axle)
    if taut is not None:
        return Droop(STRAP, taut, True)
    # Damper ends are what is judged, so they must not hold the axle here.
    lines = tuple(
        n._replace(line=n.line._replace(length_extended=1e3)) if n.role == "damper" else n for n in setup.lines
    )
    equations = Equations(replace(setup, lines=lines))
    index = ("front", "rear").index(axle)
    state = standing.state.copy()
    weight = setup.axles[axle].mass * setup.body.gravity

    def pulls(jounce: float) -> float:
        state[at.JOUNCE + 2 * index] = jounce
        equations.derivative(state)
        # Springs and gas; tyres carry nothing where it hangs.
        return weight - equations.jounce_force(index)

    low, ride = setup.paths[axle].range_m[0], float(standing.state[at.JOUNCE + 2 * index])
    if pulls(low) <= 0.0:
        return Droop(HANGING, _where(pulls, low, ride), True)
    free = []
    for line in setup.lines:
        if line.axle == axle and line.role == "coil" and line.line.force_least == 0.0:
            own = line.line.length_free

            def short(jounce: float, line: NamedLine = line, own: float = own) -> float:
                return own - line_length(setup, line, jounce)

            if short(low) < 0.0 < short(ride):
                free.append(_where(short, low, ride))
    # Its last coil: until then springs still push.
    return Droop(FREE_COIL, min(free), False) if free else Droop("", nan, False)


def _where(value: Callable[[float], float], low: float, high: float) -> float:
    """Return where a value that is negative at `low` and positive at `high` changes its sign."""
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        low, high = (low, middle) if value(middle) > 0.0 else (middle, high)
    return 0.5 * (low + high)
