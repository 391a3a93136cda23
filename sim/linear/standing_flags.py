"""What is wrong with a set-up before it has moved: on its stops, past an end, or with a damper for a limit strap or a bump stop."""

from collections.abc import Iterator

import numpy as np
import numpy.typing as npt

from sim.describe.lowered import Lowered
from sim.describe.shown import show
from sim.describe.to_measure import estimated, listed
from sim.integrate.damper_room import WITH_WIND_UP, room_in_bump
from sim.integrate.flags import Seen, Span, flags
from sim.integrate.line_lengths import line_length
from sim.integrate.status import Flag
from sim.kernel import layout as at
from sim.linear.damper_cure import bump_cure, droop_cure, lowered_first, measured_first
from sim.linear.damper_ends import is_known, jounce_at
from sim.linear.doubt_of_room import doubt_of_room
from sim.linear.droop import droop
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
                f"mounts and seals. {droop_cure(setup, standing, line, droop(setup, standing, line.axle))}",
            )  # fmt: skip


def _solid(setup: Lowered, standing: Rest) -> Iterator[Flag]:
    """Say of each damper whether it is solid before its axle's bump stop is fully squeezed."""
    for line in setup.lines:
        axle = dict(setup.vehicle.axles)[line.axle]
        known = is_known(estimated(setup.vehicle), line.axle, line.name, "collapsed")
        if line.role != "damper" or axle.stop is None or not known:
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
        wound = room_in_bump(setup, line, ride)
        with_it = (
            f" as the truck stands ({show(-wound, 'length')}{WITH_WIND_UP})"
            if setup.axles[line.axle].wind_up_free
            else ""
        )
        doubt = doubt_of_room(setup, line, "collapsed", ride, axle.stop.gap + axle.stop.squeeze)
        first, cure = measured_first(setup, line), bump_cure(setup, standing, line)
        said = (
            f"{part} is solid {show(-room, 'length')} before its bump stop is fully squeezed{with_it}{reached}. The damper takes the blow "
            "in the stop's place, which breaks its mounts."
        )
        # What its own doubt turns into a damper that fits is no fact.
        if in_doubt := wound + doubt.half > 0.0:
            first, cure = "", lowered_first(cure)
            said = (
                f"{part} may be solid before its bump stop is fully squeezed: as far as estimates say by {show(-room, 'length')}{with_it}, "
                f"{show(doubt.half, 'length')} more or less{reached}. If it is, the damper takes the blow in the stop's place, which breaks "
                f"its mounts. Measure {listed(doubt.measure)} first. If it stays so:"
            )
        yield Flag(
            "solid_first", None, part, f"{said} {first}{cure}", -room, "collapsed", in_doubt
        )  # fmt: skip
