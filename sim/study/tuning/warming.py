"""How warm a track makes the dampers of many set-ups: the same ride and the same heat as `sim.study.endurance.drive`, but one lap for all.

A day's drive repeats its lap hundreds of times, and from lap to lap only temperatures differ. So a lap is ridden at four of
them, with dampers as warm as the air, twice as they come to be by the work that is known, and half as warm, and in between the work of a damper runs
straight with the temperature of its own oil. The work of a lap is kept piece by piece, as oil warms on its rough parts and cools on
the others. Hours cost a few seconds; the answer of a tuning is driven in full.
"""

from collections.abc import Callable, Sequence
from functools import partial
from itertools import cycle, pairwise
from math import ceil

import numpy as np

from sim.describe.lowered import Lowered
from sim.describe.parts.dampers import heat as heating
from sim.describe.parts.dampers.air import Air, pressure_at
from sim.describe.parts.dampers.heat import Heat
from sim.describe.parts.dampers.tube import Tube
from sim.describe.parts.vehicle import Vehicle
from sim.describe.runs.track import Drive, Track
from sim.describe.valved import Valved
from sim.errors import JounceError, RunError
from sim.integrate.channels import trace_flags
from sim.integrate.given import STEP_S
from sim.integrate.many.ready import whole
from sim.integrate.status import Flag, once
from sim.lower.guard import fastest_rate, substeps
from sim.lower.lowering import lower
from sim.lower.rest import rest
from sim.lower.road.lap import Circuit, circuit
from sim.measure.measure import Measure
from sim.measure.tally import Tally
from sim.study.endurance.drive import PIECE_S, at_temperature, work_of_one
from sim.study.endurance.history import Endured, Key, SetHistory, force_left
from sim.study.endurance.measures import HEAT, figures
from sim.study.endurance.ride import Ride
from sim.study.many import Outcome, not_run

RIDE_IN_S = PIECE_S
"""Time [s] ridden, one piece of the lap, before a lap counts: by then a body that set off from standing has come to rest, and a driver who lets the bumps
slow the truck, by some 2 s of its mass, has it within a hundredth of where it stays."""

HEAT_S = 20.0
"""Time [s] through which heat is advanced at once while the truck stands."""

STEADY_S = 30.0
"""Laps shorter than this [s] are ridden several times at each temperature, and the first third of them is left out."""

LAPS_RIDDEN = 4
"""Temperatures at which a lap is ridden: that of the air, what that lap's work makes of the oil, what both together do, and half of the way
there. Oil thins along a curve: the third brings the end of a drive to some tenths of a kelvin, the fourth the way to it."""

LAPS_KEPT = 4  # one of 15 minutes takes some 60 MB

Works = Callable[[Key, float], float]
Lapped = list[tuple[float, Works]]
"""A lap's pieces in order: how long each lasts [s], and the power of a damper in it [W] by key and temperature of its oil [K]."""


