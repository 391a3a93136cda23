"""Runs made without the simulator, for tests of what is measured, drawn and written from them.

`synthetic_run` and `synthetic_comparison` look like a 10 s course at 1 kHz; they come from a small
half-car of a few lines, so nothing in them proves the simulator. `still_run` stands still, and a
test lays its own analytic signals into it.
"""

from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import yaml

from sim.describe.files.vehicles import vehicle_from
from sim.describe.parts.vehicle import Vehicle
from sim.describe.runs import Course
from sim.integrate.result import Run
from sim.integrate.traces import AxleTrace, DamperTrace, Energy
from sim.measure.comparison import Comparison
from sim.measure.table import evaluate

SCENARIOS = Path(__file__).parents[1] / "scenarios"

SETUPS = {  # damper sets of each axle, and a factor on their valving
    "bare springs": ((), 1.0),
    "two dampers": (("main",), 1.0),
    "four dampers": (("main", "second"), 1.0),
    "stiffer valving": (("main",), 1.8),
    "softer valving": (("main",), 0.5),
    "four softer dampers": (("main", "second"), 0.5),
}

MASS, INERTIA, WHEELBASE, GRAVITY = 1725.0, 2800.0, 2.95, 9.81
STOP_RATE, STOP_CUBIC, STRAP_RATE = 120e3, 2.5e8, 180e3
RATIO = 0.9  # damper travel a metre of jounce
LEVER = {"front": 1.24, "rear": -1.71}  # ahead of the centre of gravity [m]
SPRING_RATE = {"front": 72e3, "rear": 84e3}
AXLE_MASS = {"front": 232.0, "rear": 205.0}
REST_LOAD = {"front": (1725 * 1.71 / 2.95 + 232) * 9.81, "rear": (1725 * 1.24 / 2.95 + 205) * 9.81}
JOUNCE_REST = {"front": -0.004, "rear": 0.006}
TYRE_RATE, TYRE_DAMPING = 530e3, 360.0
SPRING_LOSS = 600.0  # what leaf friction does, as damping [N s/m]
AT_STOP, FULL, AT_STRAP = 0.088, 0.126, -0.095


@lru_cache
def hut_truck() -> Vehicle:
    """The demo truck as its file has it."""
    text = (SCENARIOS / "vehicles" / "hut_supply_truck.yaml").read_text(encoding="utf-8")
    return Vehicle.model_validate(yaml.safe_load(text))


def seated_truck(seat: str | None, dampers: bool = True) -> Vehicle:
    """The demo truck with its rear leaf packs measured so far above the axle's centre, None: nobody measured it; with or without rear dampers."""
    text = (SCENARIOS / "vehicles" / "hut_supply_truck.yaml").read_text(encoding="utf-8")
    data = yaml.safe_load(text)
    if seat is not None:
        data["rear"]["springs"]["pack"]["seat_above"] = seat
    if not dampers:
        del data["rear"]["dampers"]
    return vehicle_from(data)


@lru_cache
def hut_course() -> Course:
    """A run over the demo course."""
    text = (SCENARIOS / "courses" / "hut_track.yaml").read_text(encoding="utf-8")
    course = yaml.safe_load(text)
    return Course.model_validate({"kind": "course", "course": course, "speed": "25 km/h"})


# --- a run in which nothing moves -------------------------------------------------------------


def still_axle(name: str, time_s: np.ndarray, sets: tuple[str, ...] = ("main",)) -> AxleTrace:
    zero = np.zeros_like(time_s)
    rest = JOUNCE_REST[name]
    return AxleTrace(
        jounce_m=zero + rest, wind_up_rad=zero, tyre_load_n=zero + REST_LOAD[name],
        wheel_height_m=zero, road_height_m=zero, stop_force_n=zero, strap_force_n=zero,
        spring_force_n=zero + REST_LOAD[name] - AXLE_MASS[name] * GRAVITY, jounce_rest_m=rest,
        jounce_at_stop_m=AT_STOP, jounce_full_m=FULL, jounce_at_strap_m=AT_STRAP,
        tyre_load_rest_n=REST_LOAD[name],
        dampers={key: still_damper(name, key, time_s) for key in sets},
    )  # fmt: skip


def still_damper(axle: str, name: str, time_s: np.ndarray, factor: float = 1.0) -> DamperTrace:
    zero = np.zeros_like(time_s)
    law = dict(hut_truck().axles)[axle].dampers["main"].valving.scaled(factor)
    return DamperTrace(axle, name, 2, zero + 0.53, zero, zero, 0.53, 0.40, 0.66, law)


def still_run(time_s: np.ndarray, **changes: object) -> Run:
    """A run standing still over `time_s`, with fields changed; no finer twin."""
    zero = np.zeros_like(time_s)
    run = Run(
        setup="as the file has it", vehicle=hut_truck(), run=hut_course(), time_s=time_s,
        bounce_m=zero, pitch_nose_up_rad=zero,
        acceleration_m_per_s2={"centre of gravity": zero, "driver": zero, "bed": zero},
        front=still_axle("front", time_s), rear=still_axle("rear", time_s),
        energy=Energy(0.0, 0.0, {"dampers": 0.0, "tyres": 0.0}, 0.0), flags=(),
        released_s=0.0, speed_m_per_s=0.0,
    )  # fmt: skip
    return replace(run, **changes)


