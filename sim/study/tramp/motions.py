"""Motions about a truck that is held at a low speed, as on a rope, while its engine makes the wheels slip steadily.

Motion about that state is linearised; where it grows, tramp starts by itself. The slope of the slip curve there is what decides: it
is positive before the peak and negative past it. Wind-up is followed by its shape from point to point.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from sim.describe.parts.slip import SlipCurve, Surface
from sim.describe.parts.vehicle import Vehicle
from sim.describe.runs.plan import Driving, Plan
from sim.describe.shown import show
from sim.errors import RunError
from sim.integrate.energy import stored
from sim.kernel import layout as at
from sim.linear.modes import straightened
from sim.lower.lowering import lower
from sim.lower.rest import rest
from sim.lower.stance import axle_stances
from sim.lower.still import free_coordinates
from sim.lower.wheeled import STATE, DrivenEquations, Wheeled, road_table, wheeled
from sim.study.tramp.records import WATCH_S, Motion, Other, Point

Array = npt.NDArray[np.float64]
ComplexArray = npt.NDArray[np.complex128]

SPEED = 1.5
"""Road speed [m/s] at which the truck is held: a crawl, as when it fails to climb."""
BAND_HZ = (0.5, 30.0)
"""|eigenvalue| / 2 pi of the other motions that are reported."""
RUNAWAY_HZ = 3.0
"""A motion that grows without swinging is reported from so fast on: slower is the engine that speeds up past the peak."""
ALIKE, HALVINGS = 0.8, 5
"""Shapes less alike than this are followed in smaller steps, halved at most so many times."""
NODS = 0.05
"""Share of the kinetic energy in wind-up from which the pinion is said to nod along with another motion."""


def slope_at(curve: SlipCurve, slip: float, load: float) -> float:
    """Return the slope of a tyre's slip curve as a share of its load."""
    # Central: the slope changes fastest at the peak, where a step to one side would be off.
    return (curve.force(slip + 1e-5, load) - curve.force(slip - 1e-5, load)) / 2e-5 / load


def slopes_of(surface: Surface, vehicle: Vehicle, axle: str) -> tuple[float, float]:
    """Return the steepest fall of the slip curve past its peak, and the slip at which it is."""
    curve, load = _curve(surface, vehicle, axle)
    # Almost up to 1, a wheel that spins on the spot; 600 points place the fall within 0.002.
    slips = np.linspace(0.2 * surface.peak_at, 0.95, 600)
    slopes = np.array([slope_at(curve, float(slip), load) for slip in slips])
    place = int(np.argmin(slopes))
    return float(slopes[place]), float(slips[place])


def slip_with(surface: Surface, vehicle: Vehicle, axle: str, slope: float) -> float:
    """Return the slip, up to the steepest fall, at which the curve has a slope.

    Raises
    ------
    RunError
        If the curve is nowhere so steep.
    """
    # Imported here, as only a map needs it and it is slow to load.
    from scipy.optimize import brentq

    curve, load = _curve(surface, vehicle, axle)
    steepest, last = slopes_of(surface, vehicle, axle)
    first = 0.02 * surface.peak_at
    if not steepest < slope < slope_at(curve, first, load):
        raise RunError(
            f"On {surface.name} the slip curve falls by {-steepest:.2f} of the load per slip at most; a slope of {slope:.2f} is not on it."
        )
    # Past its steepest fall the curve flattens and has each slope once more: the earlier place is meant.
    return float(brentq(lambda slip: slope_at(curve, slip, load) - slope, first, last, xtol=1e-10))


def _curve(surface: Surface, vehicle: Vehicle, axle: str) -> tuple[SlipCurve, float]:
    part = getattr(vehicle, axle)
    # The curve is that of one tyre, the load that of the whole axle.
    return part.tyre.slip.curve(surface), axle_stances(vehicle.reference)[axle].load / part.tyre.count


@dataclass(frozen=True)
class Steady:
    """A truck held at a speed with its wheels slipping steadily."""

    own: Wheeled
    equations: DrivenEquations
    state: Array  # (ROWS,)
    throttle: float


def steady(vehicle: Vehicle, axle: str, surface: Surface, slip: float, speed: float = SPEED) -> Steady:
    """Find the state in which an axle's wheels slip steadily at a held road speed, and the throttle that it takes.

    Raises
    ------
    RunError
        If there is none, or the vehicle's file lacks what drives it.
    """
    # Whatever changes in a launch is over before the start or never comes: throttle and slip are what is left.
    driving = Driving(
        surface=surface, climb_rad=0.0, speed_m_per_s=speed, in_gear=True, held=False, throttle=1.0, throttle_from_s=-1.0,
        throttle_rise_s=0.5, brakes_off_s=0.0, pedal=0.0, pedal_from_s=1e9, pedal_rise_s=1.0, pulling=True,
    )  # fmt: skip
    # Knees and leaf friction have no derivative, so slopes stand in their place.
    return steady_of(wheeled(straightened(lower(vehicle)), driving), axle, slip, speed)


