"""The simulator's rates over a road that pushes back, against Kane's equations, derived apart from it (driven_car.py).

T. R. Kane, D. A. Levinson, Dynamics: Theory and Applications (1985). Every kind of guide at both ends, random trucks far
from rest on random slopes, held by an ideal driver, by one who keeps the speed, or coasting. The derivation counts from
the ground and has the road as a polynomial; the simulator counts from a frame that moves at the run's speed and has its
samples, whose cubics are exact for one of third degree.
"""

from itertools import product

import numpy as np
import pytest

from sim.kernel import layout as at
from sim.kernel.integrate import derivative
from sim.kernel.layout import AXLE_AT, BODY_AT
from sim.lower.road.samples import BEFORE, cubics
from tests.derivation import driven_car
from tests.derivation.test_against_kernel import KINDS
from tests.derivation.test_driven_against_kernel import as_lowered, as_row, as_state, random_case

SAMPLES = 600
NAMES = ("x", "z", "pitch", *(f"{axle}_{part}" for axle in ("front", "rear") for part in "qws"))


def course_case(kinds, driver, rng):
    """A truck that rolls freely, a state of it, the run's speed, and where its frame is."""
    truck, state = random_case(kinds, (), rng)
    truck |= {"gravity_back": 0.0, "x_free": driver != "ideal"}
    speed, frame = rng.uniform(1.0, 25.0), state["x"] + rng.uniform(-0.2, 0.2)
    state["x_speed"] = speed + rng.uniform(-1, 1) * (driver != "ideal")
    gain = rng.uniform(500, 4e3) * (driver == "keeper")
    truck["driver"] = gain * (speed - state["x_speed"])
    for name in ("front", "rear"):
        state[name]["pedal"] = 0.0
        truck[name]["tyre"] |= {"m0": 1e-12, "m1": 0.0, "b0": 1e-12, "b1": 0.0}  # a tread that holds nothing
    return truck, state, speed, frame, gain


def course_rates(truck, state, speed, frame, gain, rng):
    """The simulator's rates (STATES,), and its memory."""
    packed = as_lowered(truck, state).packed
    m = packed.memory
    m[: at.ROWS] = as_state(state)
    m[at.X] -= frame
    m[at.COORDINATES + at.X] -= speed
    m[at.BODY + BODY_AT.keeper_gain] = gain
    spacing, ahead, roads = rng.uniform(2e-3, 2e-2), SAMPLES / 2 + rng.uniform(0, 1), []
    step = spacing / speed
    for index, name in enumerate(("front", "rear")):
        centre = truck[name]["p0"] + rng.uniform(-0.02, 0.02)
        m[at.AXLE + index * at.AXLE_ROWS + AXLE_AT.centre_forward] = centre
        # The road is near its zero by its own centre; samples are spaced as the truck goes in a step.
        places = frame + centre + spacing * (np.arange(SAMPLES) - ahead)
        road = np.polynomial.Polynomial(truck["road"][name])
        roads.append(cubics(road(places), spacing * road.deriv()(places)))
    derivative(
        m, packed.lines, packed.lines_front, packed.knots, packed.first_group, np.stack(roads), ahead + BEFORE, 1.0 / spacing,
        1.0 / step, 0.0, np.zeros(0), np.zeros(len(packed.lines)),
    )  # fmt: skip
    return m[at.RATE : at.RATE + at.STATES].copy(), m


@pytest.mark.parametrize("kinds", list(product(KINDS, KINDS)), ids="-".join)
def test_rates_are_kanes(kinds):
    """Eighteen random trucks and states a pair of guides (288 in all), six of each driver, to rounding."""
    rng = np.random.default_rng(500 + sum(KINDS.index(k) * 7**i for i, k in enumerate(kinds)))
    for driver in ("ideal", "keeper", "coasting") * 6:
        truck, state, speed, frame, gain = course_case(kinds, driver, rng)
        ours, m = course_rates(truck, state, speed, frame, gain, rng)
        theirs = driven_car.rates(truck, state)
        expected = np.array([theirs["accelerations"][name] for name in NAMES])
        found = np.array([ours[as_row(name)] for name in NAMES])
        assert found == pytest.approx(expected, rel=1e-9, abs=1e-9 * np.max(np.abs(expected)))
        for index, name in enumerate(("front", "rear")):
            load = m[at.SCRATCH + index * at.SCRATCH_ROWS + at.LOAD]
            assert load == pytest.approx(theirs[name]["load"], rel=1e-9)
            assert load > 3e3
        # The force of an ideal driver is a small difference of large ones: forces of the wheels are its measure.
        largest = max(theirs[name]["load"] for name in ("front", "rear"))
        assert m[at.DRIVER] == pytest.approx(theirs["driver"], rel=1e-9, abs=1e-8 * largest)
        assert ours[at.WORK_DRIVER] == pytest.approx(theirs["driver"] * state["x_speed"], rel=1e-9, abs=1e-7 * largest)


def test_a_slope_that_is_left_out_is_seen():
    """Without the road's push back the same comparison fails: it is not too small to matter."""
    rng = np.random.default_rng(3)
    truck, state, speed, frame, gain = course_case(("arm", "leaf"), "coasting", rng)
    flat = {}
    for name in ("front", "rear"):
        # Axles that give would take the push at first; held ones hand it on to the body.
        truck[name]["shifts"] = False
        state[name] |= {"s": 0.0, "s_speed": 0.0}
        place = driven_car.motion_of(truck, state, name)[1][0]
        flat[name] = np.array([np.polynomial.Polynomial(truck["road"][name])(place)])
    ours, _ = course_rates(truck, state, speed, frame, gain, rng)
    theirs = driven_car.rates(truck | {"road": flat}, state)["accelerations"]
    assert abs(ours[as_row("x")] - theirs["x"]) > 1.0
