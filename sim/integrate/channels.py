"""From a kernel trace to named channels with people's signs, and the flags of a run that left its validity."""

from collections.abc import Callable
from functools import cache, partial
from typing import Any

import numpy as np
import numpy.typing as npt

from sim.describe.lowered import Lowered, NamedLine
from sim.describe.runs import AnyRun
from sim.describe.runs.plan import Plan
from sim.integrate.flags import Seen, Span, blew_up, flags
from sim.integrate.given import Input
from sim.integrate.line_lengths import line_length, taut_m
from sim.integrate.on_demand import AxleOnDemand, EachOnDemand, Later, RunOnDemand
from sim.integrate.result import Run
from sim.integrate.status import Flag
from sim.integrate.traces import AxleTrace, DamperTrace, Energy
from sim.kernel import layout as at
from sim.lower.rest import Rest

Array = npt.NDArray[np.float64]

AXLES = ("front", "rear")

PINION_UP = {"front": 1.0, "rear": -1.0}
"""Sense of the housing's rotation that lifts its pinion: a rear pinion points forward, a front one back."""


def named(
    setup: Lowered, run: AnyRun, plan: Plan, standing: Rest, name: str, trace: Array, given: Input, energy: Energy,
) -> Run:  # fmt: skip
    """Name the channels of one trace, and flag what is not valid in it."""
    known, later = _run(setup, run, plan, standing, name, trace, given, lambda: energy)
    for index, axle in enumerate(AXLES):
        own, own_later = _axle(setup, axle, index, standing, trace)
        known[axle] = AxleTrace(**own, **_worked_out(own_later))
    return Run(**known, **_worked_out(later))


def named_on_demand(
    setup: Lowered, run: AnyRun, plan: Plan, standing: Rest, name: str, trace: Array, given: Input,
    energy: Callable[[], Energy],
) -> Run:  # fmt: skip
    """Name the channels of one trace as `named` does, but work each of them, flags and energy out when it is asked for."""
    known, later = _run(setup, run, plan, standing, name, trace, given, energy)
    for index, axle in enumerate(AXLES):
        own, own_later = _axle(setup, axle, index, standing, trace)
        known[axle] = AxleOnDemand(own_later, **own)
    # Of the points of a body mostly one is looked at.
    known["acceleration_m_per_s2"] = EachOnDemand(_felt(setup, trace))
    return RunOnDemand(later, **known)


def _worked_out(later: Later) -> dict[str, Any]:
    return {field: work() for field, work in later.items()}


def _run(
    setup: Lowered, run: AnyRun, plan: Plan, standing: Rest, name: str, trace: Array, given: Input,
    energy: Callable[[], Energy],
) -> tuple[dict[str, Any], Later]:  # fmt: skip
    """Return the fields of a run, without its axles, that cost nothing, and how the others are worked out."""
    step = given.step_s * given.every
    wanted = given.steps // given.every + 1
    time: Array = np.arange(len(trace), dtype=np.float64) * step
    balanced = cache(energy)  # flags ask for it too

    def flagged() -> tuple[Flag, ...]:
        # First, as what else is flagged may come of it.
        lost = (blew_up(float(time[-1])),) if len(trace) < wanted else ()
        return lost + trace_flags(setup, standing.state, trace, time, balanced())

    known: dict[str, Any] = {
        "setup": name, "vehicle": setup.vehicle, "run": run, "time_s": time,
        # A run that blew up before it ends earlier.
        "released_s": min(plan.released_s, float(time[-1])), "speed_m_per_s": plan.speed_m_per_s,
        "driver_force_n": trace[:, at.TRACE_DRIVER], "gained_m": trace[:, at.X],
        "gained_m_per_s": trace[:, at.COORDINATES + at.X],
        "pushes_back": given.speed_m_per_s > 0.0 or plan.driving is not None, "surges": plan.free_to_roll,
        "coasts": plan.coasts, "height_rest_m": float(standing.state[at.Z]),
        "nose_up_rest_rad": -float(standing.state[at.PITCH]),
    }  # fmt: skip
    later: Later = {
        "bounce_m": lambda: trace[:, at.Z] - standing.state[at.Z],
        # People are shown nose-up; the equations turn nose-down (docs/equations.md, top).
        "pitch_nose_up_rad": lambda: -(trace[:, at.PITCH] - standing.state[at.PITCH]),
        "acceleration_m_per_s2": lambda: _worked_out(_felt(setup, trace)),
        "acceleration_forward_m_per_s2": lambda: _forward(setup, trace),
        "pitch_acceleration_rad_per_s2": lambda: -trace[:, at.TRACE_RATE + at.PITCH],
        "energy": balanced, "flags": flagged,
    }  # fmt: skip
    return known, later


