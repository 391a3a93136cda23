"""Hours of track with one set-up: the ride in pieces of seconds, and between them the heat of its dampers.

Temperatures move in minutes and the ride in milliseconds, so that force and heat need not be solved together: a piece is
ridden with dampers of one temperature, then its work warms them. The ride goes on from the exact state in which the
piece before ended. The temperature of a piece is that expected at its middle, so that halving the pieces quarters the error
(tests/study/test_endurance.py).
"""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from math import ceil
from pathlib import Path

import numpy as np

from sim.describe.lowered import Lowered
from sim.describe.parts.dampers import heat as heating
from sim.describe.parts.dampers.air import Air, pressure_at
from sim.describe.parts.dampers.heat import Heat
from sim.describe.parts.vehicle import Vehicle
from sim.describe.runs.track import Drive, Track
from sim.describe.shown import show
from sim.errors import RunError
from sim.integrate.channels import trace_flags
from sim.integrate.energy import balance
from sim.integrate.given import STEP_S, Input
from sim.integrate.ridden import Ridden, line_channel
from sim.integrate.status import Flag
from sim.integrate.traces import Array
from sim.kernel import layout as at
from sim.lower.guard import fastest_rate, substeps
from sim.lower.lowering import lower
from sim.lower.rest import Rest, rest
from sim.lower.road.lap import Circuit, circuit
from sim.machine.scratch import scratch
from sim.machine.shared import Shared
from sim.measure.tally import Tally, level_crossings, travel_counts
from sim.study.endurance.history import Endured, Key, Moment, SetHistory, force_left
from sim.study.endurance.ride import Ride

PIECE_S = 10.0
"""Length of a piece [s]; it moves the hottest oil by a few hundredths of a kelvin (tests/study/test_endurance.py)."""

SETTLING_S = 300.0
"""Work is averaged over the end of a drive, this long or one lap, to say where temperatures would settle."""


@dataclass
class _State:
    """What a track carries along."""

    setup: Lowered
    run: Track
    sets: dict[Key, SetHistory]
    tell: Callable[[Moment], None]
    folder: Path
    heats: dict[Key, Heat]
    ahead: dict[Key, float]  # change of the oil in the last piece [K]
    time: float = 0.0
    distance: float = 0.0
    tally: Tally = field(default_factory=Tally)
    flags: dict[tuple[str, ...], Flag] = field(default_factory=dict)
    open_j: float = 0.0
    through_j: float = 0.0


def endure(
    vehicle: Vehicle, run: Track, setup: str = "as the file has it", tell: Callable[[Moment], None] = lambda _: None,
    piece_s: float = PIECE_S, step_s: float = STEP_S, shared: Shared | None = None,
) -> Endured:  # fmt: skip
    """Take one set-up through a track. What is held in memory does not grow with its length.

    Parameters
    ----------
    vehicle : Vehicle
    run : Track
    setup : str
        Its name in results.
    tell : callable
        Gets every moment; writes it down, shows progress.
    piece_s : float
        Length of the pieces [s].
    step_s : float
        Step of the integrator [s], cut where the set-up needs it.
    shared : Shared, optional
        Where laps are kept for other set-ups on this track. It changes the time alone: a lap is the same whoever has rolled over it.

    Raises
    ------
    RunError
        If the set-up cannot stand, a lap is too long, or the ride blows up.
    """
    lowered = lower(vehicle)
    # Turning points of hours go to disk, so that memory does not grow with the track.
    with scratch() as folder:
        state = _at_the_start(lowered, run, tell, folder)
        standing = rest(lowered)
        cut = _cut_for_the_coldest(state, standing, step_s)
        _through_the_stages(state, Ride(lowered, standing, run, setup), cut, step_s, piece_s, shared)
        counts, crossings = _travel_counts(state)
    for key, history in state.sets.items():
        history.heat = state.heats.get(key)
    return Endured(
        setup, vehicle, run, state.sets, state.tally, counts, tuple(state.flags.values()),
        abs(state.open_j) / state.through_j if state.through_j > 0.0 else 0.0,
        max((heat.open_share for heat in state.heats.values()), default=0.0), crossings, state.distance,
    )  # fmt: skip


