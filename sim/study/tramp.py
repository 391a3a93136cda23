"""When an axle's wind-up feeds itself: damping of the linear model while the wheels slip, over place of the dampers and slip slope.

The truck is held at a low speed, as on a rope, while its engine makes the wheels slip steadily. Motion about that state is
linearised; where it grows, tramp starts by itself. The slope of the slip curve there is what decides: it is positive
before the peak and negative past it. Wind-up is followed by its shape from point to point; what else moves is told apart.
"""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from math import isnan, nan, pi

import numpy as np
import numpy.typing as npt

from sim.describe.parts.slip import Relaxation, SlipCurve, Surface
from sim.describe.parts.vehicle import Vehicle
from sim.describe.runs.plan import Driving, Plan
from sim.errors import RunError
from sim.integrate.energy import stored
from sim.integrate.flags import Seen, Span, flags
from sim.integrate.result import Flag
from sim.kernel import layout as at
from sim.linear.modes import straightened
from sim.lower.lowering import lower
from sim.lower.rest import free_coordinates, rest
from sim.lower.stance import axle_stances
from sim.lower.wheeled import STATE, DrivenEquations, Wheeled, driven_trace, road_table, wheeled
from sim.study.lean import HARDLY, RELAXATIONS
from sim.study.mounts import MOVES, relaxation_of, relaxed, unfit

Array = npt.NDArray[np.float64]
ComplexArray = npt.NDArray[np.complex128]

SPEED = 1.5
"""Road speed [m/s] at which the truck is held: a crawl, as when it fails to climb."""

BAND_HZ = (0.5, 30.0)
"""|eigenvalue| / 2 pi of the other motions that are told of."""

RUNAWAY_HZ = 3.0
"""A motion that grows without swinging is told of from so fast on: slower is the engine that speeds up past the peak."""

ALIKE, HALVINGS = 0.8, 5
"""Shapes less alike than this are followed in smaller steps, halved at most so many times."""

WATCH_S, KICK = 3.0, 0.001
"""How long a confirming run is watched [s], and the wind-up from which it starts [rad]."""

MAPPED = ("upper", "both")
"""Ways of moving the mounts that are mapped: the lean alone, and the side of the axle at one lean."""

NODS = 0.05
"""Share of the kinetic energy in wind-up from which the pinion is said to nod along with another motion."""


@dataclass(frozen=True)
class Motion:
    """One way of moving about a steady state.

    Attributes
    ----------
    value : complex
        Eigenvalue [1/s].
    shape : (n,) complex array
        Speeds of its parts.
    shares : dict of str to float
        Share of kinetic energy by name of the part.
    """

    value: complex
    shape: ComplexArray
    shares: dict[str, float]

    @property
    def damping_ratio(self) -> float:
        """-1 where it grows without swinging."""
        return float(-self.value.real / abs(self.value)) if self.value else 1.0

    @property
    def frequency_hz(self) -> float:
        """Undamped frequency [Hz]."""
        return float(abs(self.value)) / 2.0 / pi

    def name(self, wind_up: str) -> str:
        """Return what moves most; of a second motion that is mostly wind-up, what moves with it."""
        ordered = sorted(self.shares, key=lambda part: -self.shares[part])
        return ordered[0] if ordered[0] != wind_up else f"{ordered[1]} with wind-up"


@dataclass(frozen=True)
class Other:
    """A motion beside wind-up."""

    name: str
    damping_ratio: float
    frequency_hz: float
    growth_per_s: float
    nods: bool  # whether the pinion nods along with it


@dataclass(frozen=True)
class Point:
    """The linear model at one place of the mounts on one slope of the slip curve."""

    damping_ratio: float  # of wind-up; negative: it grows, at -1 without even swinging
    frequency_hz: float
    slip: float  # at which the wheels turn steadily
    slip_slope: float  # force by slip there, as a share of the load
    growth_per_s: float  # real part of its eigenvalue
    alike: float  # modal assurance between its shape and that at the point before
    others: tuple[Other, ...]  # least damped first

    def least_other(self, nods: bool) -> float:
        """Return the least damping ratio of the other motions with which the pinion nods, or does not; 1 without one."""
        return min((other.damping_ratio for other in self.others if other.nods == nods), default=1.0)


