"""Runs over a course whose bumps push back as well as up: momentum, work, slopes, and the other kind of run over the same road.

The equations themselves are checked in tests/derivation/test_course_against_kernel.py.
"""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import sim
from sim.describe.parts.slip import Surface
from sim.describe.runs import Course
from sim.describe.runs.plan import Driving
from sim.errors import InputError
from sim.integrate.given import sampled
from sim.integrate.single import prepared, traced
from sim.kernel import layout as at
from sim.lower.packed import pack
from sim.lower.rest import rest
from sim.lower.road.samples import BEFORE, cubics
from sim.lower.stance import GRAVITY
from sim.lower.wheeled import ROAD_STEP_M, driven_trace, road_table, start_of, wheeled
from tests.published.test_quarter_car import KT, two_alike

TRUCK_FILE = Path(__file__).parents[2] / "scenarios" / "vehicles" / "hut_supply_truck.yaml"
TRUCK = sim.load(TRUCK_FILE)
RIGID = {"front.fore_and_aft": "none", "rear.fore_and_aft": "none"}
SMOOTH = {
    "rear.springs.pack.friction": "none",
    **{f"{end}.dampers.main.seal_friction": "0 N" for end in ("front", "rear")},
    **{
        f"{end}.dampers.main.valving": {"kind": "straight", "compression": "2 kN s/m", "rebound": "2 kN s/m"}
        for end in ("front", "rear")
    },
}
RIPPLES = {"kind": "washboard", "pitch": "0.6 m", "depth": "10 mm", "count": 40}  # no wheel leaves them
WASHBOARD = {"kind": "washboard", "pitch": "0.6 m", "depth": "25 mm", "count": 20}


def over(*items, **changes):
    road = {"kind": "course", "name": "a road", "items": [{"kind": "flat", "length": "4 m"}, *items]}
    return Course.model_validate({"kind": "course", "course": road, "speed": "40 km/h", **changes})


def ridden(vehicle, run, cut=4):
    """The trace of a run, its set-up, and what it was given."""
    ready = prepared(vehicle, run)
    given = sampled(ready.setup.vehicle, ready.plan, 1e-3, cut)
    return traced(pack([ready.setup], 1), ready.start, given), ready.setup, given


def loads_and_slopes(trace):
    return (trace[:, first : first + 2] for first in (at.TRACE_TYRE, at.TRACE_SLOPE))


def forward_momentum(setup, trace, speed):
    """Momentum [N s] over the ground by the velocities of the three centres of mass."""
    total = setup.body.mass * (speed + trace[:, at.COORDINATES + at.X])
    for index, name in enumerate(("front", "rear")):
        axle, path = setup.axles[name], setup.paths[name]
        rows = at.JOUNCE + 2 * index, at.WIND_UP + 2 * index, at.SHIFT + index
        (q, w, s), (dq, dw, ds) = (trace[:, [base + r for r in rows]].T for base in (0, at.COORDINATES))
        pitch, turning = trace[:, at.PITCH], trace[:, at.COORDINATES + at.PITCH]
        place, turn = path.at(q)
        slopes = [path.slopes(float(one)) for one in q]
        place_1, turn_1 = np.array(slopes).T
        angle, rate = turn + w, turn_1 * dq + dw
        x = axle.gravity_forward * np.cos(angle) + axle.gravity_up * np.sin(angle)
        z = axle.gravity_up * np.cos(angle) - axle.gravity_forward * np.sin(angle)
        along = place_1 * dq + ds + z * rate + (axle.seat_up + q + z) * turning
        across = dq - x * rate - (place + s + x) * turning
        total += axle.mass * (speed + trace[:, at.COORDINATES + at.X] + along * np.cos(pitch) + across * np.sin(pitch))
    return total


