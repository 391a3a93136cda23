"""The linear view against published cars, closed forms, and the non-linear model's own small decays."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import least_squares

import sim
from sim.kernel.layout import Knot
from sim.linear.modes import (
    IN_WORDS,
    OF_BODY,
    end_that_moves,
    equivalent_damping,
    in_words,
    modes,
    state_matrix,
    straightened,
)
from sim.lower.lowering import lower
from sim.lower.rest import rest
from tests.published.test_quarter_car import two_alike
from tests.published.textbook import car, decay, winding


def test_rao_and_the_four_degree_exercise():
    """S. S. Rao, Mechanical Vibrations, ch. 5, and a public course exercise (see tests/published)."""
    found = modes(lower(car(1000.0, 810.0, 1.0, 1.5, 18e3, 22e3)))[:2]
    assert [2 * np.pi * m.frequency_hz for m in found] == pytest.approx([5.85929, 9.43409], rel=2e-6)
    # x/theta = -2.64611 and +0.30611: the centre is that far behind, and ahead of, the centre of gravity at 1.0 m.
    assert [m.centre_behind_front_axle_m for m in found] == pytest.approx([3.64611, 0.69389], abs=1e-4)
    vehicle = car(1200.0, 1800.0, 1.0, 1.1, 32e3, 36e3, unsprung=(60.0, 60.0), tyre_rates=(300e3, 300e3))
    found = modes(lower(vehicle))
    frequencies = [2 * np.pi * m.frequency_hz for m in found]
    assert frequencies == pytest.approx([6.02688, 7.22125, 74.41532, 74.87234], rel=2e-6)
    assert {m.name for m in found[2:]} == {"front hop", "rear hop"}
    assert {m.name for m in found[:2]} == {"bounce", "pitch"}


@pytest.mark.parametrize(
    ("damping", "body", "hop"),
    [
        (750.0, (1.25830, 0.12045), (10.8973, 0.12398)),
        (1500.0, (1.27202, 0.24295), (10.7797, 0.25011)),
        (3000.0, (1.33862, 0.50542), (10.2434, 0.52070)),
    ],
)
def test_barton_and_fieldhouse_damped(damping, body, hop):
    """Data of Barton and Fieldhouse (2018), 3.13, with a damper; recomputed 2 x 2 problem: |w|/2 pi and zeta."""
    pairs = [(m.frequency_hz, m.damping_ratio) for m in modes(lower(two_alike(damping)))]
    assert pairs.count(min(pairs, key=lambda p: abs(p[0] - body[0]) + abs(p[1] - body[1]))) >= 1
    for wanted in (body, hop):
        nearest = min(pairs, key=lambda p: abs(p[0] - wanted[0]))
        assert nearest == pytest.approx(wanted, rel=1e-4)


def test_equivalent_damping():
    """Straight gives itself; Coulomb 4F/(pi V) (published-values, section 7: X=25 mm, 2 Hz, 200 N: 810.569 N s/m)."""
    straight = (Knot(1.0, 0.0, 1500.0), Knot(-1.0, 0.0, 1500.0))
    assert equivalent_damping(straight, 0.3) == pytest.approx(1500.0)
    steep = tuple(Knot(s, start, k) for s in (1.0, -1.0) for start, k in ((0.0, 2e8), (1e-6, -2e8)))
    assert equivalent_damping(steep, 0.314159) == pytest.approx(810.569, rel=1e-4)


def test_demo_modes_are_those_of_a_small_release():
    """The slowest modes of the demo truck, straightened, against a fit of its own non-linear free decay."""
    scenario = sim.load("scenarios/push_on_the_bumper.yaml")
    law = {"kind": "straight", "compression": "900 N s/m", "rebound": "900 N s/m"}
    vehicle = scenario.vehicle.changed(
        {
            "front.dampers.main.valving": law, "rear.dampers.main.valving": law, "rear.springs.pack.friction": "none",
            "front.dampers.main.seal_friction": "none", "rear.dampers.main.seal_friction": "none",
        }
    )  # fmt: skip
    setup = lower(vehicle)
    rolling = replace(setup, body=setup.body._replace(free_to_roll=1.0))  # as in a release
    found = [m for m in modes(rolling) if m.name in ("bounce", "pitch")]
    assert len(found) == 2
    run = decay(vehicle, body_up="0.4 mm", nose_up="0.0004 rad", watch="5 s")
    late = run.time_s > 0.4
    time = run.time_s[late]
    signals = np.array([run.bounce_m[late], run.pitch_nose_up_rad[late]]).T * 1e4

    def misfit(values):
        basis = [np.ones_like(time)]
        for w, z in values.reshape(2, 2):
            wd = w * np.sqrt(1 - z * z)
            basis += [np.exp(-z * w * time) * f(wd * time) for f in (np.cos, np.sin)]
        basis = np.array(basis).T
        return (basis @ np.linalg.lstsq(basis, signals, rcond=None)[0] - signals).ravel()

    start = np.array([[2 * np.pi * m.frequency_hz * 1.02, m.damping_ratio * 0.95] for m in found]).ravel()
    fitted = least_squares(misfit, start, xtol=1e-13, ftol=1e-13, gtol=1e-13).x.reshape(2, 2)
    wanted = [[2 * np.pi * m.frequency_hz, m.damping_ratio] for m in found]
    assert fitted == pytest.approx(np.array(wanted), rel=3e-3)


def test_wind_up_mode_in_the_decoupled_limit():
    """A damper line at distance d from the axle's centre damps wind-up by c d² / (2 sqrt(K I)); derived."""
    stiffness, inertia, damping, d = 30e3, 12.0, 300.0, 0.2
    vehicle = winding(stiffness, inertia, damping, d)
    mode = next(m for m in modes(lower(vehicle)) if m.name == "front wind-up")
    assert 2 * np.pi * mode.frequency_hz == pytest.approx(np.sqrt(stiffness / inertia), rel=1e-3)
    assert mode.damping_ratio == pytest.approx(damping * d * d / (2 * np.sqrt(stiffness * inertia)), rel=1e-2)


