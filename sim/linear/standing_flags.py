"""What is wrong with a set-up before it has moved: on its stops, past an end, or with a damper for a limit strap or a bump stop."""

from collections.abc import Iterator
from dataclasses import replace
from math import isnan, nan

import numpy as np
import numpy.typing as npt

from sim.describe.lowered import Lowered, NamedLine
from sim.describe.shown import show
from sim.describe.to_measure import estimated
from sim.integrate.channels import line_length
from sim.integrate.damper_room import LEAST_MARGIN, WITH_WIND_UP, room_in_bump, room_in_droop
from sim.integrate.flags import Seen, Span, flags
from sim.integrate.status import Flag
from sim.kernel import layout as at
from sim.linear.damper_ends import is_known, jounce_at
from sim.linear.droop import FREE_COIL, HANGING, Droop, droop
from sim.lower.rest import Equations, Rest

Array = npt.NDArray[np.float64]


def standing_flags(setup: Lowered, standing: Rest) -> tuple[Flag, ...]:
    """Return the flags of a set-up at rest: of a run that stands still, of axles that hang from dampers, of dampers solid before the stop."""

    def still(value: float) -> Span:
        return Span(np.array([value]))

    state = standing.state
    jounce = tuple(float(state[at.JOUNCE + 2 * index]) for index in range(at.AXLES))
    wind_up = [float(state[at.WIND_UP + 2 * index]) for index in range(at.AXLES)]
    lengths = []
    for line in setup.lines:
        index = ("front", "rear").index(line.axle)
        lengths.append(still(line_length(setup, line, jounce[index], wind_up[index])))
    seen = Seen(
        setup, tuple(lengths), tuple(still(0.0) for _ in lengths), still(float(state[at.PITCH])),
        (still(jounce[0]), still(jounce[1])), (jounce[0], jounce[1]),
    )  # fmt: skip
    return (*flags(seen), *_hanging(setup, standing), *_solid(setup, standing))


def _hanging(setup: Lowered, standing: Rest) -> Iterator[Flag]:
    """Say of each axle without a strap whether a damper is what holds it up when it hangs."""
    unstrapped = [name for name, axle in setup.vehicle.axles if axle.strap is None]
    dampers = [line for line in setup.lines if line.role == "damper" and line.axle in unstrapped]
    if not dampers:
        return
    equations = Equations(setup)
    for line in dampers:
        index = ("front", "rear").index(line.axle)
        ride, wind_up = (float(standing.state[place + 2 * index]) for place in (at.JOUNCE, at.WIND_UP))
        # None too if its axle's guide ends before.
        jounce = jounce_at(setup, line, line.line.length_extended, ride, setup.paths[line.axle].range_m[0], wind_up)
        if jounce is None:
            continue
        state = standing.state.copy()
        state[at.JOUNCE + 2 * index] = jounce
        equations.derivative(state)
        # The axle's weight, and springs and gas, which alone are in its force on jounce: tyres carry nothing where it hangs.
        push = setup.axles[line.axle].mass * setup.body.gravity - equations.jounce_force(index)
        if push > 0.0:
            part = f"{line.axle} damper '{line.name}'"
            yield Flag(
                "no_strap", None, part,
                f"{part} is all that holds the hanging {line.axle} axle: a limit strap is missing, and at the damper's extended "
                f"end springs and weight still pull with {show(push, 'force')}. On a crest or on a jack that tears its "
                f"mounts and seals. Fit a limit strap that is taut before the damper's end{_other_cure(setup, line, standing, index)}",
            )  # fmt: skip


