"""What physics keeps whatever the numbers: mirror images, momentum, energy, stillness, weightless springs."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pint
import pytest
import yaml
from numpy.polynomial.polynomial import polyder, polyval

from sim.describe.files.scenario import load
from sim.describe.files.vehicles import vehicle_from
from sim.describe.runs import Course, Drop, Release
from sim.integrate.given import sampled
from sim.integrate.line_lengths import line_length
from sim.integrate.simulation import simulate
from sim.integrate.single import start_state, traced, with_plan
from sim.kernel import layout as at
from sim.kernel.integrate import derivative
from sim.lower.lowering import lower
from sim.lower.packed import pack
from sim.lower.rest import rest
from sim.lower.road.samples import BEFORE, lifted
from sim.lower.stance import GRAVITY
from tests.published.textbook import car, winding

SCENARIOS = Path(__file__).parents[2] / "scenarios"
METRES = pint.UnitRegistry()


def metres(text):
    return METRES.Quantity(text).to("m").magnitude


def raw_truck():
    return yaml.safe_load((SCENARIOS / "vehicles" / "hut_supply_truck.yaml").read_text(encoding="utf-8"))


def mirrored(part, wheelbase):
    """The same truck with its front where its rear was: places swapped, housings turned round."""
    if not isinstance(part, dict):
        return part
    made = {key: mirrored(value, wheelbase) for key, value in part.items()}
    if "behind_front_axle" in part:
        made["behind_front_axle"] = f"{wheelbase - metres(part['behind_front_axle'])!r} m"
    if "ahead" in part:
        made["ahead"] = f"{-metres(part['ahead'])!r} m"
    if part.get("kind") == "leaf":
        made["fixed_eye"] = "behind" if part.get("fixed_eye", "ahead") == "ahead" else "ahead"
    if "front" in part:
        made["front"], made["rear"] = made["rear"], made["front"]
    return made


def both_ways():
    raw = raw_truck()
    raw["front"]["housing"]["centre_of_gravity"] = {"ahead": "30 mm", "above": "-20 mm"}
    return vehicle_from(raw), vehicle_from(mirrored(raw, metres(raw["wheelbase"])))


def as_mirror_image(trace):
    """The trace that the mirrored truck should write: front and rear swapped, rotations reversed."""
    swapped = trace.copy()
    for block in (at.TRACE_STATE, at.TRACE_STATE + at.COORDINATES, at.TRACE_RATE):
        for row, other, sense in (
            (at.X, at.X, -1), (at.PITCH, at.PITCH, -1),
            (at.JOUNCE, at.JOUNCE + 2, 1), (at.WIND_UP, at.WIND_UP + 2, -1), (at.SHIFT, at.SHIFT + 1, -1),
        ):  # fmt: skip
            swapped[:, block + row] = sense * trace[:, block + other]
            swapped[:, block + other] = sense * trace[:, block + row]
    for first, sense in (
        (at.FRICTION, 1),
        (at.TRACE_TYRE, 1),
        (at.TRACE_STOP, 1),
        (at.TRACE_ROAD, 1),
        (at.TRACE_SLOPE, -1),
    ):
        swapped[:, [first, first + 1]] = sense * trace[:, [first + 1, first]]
    swapped[:, at.TRACE_DRIVER] *= -1
    return swapped[:, : at.TRACE_LINES]


def test_mirror_image_over_the_hut_track():
    """The truck turned round, its axles given each other's road: every motion is the mirror image, to rounding."""
    run = load(SCENARIOS / "two_or_four.yaml").run
    truck, image = both_ways()
    plan = run.plan(lower(truck))
    # Turned round, it would have to drive backwards to meet the same road; one that only lifts knows no direction.
    given = replace(sampled(truck, plan, 1e-3, 1), speed_m_per_s=0.0)
    swapped = replace(given, road=given.road[::-1].copy())
    traces = []
    for vehicle, roads in ((truck, given), (image, swapped)):
        setup = with_plan(lower(vehicle), plan)
        traces.append(traced(pack([setup], 1), rest(setup).state.copy(), roads)[:4000])
    for column in range(at.TRACE_LINES):
        wanted = as_mirror_image(traces[0])[:, column]
        assert traces[1][:, column] == pytest.approx(wanted, rel=1e-6, abs=1e-7 * max(1e-3, np.max(np.abs(wanted))))