@dataclass(frozen=True)
class Ran:
    """What a run of the full model did from a small kick."""

    first_rad: float  # size of its swings early on
    last_rad: float  # and at the end
    frequency_hz: float = nan  # of the late swings; nan where they are too small to tell
    flags: tuple[Flag, ...] = ()

    @property
    def tramps(self) -> bool:
        """Whether its swings are kept up, several times as large as the kick that began them: a limit cycle."""
        return self.last_rad > 5.0 * KICK


@dataclass(frozen=True)
class Stretch:
    """Slopes of the slip curve over which something grows: from the first, where the tyres grip more, to the last."""

    first: float
    last: float
    starts_inside: bool  # whether it starts on the map
    ends_inside: bool


@dataclass(frozen=True)
class TrampMap:
    """Stability over places of the mounts (n,) and slopes of the slip curve (m,).

    Attributes
    ----------
    name : str
        The set-up.
    axle : str
        The axle that drives.
    places, slip_slope : arrays
        The grid; places are leans [rad] or lower mounts ahead of the axle's centre [m]; a slope is force by slip as a share of
        the load.
    points : list of list of Point
        By place, then by slope; empty for a place that is left out.
    ran : dict of (int, int) to Ran
        Runs that confirm it, by place on the grid.
    move : str
        What is moved, by its name in `mounts.MOVES`.
    relaxation : str
        How grip follows load.
    left_out : dict of int to str
        Why a place is left out, by its number.
    """

    name: str
    axle: str
    places: Array
    slip_slope: Array
    points: list[list[Point]]
    ran: dict[tuple[int, int], Ran]
    move: str = "upper"
    relaxation: Relaxation = "at_once"
    left_out: dict[int, str] = field(default_factory=dict)

    def grid(self, of: Callable[[Point], float]) -> Array:
        """Return a number of every point (n, m); nan where a place is left out."""
        return np.array([[of(p) for p in row] if row else [nan] * self.slip_slope.size for row in self.points])

    @property
    def damping(self) -> Array:
        """Damping ratios of wind-up (n, m)."""
        return self.grid(lambda point: point.damping_ratio)

    def others(self, nods: bool = True) -> Array:
        """Return the least damping ratios (n, m) of other motions with which the pinion nods, or does not."""
        return self.grid(lambda point: point.least_other(nods))

    @property
    def flags(self) -> tuple[Flag, ...]:
        """One of each kind and part that a run was flagged for."""
        found: dict[tuple[str, str], Flag] = {}
        for run in self.ran.values():
            for flag in run.flags:
                found.setdefault((flag.kind, flag.part), flag)
        return tuple(found.values())

    def stretches(self, row: Array) -> tuple[Stretch, ...]:
        """Return where along the slip curve, from grip to sliding, a row of damping ratios (m,) is not positive."""
        order = np.argsort(self.slip_slope)[::-1]
        slopes, values = self.slip_slope[order], row[order]
        grows = values <= 0.0
        found, begun = [], None
        for i, here in enumerate(grows):
            if here and begun is None:
                begun = (float(slopes[0]), False) if i == 0 else (_crossing(slopes, values, i), True)
            if not here and begun is not None:
                found.append(Stretch(begun[0], _crossing(slopes, values, i), begun[1], True))
                begun = None
        if begun is not None:
            found.append(Stretch(begun[0], float(slopes[-1]), begun[1], False))
        return tuple(found)

    def tramping(self, place: int) -> tuple[Stretch, ...]:
        """Return where along the slip curve wind-up grows at a place, or another motion with which the pinion nods."""
        rows = (self.damping[place], self.others()[place])
        return _joined(sorted((s for row in rows for s in self.stretches(row)), key=lambda s: -s.first))

    def onset(self, place: int) -> float:
        """Return the slope from which it tramps at a place, from grip on: inf if it always does, -inf if never, nan if left out."""
        return _onset(self.tramping(place)) if self.points[place] else nan

    def wind_up_onset(self, place: int) -> float:
        """Return the same of wind-up itself."""
        return _onset(self.stretches(self.damping[place])) if self.points[place] else nan

    def tramps(self, place: int) -> str:
        """Return in words where along the slip curve it tramps at a place."""
        return in_words(self.tramping(place))

    def first_name(self, place: int) -> str:
        """Return what tramps first at a place, from grip on: wind-up, or another motion with its frequency; empty if nothing."""
        onset = self.onset(place)
        if isnan(onset) or onset == -np.inf:
            return ""
        other = self._first_other(place, True)
        if self.wind_up_onset(place) >= onset or other is None:
            return "wind-up"
        return f"{other.name} ({other.frequency_hz:.1f} Hz), the pinion nods along"

    def also(self, place: int) -> str:
        """Return in words what else grows at a place, with which the pinion does not nod; empty if nothing."""
        other = self._first_other(place, False)
        nodding = {other.name for point in self.points[place] for other in point.others if other.nods}
        if other is None or other.name in nodding:  # what nods the pinion on another slope is told of as tramp
            return ""
        return f"{other.name} ({other.frequency_hz:.1f} Hz) {in_words(self.stretches(self.others(False)[place]))}"

    def _first_other(self, place: int, nods: bool) -> Other | None:
        """Return the other motion that grows first at a place, from grip on, as it is at the first slope where it does."""
        for j in map(int, np.argsort(self.slip_slope)[::-1]):
            for other in self.points[place][j].others:
                if other.damping_ratio <= 0.0 and other.nods == nods:
                    return other
        return None