def with_axle(run: Run, axle: str, **changes: object) -> Run:
    """The same run with fields of one axle changed."""
    return replace(run, **{axle: replace(dict(run.axles)[axle], **changes)})


def with_damper(run: Run, axle: str, name: str, **changes: object) -> Run:
    """The same run with fields of one damper set changed."""
    dampers = dict(dict(run.axles)[axle].dampers)
    return with_axle(run, axle, dampers=dampers | {name: replace(dampers[name], **changes)})


# --- a run over a course ----------------------------------------------------------------------


@dataclass
class Motion:
    """What the small half-car wrote, a column an axle where there are two."""

    body: np.ndarray  # (n, 2) bounce, nose-up
    body_acceleration: np.ndarray
    wheel: np.ndarray
    road: np.ndarray
    jounce_speed: np.ndarray
    load: np.ndarray
    stop: np.ndarray
    strap: np.ndarray
    dissipated: float = 0.0


def road_heights(time_s: np.ndarray, speed_m_per_s: float) -> np.ndarray:
    """Humps, a washboard and a hole under front and rear (n, 2)."""
    shapes = [(6.0, 2.4, 0.08), (15.0, 0.9, 0.04), (24.0, 1.6, -0.06), (45.0, 2.0, 0.12)]
    shapes += [(32.0 + 0.7 * k, 0.7, 0.025) for k in range(8)]
    columns = []
    for lag in (0.0, WHEELBASE):
        x = speed_m_per_s * time_s - lag
        height = np.zeros_like(x)
        for start, length, top in shapes:
            u = (x - start) / length
            height += np.where((u > 0) & (u < 1), top * (0.5 - 0.5 * np.cos(2 * np.pi * u)), 0.0)
        columns.append(height)
    return np.stack(columns, axis=1)


def damper_curve(axle: str, sets: int, factor: float) -> tuple[np.ndarray, np.ndarray]:
    """Force of one axle's dampers at its wheels against jounce speed, as a table."""
    speed = np.linspace(-8.0, 8.0, 1601)
    law = dict(hut_truck().axles)[axle].dampers["main"].valving.scaled(factor)
    return speed, 2 * sets * RATIO * law.force(RATIO * speed)


def half_car(road: np.ndarray, step_s: float, sets: int, factor: float) -> Motion:
    """Semi-implicit Euler on a body and two axles with stops, straps and tyres that lift off.

    In plain numbers, as ten thousand steps of arrays of two take half a second for each run.
    """
    ends = [
        (LEVER[k], SPRING_RATE[k], AXLE_MASS[k], REST_LOAD[k], JOUNCE_REST[k], [c.tolist() for c in damper_curve(k, sets, factor)])
        for k in ("front", "rear")
    ]  # fmt: skip
    heights, rates = road.tolist(), np.gradient(road, step_s, axis=0).tolist()
    bounce = pitch = rising = turning = dissipated = 0.0
    wheel, wheel_speed = [0.0, 0.0], [0.0, 0.0]
    rows = []
    for height, rate in zip(heights, rates, strict=True):
        up = nose_up = 0.0
        row: list[list[float]] = [[], [], [], [], []]
        before = list(wheel)
        for k, (lever, spring, mass, rest_load, rest, curve) in enumerate(ends):
            jounce = wheel[k] - (bounce + lever * pitch)
            closing = wheel_speed[k] - (rising + lever * turning)
            damper = between(closing, *curve)
            squeeze = max(rest + jounce - AT_STOP, 0.0)
            stop = squeeze * (STOP_RATE + STOP_CUBIC * squeeze**2)
            strap = STRAP_RATE * max(AT_STRAP - rest - jounce, 0.0)
            squash, squash_rate = height[k] - wheel[k], rate[k] - wheel_speed[k]
            load = max(rest_load + TYRE_RATE * squash + TYRE_DAMPING * squash_rate, 0.0)
            push = spring * jounce + SPRING_LOSS * closing + damper + stop - strap
            up, nose_up = up + push, nose_up + lever * push
            dissipated += damper * closing * step_s
            wheel_speed[k] += (load - rest_load - push) / mass * step_s
            wheel[k] += wheel_speed[k] * step_s
            for column, value in zip(row, (closing, load, stop, strap, before[k]), strict=True):
                column.append(value)
        up, nose_up = up / MASS, nose_up / INERTIA
        rows.append([*row, [bounce, pitch], [up, nose_up]])
        rising, turning = rising + up * step_s, turning + nose_up * step_s
        bounce, pitch = bounce + rising * step_s, pitch + turning * step_s
    closing, load, stop, strap, wheels, body, body_acceleration = np.array(rows).transpose(1, 0, 2)
    return Motion(body, body_acceleration, wheels, road, closing, load, stop, strap, dissipated)