def _at_the_start(lowered: Lowered, run: Track, tell: Callable[[Moment], None], folder: Path) -> _State:
    """Return what is carried along, every damper as warm as the track begins."""
    sets = {
        (name, key): SetHistory(damper)
        for name, axle in lowered.vehicle.axles
        for key, damper in axle.dampers.items()
    }  # fmt: skip
    # Without a tube there is no oil to follow, and the set keeps the forces of its sheet.
    warm = [key for key, history in sets.items() if history.damper.tube is not None]
    begins = _begins_at(run)
    heats = {key: Heat(begins, begins) for key in warm}
    state = _State(lowered, run, sets, tell, folder, heats, dict.fromkeys(warm, 0.0))
    # The start counts as a moment: cold oil is coldest before the first metre.
    _noted(state, 0, dict.fromkeys(sets, 0.0), 0.0)
    return state


def _begins_at(run: Track) -> float:
    """Return the temperature of the dampers before the first stage [K]."""
    # A stage may have air of its own; what stood overnight is as warm as the air that it sets off in.
    return run.begins_at if run.begins_at is not None else run.stages[0].air or run.air


def _cut_for_the_coldest(state: _State, standing: Rest, step_s: float) -> int:
    """Return in how many the integrator's step is cut on this track."""
    # One step for the whole track, short enough for the coldest oil that it can meet: then dampers are hardest.
    coldest = min([_begins_at(state.run), *(stage.air or state.run.air for stage in state.run.stages)])
    return substeps(fastest_rate(at_temperature(state.setup, dict.fromkeys(state.heats, coldest)), standing), step_s)


def _through_the_stages(
    state: _State, ride: Ride, cut: int, step_s: float, piece_s: float, shared: Shared | None
) -> None:
    """Drive and stand, one stage after the other."""
    vehicle, run = state.setup.vehicle, state.run
    tyres = tuple((axle.tyre.radius, axle.tyre.contact_length_driven) for _, axle in vehicle.axles)
    circuits: dict[tuple[int, float], Circuit] = {}
    for number, stage in enumerate(run.stages):
        air = Air(stage.air or run.air, pressure_at(run.altitude))
        if stage.course is None:
            _stand(state, stage.seconds, number, air, piece_s)
            continue
        # By identity, which costs nothing; a course that is equal but another object is only worked out again.
        same = (id(stage.course), stage.speed)
        if same not in circuits:
            circuits.clear()  # one at a time is held
            circuits[same] = circuit(
                stage.course, stage.speed, step_s / cut, vehicle.wheelbase, tyres, shared=shared
            )  # fmt: skip
        _drive(state, ride, stage, number, circuits[same], air, cut, piece_s)


def _travel_counts(state: _State) -> tuple[dict[str, dict[int, float]], dict[str, dict[int, int]]]:
    """Return how often each axle went through each range of travel (rainflow counting), and crossed each level of it."""
    # Counting takes the whole record, so it waits until the track is done.
    counts, crossings = {}, {}
    for name, axle in state.tally.axles.items():
        points = state.folder / f"{name}.points"
        axle.close(points)
        counts[name] = travel_counts(points) if points.exists() else {}
        crossings[name] = level_crossings(points) if points.exists() else {}
    return counts, crossings


def at_temperature(setup: Lowered, oil: dict[Key, float]) -> Lowered:
    """Return a set-up with the dampers' oil at temperatures [K]."""
    axles = dict(setup.vehicle.axles)
    lines = tuple(
        line._replace(knots=axles[line.axle].dampers[line.name].lower_at(oil[line.axle, line.name]))
        if line.role == "damper" and (line.axle, line.name) in oil
        else line
        for line in setup.lines
    )
    return replace(setup, lines=lines)


