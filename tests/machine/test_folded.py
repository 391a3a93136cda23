"""What is put into the kernel's text before it is compiled changes nothing that it says."""

import dis
from collections import Counter

import numba
import numpy as np
import pytest

from sim.describe.files.vehicles import vehicle_from
from sim.kernel import integrate
from sim.kernel import layout as at
from sim.kernel.integrate import derivative
from sim.lower.lowering import lower
from sim.lower.packed import pack
from sim.machine.folded import folded
from sim.machine.jit import blocked
from tests.benchmarks.plain import copied
from tests.kernel.test_invariants import raw_truck


@blocked
def scaled(m, row, lanes, twice):
    """Return a row's sum, doubled if asked."""
    total = 0.0
    for lane in range(lanes):
        total += m[row * lanes + lane]
    factor = 1.0
    if twice and lanes < 4:
        factor = 2.0
    return total * factor


def asked(m, row):
    """Call it with constants, with an argument, and in a condition that is never met."""
    if at.AXLES > 5 or not at.ROWS:
        return scaled(m, row, 3, False)
    first = scaled(m, at.PITCH, 1, True) + scaled(m, at.Z, 1, True)
    return first + scaled(m, row, 2, False) + (1.0 if at.FRONT == 0 else m[10_000])


def test_folded_text_says_the_same():
    m = np.arange(10.0)
    made = folded(asked)
    assert numba.njit(made)(m, 3) == asked(m, 3) == 2.0 * (m[2] + m[1]) + m[6] + m[7] + 1.0
    copies = [value.py_func for name, value in made.__globals__.items() if name.startswith("scaled_")]
    found = {copy.__code__.co_varnames[: copy.__code__.co_argcount]: copy for copy in copies}
    assert len(copies) == 2  # a single lane's rows share one, to which they are given
    names = {
        parameters: {instruction.opname for instruction in dis.get_instructions(copy)}
        for parameters, copy in found.items()
    }
    assert "FOR_ITER" not in names["m", "row", "twice"]  # one lane: no loop
    assert not any("POP_JUMP" in name for name in names["m", "row"])  # and of a block no branch that is known


def test_a_single_run_has_one_text_of_each_function():
    """Whichever axle and whatever a line or stage leaves out: else the first run takes twice as long."""
    made = folded(integrate.run_single.py_func)
    seen, waiting = Counter(), [made]
    while waiting:
        for name, value in waiting.pop().__globals__.items():
            if hasattr(value, "py_func") and name.rsplit("_", 1)[-1].isdigit() and value not in seen:
                seen[value] += 1
                waiting.append(value.py_func)
    words = Counter(value.py_func.__name__ for value in seen)
    assert words["all_lines"] == words["axle_block"] == words["guide"] == words["sine"] == 1
    assert set(words.values()) == {1}


@pytest.mark.parametrize("free", [0.0, 1.0])
def test_compiled_equations_are_those_of_the_text(free):
    """The kernel's own text, run by plain Python as it is written, against what was folded and compiled."""
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
                np.array([0.01, 0.02]), np.array([0.1, -0.2]), 50.0, np.zeros(0), np.zeros(len(packed.lines)),
            )  # fmt: skip
            found.append(packed.memory[at.RATE : at.RATE + at.STATES])
        assert found[0] == pytest.approx(found[1], rel=1e-11, abs=1e-10)
