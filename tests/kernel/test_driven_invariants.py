"""What physics keeps when a truck drives or brakes: mirror images, momentum, energy, moments on a housing, sliding, flight."""

from dataclasses import replace
from math import hypot

import numpy as np
import pytest

from sim.describe.files.vehicles import vehicle_from
from sim.describe.parts.slip import Surface
from sim.describe.runs import Brake
from sim.describe.runs.plan import Driving
from sim.integrate.driven import _held
from sim.integrate.simulation import simulate
from sim.kernel import layout as at
from sim.lower.lowering import lower
from sim.lower.rest import rest
from sim.lower.road.samples import BEFORE, cubics
from sim.lower.stance import GRAVITY
from sim.lower.wheeled import ROAD_STEP_M, DrivenEquations, Table, driven_trace, start_of, wheeled
from tests.derivation.half_car import guide_values
from tests.derivation.test_driven_against_kernel import MODES, as_lowered, as_state, random_case
from tests.kernel.seated import SEATS, on_seats
from tests.kernel.test_invariants import metres, mirrored, raw_truck

NAMES = ("front", "rear")
FIRM = Surface(friction=0.8, sliding=0.65)
V = at.COORDINATES
LEVEL = Table(np.zeros((2, 3, at.ROAD_ROWS)), np.zeros(2))


def driving(**changes):
    return Driving(
        **{
            "surface": FIRM, "climb_rad": 0.0, "speed_m_per_s": 0.0, "in_gear": True, "held": False, "throttle": 0.6,
            "throttle_from_s": 0.0, "throttle_rise_s": 0.1, "brakes_off_s": 0.0, "pedal": 0.0, "pedal_from_s": 0.0,
            "pedal_rise_s": 0.1, **changes,
        }
    )  # fmt: skip


def raw_with_all():
    """The hut truck on uneven leaves behind, which alone hold its housing, and with a wind-up link there."""
    raw = raw_truck()
    raw["rear"]["guide"]["wind_up"]["rate"] = "from_leaves"
    raw["rear"]["springs"]["pack"]["halves"] = {"ahead": "560 mm", "behind": "700 mm"}
    raw["rear"]["wind_up_link"] = {
        "body": {"behind_front_axle": "2.0 m", "above_ground": "0.62 m"}, "axle": {"ahead": "40 mm", "above": "190 mm"},
        "rate": "2 kN/mm", "damping": "900 N s/m",
    }  # fmt: skip
    raw["rear"].pop("propshaft")
    raw["front"]["housing"]["centre_of_gravity"] = {"ahead": "30 mm", "above": "-20 mm"}
    return raw


def turned_round(raw):
    image = mirrored(raw, metres(raw["wheelbase"]))
    for name in NAMES:
        for spring in image[name]["springs"].values():
            if "halves" in spring:
                halves = raw["front" if name == "rear" else "rear"]["springs"]["pack"]["halves"]
                spring["halves"] = {"ahead": halves["behind"], "behind": halves["ahead"]}
    image["driveline"]["drive"] = {"rear": "front", "front": "rear", "both": "both"}[raw["driveline"]["drive"]]
    return image


def random_state(setup, rng):
    """Any motion about where it stands, wheels sliding and rolling either way, the engine slower than idle."""
    state = np.zeros(at.ROWS)
    state[: at.STATES] = rest(setup).state
    state[:V] += rng.uniform(-1, 1, V) * [1.0, 0.02, 0.05, 0.03, 0.05, 0.03, 0.05, 0.01, 0.01]
    state[V : 2 * V] = rng.uniform(-1, 1, V) * [10.0, 1.0, 0.5, 1.0, 2.0, 1.0, 2.0, 0.5, 0.5]
    for row, size in ((at.FRICTION, 200.0), (at.SLIP, 0.5), (at.BRAKE, 0.01), (at.TWIST, 0.1)):
        state[row : row + 2] = rng.uniform(-size, size, 2)
    state[at.SPIN : at.SPIN + 2] = state[V + at.X] / 0.4 + rng.uniform(-5, 5, 2)
    state[at.ENGINE] = rng.uniform(-60, 60)
    return state


