"""Launch: load transfer, squat and anti-squat; slip curve; relaxation; leaves under torque (published-values, 6.3 and 8).

Load transfer m a h / L is statics; squat with an equivalent side-view arm after D. Barton, J. Fieldhouse, Automotive Chassis
Engineering (2018), 3.11, and T. D. Gillespie, Fundamentals of Vehicle Dynamics, ch. 7 (from memory), recomputed.
"""

import numpy as np
import pytest

import sim
from sim.describe.files.vehicles import vehicle_from
from sim.describe.parts.slip import Slip, Surface
from sim.describe.parts.springs import LeafPack
from sim.describe.runs import Brake, Launch
from sim.describe.runs.plan import Driving, Plan
from sim.kernel import layout as at
from sim.lower.lowering import lower
from sim.lower.rest import rest
from sim.lower.wheeled import DrivenEquations, driven_trace, road_table, wheeled
from tests.published.textbook import car

MASS, HEIGHT_CG, WHEELBASE, RADIUS = 2200.0, 0.70, 3.30, 0.37
FRONT_RATE, REAR_RATE = 70e3, 60e3
LIGHT = 2.0
SMALL = 0.01  # of the book's half a g, so that its straight lines and our exact geometry agree; results are scaled back
GRIP = {"friction": 1.2, "sliding": 1.0, "peak_at": "20 %"}


def textbook_truck(slope, radius=HEIGHT_CG, stiffer=1.0):
    """The book's truck: rates 70 and 60 kN/m, rear drive, the rear axle on arms with a pivot at e/d = slope.

    Squat does not depend on the wheels' radius. With axle centres at the height of the centre of gravity a pitching body does
    not carry its weight backwards, and with a level arm an axle that rises does not move along: both shift the load a
    little (1.8 % with wheels of .37 m), which the books leave out.
    """
    arm_length = radius / slope
    unsprung = 2 * LIGHT
    body_cg = (HEIGHT_CG * MASS - unsprung * radius) / (MASS - unsprung)
    behind = 0.5 * WHEELBASE

    def axle(rate, place, guide):
        load = MASS * 9.80665 / 2
        return {
            "housing": {"mass": f"{LIGHT} kg", "pitch_inertia": "0.1 kg m^2"},
            "tyre": {
                "count": 1, "radius": f"{radius + load / 5e8!r} m", "rate": "5e8 N/m", "damping": "2e4 N s/m",
                "spin_inertia": "0.02 kg m^2", "slip": {"stiffness": 20, "carcass_time": "0 s"}, "rolling_share": 1.0,
            },
            "guide": guide,
            "shafts": {"final_drive": 1.0, "rate": "1e3 N m/rad", "damping": "1 N m s/rad"},
            "springs": {"coil": {
                "kind": "coil", "count": 1, "rate": f"{rate * stiffer} N/m", "held_both_ways": True,
                "body": {"behind_front_axle": f"{place!r} m", "above_ground": "1.4 m"}, "axle": {"ahead": "0 m", "above": "0 m"},
            }},
            "dampers": {"main": {
                "count": 1, "valving": {"kind": "straight", "compression": damping, "rebound": damping},
                "body": {"behind_front_axle": f"{place!r} m", "above_ground": "1.4 m"}, "axle": {"ahead": "0 m", "above": "0 m"},
            }},
        }  # fmt: skip

    arm = {
        "kind": "arm", "wind_up": {"rate": "rigid"},
        "pivot": {"behind_front_axle": f"{WHEELBASE - arm_length!r} m", "above_ground": f"{radius!r} m"},
    }  # fmt: skip
    damping = f"{9.0 * stiffer**0.5} kN s/m"
    force = MASS * 0.5 * 9.81 * SMALL
    return vehicle_from(
        {
            "kind": "vehicle", "name": "textbook truck", "wheelbase": f"{WHEELBASE} m",
            "body": {
                "mass": f"{MASS - unsprung} kg", "pitch_inertia": "3000 kg m^2",
                "centre_of_gravity": {"behind_front_axle": f"{behind!r} m", "above_ground": f"{body_cg!r} m"},
            },
            "front": axle(FRONT_RATE, 0.0, {"kind": "straight"}), "rear": axle(REAR_RATE, WHEELBASE, arm),
            "driveline": {
                "engine": {"torque": f"{force * radius!r} N m", "limit": "6000 rpm", "inertia": "0.01 kg m^2"},
                "gear": 1.0, "drive": "rear",
            },
        }
    )  # fmt: skip


