"""Launches and stops as people run them: energy, convergence, limits, measures, leans and tramp.

What is compared with published values is in tests/published/test_launch.py; the equations themselves in tests/derivation and
tests/multibody.
"""

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import solve_ivp

import sim
from sim.describe.parts.driveline import Engine
from sim.describe.parts.propshaft import Propshaft
from sim.describe.parts.slip import Slip, Surface
from sim.describe.runs import Brake, Launch
from sim.describe.runs.plan import Plan
from sim.errors import RunError
from sim.kernel import layout as at
from sim.lower.lowering import lower
from sim.lower.rest import rest
from sim.lower.wheeled import DrivenEquations, driven_trace, road_table, start_of, wheeled
from sim.measure.driving import (
    distance_to_speed,
    load_transfer,
    pinion_up,
    stopping_distance,
    swing_decay,
    swings_of,
    time_to_speed,
    wound_up,
)
from sim.study.mounts import lean_of, leaned
from sim.study.tramp.motions import linear, slip_with, slope_at, steady

ROOT = Path(__file__).parents[2]
ROCK = {"name": "firm rock", "friction": 0.85, "sliding": 0.62, "peak_at": "13 %"}


@pytest.fixture(scope="module")
def truck():
    return sim.load(ROOT / "scenarios" / "vehicles" / "hut_supply_truck.yaml")


def launch(**changes):
    return Launch.model_validate({"kind": "launch", "surface": ROCK, "watch": "3 s"} | changes)


def brake(**changes):
    return Brake.model_validate({"kind": "brake", "surface": ROCK, "speed": "40 km/h", "watch": "4 s"} | changes)


@pytest.mark.parametrize(
    "run",
    [
        launch(),
        launch(climb="10 deg"),
        launch(climb="-6 deg"),
        brake(),
        brake(climb="-6 deg"),
        brake(climb="10 deg", watch="9 s"),
    ],
)
def test_energy_balances(truck, run):
    result = sim.simulate(truck, run)
    assert not result.flags
    assert result.energy.residual_share < 1e-6
    assert all(loss >= -1e-9 for loss in result.energy.dissipated_j.values())


def test_agrees_with_another_integrator(truck):
    """SciPy's DOP853 at rtol 1e-10 on the same equations, half a second of a launch on the level before the wheels let go."""
    lowered = lower(truck.changed({f"{end}.dampers.main.seal_friction": "0 N" for end in ("front", "rear")}))
    run = launch(throttle="40 %", watch="0.6 s")
    plan = run.plan(lowered)
    own = wheeled(lowered, plan.driving)
    table = road_table(lowered, plan)
    start = start_of(own, rest(lowered), table)
    equations = DrivenEquations(own, table)

    def rates(t, state):
        controls = plan.driving.controls(np.array([t]), own.brakes)[:, 0]
        return equations.derivative(state, controls[0], (controls[1], controls[2]))

    pieces, state = [0.0, 0.2, 0.3, 0.6], start  # the brakes and the throttle have their corners there
    for begin, end in pairwise(pieces):
        state = solve_ivp(rates, (begin, end), state, "DOP853", rtol=1e-10, atol=1e-12).y[:, -1]
    trace = driven_trace(own, table, start, 0.6, 1e-3, 1)
    first = at.TRACE_LINES + len(own.setup.lines) * at.LINE_CHANNELS
    ours = np.r_[trace[-1, : at.STATES], trace[-1, first : first + at.ROWS - at.STATES]]
    for row in (
        at.X,
        at.COORDINATES + at.X,
        at.PITCH,
        at.WIND_UP + 2,
        at.JOUNCE + 2,
        at.SPIN + 1,
        at.SLIP + 1,
        at.TWIST + 1,
    ):
        assert ours[row] == pytest.approx(state[row], rel=1e-5, abs=1e-9)


def test_halving_the_step_changes_little_over_ripples(truck):
    course = sim.load(ROOT / "scenarios" / "courses" / "corrugated_climb.yaml")
    run = launch(course=course, climb="8 deg", surface=ROCK)
    result = sim.simulate(truck, run)
    fine, coarse = result, result.coarse
    assert np.abs(fine.rear.wind_up_rad - coarse.rear.wind_up_rad).max() < 1e-4 * np.ptp(fine.rear.wind_up_rad)
    assert fine.rear.tyre_load_n.max() == pytest.approx(coarse.rear.tyre_load_n.max(), rel=1e-4)


