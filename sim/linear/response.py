"""What of a shaking road arrives where: the linear view's answer by frequency, and the full model's own.

The road rises and falls as a sine at a given greatest speed, whatever the frequency: long waves are high and short
ripples low, as on real tracks (an even spectrum of road speed, ISO 8608 with w = 2). The rear wheels meet it a
wheelbase later.
"""

from dataclasses import dataclass, field, replace
from math import ceil, pi

import numpy as np
import numpy.typing as npt

from sim.describe.lowered import Lowered
from sim.describe.parts.vehicle import Vehicle
from sim.integrate.channels import trace_flags
from sim.integrate.flags import blew_up
from sim.integrate.given import STEP_S, Input
from sim.integrate.single import traced
from sim.integrate.status import Flag, once
from sim.kernel import layout as at
from sim.linear.modes import state_matrix, straightened
from sim.lower.guard import fastest_rate, substeps
from sim.lower.lowering import lower
from sim.lower.packed import pack
from sim.lower.rest import NUDGE, Equations, Rest, rest

Array = npt.NDArray[np.float64]
Complex = npt.NDArray[np.complex128]

LOWEST_HZ, HIGHEST_HZ = 0.4, 25.0
LINE_POINTS, DRIVEN_POINTS = 241, 25
SETTLE_S, LONGEST_SETTLE_S, WATCH_S = 3.0, 20.0, 2.0
SETTLED = 9.0
"""A run is watched after so many times the slowest decay: what it began with has gone to exp(-9), a ten-thousandth."""

SPEED_NUDGE = 1e-6

FRONT_TRAVEL, REAR_TRAVEL, FRONT_LOAD, REAR_LOAD = (
    "front axle travel", "rear axle travel", "front tyre load", "rear tyre load",
)  # fmt: skip


@dataclass(frozen=True)
class Response:
    """The answer of one set-up.

    Attributes
    ----------
    setup : str
        Its name.
    speed_m_per_s, road_speed_m_per_s : float
        Driving speed, and the greatest speed at which the road rises and falls under a wheel.
    frequency_hz, driven_hz : (n,), (m,) arrays
        Frequencies of the linear view and of the runs of the full model.
    linear, driven : dict of str to (n,), (m,) complex arrays
        By output: movement of a point of the body per movement of the road, axle travel per movement of the road,
        and dynamic tyre load per load at rest, for that road. Phase is against the road under the front axle.
    off_ground : dict of str to (m,) array
        Share of time in which an axle's tyres carry nothing, in the runs of the full model.
    flags : tuple of Flag
        What runs of the full model were flagged for, each once, with the frequencies at which.
    faults : tuple of tuple of Flag
        The same run by run, (m,).
    bare : bool
        Whether an axle has no damper.
    """

    setup: str
    speed_m_per_s: float
    road_speed_m_per_s: float
    frequency_hz: Array
    linear: dict[str, Complex]
    driven_hz: Array
    driven: dict[str, Complex]
    off_ground: dict[str, Array]
    flags: tuple[Flag, ...] = field(default=())
    faults: tuple[tuple[Flag, ...], ...] = field(default=())
    bare: bool = False


@dataclass(frozen=True)
class Responses:
    """Every set-up of a file, shaken alike."""

    name: str
    runs: dict[str, Response]


def respond(
    vehicle: Vehicle, speed_m_per_s: float, road_speed_m_per_s: float, setup: str = "as the file has it"
) -> Response:
    """Shake one set-up.

    Parameters
    ----------
    vehicle : Vehicle
        The set-up.
    speed_m_per_s : float
        Driving speed: it says how much later the rear wheels meet what the front ones met.
    road_speed_m_per_s : float
        Greatest speed at which the road rises and falls; straight dampers of the linear view are taken for a damper
        speed of as much.

    Raises
    ------
    RunError
        If the set-up cannot stand.
    """
    lowered = lower(vehicle)
    frequency = np.geomspace(LOWEST_HZ, HIGHEST_HZ, LINE_POINTS)
    # Each is a run of the full model, so a tenth as many.
    driven_at = np.geomspace(LOWEST_HZ, HIGHEST_HZ, DRIVEN_POINTS)
    # One road under both axles: the phase between them is what shakes pitch or bounce.
    later = vehicle.wheelbase / speed_m_per_s
    linear = linear_response(lowered, frequency, later, road_speed_m_per_s)
    driven, off, faults = _driven(lowered, driven_at, later, road_speed_m_per_s)
    return Response(
        setup, speed_m_per_s, road_speed_m_per_s, frequency, linear, driven_at, driven, off, _flags(driven_at, faults), tuple(faults),
        any(not axle.dampers for _, axle in vehicle.axles),
    )  # fmt: skip