def random_road(rng):
    """A smooth road of each axle that rises and falls by some centimetres: heights and slopes by place."""
    phase = rng.uniform(0, 6, (2, 1))
    return lambda x: (0.02 * np.sin(2.0 * x + phase), 0.04 * np.cos(2.0 * x + phase))


def table_of(road, setup):
    """A road whose places count from where the body's centre of gravity is when the truck has not moved."""
    places = np.arange(-6.0, 6.0, ROAD_STEP_M)
    heights, slopes = road(places)
    begin = [BEFORE + (6.0 + setup.axles[name].centre_forward) / ROAD_STEP_M for name in NAMES]
    return Table(cubics(heights, slopes * ROAD_STEP_M), np.array(begin))


def swapped(row):
    """A state or its rate of the truck turned round."""
    image = row.copy()
    for start in (0, V):
        image[[start + at.X, start + at.PITCH]] *= -1
    for base, step, sense in (
        (at.JOUNCE, 2, 1), (at.WIND_UP, 2, -1), (V + at.JOUNCE, 2, 1), (V + at.WIND_UP, 2, -1), (at.FRICTION, 1, 1),
        *((row, 1, -1) for row in (at.SPIN, at.SLIP, at.BRAKE, at.SHIFT, V + at.SHIFT, at.TWIST)),
    ):  # fmt: skip
        image[base], image[base + step] = sense * row[base + step], sense * row[base]
    image[at.ENGINE] *= -1
    return image


@pytest.mark.parametrize("drive", ["rear", "front", "both"])
def test_mirror_image_of_the_truck_that_drives_and_brakes(drive):
    """The truck turned round, on the mirrored hill, torque reversed: every rate is the mirror image, energies' too.

    The engine is slower than idle, where its torque does not tell which way round it turns.
    """
    rng = np.random.default_rng(4)
    raw = raw_with_all()
    raw["driveline"]["drive"] = drive
    one, other = lower(vehicle_from(raw)), lower(vehicle_from(turned_round(raw)))
    road = random_road(rng)

    def flipped(places):
        heights, slopes = road(-places)
        return heights[::-1], -slopes[::-1]

    equations = DrivenEquations(wheeled(one, driving(climb_rad=0.2)), table_of(road, one))
    image = DrivenEquations(wheeled(other, driving(climb_rad=-0.2)), table_of(flipped, other))
    for _ in range(20):
        state = random_state(one, rng)
        rates = equations.derivative(state, 0.7, (3000.0, 1500.0))
        found = image.derivative(swapped(state), -0.7, (1500.0, 3000.0))
        wanted = swapped(rates)
        assert np.max(np.abs(wanted[V : 2 * V])) > 10.0
        for rows in (
            slice(V, 2 * V),
            slice(at.FRICTION, at.MOTION),
            slice(at.MOTION, at.STATES),
            slice(at.SPIN, at.ROWS),
        ):
            assert found[rows] == pytest.approx(wanted[rows], rel=1e-8, abs=1e-9 * np.max(np.abs(wanted[rows])))