def steady_of(own: Wheeled, axle: str, slip: float, speed: float) -> Steady:
    """Return the steady state of a lowered set-up at a slip and a road speed [m/s]; as `steady`.

    Raises
    ------
    RunError
        If there is none.
    """
    from scipy.optimize import least_squares

    plan = Plan(duration_s=WATCH_S, released_s=0.0, driving=own.driving)
    equations = DrivenEquations(own, road_table(own.setup, plan))
    slipping = at.SLIP + ("front", "rear").index(axle)
    state = _first_guess(own, axle, slip, speed)
    rows, rates = _unknowns(own)
    # Usual sizes (rad/s, N; m and rad otherwise): unknowns of one size can share a tolerance.
    sizes = {at.ENGINE: 50.0, at.SPIN: 5.0, at.SPIN + 1: 5.0, at.FELT: 1e3, at.FELT + 1: 1e3}
    scale = np.array([sizes.get(row, 0.05) for row in rows])
    # The felt load's rate is in N/s, thousands where accelerations are ones.
    weight = np.array([1e3 if row in (at.FELT, at.FELT + 1) else 1.0 for row in rates])

    def residual(values: Array) -> Array:
        state[rows] = values[:-1] * scale
        derivative = equations.derivative(state, float(values[-1]), (0.0, 0.0))
        # The slip asked for is an equation as well; by its weight it holds within 1e-7 where rates hold within 1e-5.
        missed: Array = np.r_[derivative[rates] / weight, 100.0 * (state[slipping] - slip)]
        return missed

    begin = np.r_[state[rows] / scale, 0.5]
    solution = least_squares(
        residual, begin, jac="3-point", x_scale="jac", xtol=1e-15, ftol=1e-15, gtol=1e-15, max_nfev=200
    )
    # This call also leaves the solution in `state`, where the last trial may have been another.
    left = float(np.max(np.abs(residual(solution.x))))
    if not left < 1e-5:  # nan must fail too
        raise RunError(
            f"No steady slip of {100 * slip:.0f} % was found at {show(speed, 'road_speed')}; is the engine's limit in this gear too low, or does "
            "a damper or a bump stop meet its end as the truck squats?"
        )
    return Steady(own, equations, state.copy(), float(solution.x[-1]))


def _unknowns(own: Wheeled) -> tuple[list[int], list[int]]:
    """Return the rows of the state that are sought, and for each the rate that must vanish."""
    # For a coordinate that is the rate of its speed.
    rows = free_coordinates(own.setup)
    rates = [at.COORDINATES + row for row in rows]
    for which, name in enumerate(("front", "rear")):
        # The others stand for themselves: each is sought where its own rate vanishes.
        own_rates = [at.SPIN + which, at.SLIP + which]
        if _drives(own, name):
            own_rates.append(at.TWIST + which)
        if own.wheels[name].load_delayed:
            own_rates.append(at.FELT + which)
        rows += own_rates
        rates += own_rates
    return [*rows, at.ENGINE], [*rates, at.ENGINE]


def _first_guess(own: Wheeled, axle: str, slip: float, speed: float) -> Array:
    """Return the standing truck at a road speed [m/s], its driven wheels and engine as fast as the slip asks."""
    state = np.zeros(at.ROWS)
    state[: at.STATES] = rest(own.setup).state
    state[at.COORDINATES + at.X] = speed
    for which, name in enumerate(("front", "rear")):
        radius = own.setup.axles[name].tyre_radius
        # Slip is a share of the faster of both speeds, the wheel's: Ω = v / (R (1 - slip)).
        state[at.SPIN + which] = speed / radius / (1.0 - slip if _drives(own, name) else 1.0)
        state[at.SLIP + which] = slip if _drives(own, name) else 0.0
        if own.wheels[name].load_delayed:
            state[at.FELT + which] = axle_stances(own.setup.vehicle.reference)[name].load
    index = ("front", "rear").index(axle)
    state[at.ENGINE] = state[at.SPIN + index] * own.wheels[axle].ratio * own.drive.gears
    return state


def _drives(own: Wheeled, name: str) -> bool:
    line = own.setup.vehicle.driveline
    assert line is not None
    return line.drives(name)