def _joined(stretches: list[Stretch]) -> tuple[Stretch, ...]:
    """Return stretches, first ones first, with those that overlap as one."""
    found: list[Stretch] = []
    for stretch in stretches:
        if found and found[-1].last <= stretch.first:
            if stretch.last < found[-1].last:
                found[-1] = replace(found[-1], last=stretch.last, ends_inside=stretch.ends_inside)
        else:
            found.append(stretch)
    return tuple(found)


def _onset(stretches: tuple[Stretch, ...]) -> float:
    if not stretches:
        return -np.inf
    return stretches[0].first if stretches[0].starts_inside else np.inf


def in_words(stretches: tuple[Stretch, ...]) -> str:
    """Return over which slopes of the slip curve something grows: always, never, or from where on."""
    said = []
    for stretch in stretches:
        first, last = _number(stretch.first), _number(stretch.last)
        if not stretch.starts_inside and not stretch.ends_inside:
            return "always"
        if not stretch.ends_inside:
            said.append(f"from a slip slope of {first} on")
        elif not stretch.starts_inside:
            said.append(f"down to a slip slope of {last}")
        else:
            said.append(f"between slip slopes of {first} and {last}")
    return " and ".join(said) or "never"


def _number(slope: float) -> str:
    return f"{slope + 0.0:.2f}".replace("-0.00", "0.00")


def _crossing(slopes: Array, values: Array, i: int) -> float:
    """Return where damping passes nothing between points i - 1 and i, straight between them."""
    share = values[i - 1] / (values[i - 1] - values[i])
    return float(slopes[i - 1] + (slopes[i] - slopes[i - 1]) * share)


@dataclass(frozen=True)
class Tramp:
    """Maps of one set-up by move and by how grip follows load, the file's first."""

    maps: tuple[TrampMap, ...]

    @property
    def relaxation(self) -> Relaxation:
        """As the vehicle's file has it."""
        return self.maps[0].relaxation

    def of(self, move: str) -> tuple[TrampMap, ...]:
        """Return the maps of a move."""
        return tuple(found for found in self.maps if found.move == move)

    def turns(self) -> tuple[str, ...]:
        """Return the moves for which no one place is good both ways that grip can follow load.

        Good: it does not tramp there before it does at the latest place, within a share HARDLY of the slopes mapped.
        """
        return tuple(move for move in MAPPED if _turns(self.of(move)))


def _turns(maps: tuple[TrampMap, ...]) -> bool:
    good = []
    for found in maps:
        onsets = clipped_onsets(found)
        if np.isnan(onsets).all():
            return False
        most = float(np.nanmin(onsets)) + HARDLY * float(np.ptp(found.slip_slope))
        good.append({int(i) for i in np.flatnonzero(onsets < most)})
    return len(good) > 1 and not set.intersection(*good)