def launched(truck, watch="6 s"):
    run = Launch.model_validate({"kind": "launch", "surface": GRIP, "throttle_rise": "0.5 s", "watch": watch})
    result = sim.simulate(truck, run)
    assert not result.flags
    speed = result.drive.speed_m_per_s
    acceleration = (speed[-1] - speed[-501]) / (result.time_s[-1] - result.time_s[-501])
    return result, 0.5 * 9.81 / acceleration


def test_load_transfer_and_axle_torque():
    """2200 kg, 0.5 g, h 0.70, L 3.30, r 0.37 m: 2289.0 N to the rear, 10791 N of drive, 3992.7 N m at the axle."""
    run, scale = launched(textbook_truck(0.10, radius=RADIUS, stiffer=300.0))
    rear = run.rear.tyre_load_n
    assert scale * (rear[-1] - rear[0]) == pytest.approx(2289.0, rel=5e-4)
    assert scale * (run.front.tyre_load_n[0] - run.front.tyre_load_n[-1]) == pytest.approx(2289.0, rel=5e-4)
    assert scale * run.drive.rear.traction_n[-1] == pytest.approx(10791.0, rel=5e-4)
    assert scale * run.drive.rear.shaft_torque_n_m[-1] == pytest.approx(3992.7, rel=5e-4)


def test_squat_with_a_side_view_arm():
    """e/d = .10: front rise 32.700 mm, rear squat 20.165 mm, pitch .0160197 rad; h/L = .21212, so 47.143 % anti-squat."""
    run, scale = launched(textbook_truck(0.10))
    rise = -(run.front.jounce_m[-1] - run.front.jounce_m[0])
    squat = run.rear.jounce_m[-1] - run.rear.jounce_m[0]
    assert scale * rise * 1e3 == pytest.approx(32.700, rel=1e-3)
    assert scale * squat * 1e3 == pytest.approx(20.165, rel=1e-3)
    assert scale * (run.pitch_nose_up_rad[-1] - run.pitch_nose_up_rad[0]) == pytest.approx(0.0160197, rel=1e-3)
    without = 2289.0 / 60e3
    assert 1.0 - scale * squat / without == pytest.approx(0.47143, abs=1e-3)


def test_no_squat_at_h_over_l_and_no_pitch_at_its_share():
    """No rear squat at e/d = h/L = .21212; no pitch at e/d = (h/L)(1 + kr/kf) = .393939."""
    run, scale = launched(textbook_truck(HEIGHT_CG / WHEELBASE))
    assert scale * (run.rear.jounce_m[-1] - run.rear.jounce_m[0]) * 1e3 == pytest.approx(0.0, abs=0.03)
    run, scale = launched(textbook_truck(0.393939))
    assert scale * (run.pitch_nose_up_rad[-1] - run.pitch_nose_up_rad[0]) == pytest.approx(0.0, abs=2e-5)


BAKKER = (-21.3, 1144.0, 49.6, 226.0, 0.069, -0.006, 0.056, 0.486)


@pytest.mark.parametrize(
    ("load", "peak", "slope", "bend", "peak_at", "end"),
    [
        (2.0, 2202.8, 566.6, 0.574, 11.86, 1530.8),
        (4.0, 4235.2, 1288.2, 0.614, 10.35, 2898.6),
        (6.0, 6097.2, 2076.6, 0.606, 9.18, 4071.7),
    ],
)
def test_slip_curve(load, peak, slope, bend, peak_at, end):
    """E. Bakker, L. Nyborg, H. B. Pacejka, SAE 870421 (1987), table of longitudinal coefficients (nine transcriptions).

    Peak [N], slope [N per %], E, slip at the peak [%], force at 100 % [N], by load [kN].
    """
    curve = Slip(coefficients=BAKKER).curve()
    newtons = load * 1e3
    slips = np.linspace(0.001, 0.3, 29901)
    forces = np.array([curve.force(s, newtons) for s in slips])
    assert forces.max() == pytest.approx(peak, rel=1e-4)
    assert 100.0 * slips[forces.argmax()] == pytest.approx(peak_at, abs=0.01)
    assert curve.force(1e-6, newtons) / 1e-4 == pytest.approx(slope, rel=1e-4)
    assert curve.curvature + curve.curvature_rise * newtons + curve.curvature_bend * newtons**2 == pytest.approx(
        bend, abs=5e-4
    )
    assert curve.force(1.0, newtons) == pytest.approx(end, rel=1e-4)