def _felt(setup: Lowered, trace: Array) -> Later:
    """Return how the upward acceleration [m/s²] of each named point of the body is worked out."""
    rate = trace[:, at.TRACE_RATE : at.TRACE_RATE + at.COORDINATES]
    return felt(setup, rate[:, at.Z], trace[:, at.PITCH], trace[:, at.COORDINATES + at.PITCH], rate[:, at.PITCH])


def felt(setup: Lowered, rising: Array, pitch: Array, speed: Array, turning: Array) -> Later:
    """Return how the upward acceleration [m/s²] of each named point of the body is worked out.

    rising : of the centre of gravity [m/s²]. pitch, speed, turning : of the body, with its rates, nose down [rad].
    """
    points = {"centre of gravity": (0.0, 0.0), **setup.points}
    turned = cache(partial(_turned, pitch, speed, turning))  # the same for all points
    return {key: partial(_upward, rising, turned, forward, up) for key, (forward, up) in points.items()}


def _forward(setup: Lowered, trace: Array) -> dict[str, Array]:
    """Return forward accelerations [m/s²] of the named points of the body."""
    rate = trace[:, at.TRACE_RATE : at.TRACE_RATE + at.COORDINATES]
    pitch, speed = trace[:, at.PITCH], trace[:, at.COORDINATES + at.PITCH]
    sine, cosine, turning = np.sin(pitch), np.cos(pitch), rate[:, at.PITCH]
    points = {"centre of gravity": (0.0, 0.0), **setup.points}
    return {
        key: rate[:, at.X] + up * (turning * cosine - speed**2 * sine) - forward * (turning * sine + speed**2 * cosine)
        for key, (forward, up) in points.items()
    }


def _turned(pitch: Array, speed: Array, turning: Array) -> tuple[Array, Array]:
    """Return by how much less a point rises [1/s²] for each metre that it lies forward, and up, of the centre of gravity in body axes.

    pitch, speed, turning : of the body, with its rates, nose down [rad].
    """
    # docs/equations.md, "Ride by ISO 2631-1": the pitch rate squared pulls towards the centre of gravity.
    sine, cosine = np.sin(pitch), np.cos(pitch)
    return turning * cosine - speed**2 * sine, turning * sine + speed**2 * cosine


def _upward(rising: Array, turned: Callable[[], tuple[Array, Array]], forward: float, up: float) -> Array:
    """Return the upward acceleration [m/s²] of a point of the body, from that of the centre of gravity and what `_turned` gives."""
    by_forward, by_up = turned()
    acceleration: Array = rising - forward * by_forward - up * by_up
    return acceleration


def centre_heights(setup: Lowered, name: str, states: Array) -> Array:
    """Return the heights (n,) of an axle's centre for states (n, STATES) [m]."""
    index = ("front", "rear").index(name)
    jounce, wind_up = (states[:, row + 2 * index] for row in (at.JOUNCE, at.WIND_UP))
    pitch = states[:, at.PITCH]
    turn = np.sin(pitch), np.cos(pitch)
    return heights_at(setup, name, turn, states[:, at.Z], jounce, states[:, at.SHIFT + index], wind_up)


def heights_at(
    setup: Lowered,
    name: str,
    turn: tuple[Array, Array],
    z: Array,
    jounce: Array,
    give: Array | float = 0.0,
    wind_up: Array | float = 0.0,
) -> Array:
    """Return the heights (n,) of an axle's centre [m].

    turn : sine and cosine of the body's pitch. z, jounce, give : heights of the body, jounces, gives along the truck [m].
    wind_up : [rad]; asked for where the axle has a seat above or below its centre only.
    """
    path, axle = setup.paths[name], setup.axles[name]
    sine, cosine = turn
    heights: Array = z - (path.forward(jounce) + give) * sine + (axle.seat_up + jounce) * cosine
    if axle.seat_above:
        housing = path.at(jounce)[1] + wind_up
        heights = heights - axle.seat_above * (np.cos(housing) * cosine - np.sin(housing) * sine)
    return heights