def clipped_onsets(found: TrampMap) -> Array:
    """Return the slopes (n,) from which it tramps, always and never as the ends of the map; nan where left out."""
    onsets = [found.onset(place) for place in range(len(found.points))]
    clipped: Array = np.clip(np.array(onsets), found.slip_slope.min(), found.slip_slope.max())
    return clipped


def slope_at(curve: SlipCurve, slip: float, load: float) -> float:
    """Return the slope of a tyre's slip curve as a share of its load."""
    return (curve.force(slip + 1e-5, load) - curve.force(slip - 1e-5, load)) / 2e-5 / load


def slopes_of(surface: Surface, vehicle: Vehicle, axle: str) -> tuple[float, float]:
    """Return the steepest fall of the slip curve past its peak, and the slip at which it is."""
    curve, load = _curve(surface, vehicle, axle)
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
    from scipy.optimize import brentq

    curve, load = _curve(surface, vehicle, axle)
    steepest, last = slopes_of(surface, vehicle, axle)
    first = 0.02 * surface.peak_at
    if not steepest < slope < slope_at(curve, first, load):
        raise RunError(
            f"On {surface.name} the slip curve falls by {-steepest:.2f} of the load per slip at most; a slope of {slope:.2f} is not on it."
        )
    return float(brentq(lambda slip: slope_at(curve, slip, load) - slope, first, last, xtol=1e-10))


def _curve(surface: Surface, vehicle: Vehicle, axle: str) -> tuple[SlipCurve, float]:
    part = getattr(vehicle, axle)
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
    driving = Driving(
        surface=surface, climb_rad=0.0, speed_m_per_s=speed, in_gear=True, held=False, throttle=1.0, throttle_from_s=-1.0,
        throttle_rise_s=0.5, brakes_off_s=0.0, pedal=0.0, pedal_from_s=1e9, pedal_rise_s=1.0, pulling=True,
    )  # fmt: skip
    return _steady(wheeled(straightened(lower(vehicle)), driving), axle, slip, speed)


def _steady(own: Wheeled, axle: str, slip: float, speed: float) -> Steady:
    from scipy.optimize import least_squares

    index = ("front", "rear").index(axle)
    line = own.setup.vehicle.driveline
    assert line is not None
    plan = Plan(duration_s=WATCH_S, released_s=0.0, driving=own.driving)
    equations = DrivenEquations(own, road_table(own.setup, plan))
    state = np.zeros(at.ROWS)
    state[: at.STATES] = rest(own.setup).state
    state[at.COORDINATES + at.X] = speed
    rows = free_coordinates(own.setup)
    rates = [at.COORDINATES + row for row in rows]
    for which, name in enumerate(("front", "rear")):
        if own.wheels[name].shift_free:
            rows.append(at.SHIFT + which)
            rates.append(at.SHIFT_SPEED + which)
        rows += [at.SPIN + which, at.SLIP + which]
        rates += [at.SPIN + which, at.SLIP + which]
        if line.drives(name):
            rows.append(at.TWIST + which)
            rates.append(at.TWIST + which)
        radius = own.setup.axles[name].tyre_radius
        state[at.SPIN + which] = speed / radius / (1.0 - slip if line.drives(name) else 1.0)
        state[at.SLIP + which] = slip if line.drives(name) else 0.0
        state[at.BRAKE + which] = 1.0
        if own.wheels[name].load_delayed:
            rows.append(at.FELT + which)
            rates.append(at.FELT + which)
            state[at.FELT + which] = axle_stances(own.setup.vehicle.reference)[name].load
    rows.append(at.ENGINE)
    rates.append(at.ENGINE)
    state[at.ENGINE] = state[at.SPIN + index] * own.wheels[axle].ratio * own.drive.gears
    sizes = {at.ENGINE: 50.0, at.SPIN: 5.0, at.SPIN + 1: 5.0, at.FELT: 1e3, at.FELT + 1: 1e3}
    scale = np.array([sizes.get(row, 0.05) for row in rows])

    weight = np.array([1e3 if row in (at.FELT, at.FELT + 1) else 1.0 for row in rates])

    def residual(values: Array) -> Array:
        state[rows] = values[:-1] * scale
        derivative = equations.derivative(state, float(values[-1]), (0.0, 0.0))
        missed: Array = np.r_[derivative[rates] / weight, 100.0 * (state[at.SLIP + index] - slip)]
        return missed

    begin = np.r_[state[rows] / scale, 0.5]
    found = least_squares(
        residual, begin, jac="3-point", x_scale="jac", xtol=1e-15, ftol=1e-15, gtol=1e-15, max_nfev=200
    )
    left = float(np.max(np.abs(residual(found.x))))
    if not left < 1e-5:
        raise RunError(
            f"No steady slip of {100 * slip:.0f} % was found at {3.6 * speed:.0f} km/h; is the engine's limit in this gear too low, or does "
            "a damper or a stop meet its end as the truck squats?"
        )
    return Steady(own, equations, state.copy(), float(found.x[-1]))