def test_the_run_has_that_curve():
    """A held, sliding truck in the kernel has the table's force at its own load, axle of two tyres."""
    vehicle = car(2200.0, 3000.0, 1.5, 1.5, 6e4, 6e4, unsprung=(50.0, 50.0), tyre_rates=(1e8, 1e8))
    given = {"spin_inertia": "2 kg m^2", "count": 2, "rate": "5e7 N/m", "slip": {"coefficients": list(BAKKER)}}
    vehicle = vehicle.changed({f"{end}.tyre.{key}": value for end in ("front", "rear") for key, value in given.items()})
    vehicle = vehicle.changed({f"{end}.brakes": {"torque": "9 kN m"} for end in ("front", "rear")})
    surface = Surface(friction=1.0, sliding=0.7)
    setup = lower(vehicle)
    plan = Brake.model_validate({"kind": "brake", "surface": surface.model_dump(), "speed": "10 m/s"}).plan(setup)
    own = wheeled(setup, plan.driving)
    equations = DrivenEquations(own, road_table(setup, plan))
    state = np.zeros(at.ROWS)
    state[: at.STATES] = rest(setup).state
    state[at.COORDINATES + at.X] = 10.0
    curve = Slip(coefficients=BAKKER).curve()
    for slip in (-1.0, -0.3, -0.1, -0.02):
        state[at.SLIP : at.SLIP + 2] = slip
        state[at.SPIN : at.SPIN + 2] = 0.0
        equations.derivative(state)
        for axle in (0, 1):  # steady: the wheel turns as the slip says
            state[at.SPIN + axle] = 10.0 * (1.0 + slip) / equations.scratch(axle, at.ROLLING_RADIUS)
        rates = equations.derivative(state)
        assert rates[at.SLIP : at.SLIP + 2] == pytest.approx(0.0, abs=1e-9)
        for axle in (0, 1):
            load = equations.scratch(axle, at.LOAD)
            assert equations.scratch(axle, at.TRACTION) == pytest.approx(2 * curve.force(slip, load / 2), rel=1e-9)


def rolling(length, speed, relaxation="at_once"):
    """A truck whose wheels turn on whatever happens, with tyres of a relaxation length [m]: wheeled, the road, its equations, and the
    state in which it stands and moves along at a speed [m/s], evaluated once."""
    vehicle = car(2200.0, 3000.0, 1.5, 1.5, 6e4, 6e4, unsprung=(50.0, 50.0), tyre_rates=(1e8, 1e8))
    given = {
        "spin_inertia": "1e9 kg m^2",
        "slip": {"stiffness": 16, "relaxation_length": f"{length} m", "carcass_time": "0 s", "relaxation": relaxation},
    }
    vehicle = vehicle.changed({f"{end}.tyre.{key}": value for end in ("front", "rear") for key, value in given.items()})
    setup = lower(vehicle)
    driving = Driving(
        surface=Surface(friction=0.8, sliding=0.6), climb_rad=0.0, speed_m_per_s=speed, in_gear=True, held=False, throttle=0.0,
        throttle_from_s=0.0, throttle_rise_s=1.0, brakes_off_s=0.0, pedal=0.0, pedal_from_s=0.0, pedal_rise_s=1.0, pulling=True,
    )  # fmt: skip
    own = wheeled(setup, driving)
    table = road_table(setup, Plan(duration_s=0.4, released_s=0.0, driving=driving))
    equations = DrivenEquations(own, table)
    state = np.zeros(at.ROWS)
    state[: at.STATES] = rest(setup).state
    state[at.COORDINATES + at.X] = speed
    equations.derivative(state)
    return own, table, equations, state


def front_traction(setup, trace):
    """Force along the road of the front axle [N]."""
    return trace[:, at.TRACE_LINES + len(setup.lines) * at.LINE_CHANNELS + at.DRIVEN_AXLE]


def test_relaxation():
    """After a small step of slip, 63.2 % of the force acts once the relaxation length has been rolled (Pacejka, from memory)."""
    length, speed = 0.25, 8.0
    own, table, equations, state = rolling(length, speed)
    for axle in (0, 1):
        state[at.SPIN + axle] = speed * (1.0 + 1e-5) / equations.scratch(axle, at.ROLLING_RADIUS)
    trace = driven_trace(own, table, state, 0.4, 1e-4, 1)
    force = front_traction(own.setup, trace)
    share = np.interp(length / speed, np.arange(len(force)) * 1e-4, force / force[-1])
    assert share == pytest.approx(1.0 - np.exp(-1.0), rel=1e-3)