def _axle(
    setup: Lowered, name: str, index: int, standing: Rest, trace: Array
) -> tuple[dict[str, Any], Later]:  # fmt: skip
    """Return the fields of an axle that cost next to nothing, and how the others are worked out."""
    axle = setup.axles[name]
    part = dict(setup.vehicle.axles)[name]
    jounce = trace[:, at.JOUNCE + 2 * index]
    numbered = [(n, line) for n, line in enumerate(setup.lines) if line.axle == name]

    def pushed(role: str) -> Array:
        """Return the push of all lines of a role [N] (n,)."""
        force = np.zeros(len(trace))
        for number, line in numbered:
            if line.role == role:
                # The kernel has the push of one.
                force = force + line.line.number * _channels(trace, number)[:, at.LINE_FORCE]
        return force

    def supported() -> Array:
        if axle.leaf_rate == 0.0 and axle.leaf_preload == 0.0:  # no leaf pack: its row of friction is nobody's
            return pushed("coil")
        return axle.leaf_preload + axle.leaf_rate * jounce + trace[:, at.FRICTION + index] + pushed("coil")

    def hub() -> Array:
        stood: Array = centre_heights(setup, name, standing.state[None])[0]
        return centre_heights(setup, name, trace[:, : at.STATES]) - stood

    stop = part.stop
    known: dict[str, Any] = {
        "jounce_m": jounce, "tyre_load_n": trace[:, at.TRACE_TYRE + index],
        "road_height_m": trace[:, at.TRACE_ROAD + index], "stop_force_n": trace[:, at.TRACE_STOP + index],
        # Jounce counts from the truck as measured: a set-up with other springs or loads stands elsewhere.
        "jounce_rest_m": float(standing.state[at.JOUNCE + 2 * index]), "jounce_at_stop_m": stop.gap if stop else None,
        "jounce_full_m": stop.gap + stop.squeeze if stop else None, "jounce_at_strap_m": taut_m(setup, name),
        "tyre_load_rest_n": standing.tyre_load[index],
        "dampers": {
            line.name: _damper(setup, line, _channels(trace, number), index, standing)
            for number, line in numbered if line.role == "damper"
        },
        # A strap or link is shown by its pull, so with the other sign.
        "link_force_n": 0.0 - pushed("link"), "give_m": trace[:, at.SHIFT + index] if part.fore_and_aft else None,
    }  # fmt: skip
    later: Later = {
        "wind_up_rad": lambda: PINION_UP[name] * trace[:, at.WIND_UP + 2 * index],
        "wheel_height_m": hub, "strap_force_n": lambda: 0.0 - pushed("strap"), "spring_force_n": supported,
    }  # fmt: skip
    return known, later


def _channels(trace: Array, number: int) -> Array:
    """Return the channels of one line (n, LINE_CHANNELS)."""
    first = at.TRACE_LINES + number * at.LINE_CHANNELS
    return trace[:, first : first + at.LINE_CHANNELS]


def _damper(setup: Lowered, line: NamedLine, own: Array, index: int, standing: Rest) -> DamperTrace:
    part = dict(setup.vehicle.axles)[line.axle].dampers[line.name]
    # Where the set-up stands, not where the truck was measured: stroke is counted from there.
    rest_length = line_length(
        setup, line, float(standing.state[at.JOUNCE + 2 * index]), float(standing.state[at.WIND_UP + 2 * index]),
        float(standing.state[at.SHIFT + index]),
    )  # fmt: skip
    return DamperTrace(
        axle=line.axle, name=line.name, count=part.count, length_m=own[:, at.LINE_LENGTH],
        speed_m_per_s=own[:, at.LINE_SPEED], force_n=own[:, at.LINE_FORCE],
        length_rest_m=rest_length, length_collapsed_m=part.length_collapsed, length_extended_m=part.length_extended,
        valving=part.valving,
    )  # fmt: skip


def trace_flags(
    setup: Lowered, standing: Array, trace: Array, time: Array | None, energy: Energy | None = None
) -> tuple[Flag, ...]:
    """Return the flags of a trace.

    Parameters
    ----------
    standing : (STATES,) array
        State in which the set-up stands.
    trace : (n, channels) array
    time : (n,) array or None
        Of its outputs [s]; None where moments are not recorded.
    energy : Energy, optional
        Its balance, where somebody kept it.
    """

    def span(channel: int) -> Span:
        return Span(trace[:, channel], time)

    # Lines come after all else in a trace, in the order of the set-up.
    first = [at.TRACE_LINES + number * at.LINE_CHANNELS for number in range(len(setup.lines))]
    front, rear = (at.JOUNCE + 2 * index for index in range(at.AXLES))
    seen = Seen(
        setup, tuple(span(channel + at.LINE_LENGTH) for channel in first),
        tuple(span(channel + at.LINE_SPEED) for channel in first), span(at.PITCH), (span(front), span(rear)),
        (float(standing[front]), float(standing[rear])), energy,
    )  # fmt: skip
    return flags(seen)