def _drive(
    state: _State, ride: Ride, stage: Drive, number: int, road: Circuit, air: Air, cut: int, piece_s: float
) -> None:
    step = road.step_s
    # Less 1e-9, so that rounding does not turn a whole number of steps into one more.
    steps, at_once = ceil(stage.seconds / step - 1e-9), max(round(piece_s / step / cut), 1) * cut
    # Whole outputs, or the last samples of a piece would fall between two of them.
    steps = ceil(steps / cut) * cut
    air = replace(air, speed=stage.speed)
    ride.set_off()
    # At least one lap: else where it settles would depend on which part of the lap comes last.
    window = max(SETTLING_S, road.steps * step)
    ending, ending_s = dict.fromkeys(state.sets, 0.0), 0.0
    for first in range(0, steps, at_once):
        count = min(at_once, steps - first)
        given = ride.over(road, stage, first, count, cut)
        # The oil's expected temperature at the middle of the piece: half of the last change ahead of now.
        oil = {key: heat.oil + 0.5 * state.ahead[key] for key, heat in state.heats.items()}
        now = at_temperature(state.setup, oil)
        ridden = ride.piece(now, given)
        _rode(state, ride, ridden, given, first == 0)
        seconds = count * step
        works = work_of_one(now, ridden)
        state.time += seconds
        state.distance += seconds * stage.speed + float(ridden.trace[-1, at.X] - ridden.trace[0, at.X])
        # A piece counts whole once it reaches into the window; `ending_s` says how long that came to be.
        near_the_end = (steps - first - count) * step < window
        ending_s += seconds if near_the_end else 0.0
        for key, history in state.sets.items():
            history.work += works[key]
            history.driven_s += seconds
            ending[key] += works[key] if near_the_end else 0.0
        _warmed(state, works, seconds, air)
        _noted(state, number, {key: work / seconds for key, work in works.items()}, seconds)
    for key, history in state.sets.items():
        tube = history.damper.tube
        if tube is not None:
            # Air passes a damper behind axle and wheel slower than the truck drives.
            there = replace(air, speed=stage.speed * tube.air_speed_share)
            history.settled, history.settled_metal = heating.settled(tube, ending[key] / ending_s, there)
            history.settled_force = force_left(history.damper, history.settled)


def _stand(state: _State, seconds: float, number: int, air: Air, piece_s: float) -> None:
    # In pieces while standing too: the cooling is even only through a piece, and falls as the tube cools.
    left = seconds
    while left > 1e-9:
        piece = min(piece_s, left)
        left -= piece
        state.time += piece
        _warmed(state, dict.fromkeys(state.sets, 0.0), piece, air)
        _noted(state, number, dict.fromkeys(state.sets, 0.0), piece)


def _rode(state: _State, ride: Ride, ridden: Ridden, given: Input, fresh: bool) -> None:
    """Add a piece to what is kept of the ride, and its flags."""
    # The kernel stops writing where numbers are no longer finite, and the trace is short.
    if len(ridden) < given.steps // given.every + 1:
        raise RunError(f"The ride blew up {state.time + len(ridden) * STEP_S:.1f} s after the start.")
    time_s = state.time + np.arange(len(ridden), dtype=np.float64) * (given.step_s * given.every)
    _flagged(state, ride, ridden, time_s)
    # A balance is of both ends.
    energy = balance(ride.setup, ridden.ends, given)
    state.open_j += energy.residual_j
    # A share of all that was lost, not of a net change, which may be next to nothing.
    state.through_j += sum(map(abs, energy.dissipated_j.values()))
    state.tally.add(ride.setup, ridden, time_s, state.folder, fresh)


def _flagged(state: _State, ride: Ride, ridden: Ridden, time_s: Array) -> None:
    """Keep the first flag of each fault."""
    # Energy is judged over the whole track by `open_j`, not piece by piece, so no balance is given.
    standing = ride.standing.state
    # Every check is of limits (`sim.integrate.flags.CHECKS`): what the extremes do not pass, no sample does.
    if any(flag.fault not in state.flags for flag in trace_flags(ride.setup, standing, ridden.extremes, None)):
        for flag in trace_flags(ride.setup, standing, ridden.trace, time_s):
            state.flags.setdefault(flag.fault, flag)