@pytest.mark.parametrize("in_gear", [True, False])
def test_wind_up_is_taken_the_way_that_shafts_and_brakes_turn_each_axle(truck, in_gear):
    """By hand: the steady moment over the rate against wind-up, on the side to which the moment turns the housing."""
    both = truck.changed({"driveline.drive": "both"})
    result = sim.simulate(both, launch(throttle="40 %") if in_gear else brake())
    for end, wheel in (("front", result.drive.front), ("rear", result.drive.rear)):
        trace, rate = dict(result.axles)[end], getattr(truck, end).guide.wind_up.rate
        side = np.sign(wheel.housing_torque_n_m[np.abs(wheel.housing_torque_n_m).argmax()])
        moment = side * wheel.housing_torque_n_m
        steady = side * moment[moment > 0.5 * moment.max()].mean()
        # A rear pinion points forward and a front one back: power lifts the rear one and lowers the front one, brakes do the opposite.
        assert (steady > 0.0) == ((end == "rear") == in_gear)
        turned = side * trace.wind_up_rad
        assert wound_up(result, end) == turned.max()
        assert wound_up(result, end) > 0.8 * abs(steady) / float(rate)


def test_nothing_happens_without_throttle(truck):
    result = sim.simulate(truck, launch(throttle="0.0000001 %"))
    assert np.abs(result.drive.speed_m_per_s).max() < 1e-5
    assert np.abs(result.rear.wind_up_rad).max() < 1e-5


def test_stands_on_a_hill_with_its_weight_shared(truck):
    """Brakes hold m g sin(alpha); the rear carries m g h sin(alpha) / L more than on the level would be cos(alpha) of it."""
    result = sim.simulate(truck, launch(climb="10 deg", brakes_off="10 s", throttle="0.0001 %", watch="0.6 s"))
    drive = result.drive
    setup = lower(truck)
    weight = 9.80665 * (setup.body.mass + sum(axle.mass for axle in setup.axles.values()))
    held = drive.front.traction_n[0] + drive.rear.traction_n[0]
    assert held == pytest.approx(weight * np.sin(np.radians(10)), rel=1e-6)
    assert result.front.tyre_load_n[0] + result.rear.tyre_load_n[0] == pytest.approx(
        weight * np.cos(np.radians(10)), rel=1e-6
    )
    masses = [(setup.body.mass, setup.height)]
    masses += [(axle.mass, setup.height + axle.seat_up + axle.gravity_up) for axle in setup.axles.values()]
    height = sum(m * h for m, h in masses) / sum(m for m, _ in masses)
    level = sim.simulate(truck, launch(throttle="0.0000001 %", watch="0.6 s")).rear.tyre_load_n[0]
    moved = weight * np.sin(np.radians(10)) * height / truck.wheelbase
    # What the truck leans back on its springs, and where the tyres' load acts, is left out of the sum: a twentieth of it.
    assert result.rear.tyre_load_n[0] - level * np.cos(np.radians(10)) == pytest.approx(moved, rel=0.05)


def parked(truck, climb, seconds, brakes_off_s=0.0):
    """Places along the road [m] and speeds, a row a millisecond, of a truck left on a hill; and the moments its brakes hold at first."""
    setup = lower(truck)
    plan = launch(climb=climb).plan(setup)
    driving = replace(plan.driving, in_gear=False, throttle=0.0, brakes_off_s=brakes_off_s)
    own, table = wheeled(setup, driving), road_table(setup, plan)
    start = start_of(own, rest(setup), table)
    trace = driven_trace(own, table, start, seconds, 1e-3, 4)
    moments = [abs(start[at.BRAKE + i]) * own.wheels[name].brake_rate for i, name in enumerate(("front", "rear"))]
    return trace[:, at.X], trace[:, at.COORDINATES + at.X], moments


@pytest.mark.parametrize("climb", ["0 deg", "6 deg", "-9 deg", "15 deg"])
def test_a_parked_truck_does_not_move(truck, climb):
    """Statics: brakes and treads already hold the hill, so that nothing gives; what is left is rounding."""
    assert np.abs(parked(truck, climb, 8.0)[0]).max() < 1e-9


