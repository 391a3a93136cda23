"""Axles that give along the truck, as bodies of their own, against the elimination that every other truck takes: same rates, to rounding.

Both come from different equations of docs/equations.md, (2.9) to (2.12) and (2.3) to (2.8), and each is held against Kane's by
itself (tests/derivation).
"""

from dataclasses import replace

import numpy as np
import pytest

from sim.describe.files.vehicles import vehicle_from
from sim.kernel import giving, integrate
from sim.kernel import layout as at
from sim.lower.lowering import lower
from sim.lower.packed import pack
from sim.lower.road.samples import BEFORE, lifted
from tests.benchmarks.plain import copied
from tests.kernel.test_invariants import raw_truck

BY_ELIMINATION = copied(integrate._derivative, {"all_give": lambda m, lanes: False}, lambda function: function, {})
AS_BODIES = copied(integrate._derivative, {"all_give": lambda m, lanes: True}, lambda function: function, {})


def rates(function, setup, state, free):
    """Every rate at a state, and the force that holds the speed."""
    packed = pack([setup], 1)
    packed.memory[: at.STATES] = state
    packed.memory[at.BODY + at.BODY_AT.free_to_roll] = free
    packed.memory[at.BODY + at.BODY_AT.keeper_gain] = 900.0 * free
    function(
        packed.memory, packed.lines, packed.lines_front, packed.knots, packed.first_group,
        lifted(np.array([0.01, 0.02]), np.array([0.1, -0.2])), float(BEFORE), 2.0, 300.0, 500.0, np.zeros(0), np.zeros(len(packed.lines)),
    )  # fmt: skip
    return np.r_[packed.memory[at.RATE : at.RATE + at.STATES], packed.memory[at.DRIVER]]


def truck_that_gives(seat=0.0):
    setup = lower(vehicle_from(raw_truck()))
    gives = {
        "shift_free": 1.0,
        "wind_up_free": 1.0,
        "shift_rate": 3e6,
        "shift_damping": 4e3,
        "gravity_forward": 0.03,
        "gravity_up": 0.05,
        "seat_above": seat,
    }
    return replace(setup, axles={name: axle._replace(**gives) for name, axle in setup.axles.items()})


@pytest.mark.parametrize("seat", [0.0, 0.08])
@pytest.mark.parametrize("free", [0.0, 1.0])
def test_both_ways_are_the_same(free, seat):
    setup = truck_that_gives(seat)
    rng = np.random.default_rng(11)
    for _ in range(10):
        state = rng.uniform(-0.05, 0.05, at.STATES)
        state[at.COORDINATES : at.FRICTION] *= 30.0
        state[at.Z] += setup.height
        one, other = (rates(function, setup, state, free) for function in (BY_ELIMINATION, AS_BODIES))
        assert np.all(np.isfinite(one))
        assert other == pytest.approx(one, rel=1e-9, abs=1e-9 * np.max(np.abs(one[: at.MOTION])))


def test_who_takes_which_way():
    setup = truck_that_gives()
    held = setup.axles | {"rear": setup.axles["rear"]._replace(shift_free=0.0)}
    assert giving.all_give.py_func(pack([setup], 1).memory, 1)
    assert not giving.all_give.py_func(pack([replace(setup, axles=held)], 1).memory, 1)