def test_mirror_image_of_a_release():
    """Rolling free, let go nose up and wound up, against the same tail up and wound up."""
    truck, image = both_ways()
    one = simulate(
        truck,
        Release.model_validate({"kind": "release", "nose_up": "3 deg", "pinion_up_rear": "4 deg", "watch": "2 s"}),
    )
    other = simulate(
        image,
        Release.model_validate({"kind": "release", "nose_up": "-3 deg", "pinion_up_front": "4 deg", "watch": "2 s"}),
    )
    assert other.bounce_m == pytest.approx(one.bounce_m, rel=0, abs=1e-9)
    assert other.pitch_nose_up_rad == pytest.approx(-one.pitch_nose_up_rad, rel=0, abs=1e-9)
    assert other.front.jounce_m == pytest.approx(one.rear.jounce_m, rel=0, abs=1e-9)
    assert other.front.wind_up_rad == pytest.approx(one.rear.wind_up_rad, rel=0, abs=1e-9)
    assert np.max(np.abs(one.rear.wind_up_rad)) > 0.05


def test_a_flat_road_moves_nothing():
    """Zero road, zero motion: five seconds at speed with every part aboard, to rounding."""
    flat = {
        "kind": "course",
        "speed": "60 km/h",
        "course": {"kind": "course", "name": "flat", "items": [{"kind": "flat", "length": "90 m"}]},
    }
    run = simulate(vehicle_from(raw_truck()), Course.model_validate(flat))
    for axle in (run.front, run.rear):
        assert np.ptp(axle.jounce_m) < 1e-11
        assert np.ptp(axle.tyre_load_n) < 1e-5
    assert np.ptp(run.bounce_m) < 1e-11
    assert np.ptp(run.pitch_nose_up_rad) < 1e-11


def conservative():
    """The truck with every dissipator taken off."""
    raw = raw_truck()
    for name in ("front", "rear"):
        del raw[name]["dampers"]
        raw[name]["tyre"]["damping"] = "0 N s/m"
        raw[name]["guide"]["wind_up"]["damping"] = "0 N m s/rad"
        raw[name]["fore_and_aft"]["damping"] = "0 N s/m"
        raw[name]["stop"]["loss"] = 0.0
        raw[name]["strap"]["loss"] = 0.0
    raw["rear"]["springs"]["pack"]["friction"] = "0 N"
    raw["front"]["springs"]["coil"]["held_both_ways"] = True
    return vehicle_from(raw)


def momenta(setup, state):
    """Momentum forward and up, and angular momentum (nose down) about the ground frame's origin, from velocities of the
    three centres of mass alone."""

    def places(q):
        found = [(q[0], q[1], q[2])]
        for index, name in enumerate(("front", "rear")):
            axle, path = setup.axles[name], setup.paths[name]
            jounce, wind_up = q[3 + 2 * index], q[4 + 2 * index]
            place, turn = map(float, path.at(jounce))
            turn += wind_up
            f = place + q[at.SHIFT + index] + axle.gravity_forward * np.cos(turn) + axle.gravity_up * np.sin(turn)
            u = axle.seat_up + jounce + axle.gravity_up * np.cos(turn) - axle.gravity_forward * np.sin(turn)
            s, c = np.sin(q[2]), np.cos(q[2])
            found.append((q[0] + f * c + u * s, q[1] - f * s + u * c, q[2] + turn))
        return np.array(found)

    q, v = state[: at.COORDINATES], state[at.COORDINATES : 2 * at.COORDINATES]
    now, nudge = places(q), 1e-5
    # Fourth-order central difference along the motion.
    speed = (
        8 * (places(q + nudge * v) - places(q - nudge * v)) - (places(q + 2 * nudge * v) - places(q - 2 * nudge * v))
    ) / (12 * nudge)
    mass = np.array([setup.body.mass, *(a.mass for a in setup.axles.values())])
    inertia = np.array([setup.body.pitch_inertia, *(a.pitch_inertia for a in setup.axles.values())])
    spin = inertia * speed[:, 2] + mass * (now[:, 1] * speed[:, 0] - now[:, 0] * speed[:, 1])
    return np.array([mass @ speed[:, 0], mass @ speed[:, 1], spin.sum(), mass.sum(), mass @ now[:, 0]])