def test_a_parked_truck_rolls_once_its_brakes_hold_too_little(truck):
    """Brakes that let go evenly in 10 s: still until one axle's moment is used up, rolling from when both are.

    From there m' dv/dt = m g sin(alpha) - M(t)/R (Newton's law; m' with the spin of the wheels), M falling evenly, so that v grows as
    the square of time.
    """
    climb, let_go_s, full = np.radians(12), 10.0, (5200.0, 3400.0)
    place, speed, moments = parked(truck, "12 deg", let_go_s, let_go_s)
    time, setup = 1e-3 * np.arange(place.size), lower(truck)
    holds = time < let_go_s * min(1.0 - now / most for now, most in zip(moments, full, strict=True)) - 0.01
    assert holds.sum() > 3000
    assert np.abs(place[holds]).max() < 1e-9
    mass = setup.body.mass + sum(axle.mass for axle in setup.axles.values())
    pull = mass * 9.80665 * np.sin(climb)
    radius = sum(moments) / pull  # statics of the locked wheels; below, that it is a tyre's
    assert all(0.9 * axle.tyre_radius < radius < axle.tyre_radius for axle in setup.axles.values())
    rolls_s = let_go_s * (1.0 - sum(moments) / sum(full))
    spin = sum(2.0 * part.tyre.spin_inertia for _, part in truck.axles) / radius**2
    wanted = -sum(full) / let_go_s / radius * np.maximum(time - rolls_s, 0.0) ** 2 / 2.0 / (mass + spin)
    late = time > rolls_s + 0.7  # springs and treads have let go by then
    assert late.sum() > 500
    assert speed[late] == pytest.approx(wanted[late], rel=0.03, abs=0.03)


@pytest.mark.parametrize("damping", [None, 900.0])
def test_wheels_swing_on_their_brakes_as_a_spring_and_a_dashpot_do(truck, damping):
    """Housing held still: omega² = rate / inertia, damping ratio c / (2 sqrt(rate inertia)); a fifth if it is not given (textbook)."""
    if damping:
        truck = truck.changed({"front.brakes.damping": f"{damping} N m s/rad"})
    setup = lower(truck)
    plan = brake().plan(setup)
    equations = DrivenEquations(wheeled(setup, plan.driving), road_table(setup, plan))
    state = np.zeros(at.ROWS)
    state[: at.STATES] = rest(setup).state
    state[at.Z] += 1.0  # off the ground: wheels and brakes alone
    rows = [at.SPIN, at.BRAKE]
    jacobian = np.empty((2, 2))
    for column, row in enumerate(rows):
        step = np.zeros(at.ROWS)
        step[row] = 1e-6
        ahead, behind = (equations.derivative(state + sign * step, 0.0, (5200.0, 3400.0)) for sign in (1, -1))
        jacobian[:, column] = (ahead - behind)[rows] / 2e-6
    root = np.linalg.eigvals(jacobian)[0]
    inertia, rate = 2 * truck.front.tyre.spin_inertia, 5200.0 / truck.front.brakes.give
    ratio = damping / (2.0 * np.sqrt(rate * inertia)) if damping else 0.2
    assert abs(root) == pytest.approx(np.sqrt(rate / inertia), rel=1e-6)
    assert -root.real / abs(root) == pytest.approx(ratio, rel=1e-6)


def test_a_locked_wheel_slides_at_the_end_of_its_curve(truck):
    result = sim.simulate(truck, brake(pedal="100 %", speed="60 km/h"))
    drive = result.drive
    sliding = (np.abs(drive.rear.slip + 1.0) < 2e-3) & (drive.speed_m_per_s > 3.0)
    share = -drive.rear.traction_n[sliding] / result.rear.tyre_load_n[sliding]
    assert sliding.sum() > 100
    assert np.median(share) == pytest.approx(ROCK["sliding"], rel=2e-3)