def test_reversed_torque_mirrors_wind_up():
    """Even leaves and upright dampers at both ends, both axles driven: torque back winds up the front as torque ahead the rear."""
    raw = raw_with_all()
    rear = raw["rear"]
    del rear["wind_up_link"]
    rear["springs"]["pack"]["halves"] = {"ahead": "610 mm", "behind": "610 mm"}
    rear["dampers"]["main"] |= {
        "body": {"behind_front_axle": "2.95 m", "above_ground": "0.9 m"}, "axle": {"ahead": "0 mm", "above": "-40 mm"},
    }  # fmt: skip
    raw["front"] = mirrored(rear, metres(raw["wheelbase"]))
    raw["front"]["springs"]["pack"]["halves"] = rear["springs"]["pack"]["halves"]
    raw["body"]["centre_of_gravity"]["behind_front_axle"] = "1.475 m"
    raw["loads"]["driver"]["place"]["behind_front_axle"] = "1.475 m"
    raw["driveline"] |= {"drive": "both"}
    setup = lower(vehicle_from(raw))
    table = LEVEL
    traces = []
    for throttle in (0.6, -0.6):
        # Idle out of reach: the torque then does not tell which way round the engine turns.
        own = wheeled(setup, driving(throttle=throttle))
        own = replace(own, drive=own.drive._replace(idle=1e4), engine=())
        traces.append(driven_trace(own, table, start_of(own, rest(setup), table), 0.5, 1e-3, 4))
    ahead, back = traces
    for row in (at.WIND_UP, at.PITCH, at.X, V + at.X):
        other = row + 2 if row == at.WIND_UP else row
        swing = ahead[:, other]
        assert np.ptp(swing) > 1e-3
        assert back[:, row] == pytest.approx(-swing, rel=0, abs=1e-7 * np.max(np.abs(swing)))


def places(setup, row):
    """Place and turn (3, 3) of body, front and rear centre of mass, and both axles' centres (2, 2)."""
    q = row[:V]
    s, c = np.sin(q[at.PITCH]), np.cos(q[at.PITCH])
    found, centres = [(q[0], q[1], q[2])], []
    for index, name in enumerate(NAMES):
        axle, path = setup.axles[name], setup.paths[name]
        jounce, wind_up = q[at.JOUNCE + 2 * index], q[at.WIND_UP + 2 * index]
        place, turn = map(float, path.at(jounce))
        turn += wind_up
        f, u = place + row[at.SHIFT + index], axle.seat_up + jounce
        hub = axle.seat_above * np.array([np.sin(q[2] + turn), np.cos(q[2] + turn)])
        centres.append(np.array([q[0] + f * c + u * s, q[1] - f * s + u * c]) - hub)
        f += axle.gravity_forward * np.cos(turn) + axle.gravity_up * np.sin(turn)
        u += axle.gravity_up * np.cos(turn) - axle.gravity_forward * np.sin(turn)
        found.append((q[0] + f * c + u * s, q[1] - f * s + u * c, q[2] + turn))
    return np.array(found), np.array(centres)


@SEATS
def test_outer_forces_move_and_turn_the_whole(seats):
    """Sum of road and weight = mass x acceleration of the whole's centre of mass; their moment = the spin's growth, wheels' too.

    Accelerations of the three centres of mass by fourth-order differences of their places alone along the motion.
    """
    rng = np.random.default_rng(8)
    setup = on_seats(lower(vehicle_from(raw_with_all())), seats)
    own = wheeled(setup, driving(climb_rad=0.25))
    equations = DrivenEquations(own, table_of(random_road(rng), setup))
    mass = np.array([own.setup.body.mass, *(a.mass for a in setup.axles.values())])
    inertia = np.array([own.setup.body.pitch_inertia, *(a.pitch_inertia for a in setup.axles.values())])
    weight = np.array([-own.drive.gravity_backwards, -own.setup.body.gravity])
    step, pressed = 1e-3, 0
    for _ in range(20):
        state = random_state(setup, rng)
        rates = equations.derivative(state, 0.8, (3000.0, 1500.0))
        speed, acceleration = rates.copy(), np.zeros(at.ROWS)
        acceleration[:V] = rates[V : 2 * V]
        along = [
            places(setup, state + k * step * speed + 0.5 * (k * step) ** 2 * acceleration)[0] for k in range(-2, 3)
        ]
        second = (-along[0] + 16 * along[1] - 30 * along[2] + 16 * along[3] - along[4]) / (12 * step**2)
        at_masses, centres = places(setup, state)
        force, moment = mass.sum() * weight, 0.0
        for m, (x, z, _) in zip(mass, at_masses, strict=True):
            moment += z * m * weight[0] - x * m * weight[1]
        grown = inertia @ second[:, 2] + mass @ (at_masses[:, 1] * second[:, 0] - at_masses[:, 0] * second[:, 1])
        for index, name in enumerate(NAMES):
            load, tread, slope, radius = (
                equations.scratch(index, row) for row in (at.LOAD, at.TRACTION, at.ROAD_SLOPE, at.ROLLING_RADIUS)
            )
            pressed += load > 1e3 and abs(tread) > 1e2
            normal = np.array([-slope, 1.0]) / hypot(1.0, slope)
            tangent = np.array([1.0, slope]) / hypot(1.0, slope)
            touching = centres[index] - radius * normal
            for part, place in ((load * np.array([-slope, 1.0]), centres[index]), (tread * tangent, touching)):
                force = force + part
                moment += place[1] * part[0] - place[0] * part[1]
            grown += own.wheels[name].spin_inertia * rates[at.SPIN + index]
        size = mass @ np.abs(second[:, :2])
        assert mass @ second[:, :2] == pytest.approx(force, rel=0, abs=1e-7 * np.max(size))
        assert grown == pytest.approx(moment, rel=0, abs=1e-7 * np.max(size))
    assert pressed >= 20  # of forty axles; the others fly


