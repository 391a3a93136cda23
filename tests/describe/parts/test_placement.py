"""Static deflections, motion ratios and lean against closed forms, from the kernel's own forces."""

from math import cos, radians, sin

import numpy as np
import pytest

from sim.describe.files.vehicles import vehicle_from
from sim.kernel import layout as at
from sim.lower.lowering import lower
from sim.lower.rest import Equations, rest
from tests.published.textbook import axle, car

DAMPING = 1000.0


def with_damper(guide, body, mount, lean="0 mm", law=None):
    """A car whose front axle has one straight damper, and the vertical damping of that wheel [N s/m]."""
    made = axle(20e3, 0.0, 60.0, 300e3, 0.0, 6000.0)
    made["guide"] = guide
    made["dampers"] = {
        "main": {
            "count": 1,
            "valving": law or {"kind": "straight", "compression": f"{DAMPING} N s/m", "rebound": f"{DAMPING} N s/m"},
            "body": body, "axle": mount, "lean_inward": lean,
        }
    }  # fmt: skip
    vehicle = vehicle_from(
        {
            "kind": "vehicle", "name": "one damper", "wheelbase": "2.6 m",
            "body": {
                "mass": "1200 kg", "pitch_inertia": "1800 kg m^2",
                "centre_of_gravity": {"behind_front_axle": "1.3 m", "above_ground": "1 m"},
            },
            "front": made, "rear": axle(20e3, 2.6, 60.0, 300e3, 0.0, 6000.0),
        }
    )  # fmt: skip
    return vehicle, wheel_force(vehicle, 0.1) / 0.1


def wheel_force(vehicle, speed):
    """Return the generalised force [N] on jounce that a jounce speed adds, at the measured height."""
    setup = lower(vehicle)
    equations = Equations(setup)
    state = np.zeros(at.STATES)
    state[at.Z] = setup.height
    equations.derivative(state)
    still = equations.jounce_force(at.FRONT)
    state[at.COORDINATES + at.JOUNCE] = speed
    equations.derivative(state)
    return still - equations.jounce_force(at.FRONT)


def place(behind, above):
    return {"behind_front_axle": f"{behind!r} m", "above_ground": f"{above!r} m"}


def mount(ahead, above):
    return {"ahead": f"{ahead!r} m", "above": f"{above!r} m"}


STRAIGHT = {"kind": "straight"}


@pytest.mark.parametrize(("angle", "factor"), [(10, 0.96985), (15, 0.93301), (20, 0.88302), (30, 0.75), (45, 0.5)])
def test_lean_costs_the_square_of_the_cosine(angle, factor):
    """Closed form, tabled in published-values section 7; along the truck and seen from behind alike."""
    length = 0.5
    up, aside = length * cos(radians(angle)), length * sin(radians(angle))
    height = axle_centre(300e3)
    _, along = with_damper(STRAIGHT, place(aside, height + up), mount(0.0, 0.0))
    _, across = with_damper(STRAIGHT, place(0.0, height + up), mount(0.0, 0.0), f"{aside!r} m")
    assert along / DAMPING == pytest.approx(factor, abs=1e-5)
    assert across / DAMPING == pytest.approx(factor, abs=1e-5)


def test_a_quadratic_valve_leans_with_the_cube():
    """F = q v² leaned by 30 degrees gives cos³ (closed form, published-values section 7): q from a dense table."""
    q = 3000.0
    rows = [{"speed": f"{v!r} m/s", "force": f"{q * v * v!r} N"} for v in np.linspace(0.02, 0.6, 30).tolist()]
    law = {"kind": "table", "compression": rows, "rebound": rows}
    height = axle_centre(300e3)
    up, aside = 0.5 * cos(radians(30)), 0.5 * sin(radians(30))
    upright, _ = with_damper(STRAIGHT, place(0.0, height + 0.5), mount(0.0, 0.0), law=law)
    leaned, _ = with_damper(STRAIGHT, place(aside, height + up), mount(0.0, 0.0), law=law)
    ratio = wheel_force(leaned, 0.5) / wheel_force(upright, 0.5)
    assert ratio == pytest.approx(cos(radians(30)) ** 3, rel=3e-3)  # the lowered table's bound


def axle_centre(tyre_rate):
    """Height [m] of the axle's centre in `with_damper`: the tyre gives under its share of 1320 kg."""
    return 1.0 + 6000.0 / tyre_rate - (600.0 + 60.0) * 9.80665 / tyre_rate


@pytest.mark.parametrize("offset", [0.2, -0.2])
def test_lever_rule_on_a_radius_arm(offset):
    """Axle and arm turn as one about the pivot 1 m behind: a mount ahead moves more, one behind it less."""
    height = axle_centre(300e3)
    guide = {"kind": "arm", "pivot": place(1.0, height), "wind_up": {"rate": "rigid"}}
    _, damping = with_damper(guide, place(-offset, height + 0.5), mount(offset, 0.0))
    ratio = (1.0 + offset) / 1.0
    assert damping / DAMPING == pytest.approx(ratio**2, rel=1e-6)


def test_static_deflection():
    """d = g/(2 pi f)²: 1.0 Hz is 248.5 mm, 1.5 Hz 110.4 mm (closed form, published-values section 1)."""
    for hertz, deflection in ((1.0, 0.2485), (1.2, 0.1726), (1.5, 0.1104), (2.0, 0.0621)):
        mass = 500.0
        rate = mass * (2 * np.pi * hertz) ** 2
        vehicle = car(2 * mass, 1500.0, 1.2, 1.2, rate, rate)
        spring = next(line for line in lower(vehicle).lines if line.axle == "front").line
        assert spring.length_free - 1.0 == pytest.approx(deflection, rel=1e-3)


def test_an_added_load_sinks_the_springs_by_its_weight_over_their_rate():
    vehicle = car(1000.0, 1500.0, 1.2, 1.2, 25e3, 25e3)
    loaded = vehicle.changed({"loads.box": {"mass": "100 kg", "place": place(1.2, 1.0)}})
    state = rest(lower(loaded)).state
    assert state[[at.JOUNCE, at.JOUNCE + 2]] == pytest.approx([50 * 9.80665 / 25e3] * 2, rel=1e-6)


def test_n_dampers_are_one_of_n_times():
    height = axle_centre(300e3)
    one, single = with_damper(STRAIGHT, place(0.1, height + 0.5), mount(0.0, 0.0))
    three = one.changed({"front.dampers.main.count": 3})
    assert wheel_force(three, 0.1) / 0.1 == pytest.approx(3 * single, rel=1e-12)


def test_mass_of_the_lower_end_is_unsprung():
    height = axle_centre(300e3)
    vehicle, _ = with_damper(STRAIGHT, place(0.1, height + 0.5), mount(0.0, 0.0))
    heavy = vehicle.changed({"front.dampers.main.tube_mass": "3 kg", "front.dampers.main.rod_mass": "1 kg"})
    turned = heavy.changed({"front.dampers.main.tube_end": "up"})
    down, up = lower(heavy), lower(turned)
    assert down.axles["front"].mass - up.axles["front"].mass == pytest.approx(2.0)
    assert up.body.mass - down.body.mass == pytest.approx(2.0)