def rows_of(own: Wheeled) -> npt.NDArray[np.int_]:
    """Return the rows of the state that move in the linear view: place along the road and brakes are left out."""
    # Left out: what is held (the way along the road), does not act (brakes), or slips all the time (leaf friction).
    idle = [at.X, at.COORDINATES + at.X, at.BRAKE, at.BRAKE + 1, at.FRICTION, at.FRICTION + 1]
    # Without a differential between the propshafts nothing moves there, and without a clutch in it nothing gives.
    idle += [] if own.drive.centre_free else [at.CENTRE]
    idle += [] if own.drive.centre_free and own.drive.centre_limit else [at.CENTRE_GIVE]
    free = free_coordinates(own.setup)
    for index, name in enumerate(("front", "rear")):
        wheels = own.wheels[name]
        if wheels.shaft_rate == 0.0:
            idle.append(at.TWIST + index)
        if at.SHIFT + index not in free:
            idle += [at.SHIFT + index, at.COORDINATES + at.SHIFT + index]
        if not wheels.load_delayed:
            idle.append(at.FELT + index)
        if at.WIND_UP + 2 * index not in free:
            idle += [at.WIND_UP + 2 * index, at.COORDINATES + at.WIND_UP + 2 * index]
    return np.array([row for row in STATE if row not in idle])


def matrix_of(steady_state: Steady) -> tuple[Array, npt.NDArray[np.int_]]:
    """Return the matrix [1/s] of motion about a steady state, and the rows of the state that it is of."""
    rows = rows_of(steady_state.own)
    jacobian = np.empty((rows.size, rows.size))
    for column, row in enumerate(rows):
        # Felt load is some 1e4 N where others are metres and radians: steps in proportion.
        size = 1e-3 if row in (at.FELT, at.FELT + 1) else 1e-7
        step = np.zeros(at.ROWS)
        step[row] = size
        ahead = steady_state.equations.derivative(steady_state.state + step, steady_state.throttle)
        behind = steady_state.equations.derivative(steady_state.state - step, steady_state.throttle)
        jacobian[:, column] = (ahead - behind)[rows] / (2.0 * size)
    return jacobian, rows


def linear(steady_state: Steady) -> ComplexArray:
    """Return the eigenvalues [1/s] of motion about a steady state; place along the road and brakes left out."""
    values: ComplexArray = np.linalg.eigvals(matrix_of(steady_state)[0]).astype(np.complex128)
    return values


def _part_of(own: Wheeled, row: int) -> str | None:
    """Return the name of what a row is the speed of; None if it is the speed of nothing."""
    line = own.setup.vehicle.driveline
    # Engine and driven wheels swing against each other over the shafts: one motion, so one name.
    names = {
        at.COORDINATES + at.Z: "bounce", at.COORDINATES + at.PITCH: "pitch", at.ENGINE: "shaft twist",
        at.CENTRE: "shaft twist",
    }  # fmt: skip
    for index, axle in enumerate(("front", "rear")):
        names |= {
            at.COORDINATES + at.JOUNCE + 2 * index: f"{axle} hop", at.COORDINATES + at.WIND_UP + 2 * index: f"{axle} wind-up",
            at.COORDINATES + at.SHIFT + index: f"{axle} fore-and-aft give",
            at.SPIN + index: "shaft twist" if line and line.drives(axle) else f"{axle} wheels turning",
        }  # fmt: skip
    return names.get(row)


def kinetic(own: Wheeled, state: Array, rows: list[int]) -> Array:
    """Return the matrix M (n, n) of kinetic energy v M v / 2 [SI] for speeds of some rows, at the places of a state."""
    still = state.copy()
    still[at.COORDINATES : 2 * at.COORDINATES] = 0.0
    # `stored` knows the coordinates; what turns on its own is added by hand.
    inertias = {at.ENGINE: own.drive.engine_inertia, at.CENTRE: own.drive.centre_inertia}
    inertias |= {at.SPIN + i: own.wheels[name].spin_inertia for i, name in enumerate(("front", "rear"))}

    def energy(*moving: int) -> float:
        now = still.copy()
        for row in moving:
            if row not in inertias:
                now[row] = 1.0
        turning = sum(0.5 * inertias[row] for row in moving if row in inertias)
        return stored(own.setup, now[: at.STATES], (0.0, 0.0)) + turning

    # At these places springs and height hold energy without any speed: what is above it is kinetic.
    rest_energy = energy()
    single = [energy(row) - rest_energy for row in rows]
    # By energies of one and of two speeds: T(a + b) = T(a) + T(b) + a M b.
    mass: Array = np.diag(2.0 * np.array(single))
    for i, one in enumerate(rows):
        for j in range(i):
            mass[i, j] = mass[j, i] = energy(one, rows[j]) - rest_energy - single[i] - single[j]
    return mass