@pytest.mark.parametrize(
    "driveline",
    [{"drive": "rear"}, {"drive": "both"}, {"drive": "both", "centre": "limited_slip", "centre_torque": "600 N m"}],
    ids=["rear", "both", "clutch between the propshafts"],
)
@SEATS
def test_power_of_the_engine_is_stored_or_lost(driveline, seats):
    """At random states on a hill: engine power = growth of what is stored (written apart from the kernel) + rates of all losses."""
    rng = np.random.default_rng(12)
    raw = raw_with_all()
    raw["driveline"] |= driveline
    setup = on_seats(lower(vehicle_from(raw)), seats)
    own = wheeled(setup, driving(climb_rad=0.25))
    assert bool(own.drive.centre_free) == ("centre" in driveline)
    equations = DrivenEquations(own, table_of(random_road(rng), setup))

    def held(state):
        equations.derivative(state)
        return _held(own, state, tuple(equations.scratch(index, at.ROAD) for index in (0, 1)))

    losses = [*range(at.LOSS_TYRES, at.STATES), *range(at.LOSS_SLIP, at.ROWS)]
    step = 1e-5
    for _ in range(30):
        state = random_state(setup, rng)
        if own.drive.centre_free:  # its clutch wound up either way, holding and slipping
            state[at.CENTRE] = rng.uniform(-2.0, 2.0)
            state[at.CENTRE_GIVE] = rng.uniform(-1.0, 1.0) * own.drive.centre_limit / own.drive.centre_rate
        rates = equations.derivative(state, 0.9, (3000.0, 1500.0))
        assert rates[at.WORK_ENGINE] == pytest.approx(0.9 * own.drive.torque_idle * state[at.ENGINE], rel=1e-12)
        near = [held(state + k * step * rates) for k in (-2, -1, 1, 2)]
        growth = (near[0] - 8 * near[1] + 8 * near[2] - near[3]) / (12 * step)
        powers = [growth, *rates[losses]]
        assert all(rates[row] >= 0.0 for row in (at.LOSS_BRAKES, at.LOSS_SHAFTS, at.LOSS_SHIFT, at.LOSS_WIND_UP))
        assert rates[[at.WORK_ROAD, at.WORK_PUSH]] == pytest.approx(0.0, abs=0.0)
        assert sum(powers) == pytest.approx(rates[at.WORK_ENGINE], rel=0, abs=1e-6 * np.max(np.abs(powers)))