def rows_of(own: Wheeled) -> npt.NDArray[np.int_]:
    """Return the rows of the state that move in the linear view: place along the road and brakes are left out."""
    idle = [at.X, at.COORDINATES + at.X, at.BRAKE, at.BRAKE + 1, at.FRICTION, at.FRICTION + 1]
    free = free_coordinates(own.setup)
    for index, name in enumerate(("front", "rear")):
        wheels = own.wheels[name]
        if wheels.shaft_rate == 0.0:
            idle.append(at.TWIST + index)
        if not wheels.shift_free:
            idle += [at.SHIFT + index, at.SHIFT_SPEED + index]
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
    names = {
        at.COORDINATES + at.Z: "bounce", at.COORDINATES + at.PITCH: "pitch", at.ENGINE: "shaft twist",
    }  # fmt: skip
    for index, axle in enumerate(("front", "rear")):
        names |= {
            at.COORDINATES + at.JOUNCE + 2 * index: f"{axle} hop", at.COORDINATES + at.WIND_UP + 2 * index: f"{axle} wind-up",
            at.SHIFT_SPEED + index: f"{axle} fore-and-aft give",
            at.SPIN + index: "shaft twist" if line and line.drives(axle) else f"{axle} wheels turning",
        }  # fmt: skip
    return names.get(row)


def kinetic(own: Wheeled, state: Array, rows: list[int]) -> Array:
    """Return the matrix M (n, n) of kinetic energy v M v / 2 [SI] for speeds of some rows, at the places of a state."""
    still = state.copy()
    still[at.COORDINATES : 2 * at.COORDINATES] = 0.0
    shift = np.r_[still[at.SHIFT : at.SHIFT + 2], 0.0, 0.0]
    inertias = {at.ENGINE: own.drive.engine_inertia}
    inertias |= {at.SPIN + i: own.wheels[name].spin_inertia for i, name in enumerate(("front", "rear"))}

    def energy(*moving: int) -> float:
        now, along = still.copy(), shift.copy()
        for row in moving:
            if row in (at.SHIFT_SPEED, at.SHIFT_SPEED + 1):
                along[2 + row - at.SHIFT_SPEED] = 1.0
            elif row not in inertias:
                now[row] = 1.0
        turning = sum(0.5 * inertias[row] for row in moving if row in inertias)
        return stored(own.setup, now[: at.STATES], (0.0, 0.0), along) + turning

    rest_energy = energy()
    single = [energy(row) - rest_energy for row in rows]
    found: Array = np.diag(2.0 * np.array(single))
    for i, one in enumerate(rows):
        for j in range(i):
            found[i, j] = found[j, i] = energy(one, rows[j]) - rest_energy - single[i] - single[j]
    return found


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
    picked = [int(np.flatnonzero(rows == row)[0]) for row in moving]
    values, vectors = np.linalg.eig(matrix)
    found = []
    for value, vector in zip(values, vectors.T, strict=True):
        if value.imag < 0.0:
            continue
        shape = vector[picked].astype(np.complex128)
        energies = (shape.conj() * (mass @ shape)).real
        shares = {part: float(sum(e for e, p in zip(energies, parts, strict=True) if p == part)) for part in parts}
        whole = sum(shares.values())
        found.append(Motion(complex(value), shape, {part: e / whole for part, e in shares.items()}))
    index = ("front", "rear").index(next(n for n in ("rear", "front") if own.wheels[n].shaft_rate > 0.0))
    return Motions(float(steady_state.state[at.SLIP + index]), mass, tuple(found))