def test_momentum_of_a_truck_that_coasts_over_a_symmetric_hump():
    """It changes by the impulse of the loads along the road, up the hump and down again, and by nothing else."""
    run = over({"kind": "sinusoidal_hump", "height": "80 mm", "length": "3.7 m"}, driver="coasting", speed="20 km/h")
    trace, setup, _ = ridden(TRUCK, run)
    momentum = forward_momentum(setup, trace, run.speed)
    loads, slopes = loads_and_slopes(trace)
    push = -np.sum(loads * slopes, axis=1)
    # Simpson's rule over the outputs, a millisecond apart.
    steps = (push[:-2:2] + 4.0 * push[1:-1:2] + push[2::2]) * 1e-3 / 3.0
    impulse = np.r_[0.0, np.cumsum(steps)]
    change = (momentum - momentum[0])[::2][: len(impulse)]
    assert np.min(change) < -200.0  # up the hump it loses
    assert change == pytest.approx(impulse, rel=0, abs=1e-4 * np.max(np.abs(change)))
    # The hump is symmetric: what it takes for good is what was turned into heat, at the speed of the whole.
    lost = np.sum(trace[-1, at.LOSS_TYRES : at.STATES])
    speed = run.speed + 0.5 * trace[-1, at.COORDINATES + at.X]
    assert change[-1] * speed == pytest.approx(-lost, rel=5e-3)