def test_wheels_turn_their_housing_by_what_the_road_asks_of_them():
    """Moment on the housing = -(traction x rolling radius + spin inertia x acceleration), whatever brakes and shafts do.

    Steady, the spin keeps up with the road and the moment is traction x rolling radius alone.
    """
    rng = np.random.default_rng(3)
    for driven in MODES:
        truck, state = random_case(("leaf", "links"), driven, rng)
        equations = as_lowered(truck, state)
        rates = equations.derivative(as_state(state), state["throttle"], (2000.0, 3000.0))
        for index, name in enumerate(NAMES):
            moment, tread, radius = (equations.scratch(index, r) for r in (at.MOMENT, at.TRACTION, at.ROLLING_RADIUS))
            wanted = -(tread * radius + truck[name]["spin_inertia"] * rates[at.SPIN + index])
            assert moment == pytest.approx(wanted, rel=1e-9, abs=1e-9 * abs(tread * radius))
    setup = lower(vehicle_from(raw_truck()))
    own = wheeled(setup, driving(in_gear=False, pulling=True, speed_m_per_s=5.0))
    table = LEVEL
    own = replace(own, driving=replace(own.driving, pedal=0.2))
    trace = driven_trace(own, table, start_of(own, rest(setup), table), 6.0, 1e-3, 4)
    first = at.TRACE_LINES + len(setup.lines) * at.LINE_CHANNELS + at.DRIVEN_AXLE
    for index in (0, 1):
        tread, _, brake, radius = trace[-1, first + index * at.DRIVEN_AXLE_CHANNELS :][:4]
        assert brake > 300.0
        assert brake == pytest.approx(-tread * radius, rel=1e-6)


@pytest.mark.parametrize("kinds", [("arm", "leaf"), ("links", "straight")])
def test_a_damper_whose_line_meets_the_axle_does_not_turn_it(kinds):
    """Its line through where the guide holds the axle, wherever its eyes are: no moment on the housing. Past that: force x distance."""
    rng = np.random.default_rng(17)
    for _ in range(10):
        truck, state = random_case(kinds, ("rear",), rng)
        moments = {}
        for miss in (None, 0.0, 0.05):
            for name in NAMES:
                axle, now = truck[name], state[name]
                place, _, _, turn, *_ = guide_values(axle["guide"], axle["p0"], axle["h0"], now["q"])
                turn += now["w"]
                a, b = 0.08, -0.05
                eye = np.array([a * np.cos(turn) + b * np.sin(turn), b * np.cos(turn) - a * np.sin(turn)])
                along = eye / np.linalg.norm(eye)
                body = np.array([place + now["s"], axle["h0"] + now["q"]]) - 0.6 * along
                # Both eyes shifted across the line by the same distance: the line then passes the centre at it.
                across = (miss or 0.0) * np.array([-along[1], along[0]])
                body, eye = body + across, eye + across
                a, b = eye[0] * np.cos(turn) - eye[1] * np.sin(turn), eye[1] * np.cos(turn) + eye[0] * np.sin(turn)
                count = 0 if miss is None else 2
                axle["kinds"] = [at.DAMPER]
                axle["lines"] = [(count, *body, a, b + axle["seat"], 0.0, 0, 0, 3000.0, 300.0, 0, 0.5, 0, 0, 0)]
            equations = as_lowered(truck, state)
            equations.derivative(as_state(state))
            moments[miss] = [equations.scratch(index, at.FORCE_WIND_UP) for index in (0, 1)]
            forces = equations.out[0, at.TRACE_LINES :][[at.LINE_FORCE, at.LINE_CHANNELS + at.LINE_FORCE]]
        assert moments[0.0] == pytest.approx(moments[None], rel=1e-10, abs=1e-7)
        # Pushed along the line, which passes the centre at a distance on its left: nose down is positive.
        turned = np.subtract(moments[0.05], moments[None])
        assert turned == pytest.approx(2 * 0.05 * forces, rel=1e-9)