@pytest.mark.parametrize("relaxation", ["at_once", "after_length"])
def test_how_grip_follows_load(relaxation):
    """Rolling at a steady slip, load steps up by a hundredth: grip is that of the new load at once, or 63.2 % of the way there
    once the relaxation length has been rolled (first-order lag; Pacejka, from memory). In the air there is none either way.
    """
    length, speed, slip = 0.25, 8.0, 0.02
    own, table, equations, state = rolling(length, speed, relaxation)
    loads = np.array([equations.scratch(axle, at.LOAD) for axle in (0, 1)])
    for axle in (0, 1):
        state[at.SPIN + axle] = speed / (1.0 - slip) / equations.scratch(axle, at.ROLLING_RADIUS)
    state[at.SLIP : at.SLIP + 2] = slip
    state[at.FELT : at.FELT + 2] = loads / 1.01  # as it has been up to now
    trace = driven_trace(own, table, state, 0.3, 1e-4, 1)
    force = front_traction(own.setup, trace)
    load = trace[:, at.TRACE_TYRE]
    before, after = loads[0] / 1.01, loads[0]
    assert np.ptp(load) < 2e-4 * after
    rolled = np.arange(len(force)) * 1e-4 * speed / (1.0 - slip)  # the tread turns past the patch at R times its spin
    grip = force / force[-1] * after
    share = (np.interp(length, rolled, grip) - before) / (after - before)
    expected = {"at_once": 1.0, "after_length": 1.0 - np.exp(-1.0)}[relaxation]
    assert share == pytest.approx(expected, abs=0.02)
    lifted = state.copy()
    lifted[at.Z] += 1.0
    equations.derivative(lifted)
    assert equations.scratch(0, at.LOAD) == 0.0
    assert equations.scratch(0, at.TRACTION) == 0.0


def test_leaves_under_torque():
    """k 30 kN/m, halves .55 and .80 m: 22642.3 and 7357.7 N/m; free 10120.6, held height 11558.2 N m/rad; coupling 6567.2 N.

    Even halves: k L²/4 = 12675 N m/rad each, 25350 for two; 3000 N m gives 6.7806 deg (recomputed; form of the SAE leaf
    spring manual, from memory).
    """
    pack = {"kind": "leaf_pack", "count": 1, "rate": "30 kN/m", "halves": {"ahead": "550 mm", "behind": "800 mm"}}
    rates = LeafPack.model_validate(pack).wind_up
    assert rates.by_turn == pytest.approx(11558.2, rel=1e-5)
    assert rates.coupling == pytest.approx(-6567.2, rel=1e-5)
    assert rates.by_turn - rates.coupling**2 / 30e3 == pytest.approx(10120.6, rel=1e-5)
    even = LeafPack.model_validate(pack | {"count": 2, "halves": {"ahead": "650 mm", "behind": "650 mm"}}).wind_up
    assert even.coupling == pytest.approx(0.0, abs=1e-9)
    assert 2.0 * even.by_turn == pytest.approx(25350.0, rel=1e-9)
    assert np.degrees(3000.0 / (2.0 * even.by_turn)) == pytest.approx(6.7806, rel=1e-5)


def test_leaves_under_torque_in_the_run():
    """The same free rate from the kernel's forces: turned with the height left free, it answers 10120.6 N m/rad."""
    vehicle = car(4e3, 6e3, 1.5, 1.5, 3e4, 3e4, friction={}).changed(
        {
            "rear.springs.pack.halves": {"ahead": "550 mm", "behind": "800 mm"},
            "rear.guide": {"kind": "straight", "wind_up": {"rate": "from_leaves"}},
        }
    )
    setup = lower(vehicle)
    from sim.lower.rest import Equations

    equations, standing = Equations(setup), rest(setup)
    base = at.SCRATCH + at.SCRATCH_ROWS

    def forces(jounce, turn):
        state = standing.state.copy()
        state[at.JOUNCE + 2] += jounce
        state[at.WIND_UP + 2] += turn
        equations.derivative(state)
        return np.array([equations.packed.memory[base + row] for row in (at.FORCE_JOUNCE, at.FORCE_WIND_UP)])

    matrix = np.column_stack(
        [(forces(1e-4, 0.0) - forces(-1e-4, 0.0)) / -2e-4, (forces(0.0, 1e-4) - forces(0.0, -1e-4)) / -2e-4]
    )
    assert matrix[0, 0] == pytest.approx(30e3, rel=1e-8)
    assert matrix[0, 1] == pytest.approx(-6567.2, rel=1e-5)
    assert matrix[1, 0] == pytest.approx(matrix[0, 1], rel=1e-8)
    assert np.linalg.det(matrix) / matrix[0, 0] == pytest.approx(10120.6, rel=1e-5)