def _other_cure(setup: Lowered, line: NamedLine, standing: Rest, index: int) -> str:
    """Return what else than a limit strap would hold a hanging axle, or that a longer damper would not: the end of a sentence."""
    if room_in_bump(setup, line, float(standing.state[at.JOUNCE + 2 * index])) < 0.0:
        return ". A longer damper is no cure: this one is too long already, as it is solid before its bump stop is fully squeezed."
    end = droop(setup, standing, line.axle)
    if end.place == HANGING:
        longer = _longer(setup, line, standing, index, end)
        return f", or a damper at least {show(longer, 'length')} longer extended{_counted(setup, line)}: the axle then hangs on its springs."
    if end.place != FREE_COIL:
        return "."
    # The same axle with its coils held at both seats, where they pull once it hangs below their free length.
    clamped = tuple(
        n._replace(line=n.line._replace(force_least=-1e9)) if n.role == "coil" and n.axle == line.axle else n
        for n in setup.lines
    )
    held = droop(replace(setup, lines=clamped), standing, line.axle)
    longer = _longer(setup, line, standing, index, held) if held.place == HANGING else nan
    with_damper = (
        f", with a damper at least {show(longer, 'length')} longer extended{_counted(setup, line)}"
        if longer > 0.0
        else ""
    )
    other = (
        "" if isnan(longer) else f", or clamp the coils to both seats, so that they stay seated and pull{with_damper}"
    )
    return f"{other}. A longer damper alone is no cure: a coil that is loose carries nothing of the axle."


def _counted(setup: Lowered, line: NamedLine) -> str:
    """Return what a length to order counts on, beside the room as the truck stands: of an axle whose housing winds up that too."""
    return WITH_WIND_UP.replace(", with", ", which leaves room with") if setup.axles[line.axle].wind_up_free else ""


def _longer(setup: Lowered, line: NamedLine, standing: Rest, index: int, end: Droop) -> float:
    """Return by how much a damper must be longer extended [m] to reach the end of droop with the usual margin; negative if it does.

    As `jounce sheet` asks for it: with room while the housing winds up.
    """
    return LEAST_MARGIN - room_in_droop(setup, line, float(standing.state[at.JOUNCE + 2 * index]), end.jounce)


def _solid(setup: Lowered, standing: Rest) -> Iterator[Flag]:
    """Say of each damper whether it is solid before its axle's bump stop is fully squeezed."""
    for line in setup.lines:
        axle = dict(setup.vehicle.axles)[line.axle]
        if line.role != "damper" or axle.stop is None or not is_known(setup.vehicle, line.axle, line.name, "collapsed"):
            continue
        index = ("front", "rear").index(line.axle)
        ride, wind_up = (float(standing.state[place + 2 * index]) for place in (at.JOUNCE, at.WIND_UP))
        collapsed = line.line.length_collapsed
        room = line_length(setup, line, axle.stop.gap + axle.stop.squeeze, wind_up) - collapsed
        # One that is past its end where it stands has a flag for that.
        if room >= 0.0 or line_length(setup, line, ride, wind_up) <= collapsed:
            continue
        part = f"{line.axle} damper '{line.name}'"
        solid = jounce_at(setup, line, collapsed, ride, axle.stop.gap, wind_up)
        reached = (
            ""
            if solid is None
            else f": of the {show(axle.stop.gap - ride, 'length')} up to the stop the axle can use {show(solid - ride, 'length')}"
        )
        guessed = f"{line.axle}.stop.gap" in estimated(setup.vehicle)
        first = "Measure the gap to the stop first, which is estimated here; then fit" if guessed else "Fit"
        # Shorter by what the sheet asks for too: with room to spare while the housing winds up.
        wound = room_in_bump(setup, line, ride)
        shorter = LEAST_MARGIN - wound
        with_it = (
            f" as the truck stands ({show(-wound, 'length')}{WITH_WIND_UP})"
            if setup.axles[line.axle].wind_up_free
            else ""
        )
        yield Flag(
            "solid_first", None, part,
            f"{part} is solid {show(-room, 'length')} before its bump stop is fully squeezed{with_it}{reached}. The damper takes the blow "
            f"in the stop's place, which breaks its mounts. {first} a damper at least {show(shorter, 'length')} shorter collapsed, "
            "set a mount so that the damper is longer as the truck stands, or fit a bump stop that touches earlier (a smaller gap).",
            -room, "collapsed",
        )  # fmt: skip