class Warming:
    """Tracks of hours, as `sim.study.tuning.runners` wants them."""

    at_once = 4  # small parts, as each set-up takes a second or so

    def __init__(self, run: Track, measures: Sequence[str]) -> None:
        self.run, self.wanted = run, tuple(measures)
        self._laps: dict[tuple[object, ...], Circuit] = {}

    @property
    def air(self) -> float:
        """Temperature [K] from which warming is counted: that of the air."""
        return self.run.air

    def measures(self, vehicle: Vehicle) -> tuple[Measure, ...]:
        """Return what can be asked of this run: the heat of every damper set that has a tube."""
        # Figures are asked only for their names here, so nothing is driven.
        bare = Endured("", vehicle, self.run, _histories(vehicle), Tally(), {}, (), 0.0, 0.0)
        return tuple(
            Measure(one.name, one.label, one.quantity, one.better, partial(_nothing, one.name), "From one lap at four temperatures.")
            for one in figures(bare)
            if one.name.endswith(HEAT)
        )  # fmt: skip

    def outcomes(self, vehicles: Sequence[Vehicle | Valved]) -> list[Outcome]:
        """Return what came of set-ups, one after the other."""
        return [self._outcome(whole(vehicle)) for vehicle in vehicles]

    def _outcome(self, vehicle: Vehicle) -> Outcome:
        try:
            endured = self.warmed(vehicle)
        except JounceError as error:
            return not_run(error)
        return Outcome(
            {one.name: one.of(endured) for one in figures(endured) if one.name in self.wanted}, endured.flags
        )

    def warmed(self, vehicle: Vehicle) -> Endured:
        """Return one set-up after the track: only what heat says of it.

        Raises
        ------
        RunError
            If it cannot stand, or the ride blows up.
        """
        run, lowered = self.run, lower(vehicle)
        sets = _histories(vehicle)
        if not sets:
            raise RunError(
                "no damper has a tube, so none has a temperature: give it bore, outside_diameter, length and rod"
            )
        # As `endure` begins, or the two would differ from the start.
        begins = run.begins_at if run.begins_at is not None else run.stages[0].air or run.air
        heats = {key: Heat(begins, begins) for key in sets}
        standing = rest(lowered)
        # Oil is thickest when coldest: one step for the whole track, by which laps are kept as well.
        coldest = min([begins, *(stage.air or run.air for stage in run.stages)])
        cut = substeps(fastest_rate(at_temperature(lowered, dict.fromkeys(sets, coldest)), standing), STEP_S)
        known: dict[tuple[int, float], Lapped] = {}
        _seen(sets, heats, 0.0)
        flags: list[Flag] = []
        for stage in run.stages:
            air = Air(stage.air or run.air, pressure_at(run.altitude), stage.speed)
            works: Lapped = [(HEAT_S, _none)]
            if stage.course is not None:
                # The line of power over temperature holds for every stage of this course and speed, in whatever air.
                same = (id(stage.course), stage.speed)
                if same not in known:
                    lap = self._lap(stage, vehicle, STEP_S / cut)
                    ride = Ride(lowered, standing, run, "")
                    known[same] = _works(lowered, ride, lap, cut, stage, sets, air, flags)
                works = known[same]
            _through(sets, heats, works, stage.seconds, air)
            if stage.course is not None:
                for key, history in sets.items():
                    tube = _tube(history)
                    there = Air(air.kelvin, air.pressure, air.speed * tube.air_speed_share)
                    # At the temperature of the end, where `endure` takes the mean of the last minutes.
                    power = sum(lasts * work(key, heats[key].oil) for lasts, work in works)
                    power /= sum(lasts for lasts, _ in works)
                    history.settled, history.settled_metal = heating.settled(tube, power, there)
                    history.settled_force = force_left(history.damper, history.settled)
        for key, history in sets.items():
            history.heat = heats[key]
            # Force falls as oil warms, so its extremes are those of the oil.
            history.least_force = force_left(history.damper, history.hottest)
            history.most_force = force_left(history.damper, history.coldest)
        return Endured("", vehicle, run, dict(sets), Tally(), {}, once(flags), 0.0, 0.0)

    def _lap(self, stage: Drive, vehicle: Vehicle, step_s: float) -> Circuit:
        tyres = tuple((axle.tyre.radius, axle.tyre.contact_length_driven) for _, axle in vehicle.axles)
        number = next(n for n, one in enumerate(self.run.stages) if one.course is stage.course)
        key = (number, stage.speed, step_s, vehicle.wheelbase, tyres)
        if key not in self._laps:
            while len(self._laps) >= LAPS_KEPT:
                self._laps.pop(next(iter(self._laps)))
            self._laps[key] = circuit(
                stage.course, stage.speed, step_s, vehicle.wheelbase, (tyres[0], tyres[1]), anew=False
            )  # fmt: skip
        return self._laps[key]


