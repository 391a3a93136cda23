"""The kernel's own curves against NumPy's, within the errors that they state."""

import numpy as np
import pytest

from sim.kernel import layout as at
from sim.kernel.curves import cosine, decay, sine
from sim.kernel.forces import contact, tyre


def test_sine_and_cosine_keep_their_bound():
    angles = np.linspace(-0.8, 0.8, 4001)
    assert max(abs(sine(a) - np.sin(a)) for a in angles) < 1e-12
    assert max(abs(cosine(a) - np.cos(a)) for a in angles) < 1e-12
    assert at.PITCH_LIMIT < 0.8


def test_decay_keeps_its_bound_and_its_limits():
    ratios = np.geomspace(1e-3, 1e4, 4000)
    assert max(abs(decay(r) - np.exp(-1.0 / r)) for r in ratios) < 0.0115
    assert decay(0.0) == 0.0
    assert decay(100.0) == pytest.approx(np.exp(-0.01), abs=1e-12)


def test_contacts_never_pull_and_are_continuous():
    assert contact(-0.01, 5.0, 1e5, 1e7, 0.2) == (0.0, 0.0)
    assert contact(0.01, -50.0, 1e5, 1e7, 0.2)[0] == 0.0
    assert contact(1e-9, 3.0, 1e5, 1e7, 0.2)[0] == pytest.approx(0.0, abs=1e-3)
    assert tyre(-0.01, 9.0, 3e5, 0.0, 300.0) == (0.0, 0.0)
    assert tyre(1e-9, 9.0, 3e5, 0.0, 300.0)[0] == pytest.approx(0.0, abs=1e-2)
    assert tyre(0.02, 0.1, 3e5, 1e6, 300.0)[0] == pytest.approx(0.02 * 3e5 + 0.0004 * 1e6 + 30.0)
