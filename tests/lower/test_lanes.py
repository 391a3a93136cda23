"""Many set-ups prepared at once: each as by itself, whatever is beside it, and refused where it is by itself."""

import numpy as np
import pytest

import sim
from sim.describe.replaced import with_values
from sim.describe.runs.drop import Drop
from sim.errors import JounceError
from sim.integrate.many.together import together
from sim.integrate.single import prepared
from sim.lower.guard import fastest_rate, fastest_rates
from sim.lower.lanes import in_lanes
from sim.lower.lowering import lower
from sim.lower.rest import rest


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


def test_they_need_the_step_that_each_does_by_itself(truck):
    setups = [lower(one) for one in moved(truck, 5)]
    assert in_lanes(setups) == [[0, 1, 2, 3, 4]]
    standing = [rest(setup) for setup in setups]
    # So long a step that no bound will do: then it is the largest eigenvalue itself.
    exact = fastest_rates(setups, standing, 1.0)
    for setup, own, rate in zip(setups, standing, exact, strict=True):
        assert rate == pytest.approx(fastest_rate(setup, own), rel=1e-6)
    for rate, bound in zip(exact, fastest_rates(setups, standing, 1e-3), strict=True):
        assert bound >= rate * (1.0 - 1e-9)  # no norm of a matrix is less


def test_what_is_not_alike_does_not_share_lanes(truck):
    """The kernel chooses its text for all lanes at once."""
    bushed = with_values(truck, {"front.dampers.main.bush_rate": 5e6})
    setups = [lower(one) for one in (truck, bushed, truck)]
    assert in_lanes(setups) == [[0, 2], [1]]


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
    assert np.array_equal(whole[0].start, alone.start)
    assert whole[0].cut == alone.cut


def test_what_cannot_start_says_why_and_the_others_start(truck):
    run = sim.load("scenarios/push_on_the_bumper.yaml").run
    good = [
        moved(truck, 1)[0],
        with_values(truck, {"rear.tyre.damping": 4e6}),
    ]  # the second needs some dozens of parts a step
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
        alone = prepared(vehicle, run)
        assert np.array_equal(outcome.start, alone.start)
        assert outcome.cut == alone.cut
    assert outcomes[-1].cut > 10
