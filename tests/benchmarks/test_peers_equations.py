"""What other integrators are given is what our own run integrates: no benchmark, so that a change of the kernel's text is seen at once."""

import numpy as np
import pytest

from sim.kernel import layout as at
from tests.benchmarks.peers import given_to, interpreted
from tests.benchmarks.test_speed import prepared, right_hand_side

pytestmark = pytest.mark.long  # whole commands and studies, over and over: seconds each


@pytest.mark.hours  # a course without a compiler
def test_interpreted_equations_are_the_compiled_ones():
    """To rounding, on the way over the bumps of the road."""
    setup, start, given = prepared()
    fixed, plain = given_to(setup, given), interpreted(setup, given)
    rng = np.random.default_rng(3)
    for time in (0.0, 1.9634, 3.3331, 6.2507):
        state = start + 0.01 * rng.standard_normal(at.STATES) * (np.arange(at.STATES) < at.MOTION)
        compiled = right_hand_side(time, state, *fixed)
        assert np.allclose(plain(time, state), compiled, rtol=1e-9, atol=1e-9 * np.max(np.abs(compiled)))
        assert np.max(np.abs(compiled[at.COORDINATES : 2 * at.COORDINATES])) > 1.0