def assurance(one: ComplexArray, two: ComplexArray, mass: Array) -> float:
    """Return how alike two shapes are, 0 to 1: |a* M b|² / (a* M a)(b* M b), the modal assurance criterion by mass.

    R. J. Allemang, D. L. Brown, "A correlation coefficient for modal vector analysis", 1st International Modal Analysis
    Conference (1982), from memory; the mass makes metres and radians comparable.
    """
    across = abs(np.vdot(one, mass @ two)) ** 2
    return float(across / (np.vdot(one, mass @ one).real * np.vdot(two, mass @ two).real))


def _seed(found: Motions, wind_up: str) -> Motion:
    """Return the motion that is wind-up where nothing is known yet: the swinging one with most of its energy in it."""
    swinging = [m for m in found.all if m.value.imag > 0.0]
    if not swinging or wind_up not in swinging[0].shares:
        raise RunError(f"The {wind_up} is held by its guide: there is nothing to map. Give the guide's wind_up a rate.")
    return max(swinging, key=lambda m: m.shares[wind_up])


def _followed(
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
    _, half, least = _followed(look, known, begin, middle, depth - 1)
    there, motion, rest_alike = _followed(look, half, middle, end, depth - 1)
    return there, motion, min(least, rest_alike)


def _point(found: Motions, wind_up: str, motion: Motion, slope: float, alike: float) -> Point:
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


def _motions(vehicle: Vehicle, axle: str, surface: Surface, slope: float) -> Motions:
    return motions_of(steady(vehicle, axle, surface, slip_with(surface, vehicle, axle, slope)))


def ran(vehicle: Vehicle, axle: str, surface: Surface, slope: float) -> Ran:
    """Run the full model, knees, friction and lift-off and all, from the steady state and a small kick of wind-up."""
    slip = slip_with(surface, vehicle, axle, slope)
    straight = steady(vehicle, axle, surface, slip)
    own = wheeled(lower(vehicle), straight.own.driving)
    full = _steady(own, axle, slip, SPEED)
    index = ("front", "rear").index(axle)
    state = full.state.copy()
    state[at.WIND_UP + 2 * index] += KICK
    own = replace(own, driving=replace(own.driving, throttle=full.throttle))
    table = road_table(own.setup, Plan(duration_s=WATCH_S, released_s=0.0, driving=own.driving))
    trace = driven_trace(own, table, state, WATCH_S, 1e-3, 2)
    swing = trace[:, at.WIND_UP + 2 * index] - full.state[at.WIND_UP + 2 * index]
    early, late = slice(50, 350), slice(len(swing) - 400, len(swing))
    first, last = (0.5 * float(np.ptp(swing[part])) for part in (early, late))
    return Ran(first, last, _frequency(swing[late]) if last > 0.1 * KICK else nan, _flagged(own, trace, full.state))


def _frequency(swing: Array) -> float:
    """Return how often a second a swing passes its middle upwards [Hz], nan with fewer than two passes; samples of 1 ms."""
    about = swing - 0.5 * (swing.max() + swing.min())
    up = np.flatnonzero((about[:-1] < 0.0) & (about[1:] >= 0.0))
    return 1e3 * (up.size - 1) / float(up[-1] - up[0]) if up.size > 1 else nan


def _flagged(own: Wheeled, trace: Array, standing: Array) -> tuple[Flag, ...]:
    """Return the flags of a confirming run, as of any run."""
    time: Array = np.arange(len(trace), dtype=np.float64) * 1e-3
    first = [at.TRACE_LINES + line * at.LINE_CHANNELS for line in range(len(own.setup.lines))]

    def span(channel: int) -> Span:
        return Span(trace[:, channel], time)

    seen = Seen(
        own.setup, tuple(span(c + at.LINE_LENGTH) for c in first), tuple(span(c + at.LINE_SPEED) for c in first),
        span(at.PITCH), (span(at.JOUNCE), span(at.JOUNCE + 2)),
        (float(standing[at.JOUNCE]), float(standing[at.JOUNCE + 2])),
    )  # fmt: skip
    return flags(seen)


def tramp_map(
    name: str, vehicle: Vehicle, axle: str, surface: Surface, places: Array, slip_slope: Array, move: str = "upper",
    relaxation: Relaxation = "at_once", tell: Callable[[str], None] | None = None,
) -> TrampMap:  # fmt: skip
    """Work out the map, and confirm it by runs on both sides of where tramp first starts, at every second place.

    Raises
    ------
    RunError
        If the surface's curve has not all of the slopes, the vehicle lacks what drives it, or no place fits.
    """
    vehicle = relaxed(vehicle, relaxation)
    setups = [MOVES[move].of(vehicle, axle, float(place)) for place in places]
    left_out = {i: reason for i, setup in enumerate(setups) if (reason := unfit(setup, axle))}
    fitting = [i for i in range(len(setups)) if i not in left_out]
    if not fitting:
        raise RunError(f"With “{name}” no place of the {MOVES[move].label} fits: {left_out[0]}")
    points: list[list[Point]] = [[] for _ in setups]
    order = np.argsort(slip_slope)[::-1]
    grip = float(slip_slope[order[0]])
    stands = MOVES[move].stands_at(vehicle, axle)
    begin = min(fitting, key=lambda i: abs(places[i] - (stands if stands is not None else 0.0)))
    seeds = _seeds(vehicle, axle, surface, places, fitting, move, begin, grip)
    for i in fitting:
        if tell:
            tell(f"{MOVES[move].label}, place {i + 1} of {len(setups)}")
        points[i] = _row(setups[i], axle, surface, slip_slope, order, seeds[i])
    found = TrampMap(name, axle, places, slip_slope, points, {}, move, relaxation, left_out)
    for i in fitting[::2]:
        for j in _asked(found, i):
            if tell:
                tell(f"run, {MOVES[move].label}, place {i + 1}, slope {slip_slope[j]:.2f}")
            found.ran[i, j] = ran(setups[i], axle, surface, float(slip_slope[j]))
    return found


def _seeds(
    vehicle: Vehicle, axle: str, surface: Surface, places: Array, fitting: list[int], move: str, begin: int, slope: float
) -> dict[int, tuple[Motions, Motion, float]]:  # fmt: skip
    """Return wind-up where the tyres grip most, at every place, followed from where the set-up stands."""

    def look(place: float) -> Motions:
        return _motions(MOVES[move].of(vehicle, axle, place), axle, surface, slope)

    there = look(float(places[begin]))
    seeds = {begin: (there, _seed(there, f"{axle} wind-up"), 1.0)}
    for way in ([i for i in fitting if i > begin], [i for i in reversed(fitting) if i < begin]):
        last = begin
        for i in way:
            seeds[i] = _followed(look, seeds[last][1], float(places[last]), float(places[i]))
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
        if j != order[0]:
            there, motion, alike = _followed(look, motion, last, slope)
        row[int(j)] = _point(there, f"{axle} wind-up", motion, slope, alike)
        last = slope
    return [row[j] for j in range(slip_slope.size)]


def _asked(found: TrampMap, place: int) -> list[int]:
    """Return the slopes at which runs confirm a place: two steps to either side of where it first tramps, or both ends."""
    order = np.argsort(found.slip_slope)[::-1]
    grows = np.minimum(found.damping[place], found.others()[place])[order] <= 0.0
    changes = np.flatnonzero(grows[:-1] != grows[1:])
    if not changes.size:
        return [int(order[0]), int(order[-1])]
    first = int(changes[0])
    return [int(order[max(first - 1, 0)]), int(order[min(first + 2, order.size - 1)])]


def tramp(
    name: str, vehicle: Vehicle, axle: str, surface: Surface, lean_rad: Array, ahead_m: Array, slip_slope: Array,
    tell: Callable[[str], None] | None = None,
) -> Tramp:  # fmt: skip
    """Map a set-up over its lean and over the side of the axle, both ways that grip can follow load.

    Raises
    ------
    RunError
        As `tramp_map`.
    """
    own = relaxation_of(vehicle, axle)
    maps = [
        tramp_map(name, vehicle, axle, surface, lean_rad if move == "upper" else ahead_m, slip_slope, move, way, tell)
        for way in sorted(RELAXATIONS, key=lambda each: each != own)
        for move in MAPPED
    ]
    return Tramp(tuple(maps))