def work_of_one(setup: Lowered, ridden: Ridden) -> dict[Key, float]:
    """Return the work that one damper of each set turned into heat in a piece [J].

    Each set's share is that of its power at the samples; the sum is what the integrator itself found, less what is stored in
    end bushes, so that no heat is lost or made.
    """
    shares, stored = {}, 0.0
    for number, line in enumerate(setup.lines):
        if line.role == "damper":
            forces = ridden.channel(line_channel(number, at.LINE_LAW))
            power = forces * ridden.channel(line_channel(number, at.LINE_SPEED))
            # Trapezoids: the samples at both ends count half.
            shares[line.axle, line.name] = line.line.number * float(np.sum(power) - 0.5 * (power[0] + power[-1]))
            # What is stored in a bush, F²/(2 k), goes back into the ride and warms no oil.
            stored += 0.5 * line.line.number * line.line.bush_give * float(forces[-1] ** 2 - forces[0] ** 2)
    # Energies begin at zero in every piece, as only the motion is taken over from the last.
    whole = float(ridden.trace[-1, at.LOSS_DAMPERS]) - stored
    summed = sum(shares.values())
    counts = {(line.axle, line.name): line.line.number for line in setup.lines if line.role == "damper"}
    if summed == 0.0:
        return dict.fromkeys(shares, 0.0)
    return {key: whole * share / summed / counts[key] for key, share in shares.items()}


def _warmed(state: _State, works: dict[Key, float], seconds: float, air: Air) -> None:
    for key, heat in state.heats.items():
        tube = state.sets[key].damper.tube
        assert tube is not None
        there = replace(air, speed=air.speed * tube.air_speed_share)
        state.heats[key] = heating.advanced(heat, tube, works[key], seconds, there)
        state.ahead[key] = state.heats[key].oil - heat.oil


def _noted(state: _State, number: int, power: dict[Key, float], seconds: float) -> None:
    """Keep extremes, flag limits, hand the moment on."""
    shares = {}
    for key, heat in state.heats.items():
        history = state.sets[key]
        tube = history.damper.tube
        assert tube is not None
        shares[key] = share = force_left(history.damper, heat.oil)
        for name, value, pick in (
            ("hottest", heat.oil, max), ("hottest_metal", heat.metal, max), ("coldest", heat.oil, min),
            ("least_force", share, min), ("most_force", share, max),
        ):  # fmt: skip
            # nan is not equal to itself: nothing has been seen yet.
            before = getattr(history, name)
            setattr(history, name, value if before != before else pick(before, value))
        part = f"{key[0]} damper '{key[1]}'"
        if heat.oil > tube.hot_limit:
            history.hot_s += seconds
            # The first time only: a flag says when it began.
            state.flags.setdefault(
                ("hot", part), Flag("hot", state.time, part, _hot(part, state, share, tube.hot_limit))
            )
        if heat.oil < tube.cold_limit:
            state.flags.setdefault(("cold", part), Flag("cold", state.time, part, _cold(part, heat.oil, share)))
    oil = {key: heat.oil for key, heat in state.heats.items()}
    metal = {key: heat.metal for key, heat in state.heats.items()}
    state.tell(Moment(state.time, state.distance, number, oil, metal, power, shares))


def _hot(part: str, state: _State, share: float, limit: float) -> str:
    return (
        f"{part} passed {show(limit, 'temperature')} after {show(state.distance, 'travelled')}, with {100.0 * share:.0f} % of its "
        "force left; its seals and oil may fail. A larger tube, more dampers or another speed cool it."
    )


def _cold(part: str, oil: float, share: float) -> str:
    return (
        f"{part} begins at {show(oil, 'temperature')} with {100.0 * share:.0f} % of its force on the sheet: hard on mounts and "
        "valves until it is warm. Set off slowly."
    )