def free_motion(run):
    vehicle = conservative()
    setup = lower(vehicle)
    plan = run.plan(setup)
    setup = with_plan(setup, plan)
    given = sampled(vehicle, plan, 1e-3, 2)
    start = start_state(setup, plan, rest(setup))
    return setup, traced(pack([setup], 1), start, given)


def test_forward_momentum_is_kept():
    """On level ground tyre loads are vertical: a truck let go from a tilt, rolling free, keeps the whole of its momentum forward."""
    setup, trace = free_motion(
        Release.model_validate({"kind": "release", "nose_up": "4 deg", "pinion_up_rear": "8 deg", "watch": "3 s"})
    )
    forward = np.array([momenta(setup, row)[0] for row in trace[::20]])
    body = setup.body.mass * np.max(np.abs(trace[:, at.COORDINATES + at.X]))
    assert body > 50.0  # the parts do swing to and fro
    assert np.max(np.abs(forward)) < 1e-5 * body


def test_momentum_in_flight():
    """Dropped 1 m with its springs flying open: momentum up grows by weight alone, spin about the whole's own centre stays."""
    setup, trace = free_motion(Drop.model_validate({"kind": "drop", "height": "1 m", "watch": "0.35 s"}))
    assert np.all(trace[20:, at.TRACE_TYRE : at.TRACE_TYRE + 2] == 0.0)
    flying = range(20, len(trace), 10)
    time = 1e-3 * np.arange(len(trace))
    found = np.array([momenta(setup, trace[i]) for i in flying])
    mass = found[0, 3]
    up = found[:, 1] + mass * GRAVITY * time[flying]
    assert up == pytest.approx(np.full(len(up), up[0]), rel=0, abs=1e-6 * mass)
    # About the origin, weight turns the whole by its place: d(spin)/dt = + M g x.
    grown = found[:, 2] - found[0, 2]
    turned = GRAVITY * found[0, 4] * (time[flying] - time[20])
    assert grown == pytest.approx(turned, rel=0, abs=1e-6 * mass)
    assert np.ptp(trace[20:, at.JOUNCE]) > 0.02  # springs do fly open


def test_energy_is_kept_without_dissipators():
    run = simulate(conservative(), Release.model_validate({"kind": "release", "body_up": "60 mm", "watch": "5 s"}))
    assert max(abs(loss) for loss in run.energy.dissipated_j.values()) < 1e-9
    assert run.energy.residual_share < 1e-5


@pytest.mark.parametrize("share", [1e-2, 1e-3])
def test_weightless_springs_are_at_their_free_length(share):
    """With weight taken away, springs and tyres go to their free length in proportion."""
    truck = car(1200.0, 1800.0, 1.05, 1.05, 34e3, 34e3, unsprung=(60.0, 60.0), tyre_rates=(3e5, 3e5))
    setup = lower(truck, gravity=share * GRAVITY)
    standing = rest(setup)
    for index, name in enumerate(("front", "rear")):
        line = next(n for n in setup.lines if n.axle == name)
        length = line_length(setup, line, float(standing.state[at.JOUNCE + 2 * index]), 0.0)
        wanted = share * 600.0 * GRAVITY / line.line.rate
        assert line.line.length_free - length == pytest.approx(wanted, rel=1e-6)
        assert standing.tyre_load[index] == pytest.approx(share * GRAVITY * (600.0 + 60.0), rel=1e-6)