def test_free_truck_neither_gains_nor_loses_without_dampers():
    scenario = sim.load("scenarios/two_or_four.yaml")
    bare = scenario.setups["bare springs"].changed({"front.tyre.damping": "0 N s/m", "rear.tyre.damping": "0 N s/m"})
    bare = bare.changed({"front.guide.wind_up.damping": "0 N m s/rad", "rear.guide.wind_up.damping": "0 N m s/rad"})
    bare = bare.changed({"front.fore_and_aft.damping": "0 N s/m", "rear.fore_and_aft.damping": "0 N s/m"})
    linear = straightened(lower(bare))
    matrix, _ = state_matrix(linear, rest(linear))
    assert np.max(np.abs(np.linalg.eigvals(matrix).real)) < 1e-3


def test_shapes_of_barton_and_fieldhouse():
    """Zu/Zs = 0.10418 in bounce and -67.13 in hop (Barton and Fieldhouse 2018, 3.13), both ends alike."""
    found = modes(lower(two_alike()))
    for name, wanted in (("bounce", 0.10418), ("hop", -67.13)):
        mode = next(m for m in found if m.name.endswith(name) and abs(m.shape.pitch) < 1e-6)
        ratio = mode.shape.axle_rise["front"] / mode.shape.bounce
        assert ratio.real == pytest.approx(wanted, rel=1e-3)
        assert abs(ratio.imag) < 1e-6 * abs(ratio)
        assert mode.shape.axle_rise["rear"] == pytest.approx(mode.shape.axle_rise["front"])


def test_an_axle_on_its_fore_and_aft_give_moves_along_the_truck():
    """The frequency of a mass on a spring, sqrt(k/m)/2 pi (any text on vibration), and a shape that moves that axle ahead."""
    vehicle = sim.load("scenarios/why_does_it_pitch.yaml").setups["full load"]
    found = {mode.name: mode for mode in modes(lower(vehicle))}
    setup = lower(vehicle)
    # Rates of the vehicle file; what else holds the axle along the truck, bushes and tyres, gives a little more or less.
    for axle, rate, other in (("front", 3.2e6, "rear"), ("rear", 2.4e6, "front")):
        mode = found[f"{axle} fore-and-aft give"]
        alone = np.sqrt(rate / setup.axles[axle].mass) / (2 * np.pi)
        assert mode.frequency_hz == pytest.approx(alone, rel=0.03)
        shape = mode.shape
        assert shape.axle_ahead[axle] == pytest.approx(1.0)
        others = (shape.axle_ahead[other], *shape.axle_rise.values(), shape.bounce, shape.pitch * vehicle.wheelbase)
        assert max(map(abs, others)) < 0.3


def test_a_body_whose_ends_are_independent_is_said_to_move_by_its_ends():
    """With a pitch inertia of mass times both distances each end swings by itself, about the other axle (any vehicle text, "double
    conjugate points", e.g. T. D. Gillespie, Fundamentals of Vehicle Dynamics, bounce and pitch; from memory)."""
    vehicle = car(1000.0, 1000.0 * 1.0 * 1.5, 1.0, 1.5, 18e3, 22e3)
    own = [mode for mode in modes(lower(vehicle)) if mode.name in OF_BODY]
    ends = {end_that_moves(mode, 2.5): mode for mode in own}
    assert set(ends) == {"front", "rear"}
    assert ends["front"].centre_behind_front_axle_m == pytest.approx(2.5, abs=1e-3)
    assert ends["rear"].centre_behind_front_axle_m == pytest.approx(0.0, abs=1e-3)
    # Each end is a spring under the mass that stands on it: 600 kg and 400 kg.
    assert (2.0 * np.pi * ends["front"].frequency_hz) ** 2 == pytest.approx(18e3 / 600.0, rel=1e-3)
    assert (2.0 * np.pi * ends["rear"].frequency_hz) ** 2 == pytest.approx(22e3 / 400.0, rel=1e-3)
    assert {in_words(mode, 2.5) for mode in own} == {IN_WORDS["front end"], IN_WORDS["rear end"]}
    # A body that swings about a point far outside, or between its axles, keeps its name.
    assert end_that_moves(replace(own[0], centre_behind_front_axle_m=-3.0), 2.5) == ""
    assert end_that_moves(replace(own[0], centre_behind_front_axle_m=1.25), 2.5) == ""