def test_measures_of_a_stop_and_of_a_launch(truck):
    stop = sim.simulate(truck, brake(pedal="25 %", speed="30 km/h"))
    deceleration = 30 / 3.6 / (stopping_distance(stop) * 2 / (30 / 3.6))
    torque = 0.25 * (5200 + 3400)
    expected = (
        torque / 0.385 / (2190 + 4 * 2.1 / 0.385**2)
    )  # brakes alone, wheels rolling, a tenth for the pedal's rise
    assert deceleration == pytest.approx(expected, rel=0.1)
    assert load_transfer(stop) < 0.0
    start = sim.simulate(truck, launch(to_speed="10 km/h"))
    assert 0.0 < time_to_speed(start) < 3.0
    place = int(np.searchsorted(start.time_s, time_to_speed(start)))
    assert start.drive.speed_m_per_s[place] == pytest.approx(10 / 3.6, rel=1e-2)
    assert distance_to_speed(start) == pytest.approx(start.drive.distance_m[place], abs=0.01)
    assert time_to_speed(sim.simulate(truck, launch(to_speed="90 km/h"))) == np.inf
    assert load_transfer(start) > 0.0
    assert pinion_up(start, "rear") > np.radians(3.0)  # 5 to 12 degrees are talked of (common practice, no source)


def test_swings_and_their_decay():
    """A decaying cosine: as many swings as periods, and its own rate."""
    time = np.arange(0.0, 4.0, 1e-3)
    swing = 0.05 * np.exp(-1.5 * time) * np.cos(2 * np.pi * 7.0 * time)
    found = swings_of(time, 0.1 + swing)
    count = np.log(0.05 / (0.5 * 0.0017)) / 1.5 * 7.0 * 2
    assert found.size_rad.size == pytest.approx(min(count, 4 * 14), abs=3)

    class Fake:
        time_s = time
        rear = type("T", (), {"wind_up_rad": 0.1 + swing})()

    assert swing_decay(Fake(), "rear") == pytest.approx(1.5, rel=0.05)  # the running mean takes a little of it


def test_a_wind_up_link_costs_and_gains(truck):
    link = {
        "body": {"behind_front_axle": "2.05 m", "above_ground": "0.62 m"}, "axle": {"ahead": "40 mm", "above": "170 mm"},
        "rate": "1.6 kN/mm",
    }  # fmt: skip
    without, fitted = (sim.simulate(t, launch()) for t in (truck, truck.changed({"rear.wind_up_link": link})))
    assert pinion_up(fitted, "rear") < 0.75 * pinion_up(without, "rear")
    assert np.abs(fitted.rear.link_force_n).max() > 1e3
    assert not np.any(without.rear.link_force_n)


def test_engine_curve():
    engine = Engine.model_validate(
        {
            "torque": [{"speed": "1000 rpm", "torque": "200 N m"}, {"speed": "2000 rpm", "torque": "300 N m"}],
            "idle": "800 rpm", "limit": "3000 rpm", "inertia": "0.2 kg m^2",
        }
    )  # fmt: skip
    turning = np.pi / 30
    curve = engine.lower()
    for speed, torque in (
        (800, 200),
        (1000, 200),
        (1500, 250),
        (2000, 300),
        (2900, 300),
        (3045, 150),
        (3200, 0),
        (5000, 0),
    ):
        assert curve.torque(speed * turning) == pytest.approx(torque, abs=1e-9)


def test_surface_gives_the_curve_its_peak_and_end():
    surface = Surface.model_validate({"friction": 0.7, "sliding": 0.55, "peak_at": "15 %"})
    curve = Slip(stiffness=15.0).curve(surface)
    slips = np.linspace(0, 1, 100001)
    forces = np.array([curve.force(s, 4000.0) for s in slips]) / 4000.0
    assert forces.max() == pytest.approx(0.7, rel=1e-6)
    assert slips[forces.argmax()] == pytest.approx(0.15, abs=2e-4)
    assert forces[-1] == pytest.approx(0.55, rel=1e-9)
    assert forces[1] / slips[1] == pytest.approx(15.0, rel=1e-2)
    assert curve.force(-0.3, 4000.0) == pytest.approx(-curve.force(0.3, 4000.0), rel=1e-12)