def test_wind_up_release_decays_as_its_damper_line_says():
    """zeta = c d² / (2 sqrt(K I)) from the log decrement of a release; derived, in the limit of a heavy, held axle."""
    stiffness, inertia, damping, d = 30e3, 12.0, 300.0, 0.2
    truck = winding(stiffness, inertia, damping, d)
    run = simulate(truck, Release.model_validate({"kind": "release", "pinion_up_front": "0.5 deg", "watch": "2 s"}))
    swing = run.front.wind_up_rad - rest(lower(truck)).state[at.WIND_UP]
    peaks = [i for i in range(1, len(swing) - 1) if swing[i - 1] < swing[i] >= swing[i + 1] and swing[i] > 1e-4]
    a, b, c = (swing[[i + k for i in peaks]] for k in (-1, 0, 1))
    tops = b + (a - c) ** 2 / (16 * b - 8 * a - 8 * c)  # parabola through three samples
    decrement = np.log(tops[0] / tops[-1]) / (len(tops) - 1)
    ratio = decrement / np.hypot(2 * np.pi, decrement)
    assert ratio == pytest.approx(damping * d * d / (2 * np.sqrt(stiffness * inertia)), rel=1e-2)
    period = 1e-3 * (peaks[-1] - peaks[0]) / (len(peaks) - 1)
    assert 2 * np.pi / period == pytest.approx(np.sqrt(stiffness / inertia * (1 - ratio**2)), rel=3e-3)


def guide_rows(setup, arcs, jounces=(0.04, -0.03)):
    """What the kernel makes of both guides, as arcs or as polynomials: place, slopes by jounce, sine and cosine (2, 7)."""
    packed = pack([setup], 1)
    if not arcs:
        packed.memory[at.ARC : at.ARC + at.AXLES * at.ARC_ROWS] = 0.0
    state = np.zeros(at.STATES)
    state[[at.JOUNCE, at.JOUNCE + 2]] = jounces
    state[[at.WIND_UP, at.WIND_UP + 2]] = 0.02, -0.05
    packed.memory[: at.STATES] = state
    derivative(
        packed.memory, packed.lines, packed.lines_front, packed.knots, packed.first_group,
        lifted(np.zeros(2)), float(BEFORE), 0.0, 1.0, 0.0, np.zeros(0), np.zeros(len(packed.lines)),
    )  # fmt: skip
    rows = packed.memory[at.SCRATCH : at.SCRATCH + at.AXLES * at.SCRATCH_ROWS].reshape(at.AXLES, -1)
    return rows[:, [at.PLACE, at.PLACE_1, at.PLACE_2, at.TURN_1, at.TURN_2, at.SINE, at.COSINE]]


def test_path_slopes_are_those_of_the_polynomials():
    """The kernel's Horner scheme with derivatives, against NumPy's."""
    setup = lower(vehicle_from(raw_truck()))
    for index, (name, found) in enumerate(zip(("front", "rear"), guide_rows(setup, arcs=False), strict=True)):
        path = setup.paths[name]
        t = ((0.04, -0.03)[index] - path.middle) * path.scale
        wanted = [polyval(t, polyder(path.place, k)) * path.scale**k if k else polyval(t, path.place) for k in range(3)]
        wanted += [polyval(t, polyder(path.turn, k)) * path.scale**k for k in (1, 2)]
        turn = polyval(t, path.turn) + (0.02, -0.05)[index]
        assert found == pytest.approx([*wanted, np.sin(turn), np.cos(turn)], rel=1e-12, abs=1e-12)


@pytest.mark.parametrize("jounces", [(0.04, -0.03), (-0.12, 0.15)])
def test_arcs_are_what_their_polynomials_come_near_to(jounces):
    """Arm and leaf run as exact arcs; the polynomials, fitted to the path that the parts tell, are within 1e-8 of them."""
    setup = lower(vehicle_from(raw_truck()))
    assert all(setup.paths[name].arc.radius_square > 0.0 for name in ("front", "rear"))
    arcs, series = (guide_rows(setup, which, jounces) for which in (True, False))
    assert np.any(arcs != series, axis=1).all()
    for k, allowed in enumerate((1e-8, 1e-6, 1e-4, 1e-6, 1e-4, 1e-8, 1e-8)):
        assert arcs[:, k] == pytest.approx(series[:, k], rel=0, abs=allowed)
    for index, name in enumerate(("front", "rear")):
        path = setup.paths[name]
        place, turn = path.at(jounces[index])
        angle = turn + (0.02, -0.05)[index]
        assert arcs[index, [0, 5, 6]] == pytest.approx([place, np.sin(angle), np.cos(angle)], rel=1e-12, abs=1e-12)
        assert arcs[index, [1, 3]] == pytest.approx(path.slopes(jounces[index]), rel=1e-12, abs=1e-12)
