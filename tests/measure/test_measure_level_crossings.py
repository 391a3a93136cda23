import numpy as np

from sim.measure import tally


def test_level_crossings_of_a_dense_signal(tmp_path):
    """The same counts as sample by sample on the signal itself, by the rule's own words."""
    signal = 0.02 * np.cumsum(np.random.default_rng(5).normal(size=400)) * np.linspace(0.2, 1.0, 400)
    points = tmp_path / "points"
    signal.tofile(points)
    found = tally.level_crossings(points)
    for level in range(-150, 151):
        place = level * tally.CLASS_M
        below = signal < place
        crossed = np.count_nonzero(below[:-1] & ~below[1:]) if level >= 0 else np.count_nonzero(~below[:-1] & below[1:])
        assert found.get(level, 0) == crossed
    assert sum(found.values()) > 300
    assert -150 < min(found) < max(found) < 150
