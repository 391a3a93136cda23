"""Many set-ups at rest at once: each stands as it does by itself, whatever stands beside it, and is refused where it is by itself."""

import numpy as np
import pytest

import sim
from sim.describe.replaced import with_values
from sim.describe.runs.drop import Drop
from sim.errors import JounceError
from sim.integrate.many.together import together
from sim.integrate.single import prepared
from sim.lower.guard import fastest_rate, fastest_rates
from sim.lower.lanes import in_lanes, newton_in_lanes, rests
from sim.lower.lowering import lower
from sim.lower.rest import TOLERANCE, newton, rest


@pytest.fixture(scope="module")
def truck():
    return sim.load("scenarios/two_or_four.yaml").setups["two front"]


def moved(truck, count, seed=3):
    """Set-ups that stand otherwise: other masses, springs, tyres and places of dampers."""
    rng = np.random.default_rng(seed)
    return [
        with_values(truck, {
            "body.mass": float(1640.0 + 150.0 * a), "front.springs.coil.rate": float(36e3 * (1.0 + 0.2 * b)),
            "rear.tyre.rate": float(260e3 * (1.0 + 0.2 * c)), "front.dampers.main.axle.above": float(0.06 + 0.03 * d),
        })
        for a, b, c, d in rng.uniform(-1.0, 1.0, (count, 4))
    ]  # fmt: skip


def test_they_stand_and_need_the_step_that_each_does_by_itself(truck):
    setups = [lower(one) for one in moved(truck, 5)]
    assert in_lanes(setups, [0] * 5) == [[0, 1, 2, 3, 4]]
    standing = rests(setups)
    for setup, own in zip(setups, standing, strict=True):
        alone = rest(setup)
        # Both are where accelerations are below 1e-9 m/s², of motions at some 2 Hz and more: the place is known to 1e-11 m.
        assert own.state == pytest.approx(alone.state, abs=1e-10)
        assert own.tyre_load == pytest.approx(alone.tyre_load, rel=1e-8)
    # So long a step that no bound will do: then it is the largest eigenvalue itself.
    for setup, own, rate in zip(setups, standing, fastest_rates(setups, standing, 1.0), strict=True):
        assert rate == pytest.approx(fastest_rate(setup, own), rel=1e-6)
    for exact, bound in zip(fastest_rates(setups, standing, 1.0), fastest_rates(setups, standing, 1e-3), strict=True):
        assert bound >= exact * (1.0 - 1e-9)


def test_neighbours_do_not_matter(truck):
    run = Drop.model_validate({"kind": "drop", "axle": "front", "height": "100 mm", "watch": "1 s"})
    vehicles = moved(truck, 19)  # more than a block
    whole, few = together(vehicles, run), together(vehicles[14:], run)
    for one, other in zip(whole[14:], few, strict=True):
        assert np.array_equal(one.start, other.start)
        assert np.array_equal(one.standing.state, other.standing.state)
        assert one.standing.tyre_load == other.standing.tyre_load
        assert one.cut == other.cut
    alone = prepared(vehicles[0], run)
    assert whole[0].start == pytest.approx(alone.start, abs=1e-10)
    assert whole[0].cut == alone.cut


def test_what_cannot_start_says_why_and_the_others_start(truck):
    run = sim.load("scenarios/push_on_the_bumper.yaml").run
    good = moved(truck, 2)
    wrong = [
        with_values(truck, {"front.dampers.main.length_extended": 0.4}),  # too short at ride height
        with_values(truck, {"body.centre_of_gravity.behind_front_axle": 4.5}),  # behind the rear axle
        with_values(truck, {"rear.tyre.damping": 1e8}),  # far too stiff
        with_values(truck, {"rear.tyre.rate": 2e4}),  # gives too much
        with_values(truck, {"front.springs.coil.rate": 2e3, "front.springs.coil.free_length": 0.2}),  # stands nowhere
    ]
    outcomes = together([good[0], *wrong, good[1]], run)
    for vehicle, outcome in zip(wrong, outcomes[1:-1], strict=True):
        with pytest.raises(JounceError) as refused:
            prepared(vehicle, run)
        assert str(outcome) == str(refused.value)
    for vehicle, outcome in zip(good, (outcomes[0], outcomes[-1]), strict=True):
        assert outcome.start == pytest.approx(prepared(vehicle, run).start, abs=1e-10)


def test_newton_goes_its_own_way_in_each_lane():
    """Roots of x³ = a, one of which it begins at, and of x² = -1, which has none; lanes and single ones settle alike."""
    wanted = np.array([8.0, 1.0, 0.5, -27.0, 1e-3])
    start = np.array([[1.0, 1.0, 1.0, -1.0, 1.0]])
    values, settled = newton_in_lanes(lambda x: x**3 - wanted, start)
    assert settled.all()
    assert np.abs(values[0] ** 3 - wanted).max() < TOLERANCE
    for lane, one in enumerate(wanted.tolist()):
        assert values[0, lane] == newton(lambda x, one=one: x**3 - one, start[:, lane].copy())[0]
    values, settled = newton_in_lanes(lambda x: x * x + np.array([1.0, -4.0]), np.array([[0.3, 0.3]]))
    assert settled.tolist() == [False, True]
    assert values[0, 1] == pytest.approx(2.0, rel=1e-9)