def test_a_locked_wheel_slides_at_the_end_of_its_curve():
    """Slip -1 is kept by a wheel that stands, +1 by one that spins on the spot, and the force is the surface's sliding friction."""
    rng = np.random.default_rng(21)
    setup = lower(vehicle_from(raw_truck()))
    equations = DrivenEquations(wheeled(setup, driving()), LEVEL)
    for sense in (-1.0, 1.0):
        state = np.zeros(at.ROWS)
        state[: at.STATES] = rest(setup).state
        state[V + at.X] = rng.uniform(2, 20) if sense < 0.0 else 0.0
        state[at.SPIN : at.SPIN + 2] = rng.uniform(5, 50) if sense > 0.0 else 0.0
        state[at.SLIP : at.SLIP + 2] = sense
        rates = equations.derivative(state)
        for index in (0, 1):
            assert abs(rates[at.SLIP + index]) < 1e-9
            wanted = sense * FIRM.sliding * equations.scratch(index, at.LOAD)
            assert equations.scratch(index, at.TRACTION) == pytest.approx(wanted, rel=1e-9)


def test_locked_wheels_stop_the_truck_by_sliding_friction():
    """Braked far past the peak: every wheel locks, and the truck loses speed at sliding friction x gravity."""
    raw = raw_truck()
    for name in NAMES:
        raw[name]["brakes"]["torque"] = "20 kN m"
    ask = {"kind": "brake", "surface": FIRM.model_dump(), "speed": "20 m/s", "watch": "4 s"}
    ask["surface"]["peak_at"] = str(FIRM.peak_at)
    run = simulate(vehicle_from(raw), Brake.model_validate(ask))
    drive = run.drive
    # After the swing of the first bite has died out, before the last metres, in which the falling curve makes it judder.
    speed = drive.speed_m_per_s
    sliding = (speed > 6.0) & (speed < 11.0)
    assert np.count_nonzero(sliding) > 700
    for wheel, axle in ((drive.front, run.front), (drive.rear, run.rear)):
        assert np.max(np.abs(wheel.spin_rad_per_s[sliding])) < 0.5  # with its housing, which still winds up a little
        assert wheel.traction_n[sliding] == pytest.approx(-FIRM.sliding * axle.tyre_load_n[sliding], rel=2e-3)
    lost = np.polyfit(1e-3 * np.arange(speed.size)[sliding], speed[sliding], 1)[0]
    assert lost == pytest.approx(-FIRM.sliding * GRAVITY, rel=2e-3)


def test_a_wheel_off_the_ground_spins_free():
    """No traction, the unloaded radius, and shafts and brakes alone turn it."""
    setup = lower(vehicle_from(raw_truck()))
    own = wheeled(setup, driving())
    equations = DrivenEquations(own, LEVEL)
    rng = np.random.default_rng(2)
    state = random_state(setup, rng)
    state[at.Z] += 1.0
    rates = equations.derivative(state, 0.5, (1000.0, 1000.0))
    for index, name in enumerate(NAMES):
        shaft, brake = (equations.scratch(index, row) for row in (at.AXLE_TORQUE, at.BRAKE_TORQUE))
        assert equations.scratch(index, at.LOAD) == 0.0
        assert equations.scratch(index, at.TRACTION) == 0.0
        assert equations.scratch(index, at.ROLLING_RADIUS) == setup.axles[name].tyre_radius
        assert rates[at.SPIN + index] * own.wheels[name].spin_inertia == pytest.approx(shaft - brake, rel=1e-12)


def test_past_its_ends_the_road_stays_as_it_was():
    setup = lower(vehicle_from(raw_truck()))
    heights = np.linspace(0.0, 0.04, 9) * np.ones((2, 1))
    rises = np.full((2, 9), ROAD_STEP_M)
    rises[:, [0, -1]] = 0.0
    equations = DrivenEquations(wheeled(setup, driving()), Table(cubics(heights, rises), np.full(2, float(BEFORE))))
    state = np.zeros(at.ROWS)
    state[: at.STATES] = rest(setup).state
    for x, height in ((-50.0, 0.0), (50.0, 0.04)):
        state[at.X] = x
        equations.derivative(state)
        assert [equations.scratch(index, at.ROAD) for index in (0, 1)] == pytest.approx([height] * 2, abs=1e-15)
        assert [equations.scratch(index, at.ROAD_SLOPE) for index in (0, 1)] == pytest.approx([0.0] * 2, abs=1e-12)