def test_joint_angles():
    """Parallel axes make equal angles; a straight line makes none."""
    shaft = Propshaft.model_validate(
        {
            "gearbox": {"behind_front_axle": "1.5 m", "above_ground": "0.6 m"}, "pinion": {"ahead": "0.3 m", "above": "0 m"},
            "gearbox_slope": "4 deg", "pinion_up": "4 deg",
        }
    )  # fmt: skip
    one = shaft.angles(np.array([1.0]), np.array([0.2]), np.array([0.0]))
    assert one.at_gearbox == pytest.approx(np.arctan(0.2) - np.radians(4))
    assert one.at_pinion == pytest.approx(one.at_gearbox)
    straight = shaft.angles(np.array([1.0]), np.array([np.tan(np.radians(4))]), np.array([np.radians(2)]))
    assert straight.at_gearbox == pytest.approx(0.0, abs=1e-7)
    assert straight.at_pinion == pytest.approx(np.radians(2), abs=1e-7)


def test_leaning_moves_the_upper_mounts_alone(truck):
    for lean in (-0.5, 0.0, 0.6):
        made = leaned(truck, "rear", lean)
        assert lean_of(made, "rear", "main") == pytest.approx(lean, abs=1e-6)
        before, after = truck.rear.dampers["main"], made.rear.dampers["main"]
        assert after.axle == before.axle
        assert after.body.above_ground == before.body.above_ground
        stroke = after.length_extended - after.length_collapsed
        assert stroke == pytest.approx(before.length_extended - before.length_collapsed)


def test_the_linear_view_of_tramp_is_the_runs_own(truck):
    """Growth of a small kick in a run of the straightened model equals the least damped eigenvalue's real part."""
    surface = Surface.model_validate(ROCK)
    slip = slip_with(surface, truck, "rear", -0.08)
    found = steady(truck, "rear", surface, slip)
    values = linear(found)
    growing = max((v for v in values if v.imag > 10.0), key=lambda v: v.real)
    assert growing.real > 0.5
    state = found.state.copy()
    state[at.WIND_UP + 2] += 1e-9
    driving = found.own.driving
    own = replace(found.own, driving=replace(driving, throttle=found.throttle))
    table = road_table(own.setup, Plan(duration_s=2.5, released_s=0.0, driving=driving))
    trace = driven_trace(own, table, state, 2.5, 1e-3, 2)
    swing = trace[:, at.WIND_UP + 2] - found.state[at.WIND_UP + 2]
    window = slice(400, 1400)
    time = np.arange(len(swing)) * 1e-3
    peaks = [i for i in range(401, 1399) if abs(swing[i]) >= abs(swing[i - 1]) and abs(swing[i]) > abs(swing[i + 1])]
    rate = np.polyfit(time[peaks], np.log(np.abs(swing[peaks])), 1)[0]
    assert np.abs(swing[window]).max() < 1e-3
    assert rate == pytest.approx(growing.real, rel=0.02)


def test_slope_of_the_slip_curve(truck):
    surface = Surface.model_validate(ROCK)
    curve = truck.rear.tyre.slip.curve(surface)
    for slope in (0.5, 0.0, -0.3):
        slip = slip_with(surface, truck, "rear", slope)
        assert slope_at(curve, slip, 5000.0) == pytest.approx(slope, abs=1e-6)
    assert slip_with(surface, truck, "rear", 0.0) == pytest.approx(0.13, rel=1e-4)
    with pytest.raises(RunError, match="not on it"):
        slip_with(surface, truck, "rear", -5.0)


@pytest.mark.parametrize(
    ("changes", "run", "words"),
    [
        ({"driveline": "none"}, launch(), "driveline"),
        ({"rear.tyre.slip": "none"}, launch(), "slip"),
        ({"rear.tyre.spin_inertia": "none"}, launch(), "spin_inertia"),
        ({"rear.shafts": "none"}, launch(), "shafts"),
        ({"front.brakes": "none", "rear.brakes": "none"}, brake(), "brakes"),
        ({"front.brakes": "none", "rear.brakes": "none"}, launch(climb="8 deg"), "stands on its brakes"),
        ({}, launch(climb="33 deg", surface={"friction": 0.5, "sliding": 0.4, "peak_at": "12 %"}), "too steep"),
        ({}, launch(surface={"friction": 0.8, "sliding": 0.2, "peak_at": "30 %"}), "slip curve"),
        ({"rear.guide.wind_up.rate": "from_leaves"}, launch(), "halves"),
    ],
)
def test_what_is_missing_is_said(truck, changes, run, words):
    with pytest.raises(RunError, match=words):
        sim.simulate(truck.changed(changes) if changes else truck, run)