def linear_response(
    setup: Lowered, frequency_hz: Array, later_s: float, road_speed_m_per_s: float
) -> dict[str, Complex]:
    """Return the linear view's answer by output, each (n,) complex; see Response for what it is per.

    later_s : by how much the road under the rear axle is later.
    """
    linear = straightened(setup, road_speed_m_per_s)
    standing = rest(linear)
    matrix, rows = state_matrix(linear, standing)
    drive, load, direct = _inputs(linear, standing, rows)
    n = len(rows)
    answers: dict[str, list[complex]] = {}
    pitch = float(standing.state[at.PITCH])
    for f in frequency_hz:
        w = 2.0 * pi * f
        road = np.array([1.0, np.exp(-1j * w * later_s)])
        given = np.concatenate([road, 1j * w * road])  # heights, then their rates
        # (iω - A) x = B h: docs/equations.md, "Answers to a shaking road".
        x = np.linalg.solve(1j * w * np.eye(2 * n) - matrix, drive @ given)
        # Per load at rest: -1 is where wheels leave the ground.
        loads = (load @ x + direct @ given) * road_speed_m_per_s / w / np.array(standing.tyre_load)
        bounce, turned = x[rows.index(at.Z)], x[rows.index(at.PITCH)]
        values = {name: bounce - lever(place, pitch) * turned for name, place in setup.points.items()}
        values |= {
            FRONT_TRAVEL: x[rows.index(at.JOUNCE)], REAR_TRAVEL: x[rows.index(at.JOUNCE + 2)],
            FRONT_LOAD: loads[0], REAR_LOAD: loads[1],
        }  # fmt: skip
        for name, value in values.items():
            answers.setdefault(name, []).append(complex(value))
    return {name: np.array(values) for name, values in answers.items()}


def lever(place: tuple[float, float], pitch: float) -> float:
    """Return by how much a point (forward, up) of the body sinks per nose-down turn [m]."""
    return float(place[0] * np.cos(pitch) + place[1] * np.sin(pitch))


def _inputs(setup: Lowered, standing: Rest, rows: list[int]) -> tuple[Array, Array, Array]:
    """Return what roads (heights front and rear, then rates) do to motion (2n, 4) and loads (2, 4), and states to loads."""
    equations = Equations(setup)
    n = len(rows)
    columns = rows + [at.COORDINATES + row for row in rows]

    def evaluated(state: Array, road: Array) -> tuple[Array, Array]:
        # Loads are read of the state evaluated last, so both at once.
        rates = equations.derivative(state, road[:2], road[2:])
        return rates[[at.COORDINATES + row for row in rows]], np.array(equations.tyre_loads())

    drive, direct, load = np.zeros((2 * n, 4)), np.zeros((2, 4)), np.zeros((2, 2 * n))
    for i, nudge in enumerate((NUDGE, NUDGE, SPEED_NUDGE, SPEED_NUDGE)):
        road = np.zeros(4)
        road[i] = nudge
        (up, loads_up), (down, loads_down) = evaluated(standing.state, road), evaluated(standing.state, -road)
        drive[n:, i], direct[:, i] = (up - down) / (2 * nudge), (loads_up - loads_down) / (2 * nudge)
    for i, row in enumerate(columns):
        step = np.zeros(at.STATES)
        # A speed of 1e-8 m/s changes a load of some kilonewtons in its last digits only.
        step[row] = NUDGE if i < n else SPEED_NUDGE
        ahead, behind = (evaluated(standing.state + s * step, np.zeros(4))[1] for s in (1.0, -1.0))
        load[:, i] = (ahead - behind) / (2 * step[row])
    return drive, load, direct