@dataclass(frozen=True)
class Motions:
    """All motions about a steady state, and the kinetic energy by which their shapes are compared."""

    slip: float
    mass: Array
    all: tuple[Motion, ...]


def motions_of(steady_state: Steady) -> Motions:
    """Return the motions about a steady state."""
    matrix, rows = matrix_of(steady_state)
    own = steady_state.own
    moving = [int(row) for row in rows if _part_of(own, int(row))]
    parts = [str(_part_of(own, row)) for row in moving]
    mass = kinetic(own, steady_state.state, moving)
    # Shapes are speeds of what has inertia; slip, stretch of shafts and felt load have no share of the energy.
    picked = [int(np.flatnonzero(rows == row)[0]) for row in moving]
    values, vectors = np.linalg.eig(matrix)
    motions = []
    for value, vector in zip(values, vectors.T, strict=True):
        # Of a conjugate pair one stands for the motion.
        if value.imag < 0.0:
            continue
        shape = vector[picked].astype(np.complex128)
        # Each row's part of a* M a; energy between two rows goes half to each.
        energies = (shape.conj() * (mass @ shape)).real
        shares = {part: float(sum(e for e, p in zip(energies, parts, strict=True) if p == part)) for part in parts}
        whole = sum(shares.values())
        motions.append(Motion(complex(value), shape, {part: e / whole for part, e in shares.items()}))
    # Of a truck that drives both axles the rear one's slip is given.
    index = ("front", "rear").index(next(n for n in ("rear", "front") if own.wheels[n].shaft_rate > 0.0))
    return Motions(float(steady_state.state[at.SLIP + index]), mass, tuple(motions))


def assurance(one: ComplexArray, two: ComplexArray, mass: Array) -> float:
    """Return how alike two shapes are, 0 to 1: |a* M b|² / (a* M a)(b* M b), the modal assurance criterion by mass.

    R. J. Allemang, D. L. Brown, "A correlation coefficient for modal vector analysis", 1st International Modal Analysis
    Conference (1982), from memory; the mass makes metres and radians comparable.
    """
    across = abs(np.vdot(one, mass @ two)) ** 2
    return float(across / (np.vdot(one, mass @ one).real * np.vdot(two, mass @ two).real))


def seed(found: Motions, wind_up: str) -> Motion:
    """Return the motion that is wind-up where nothing is known yet: the swinging one with most of its energy in it."""
    swinging = [m for m in found.all if m.value.imag > 0.0]
    if not swinging or wind_up not in swinging[0].shares:
        raise RunError(f"The {wind_up} is held by its guide: there is nothing to map. Give the guide's wind_up a rate.")
    return max(swinging, key=lambda m: m.shares[wind_up])


def followed(
    look: Callable[[float], Motions], known: Motion, begin: float, end: float, depth: int = HALVINGS
) -> tuple[Motions, Motion, float]:
    """Follow a motion by its shape from one number to another; return all motions there, the one, and how alike its shape is.

    In halves while what is most alike is not alike enough: then two motions are about to change their parts.
    """
    there = look(end)
    alike = [assurance(known.shape, motion.shape, there.mass) for motion in there.all]
    best = int(np.argmax(alike))
    if alike[best] >= ALIKE or depth == 0:
        return there, there.all[best], alike[best]
    middle = 0.5 * (begin + end)
    _, half, least = followed(look, known, begin, middle, depth - 1)
    there, motion, rest_alike = followed(look, half, middle, end, depth - 1)
    return there, motion, min(least, rest_alike)


def point_of(found: Motions, wind_up: str, motion: Motion, slope: float, alike: float) -> Point:
    """Return what the map holds at one place and slope: the followed motion, and what else moves there.

    alike : modal assurance of the motion with the one before it on its way.
    """
    low, high = BAND_HZ
    others = [
        Other(m.name(wind_up), m.damping_ratio, m.frequency_hz, m.value.real, m.shares[wind_up] >= NODS)
        for m in found.all
        if m is not motion
        and ((m.value.imag > 0.0 and low <= m.frequency_hz <= high) or (m.value.real > 0.0 and m.frequency_hz >= RUNAWAY_HZ))
    ]  # fmt: skip
    return Point(
        motion.damping_ratio, motion.frequency_hz, found.slip, slope, float(motion.value.real), alike,
        tuple(sorted(others, key=lambda other: other.damping_ratio)),
    )  # fmt: skip