def _histories(vehicle: Vehicle) -> dict[Key, SetHistory]:
    """Return an empty history of every damper set that has a tube."""
    return {
        (axle, name): SetHistory(damper)
        for axle, part in vehicle.axles
        for name, damper in part.dampers.items()
        if damper.tube is not None
    }


def _tube(history: SetHistory) -> Tube:
    assert history.damper.tube is not None
    return history.damper.tube


def _nothing(name: str, run: object) -> float:
    raise RunError(f"'{name}' is of hours of track, not of one run")


def _none(key: Key, kelvin: float) -> float:
    return 0.0


def _works(
    lowered: Lowered, ride: Ride, lap: Circuit, cut: int, stage: Drive, sets: dict[Key, SetHistory], air: Air,
    flags: list[Flag],
) -> Lapped:  # fmt: skip
    """Ride a lap at some temperatures; return the power of one damper [W] in each piece of it, by key and temperature of its oil [K].

    What the laps are flagged for is added to `flags`.
    """
    # Whole outputs, as work is summed over them.
    steps, at_once = ceil(lap.steps / cut) * cut, max(round(RIDE_IN_S / lap.step_s / cut), 1) * cut
    bounds = [*range(0, steps, at_once), steps]
    # The first piece rides in; then the lap from there on, and the first piece of the next lap.
    lengths = [end - begin for begin, end in pairwise(bounds)]
    oil = dict.fromkeys(sets, air.kelvin)
    at_step = 0
    while (
        at_step == 0 or at_step * lap.step_s < RIDE_IN_S - 1e-9
    ):  # short laps several times, each to the end of its first piece
        steps_in = lengths[0] if at_step == 0 else steps
        _rides(ride, at_temperature(lowered, oil), lap, stage, at_step, steps_in, cut, flags)
        at_step += steps_in
    known: list[tuple[dict[Key, float], list[dict[Key, float]]]] = []
    works: Lapped = []
    for number in range(LAPS_RIDDEN):
        # On from where the last lap ended. Short laps are ridden again and again, the first for the speed to settle with this oil.
        setup, rounds = at_temperature(lowered, oil), max(ceil(STEADY_S / (steps * lap.step_s)), 1)
        laps = []
        for _ in range(rounds):
            laps.append(_lap_ridden(ride, setup, lap, stage, lengths, at_step, cut, flags))
            at_step += sum(laps[-1][0])
        kept = laps[rounds // 3 :]
        lasts = [float(np.mean([ridden[n] for ridden, _ in kept])) * lap.step_s for n in range(len(lengths))]
        powers = [{key: float(np.mean([of[n][key] for _, of in kept])) for key in sets} for n in range(len(lengths))]
        known.append((oil, powers))
        works = [
            (seconds, partial(_between, {key: _line(known, key, piece) for key in sets}))
            for piece, seconds in enumerate(lasts)
        ]
        # As warm as what is known of its work makes the oil by the end of the stage.
        warm = {key: Heat(air.kelvin, air.kelvin) for key in sets}
        _through({key: SetHistory(one.damper) for key, one in sets.items()}, warm, works, stage.seconds, air)
        oil = {key: heat.oil for key, heat in warm.items()}
        if number == LAPS_RIDDEN - 2:
            oil = {key: 0.5 * (air.kelvin + kelvin) for key, kelvin in oil.items()}
    return works


def _line(
    known: list[tuple[dict[Key, float], list[dict[Key, float]]]], key: Key, piece: int
) -> list[tuple[float, float]]:
    """Return temperatures of a damper's oil [K], rising, and its power in a piece at each [W]."""
    points: list[tuple[float, float]] = []
    for kelvin, power in sorted((oil[key], powers[piece][key]) for oil, powers in known):
        # Over less than a kelvin a line would magnify rounding.
        if not points or kelvin - points[-1][0] >= 1.0:
            points.append((kelvin, power))
    return points


def _lap_ridden(
    ride: Ride, setup: Lowered, lap: Circuit, stage: Drive, lengths: list[int], at_step: int, cut: int, flags: list[Flag]
) -> tuple[list[int], list[dict[Key, float]]]:  # fmt: skip
    """Ride a lap from the end of its first piece to there again; return how many steps each piece took, and the powers in it [W]."""
    behind = ride.lost_steps
    ridden = list(lengths)
    powers: dict[int, dict[Key, float]] = {}
    for number in (*range(1, len(lengths)), 0):
        if number == 0:
            # Bumps slow the truck down, so that it has not come round when its time is up: a lap is all of its road.
            ridden[0] += ceil((ride.lost_steps - behind) * (1.0 + lengths[0] / sum(lengths)) / cut) * cut
        powers[number] = _rides(ride, setup, lap, stage, at_step, ridden[number], cut, flags)
        at_step += ridden[number]
    return ridden, [powers[number] for number in range(len(lengths))]


def _between(lines: dict[Key, list[tuple[float, float]]], key: Key, kelvin: float) -> float:
    """Return a power [W] on the lines through some temperatures [K], the last of them drawn on; never below zero."""
    points = lines[key]
    if len(points) == 1:
        return points[0][1]
    upper = next((n for n, (at, _) in enumerate(points[1:-1], 1) if kelvin < at), len(points) - 1)
    (cold, first), (hot, second) = points[upper - 1], points[upper]
    return max(first + (second - first) * (kelvin - cold) / (hot - cold), 0.0)


def _rides(
    ride: Ride, setup: Lowered, lap: Circuit, stage: Drive, first: int, steps: int, cut: int, flags: list[Flag]
) -> dict[Key, float]:
    """Ride some steps of a lap; return the mean power of one damper of each set [W]."""
    given = ride.over(lap, stage, first, steps, cut)
    ridden = ride.piece(setup, given)
    if len(ridden) < steps // cut + 1 or not np.all(np.isfinite(ridden.trace[-1])):
        raise RunError("The ride blew up.")
    # A lap stands for hours of them, so no one moment is named, and the extremes say all.
    flags += trace_flags(setup, ride.standing.state, ridden.extremes, None)
    return {key: work / (steps * lap.step_s) for key, work in work_of_one(setup, ridden).items()}


def _through(sets: dict[Key, SetHistory], heats: dict[Key, Heat], works: Lapped, seconds: float, air: Air) -> None:
    """Advance the heat of every set through a stage, over a lap's pieces again and again; keep what its history wants."""
    change = dict.fromkeys(heats, 0.0)
    left = seconds
    for lasts, of in cycle(works):
        if left < 1e-9:
            break
        each = min(lasts, left)
        left -= each
        for key, heat in heats.items():
            tube = _tube(sets[key])
            there = Air(air.kelvin, air.pressure, air.speed * tube.air_speed_share)
            # At the temperature expected at its middle, as a piece of `endure`.
            work = of(key, heat.oil + 0.5 * change[key]) * each
            heats[key] = heating.advanced(heat, tube, work, each, there)
            change[key] = heats[key].oil - heat.oil
            sets[key].work += work
            sets[key].driven_s += each if air.speed > 0.0 else 0.0
        _seen(sets, heats, each)


def _seen(sets: dict[Key, SetHistory], heats: dict[Key, Heat], seconds: float) -> None:
    """Keep the extremes and the time above the limit."""
    for key, history in sets.items():
        oil, metal, tube = heats[key].oil, heats[key].metal, _tube(history)
        # nan is not equal to itself: nothing has been seen yet.
        history.hottest = oil if history.hottest != history.hottest else max(history.hottest, oil)
        history.hottest_metal = (
            metal if history.hottest_metal != history.hottest_metal else max(history.hottest_metal, metal)
        )
        history.coldest = oil if history.coldest != history.coldest else min(history.coldest, oil)
        history.hot_s += seconds if oil > tube.hot_limit else 0.0