def _driven(
    setup: Lowered, frequency_hz: Array, later_s: float, road_speed: float
) -> tuple[dict[str, Complex], dict[str, Array], list[tuple[Flag, ...]]]:
    """Run the full model at each frequency until it is steady; return the fundamental of every output, and its flags."""
    standing = rest(setup)
    cut = substeps(fastest_rate(setup, standing), STEP_S)
    least_s = _settling(setup, road_speed)
    names = [*setup.points, FRONT_TRAVEL, REAR_TRAVEL, FRONT_LOAD, REAR_LOAD]
    answers = {name: np.full(len(frequency_hz), np.nan + 0j) for name in names}
    off = {name: np.full(len(frequency_hz), np.nan) for name in ("front", "rear")}
    faults: list[tuple[Flag, ...]] = []
    for number, f in enumerate(frequency_hz):
        w = 2.0 * pi * f
        settle = max(least_s, 6.0 / f)  # six waves at least, so that even the lowest frequency is steady
        # Whole waves, so that mean and swing do not mix.
        watch = ceil(max(WATCH_S, 3.0 / f) * f) / f
        trace, wanted = _shaken(setup, standing, w, later_s, road_speed, settle + watch, cut)
        # The moment in a run of one frequency says nothing; the frequency does.
        own = (blew_up(None),) if len(trace) < wanted else trace_flags(setup, standing.state, trace, None)
        faults.append(own)
        if any(flag.kind in ("not_finite", "pitch_range", "jounce_range") for flag in own):
            continue  # a gap in the line, and a flag that says why
        time = STEP_S * np.arange(len(trace))
        late = time >= settle
        # Phase is against the road under the front axle, so all is divided by the same fit of that.
        road = _fundamental(time[late], road_speed / w * np.sin(w * time[late]), w)
        pitch = float(standing.state[at.PITCH])
        signals = {
            name: trace[late, at.Z] - lever(place, pitch) * trace[late, at.PITCH]
            for name, place in setup.points.items()
        }
        signals |= {FRONT_TRAVEL: trace[late, at.JOUNCE], REAR_TRAVEL: trace[late, at.JOUNCE + 2]}
        for name, signal in signals.items():
            answers[name][number] = _fundamental(time[late], signal, w) / road
        for index, (name, axle) in enumerate(((FRONT_LOAD, "front"), (REAR_LOAD, "rear"))):
            loads = trace[late, at.TRACE_TYRE + index]
            size = _fundamental(time[late], loads, w) / road
            answers[name][number] = size * road_speed / w / standing.tyre_load[index]
            # A wheel that leaves the ground makes the answer no sine; the share says how much to trust it.
            off[axle][number] = float(np.mean(loads <= 0.0))
    return answers, off, faults


def _flags(frequency_hz: Array, faults: list[tuple[Flag, ...]]) -> tuple[Flag, ...]:
    """Return each fault once, with the frequencies at which it came."""
    hertz: dict[tuple[str, str, str], list[float]] = {}
    for f, flags in zip(frequency_hz, faults, strict=True):
        for flag in flags:
            hertz.setdefault(flag.fault, []).append(float(f))
    return tuple(
        replace(flag, sentence=f"at {_frequency_range(hertz[flag.fault])}: {flag.sentence}")
        for flag in once(flag for flags in faults for flag in flags)
    )


def _frequency_range(frequencies_hz: list[float]) -> str:
    ends = f"{min(frequencies_hz):.2f}", f"{max(frequencies_hz):.2f}"
    # Rounded alike they are one frequency to a reader.
    return f"{ends[0]} Hz" if ends[0] == ends[1] else f"{ends[0]} to {ends[1]} Hz"


def _settling(setup: Lowered, road_speed: float) -> float:
    """Return the time [s] after which the slowest motion of the linear view has died away."""
    linear = straightened(setup, road_speed)
    matrix, _ = state_matrix(linear, rest(linear))
    slowest = -float(np.max(np.linalg.eigvals(matrix).real))
    # The first second is the growing of the road. A truck that hardly dies away is not waited for without end.
    return float(np.clip(1.0 + SETTLED / max(slowest, 1e-9), SETTLE_S, LONGEST_SETTLE_S))


def _shaken(
    setup: Lowered, standing: Rest, w: float, later_s: float, road_speed: float, length_s: float, cut: int
) -> tuple[Array, int]:
    """Run over a sine road that grows in over the first second; return the trace and how many outputs it should have."""
    step = STEP_S / cut
    steps = ceil(length_s / STEP_S) * cut
    time = step * np.arange(steps + 1)
    heights, rates = np.empty((2, time.size)), np.empty((2, time.size))
    for index, late in enumerate((0.0, later_s)):
        t = time - late
        grown = np.clip(t, 0.0, 1.0)
        # Smooth at both ends: a road that sets in at once rings what dies away slowest.
        size = grown**2 * (3.0 - 2.0 * grown)
        growing = 6.0 * grown * (1.0 - grown)
        heights[index] = road_speed / w * size * np.sin(w * t)
        # Product rule: the growing road has a speed of its own.
        rates[index] = road_speed * (size * np.cos(w * t) + growing * np.sin(w * t) / w)
    given = Input.of(step, steps, cut, heights, rates, np.zeros(time.size))
    start = standing.state.copy()
    return traced(pack([setup], 1), start, given), steps // cut + 1


def _fundamental(time: Array, signal: Array, w: float) -> complex:
    """Return the part of a signal that swings at w [rad/s], as a complex amplitude against exp(i w t)."""
    # The mean is fitted too: tyres and dampers that differ by direction shift it.
    basis = np.array([np.ones_like(time), np.cos(w * time), np.sin(w * time)]).T
    _, a, b = np.linalg.lstsq(basis, signal, rcond=None)[0]
    return complex(a, -b)  # a cos + b sin is the real part of (a - ib) exp(iwt)
