"""The map of tramp over place of the dampers and slip slope, confirmed by runs of the full model on both sides of its line."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import partial
from math import inf, nan
from typing import Any

import numpy as np
import numpy.typing as npt

from sim.describe.parts.slip import Relaxation, Surface
from sim.describe.parts.vehicle import Vehicle
from sim.describe.runs.plan import Plan
from sim.describe.shown import show
from sim.errors import RunError
from sim.integrate.channels import trace_flags
from sim.integrate.status import Flag
from sim.kernel import layout as at
from sim.linear.standing_flags import standing_flags
from sim.lower.lowering import lower
from sim.lower.rest import rest
from sim.lower.wheeled import driven_trace, road_table, wheeled
from sim.study.deciding import deciding, merged
from sim.study.lean import RELAXATIONS
from sim.study.mounts import MOVES, Misfit, relaxation_of, relaxed, unfit
from sim.study.tramp.motions import SPEED, Motions, followed, motions_of, point_of, seed, slip_with, steady, steady_of
from sim.study.tramp.records import KICK, MAPPED, WATCH_S, Motion, Point, Ran, Tramp, TrampMap

Array = npt.NDArray[np.float64]
ComplexArray = npt.NDArray[np.complex128]


def _motions(vehicle: Vehicle, axle: str, surface: Surface, slope: float) -> Motions:
    return motions_of(steady(vehicle, axle, surface, slip_with(surface, vehicle, axle, slope)))


def ran(vehicle: Vehicle, axle: str, surface: Surface, slope: float) -> Ran:
    """Run the full model, knees, friction and lift-off and all, from the steady state and a small kick of wind-up."""
    slip = slip_with(surface, vehicle, axle, slope)
    straight = steady(vehicle, axle, surface, slip)
    # The same driving as in the linear model, with knees, friction and lift-off put back in.
    own = wheeled(lower(vehicle), straight.own.driving)
    full = steady_of(own, axle, slip, SPEED)
    index = ("front", "rear").index(axle)
    state = full.state.copy()
    # Left exactly at its steady state it would stay there, however fast a motion about it grows.
    state[at.WIND_UP + 2 * index] += KICK
    # Throttle as holds the steady slip: the linear model keeps it too.
    own = replace(own, driving=replace(own.driving, throttle=full.throttle))
    table = road_table(own.setup, Plan(duration_s=WATCH_S, released_s=0.0, driving=own.driving))
    trace = driven_trace(own, table, state, WATCH_S, 1e-3, 2)
    time: Array = np.arange(len(trace), dtype=np.float64) * 1e-3
    swing = trace[:, at.WIND_UP + 2 * index] - full.state[at.WIND_UP + 2 * index]
    # Early: 0.3 s once the kick has settled in, some two swings at 6 Hz. Late: the last 0.4 s.
    early, late = slice(50, 350), slice(len(swing) - 400, len(swing))
    first, last = (0.5 * float(np.ptp(swing[part])) for part in (early, late))
    return Ran(
        first,
        last,
        # Below a tenth of the kick no swing is left whose passes could be counted.
        _frequency(swing[late]) if last > 0.1 * KICK else nan,
        tuple(
            _pressed(vehicle, axle, flag)
            for axle, flag in _by_axle(trace_flags(own.setup, full.state, trace, time))
            if not _lifted(vehicle, flag)
        ),
    )


def _by_axle(flags: Sequence[Flag]) -> list[tuple[str, Flag]]:
    return [(flag.part.partition(" ")[0], flag) for flag in flags]


def _lifted(vehicle: Vehicle, flag: Flag) -> bool:
    """Tell whether a flag is of limit straps that the pull alone makes taut: straps are there to be met, and the truck does not stand on them."""
    if flag.kind != "on_straps":
        return False
    setup = lower(vehicle)
    return flag.fault not in {one.fault for one in standing_flags(setup, rest(setup))}


def _pressed(vehicle: Vehicle, axle: str, flag: Flag) -> Flag:
    """Return a flag of bump stops as what it is here: the truck is on them by its pull, where it is not as it stands.

    The load is then not what is wrong with it, and an empty truck has none to take off.
    """
    if flag.kind != "on_stops":
        return flag
    setup = lower(vehicle)
    stop = dict(vehicle.axles)[axle].stop
    jounce = float(rest(setup).state[at.JOUNCE + 2 * ("front", "rear").index(axle)])
    if stop is None or jounce >= stop.gap:
        return flag
    return replace(
        flag,
        part=f"{axle} axle, pulling,",
        sentence=(
            f"Held at {show(SPEED, 'road_speed')} while its wheels slip, the truck is pressed onto its {axle} bump stops by {show(flag.past_m, 'length')}; at rest "
            f"it has {show(stop.gap - jounce, 'length')} left there. So the map is of an axle on its stops: run the launch (jounce compare) to see how near "
            "it comes to them; stiffer springs, or stops that touch later (a larger gap), if dampers and tyres have the room, keep it off."
        ),
    )


def _frequency(swing: Array) -> float:
    """Return how often a second a swing passes its middle upwards [Hz], nan with fewer than two passes; samples of 1 ms."""
    about = swing - 0.5 * (swing.max() + swing.min())
    up = np.flatnonzero((about[:-1] < 0.0) & (about[1:] >= 0.0))
    return 1e3 * (up.size - 1) / float(up[-1] - up[0]) if up.size > 1 else nan


def tramp_map(
    name: str, vehicle: Vehicle, axle: str, surface: Surface, places: Array, slip_slope: Array, move: str = "upper",
    relaxation: Relaxation = "at_once", tell: Callable[[str], None] | None = None, standing: int | None = None,
) -> TrampMap:  # fmt: skip
    """Work out the map, and confirm it by runs on both sides of where tramp first starts, at every second place.

    Raises
    ------
    RunError
        If the surface's curve has not all of the slopes, the vehicle lacks what drives it, or no place fits.
    """
    mapped = _mapped(name, vehicle, axle, surface, places, slip_slope, move, relaxation, tell, standing)
    _confirmed(mapped, vehicle, surface, tell)
    return mapped


def _mapped(
    name: str, vehicle: Vehicle, axle: str, surface: Surface, places: Array, slip_slope: Array, move: str,
    relaxation: Relaxation, tell: Callable[[str], None] | None, standing: int | None,
) -> TrampMap:  # fmt: skip
    """Return the map by the linear model alone, without runs."""
    file, vehicle = vehicle, relaxed(vehicle, relaxation)
    setups = [MOVES[move].of(vehicle, axle, float(place)) for place in places]
    misfits = {i: misfit for i, setup in enumerate(setups) if (misfit := unfit(setup, axle, file))}
    # What an estimate alone says may be otherwise on the truck: those places are mapped, and it is said.
    left_out = {i: misfit for i, misfit in misfits.items() if not misfit.estimated}
    unsure = {i: misfit for i, misfit in misfits.items() if misfit.estimated}
    fitting = [i for i in range(len(setups)) if i not in left_out]
    if not fitting:
        raise RunError(_nowhere(name, move, places, left_out, standing))
    points: list[list[Point]] = [[] for _ in setups]
    order = np.argsort(slip_slope)[::-1]
    grip = float(slip_slope[order[0]])
    stands = MOVES[move].stands_at(vehicle, axle)
    # Where the set-up stands, as wind-up is surest known there; at the centre if it stands at none of the places.
    begin = min(fitting, key=lambda i: abs(places[i] - (stands if stands is not None else 0.0)))
    seeds = _seeds(vehicle, axle, surface, places, fitting, move, begin, grip)
    for i in fitting:
        if tell:
            tell(f"{MOVES[move].label}, place {i + 1} of {len(setups)}")
        points[i] = _row(setups[i], axle, surface, slip_slope, order, seeds[i])
    return TrampMap(name, axle, places, slip_slope, points, {}, move, relaxation, left_out, standing, unsure)


def _nowhere(name: str, move: str, places: Array, left_out: Mapping[int, Misfit], standing: int | None) -> str:
    """Return that the dampers fit at none of the places, why not where they stand or are least short, and what to do about it."""
    # A place that fails for another reason than a length has none to be short by.
    least = min(left_out, key=lambda i: left_out[i].short if left_out[i].short > 0.0 else inf)
    at_ = least if standing is None or standing not in left_out else standing
    where = "as it stands" if at_ == standing else MOVES[move].words(float(places[at_]))
    return (
        f"With “{name}” the dampers fit at no place that was to be tried ({MOVES[move].label}): {where}, {left_out[at_].reason}. First make "
        "them fit: jounce check says what cures it, jounce sheet which dampers would. How it hops with them as they are: jounce compare"
    )


def _confirmed(
    mapped: TrampMap, vehicle: Vehicle, surface: Surface, tell: Callable[[str], None] | None
) -> dict[tuple[int, int], Ran]:
    """Put the runs of the full model into a map that confirm it, and return them.

    Raises
    ------
    RunError
        If no place of it fits.
    """
    move, axle, standing = MOVES[mapped.move], mapped.axle, mapped.standing
    fitting = [i for i, row in enumerate(mapped.points) if row]
    if not fitting:
        raise RunError(_nowhere(mapped.name, mapped.move, mapped.places, mapped.left_out, mapped.standing))
    vehicle = relaxed(vehicle, mapped.relaxation)

    def confirm(i: int) -> None:
        setup = move.of(vehicle, axle, float(mapped.places[i]))
        for j in _asked(mapped, i):
            slope = float(mapped.slip_slope[j])
            if tell:
                tell(f"run, {move.label}, place {i + 1}, slope {slope:.2f}")
            mapped.ran[i, j] = ran(setup, axle, surface, slope)

    # Every second place and both ends show that the line is right, at half of the runs; where the dampers stand now is what is asked about.
    others = [i for i in fitting if i != standing]
    for i in sorted({*others[::2], *others[-1:], *(i for i in fitting if i == standing)}):
        confirm(i)
    # What is advised is run in any case, and the next best if that is at fault: a map knows of no damper's end.
    while not any(i == mapped.latest() for i, _ in mapped.ran):
        confirm(mapped.latest())
    return mapped.ran


def _seeds(
    vehicle: Vehicle, axle: str, surface: Surface, places: Array, fitting: list[int], move: str, begin: int, slope: float
) -> dict[int, tuple[Motions, Motion, float]]:  # fmt: skip
    """Return wind-up where the tyres grip most, at every place, followed from where the set-up stands."""

    def look(place: float) -> Motions:
        return _motions(MOVES[move].of(vehicle, axle, place), axle, surface, slope)

    there = look(float(places[begin]))
    seeds = {begin: (there, seed(there, f"{axle} wind-up"), 1.0)}
    # Outwards both ways, each place from its neighbour: shapes change little from one to the next.
    for way in ([i for i in fitting if i > begin], [i for i in reversed(fitting) if i < begin]):
        last = begin
        for i in way:
            seeds[i] = followed(look, seeds[last][1], float(places[last]), float(places[i]))
            last = i
    return seeds


def _row(
    vehicle: Vehicle, axle: str, surface: Surface, slip_slope: Array, order: npt.NDArray[np.int_],
    seed: tuple[Motions, Motion, float],
) -> list[Point]:  # fmt: skip
    """Return the points of one place, wind-up followed from grip to sliding."""

    def look(slope: float) -> Motions:
        return _motions(vehicle, axle, surface, slope)

    row: dict[int, Point] = {}
    there, motion, alike = seed
    last = float(slip_slope[order[0]])
    for j in order:
        slope = float(slip_slope[j])
        # At the first slope the motion is known: it was followed there over the places.
        if j != order[0]:
            there, motion, alike = followed(look, motion, last, slope)
        row[int(j)] = point_of(there, f"{axle} wind-up", motion, slope, alike)
        last = slope
    return [row[j] for j in range(slip_slope.size)]


def _asked(found: TrampMap, place: int) -> list[int]:
    """Return the slopes at which runs confirm a place: two steps to either side of where it first tramps, or both ends."""
    order = np.argsort(found.slip_slope)[::-1]
    grows = np.minimum(found.damping[place], found.others()[place])[order] <= 0.0
    changes = np.flatnonzero(grows[:-1] != grows[1:])
    if not changes.size:
        # Always or never, says the linear model: runs at both ends could still prove it wrong.
        return [int(order[0]), int(order[-1])]
    first = int(changes[0])
    # Not right beside the crossing, where friction can hold a small kick that the linear model lets grow.
    return [int(order[max(first - 1, 0)]), int(order[min(first + 2, order.size - 1)])]


def with_standing(vehicle: Vehicle, axle: str, move: str, places: Array) -> tuple[Array, int | None]:
    """Return places (n,) in order with the one among them where a set-up has its dampers, and its number; None where it is on none."""
    own = MOVES[move].stands_at(vehicle, axle)
    if own is None or not places.min() <= own <= places.max():
        return places, None
    # One that reads the same is the same: two rows with one name would tell nobody which is meant.
    alike = [i for i, place in enumerate(places) if MOVES[move].words(float(place)) == MOVES[move].words(own)]
    if alike:
        return places, alike[0]
    at_ = int(np.searchsorted(places, own))
    return np.insert(places, at_, own), at_


def _one_after_the_other(pieces: Sequence[Callable[[], Any]]) -> list[Any]:
    return [piece() for piece in pieces]


def tramp(
    name: str, vehicle: Vehicle, axle: str, surface: Surface, lean_rad: Array, ahead_m: Array, slip_slope: Array,
    tell: Callable[[str], None] | None = None,
    each: Callable[[Sequence[Callable[[], Any]]], list[Any]] = _one_after_the_other,
) -> Tramp:  # fmt: skip
    """Map a set-up over its lean and over the side of the axle, both ways that grip can follow load.

    Parameters
    ----------
    each : callable
        Returns what pieces of work return, in their order, for whoever shares them out: first each map, then the runs that confirm each.

    Raises
    ------
    RunError
        As `tramp_map`.
    """
    own = relaxation_of(vehicle, axle)
    grids = {move: with_standing(vehicle, axle, move, lean_rad if move == "upper" else ahead_m) for move in MAPPED}
    kept, pieces = [], []
    # The file's way first: `Tramp.relaxation` reads it off the first map.
    for way in sorted(RELAXATIONS, key=lambda each: each != own):
        for move in MAPPED:
            asked, standing = grids[move]
            # Whether the advice turns must not hang on how many places were asked for, so it has places of its own.
            places, numbers = merged(asked, deciding(asked))
            stands = None if standing is None else numbers[0][standing]
            kept.append(numbers)
            pieces.append(partial(_mapped, name, vehicle, axle, surface, places, slip_slope, move, way, tell, stands))
    whole = each(pieces)
    maps = [one.only(asked) for one, (asked, _) in zip(whole, kept, strict=True)]
    fine = [one.only(decide) for one, (_, decide) in zip(whole, kept, strict=True)]
    confirmed = each([partial(_confirmed, mapped, vehicle, surface, tell) for mapped in maps])
    for mapped, runs in zip(maps, confirmed, strict=True):
        mapped.ran.update(runs)
    return Tramp(tuple(maps), tuple(fine))
