"""What is compiled is what is written: the kernel's own text, run by plain Python, against its machine code."""

import numpy as np
import pytest

from sim.describe.files.vehicles import vehicle_from
from sim.kernel import integrate
from sim.kernel import layout as at
from sim.kernel.integrate import derivative
from sim.lower.lowering import lower
from sim.lower.packed import pack
from sim.lower.road.samples import BEFORE, lifted
from tests.benchmarks.plain import copied
from tests.kernel.test_invariants import raw_truck


@pytest.mark.parametrize("free", [0.0, 1.0])
def test_compiled_equations_are_those_of_the_text(free):
    setup = lower(vehicle_from(raw_truck()))
    rng = np.random.default_rng(3)
    for _ in range(5):
        found = []
        state = rng.uniform(-0.05, 0.05, at.STATES)
        state[at.Z] += setup.height
        for function in (derivative, copied(integrate._derivative, {}, lambda function: function, {})):
            packed = pack([setup], 1)
            packed.memory[: at.STATES] = state
            packed.memory[at.BODY + at.Body._fields.index("free_to_roll")] = free
            function(
                packed.memory, packed.lines, packed.lines_front, packed.knots, packed.first_group,
                lifted(np.array([0.01, 0.02]), np.array([0.1, -0.2])), float(BEFORE), 2.0, 1.0, 50.0, np.zeros(0), np.zeros(len(packed.lines)),
            )  # fmt: skip
            found.append(packed.memory[at.RATE : at.RATE + at.STATES])
        assert found[0] == pytest.approx(found[1], rel=1e-11, abs=1e-10)