def test_wheels_that_roll_down_a_slope():
    """On a ramp of slope s a truck that coasts gains g s / (1 + s²) along the level: weight along the ramp, turned to the level."""
    fall, length = 2.0, 40.0
    run = over({"kind": "step", "height": f"-{fall} m", "ramp": f"{length} m"}, driver="coasting", speed="18 km/h")
    trace, _, _ = ridden(TRUCK, run)
    slope = -fall / length
    _, slopes = loads_and_slopes(trace)
    both = np.flatnonzero(np.all(np.abs(slopes - slope) < 1e-6, axis=1))
    settled = both[len(both) // 2 :]
    gain = np.polyfit(1e-3 * settled, trace[settled, at.COORDINATES + at.X], 1)[0]
    assert gain == pytest.approx(-GRAVITY * slope / (1.0 + slope**2), rel=1e-3)


def test_what_the_driver_gives_is_what_is_lost():
    """Energy of every driver's run balances to a millionth of what was turned over, the driver's work included."""
    truck = TRUCK.changed(SMOOTH)
    for driver in ("constant_speed", "speed_keeper", "coasting"):
        run = sim.simulate(truck, over(RIPPLES, driver=driver))
        assert run.energy.residual_share < 1e-6
        if driver == "coasting":
            assert run.energy.work_in_j == pytest.approx(0.0, abs=1e-9)
            assert run.energy.stored_change_j < -200.0
        else:
            power = run.driver_force_n * (run.speed_m_per_s + run.gained_m_per_s)
            work = np.sum(0.5 * (power[1:] + power[:-1])) * 1e-3
            assert run.energy.work_in_j == pytest.approx(work, rel=1e-3, abs=1.0)
            assert run.energy.work_in_j > 200.0


def test_both_kinds_of_run_agree_on_one_road():
    """The same truck coasts over a washboard as a course run and in neutral on treads that hold nothing: one motion.

    Without seal friction, whose corners cost steps by different formulas different errors.
    """
    truck = TRUCK.changed(SMOOTH)
    # Of 1.2 m: a sample every 5 mm has the slopes of 0.6 m within 2e-6 only, and accelerations of the axles show it.
    run = over({**RIPPLES, "pitch": "1.2 m"}, driver="coasting")
    trace, setup, given = ridden(truck, run, cut=8)
    plan = run.plan(setup)
    driving = Driving(
        surface=Surface(friction=0.8, sliding=0.6), climb_rad=0.0, speed_m_per_s=run.speed, in_gear=False, held=False,
        throttle=0.0, throttle_from_s=0.0, throttle_rise_s=1.0, brakes_off_s=0.0, pedal=0.0, pedal_from_s=0.0, pedal_rise_s=1.0,
    )  # fmt: skip
    own = wheeled(setup, driving)
    nothing = {"peak": 1e-12, "peak_rise": 0.0, "stiffness": 1e-12, "stiffness_rise": 0.0}
    own = replace(own, wheels={name: one._replace(**nothing) for name, one in own.wheels.items()})
    table = road_table(setup, plan)
    start = start_of(own, rest(setup), table)
    other = driven_trace(own, table, start, (len(trace) - 1) * 1e-3, 1e-3, 8)
    other[:, at.X] -= run.speed * 1e-3 * np.arange(len(other))
    other[:, at.COORDINATES + at.X] -= run.speed
    assert len(other) == len(trace)
    for column in (*range(2 * at.COORDINATES), *range(at.TRACE_RATE, at.TRACE_DRIVER)):
        size = np.ptp(trace[:, column])
        if size < 1e-9:
            continue
        away = np.abs(other[:, column] - trace[:, column])
        # Where the washboard begins and ends its curvature jumps, and a table of 5 mm blurs it: accelerations show that for a
        # moment, so they are taken as RMS. The motion is compared everywhere.
        most = np.max(away) if column < at.TRACE_RATE else np.sqrt(np.mean(away**2))
        assert most < 1e-6 * max(size, 1e-3), column
    assert given.speed_m_per_s == run.speed


def test_the_road_where_the_wheels_are_is_that_of_a_launch():
    """Cubics a step apart and cubics of the table of launches: the same washboard within a millionth of its depth and slope."""
    pitch, depth = 0.6, 0.025

    def road(x):
        return 0.5 * depth * (1.0 - np.cos(2 * np.pi * x / pitch)), depth * np.pi / pitch * np.sin(
            2 * np.pi * x / pitch
        )

    def read(spacing, places):
        grid = np.arange(0.0, 12.0, spacing)
        height, slope = road(grid)
        samples = cubics(height, slope * spacing)[BEFORE:]
        cell = np.floor(places / spacing).astype(int)
        t = places / spacing - cell
        c = samples[cell].T
        found = c[0] + t * (c[1] + t * (c[2] + t * c[3]))
        return found, (c[1] + t * (2.0 * c[2] + 3.0 * t * c[3])) / spacing

    places = np.random.default_rng(1).uniform(1.0, 11.0, 5000)
    # 40 km/h at half a millisecond, and the launches' own spacing.
    (one, one_slope), (other, other_slope) = read(40 / 3.6 * 5e-4, places), read(ROAD_STEP_M, places)
    exact, exact_slope = road(places)
    for height, slope in ((one, one_slope), (other, other_slope)):
        assert np.max(np.abs(height - exact)) < 1e-6 * depth
        assert np.max(np.abs(slope - exact_slope)) < 1e-5 * depth * np.pi / pitch
    assert np.max(np.abs(one - other)) < 1e-6 * depth


def test_slopes_at_even_steps_add_up_to_the_rise_of_a_kink():
    """Rises that tile the way: wherever in a cell the steps fall, the slopes that they meet sum to the height that is gained."""
    heights = np.r_[np.zeros(6), 0.3, 1.0, 1.7, np.full(8, 2.0)]
    edges = np.r_[heights[0], 0.5 * (heights[1:] + heights[:-1]), heights[-1]]
    samples = cubics(heights, np.diff(edges))[BEFORE:-1]
    for t in np.linspace(0.0, 0.999, 7):
        met = samples[:, 1] + t * (2.0 * samples[:, 2] + 3.0 * t * samples[:, 3])
        assert np.sum(met) == pytest.approx(2.0, rel=1e-12)


def test_rolling_resistance_is_what_the_dampers_turn_into_heat():
    """Quarter cars on a random road: the driver's power is W k/2 an axle, whatever the damping (L. Zuo, P. Zhang, ASME DSCC 2011).

    W = 2 pi² n0² Gd v, of a class A of ISO 8608; a record of a minute has it within some per cent, and within less beside the
    work that the same road does where it only lifts.
    """
    speed = 20.0
    white = 2.0 * np.pi**2 * 0.1**2 * 16e-6 * speed
    item = {
        "kind": "random",
        "iso_class": "A",
        "length": "1200 m",
        "seed": 5,
        "shortest_wave": "0.1 m",
        "longest_wave": "100 m",
    }
    powers = []
    for damping in (1000.0, 2000.0):
        # One run in memory at a time: a minute of all channels is some hundred megabytes.
        square, upright = (
            sim.simulate(two_alike(damping), over(item, speed="20 m/s", settle="0.5 s", **how)).energy.work_in_j / 60.0
            for how in ({"driver": "constant_speed"}, {"tyre_load": "upright"})
        )
        assert square == pytest.approx(upright, rel=5e-3)
        powers.append(square)
    for power in powers:
        assert power == pytest.approx(2.0 * white * KT / 2.0, rel=0.08)


def test_give_and_a_body_that_can_surge_are_what_shakes_the_driver_fore_and_aft():
    """A washboard of 25 mm by 0.6 m at 40 km/h: metres per second squared with give, a fifth of it without, next to none upright."""

    def shaken(vehicle, **changes):
        run = sim.simulate(vehicle, over({**WASHBOARD, "count": 40}, **changes))
        on = (run.distance_m > 8.0) & (run.distance_m < 28.0)
        return float(np.sqrt(np.mean(run.acceleration_forward_m_per_s2["driver"][on] ** 2)))

    stiff = TRUCK.changed(RIGID)
    coasting, keeper, held = (shaken(TRUCK, driver=d) for d in ("coasting", "speed_keeper", "constant_speed"))
    assert 3.0 < coasting < 5.0
    assert keeper == pytest.approx(coasting, rel=0.02)
    assert held < 0.15 * coasting
    assert 0.4 < shaken(stiff, driver="coasting") < 1.0
    assert shaken(stiff, tyre_load="upright") < 0.1


def test_a_keeper_holds_the_speed_in_the_long_run():
    """What is missing of the speed is the bumps' mean push over the gain."""
    run = sim.simulate(TRUCK, over({**WASHBOARD, "count": 120}, driver="speed_keeper", keeper_gain="4 kN s/m"))
    late = (run.distance_m > 40.0) & (run.distance_m < 70.0)
    missing = -np.mean(run.gained_m_per_s[late])
    assert 0.0 < missing < 0.1
    assert missing == pytest.approx(np.mean(run.driver_force_n[late]) / 4e3, rel=1e-9)


def test_loads_are_square_to_the_road_where_the_wheels_are():
    """What an ideal driver gives is the loads' push along the road and what the axles' own swinging asks for, whose mean is none."""
    trace, setup, given = ridden(TRUCK.changed(RIGID), over(WASHBOARD, driver="constant_speed"))
    loads, slopes = loads_and_slopes(trace)
    assert np.max(np.abs(slopes)) > 0.05
    sideways = -np.sum(loads * slopes, axis=1)
    momentum = forward_momentum(setup, trace, given.speed_m_per_s)
    growth = np.gradient(momentum, 1e-3)
    inside = slice(50, -50)
    assert (trace[:, at.TRACE_DRIVER] + sideways)[inside] == pytest.approx(
        growth[inside], abs=0.02 * np.max(np.abs(growth))
    )


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"tyre_load": "upright", "driver": "coasting"}, "nothing pushes the truck back"),
        ({"driver": "coasting", "keeper_gain": "2 kN s/m"}, "keeper_gain is of driver: speed_keeper"),
        ({"driver": "cruise"}, "driver"),
        ({"tyre_load": "sideways"}, "tyre_load"),
        ({"keeper_gain": "0 kN s/m"}, "keeper_gain"),
    ],
)
def test_words_that_contradict_each_other_are_refused(tmp_path, changes, said):
    lines = "".join(f"  {key}: {value}\n" for key, value in changes.items())
    path = tmp_path / "scenario.yaml"
    path.write_text(
        f"kind: scenario\nname: a\nvehicle: {TRUCK_FILE}\nsetups: {{as it is:}}\nrun:\n  kind: course\n  speed: 40 km/h\n"
        f"  course: {{kind: course, name: b, items: [{{kind: flat, length: 10 m}}]}}\n{lines}",
        encoding="utf-8",
    )
    with pytest.raises(InputError, match=said):
        sim.load(path)
