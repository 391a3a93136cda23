"""Flow balance of valve parts, a thousand speeds at once, beside SciPy's brentq one by one; not part of the tests.

python -m pytest tests/benchmarks/test_valves.py --benchmark-only -n 0
"""

import numpy as np
import pytest
from pydantic import TypeAdapter
from scipy.optimize import brentq

from sim.describe.parts.dampers.laws import Law
from tests.describe.parts.dampers import MONOTUBE

SPEEDS = np.geomspace(1e-3, 3.0, 1000)


@pytest.fixture
def law():
    return TypeAdapter(Law).validate_python(MONOTUBE)


def test_a_thousand_speeds(benchmark, law):
    benchmark(law.force, -SPEEDS)


def test_a_thousand_speeds_by_scipy(benchmark, law):
    def solve():
        flows = law.rods.annulus * SPEEDS
        return [brentq(lambda p, q=q: float(law.piston.flow(p, "rebound", law.fluid)) - q, 0.0, 1e9) for q in flows]

    drops = benchmark.pedantic(solve, rounds=1)
    assert law.force(-SPEEDS) == pytest.approx(-np.array(drops) * law.rods.annulus, rel=1e-6)


def test_lowering(benchmark, law):
    benchmark(lambda: law.at_temperature(313.15).lower())
