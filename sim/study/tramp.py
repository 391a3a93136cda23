"""When an axle's wind-up feeds itself: damping of the linear model while the wheels slip, over lean and slip slope.

The truck is held at a low speed, as on a rope, while its engine makes the wheels slip steadily. Motion about that state is
linearised; where it grows, tramp starts by itself. The slope of the slip curve there is what decides: it is positive
before the peak and negative past it.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from sim.describe.parts.slip import SlipCurve, Surface
from sim.describe.parts.vehicle import Vehicle
from sim.describe.runs.plan import Driving, Plan
from sim.errors import RunError
from sim.kernel import layout as at
from sim.linear.modes import straightened
from sim.lower.lowering import lower
from sim.lower.rest import free_coordinates, rest
from sim.lower.stance import axle_stances
from sim.lower.wheeled import STATE, DrivenEquations, Wheeled, driven_trace, road_table, wheeled
from sim.study.lean import leaned

Array = npt.NDArray[np.float64]

SPEED = 1.5
"""Road speed [m/s] at which the truck is held: a crawl, as when it fails to climb."""

BAND_HZ = (3.0, 25.0)
"""|eigenvalue| / 2 pi among which the least damped motion is looked for: above the body's, below the shafts' own."""

WATCH_S, KICK = 3.0, 0.001
"""How long a confirming run is watched [s], and the wind-up from which it starts [rad]."""


@dataclass(frozen=True)
class Point:
    """The linear model at one lean on one surface."""

    damping_ratio: float  # of the least damped motion in BAND_HZ; negative: it grows, at -1 without even swinging
    frequency_hz: float
    slip: float  # at which the wheels turn steadily
    slip_slope: float  # force by slip there, as a share of the load
    growth_per_s: float  # real part of its eigenvalue


@dataclass(frozen=True)
class Ran:
    """What a run of the full model did from a small kick."""

    first_rad: float  # size of its swings early on
    last_rad: float  # and at the end

    @property
    def tramps(self) -> bool:
        """Whether its swings are kept up, several times as large as the kick that began them: a limit cycle."""
        return self.last_rad > 5.0 * KICK


@dataclass(frozen=True)
class TrampMap:
    """Stability over leans (n,) and slopes of the slip curve (m,).

    Attributes
    ----------
    name : str
        The set-up.
    axle : str
        The axle that drives.
    lean_rad, slip_slope : arrays
        The grid; a slope is force by slip as a share of the load.
    points : list of list of Point
        By lean, then by slope.
    ran : dict of (int, int) to Ran
        Runs that confirm it, by place on the grid.
    """

    name: str
    axle: str
    lean_rad: Array
    slip_slope: Array
    points: list[list[Point]]
    ran: dict[tuple[int, int], Ran]

    @property
    def damping(self) -> Array:
        """Damping ratios (n, m)."""
        return np.array([[point.damping_ratio for point in row] for row in self.points])


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
            f"No steady slip of {100 * slip:.0f} % was found at {3.6 * speed:.0f} km/h; is the engine's limit in this gear too low?"
        )
    return Steady(own, equations, state.copy(), float(found.x[-1]))


def linear(steady_state: Steady) -> npt.NDArray[np.complex128]:
    """Return the eigenvalues [1/s] of motion about a steady state; place along the road and brakes left out."""
    rows = np.array([row for row in STATE if row not in (at.X, at.COORDINATES + at.X, at.BRAKE, at.BRAKE + 1)])
    wheels = steady_state.own.wheels
    idle = [at.TWIST + i for i, name in enumerate(("front", "rear")) if wheels[name].shaft_rate == 0.0]
    held = [
        r + i
        for i, name in enumerate(("front", "rear"))
        if not wheels[name].shift_free
        for r in (at.SHIFT, at.SHIFT_SPEED)
    ]
    rows = np.array([row for row in rows if row not in idle + held + [at.FRICTION, at.FRICTION + 1]])
    jacobian = np.empty((rows.size, rows.size))
    for column, row in enumerate(rows):
        step = np.zeros(at.ROWS)
        step[row] = 1e-7
        ahead = steady_state.equations.derivative(steady_state.state + step, steady_state.throttle)
        behind = steady_state.equations.derivative(steady_state.state - step, steady_state.throttle)
        jacobian[:, column] = (ahead - behind)[rows] / 2e-7
    values: npt.NDArray[np.complex128] = np.linalg.eigvals(jacobian).astype(np.complex128)
    return values


def point(vehicle: Vehicle, axle: str, surface: Surface, slope: float) -> Point:
    """Return the least damped motion of an axle that slips steadily where the slip curve has a slope."""
    slip = slip_with(surface, vehicle, axle, slope)
    values = linear(steady(vehicle, axle, surface, slip))
    low, high = (2.0 * np.pi * f for f in BAND_HZ)
    inside = [v for v in values if low <= abs(v) <= high and v.imag >= 0.0]
    if not inside:
        return Point(1.0, float("nan"), slip, slope, float("nan"))
    least = max(inside, key=lambda v: v.real / abs(v))
    return Point(float(-least.real / abs(least)), float(least.imag / 2.0 / np.pi), slip, slope, float(least.real))


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
    return Ran(*(0.5 * float(np.ptp(swing[part])) for part in (early, late)))


def tramp_map(
    name: str, vehicle: Vehicle, axle: str, surface: Surface, lean_rad: Array, slip_slope: Array,
    tell: Callable[[str], None] | None = None,
) -> TrampMap:  # fmt: skip
    """Work out the map, and confirm it by runs on both sides of where tramp starts, at every second lean.

    Raises
    ------
    RunError
        If the surface's curve has not all of the slopes, or the vehicle lacks what drives it.
    """
    points: list[list[Point]] = []
    setups = [leaned(vehicle, axle, float(lean)) for lean in lean_rad]
    for lean, setup in zip(lean_rad, setups, strict=True):
        if tell:
            tell(f"lean of {np.degrees(lean):.0f} deg")
        points.append([point(setup, axle, surface, float(slope)) for slope in slip_slope])
    confirmed = {}
    for i in range(0, len(setups), 2):
        row = np.array([p.damping_ratio for p in points[i]])
        changes = np.flatnonzero(np.sign(row[:-1]) != np.sign(row[1:]))
        place = int(changes[0]) if changes.size else 0
        asked = {max(place - 1, 0), min(place + 2, slip_slope.size - 1)} if changes.size else {0, slip_slope.size - 1}
        for j in asked:
            if tell:
                tell(f"run at {np.degrees(lean_rad[i]):.0f} deg, slope {slip_slope[j]:.2f}")
            confirmed[i, j] = ran(setups[i], axle, surface, float(slip_slope[j]))
    return TrampMap(name, axle, lean_rad, slip_slope, points, confirmed)