def between(value: float, places: list[float], values: list[float]) -> float:
    """Return what a table says between its even places; past its ends, what it says there."""
    at = (value - places[0]) / (places[1] - places[0])
    if not 0.0 < at < len(places) - 1:
        return values[0] if at <= 0.0 else values[-1]
    left = int(at)
    return values[left] + (at - left) * (values[left + 1] - values[left])


def course_axle(name: str, column: int, motion: Motion, sets: tuple[str, ...], factor: float) -> AxleTrace:
    wheel, body = motion.wheel[:, column], motion.body
    travel = wheel - (body[:, 0] + LEVER[name] * body[:, 1])
    closing = RATIO * motion.jounce_speed[:, column]
    still = still_axle(name, wheel, sets)
    dampers = {}
    for number, key in enumerate(sets):
        one = still_damper(name, key, wheel, factor)
        rest = one.length_rest_m - 0.02 * number
        dampers[key] = replace(
            one, length_m=rest - RATIO * travel, speed_m_per_s=closing,
            force_n=one.valving.force(closing), length_rest_m=rest,
        )  # fmt: skip
    return replace(
        still, jounce_m=JOUNCE_REST[name] + travel, tyre_load_n=motion.load[:, column],
        wind_up_rad=2e-7 * (motion.load[:, column] - REST_LOAD[name]), wheel_height_m=wheel,
        road_height_m=motion.road[:, column], stop_force_n=motion.stop[:, column],
        strap_force_n=motion.strap[:, column],
        spring_force_n=still.spring_force_n + SPRING_RATE[name] * travel, dampers=dampers,
    )  # fmt: skip


def refined(run: Run, error: float = 1e-6) -> Run:
    """The finer twin of a run: everything that moves differs by a share `error`."""
    axles = {
        name: replace(
            axle,
            jounce_m=axle.jounce_rest_m + (axle.jounce_m - axle.jounce_rest_m) * (1 + error),
            tyre_load_n=axle.tyre_load_n * (1 + error),
        )
        for name, axle in run.axles
    }
    return replace(
        run, bounce_m=run.bounce_m * (1 + error),
        pitch_nose_up_rad=run.pitch_nose_up_rad * (1 + error),
        acceleration_m_per_s2={k: a * (1 + error) for k, a in run.acceleration_m_per_s2.items()},
        coarse=None, **axles,
    )  # fmt: skip


@lru_cache(maxsize=64)
def synthetic_run(
    setup: str = "two dampers",
    sets: tuple[str, ...] | None = None,
    factor: float | None = None,
    duration_s: float = 10.0,
    speed_m_per_s: float = 7.0,
) -> Run:
    """A believable run over a course at 1 kHz, with lift-off, stops and one or two damper sets.

    A name from SETUPS brings its damper sets and valving; any other name has two dampers.
    """
    known_sets, known_factor = SETUPS.get(setup, SETUPS["two dampers"])
    sets = known_sets if sets is None else sets
    factor = known_factor if factor is None else factor
    time = np.arange(round(duration_s * 1000) + 1) * 1e-3
    road = road_heights(time, speed_m_per_s)
    motion = half_car(road, 1e-3, len(sets), factor)
    work = motion.dissipated + 210.0
    residual = 2e-5 * work
    points = {"centre of gravity": 0.0, "driver": -0.11, "bed": -1.71}
    run = Run(
        setup=setup, vehicle=hut_truck(), run=hut_course(), time_s=time, bounce_m=motion.body[:, 0],
        pitch_nose_up_rad=motion.body[:, 1],
        acceleration_m_per_s2={
            key: motion.body_acceleration[:, 0] + forward * motion.body_acceleration[:, 1]
            for key, forward in points.items()
        },
        front=course_axle("front", 0, motion, sets, factor),
        rear=course_axle("rear", 1, motion, sets, factor),
        # closed by construction: only its shape is that of a real balance
        energy=Energy(
            work, 10.0 - residual, {"dampers": motion.dissipated, "tyres": 200.0}, residual
        ),
        flags=(), released_s=min((47.0 + WHEELBASE) / speed_m_per_s, float(time[-1])),
        speed_m_per_s=speed_m_per_s,
    )  # fmt: skip
    return replace(run, coarse=refined(run))


def synthetic_comparison(n_setups: int = 3, show: tuple[str, ...] | None = None) -> Comparison:
    """`n_setups` set-ups over the same course, measured."""
    names = list(SETUPS)[:n_setups]
    names += [f"valving {k}" for k in range(len(names), n_setups)]
    runs = {}
    for number, name in enumerate(names):
        factor = None if name in SETUPS else 0.4 + 0.2 * number
        runs[name] = synthetic_run(name, factor=factor)
    scenario = SimpleNamespace(
        name="Two dampers or four",
        question="Do four dampers beat two?",
        path=Path("two_or_four.yaml"),
        show=show,
        reference=None,
    )
    return Comparison(scenario, runs, {name: evaluate(run) for name, run in runs.items()})
