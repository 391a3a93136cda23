"""A single course beside integrators from the registry, each at its cheapest setting within 1e-4.

python -m pytest tests/benchmarks/test_peers.py --benchmark-only -n 0 -s

The error is that of peak tyre loads and RMS body acceleration, against our run at an eighth of the step (which itself is
within 1e-6 of DOP853, tests/kernel). Own runs and peers take turns in one process; the best of each counts. The peers are
in the extra `speed` (numbalsoda needs a Fortran compiler); one that is missing is said to be, and the rest go on.
"""

import numpy as np
import pytest

from sim.machine.jit import BLOCK
from tests.benchmarks.peers import PEERS, SLOW
from tests.benchmarks.test_speed import best, figures, figures_of_states, many, one, prepared

TOLERANCES = (1e-2, 3e-3, 1e-3, 3e-4, 1e-4, 3e-5, 1e-5, 3e-6, 1e-6, 3e-7, 1e-7)
ALLOWED = 1e-4
ROUNDS = 3
LIKE = {"SciPy LSODA, interpreted right-hand side": "SciPy LSODA, compiled right-hand side"}


def cheapest(made, error_of, first):
    """Return the loosest tolerance within 1e-4 that stays so at the next tighter one, and its error: none by luck."""
    errors = []
    for tolerance in TOLERANCES[first:]:
        try:
            errors.append((tolerance, error_of(made(tolerance)())))
        except AssertionError:
            errors.append((tolerance, np.inf))
        if len(errors) > 1 and errors[-2][1] <= ALLOWED and errors[-1][1] <= ALLOWED:
            return errors[-2]
    return None


def test_peers(benchmark, capsys):
    setup, start, given = prepared()
    fine = prepared(8)[2]
    truth = figures(one(setup, start, fine)())

    def error_of(states):
        return float(np.max(np.abs(figures_of_states(setup, fine, states) / truth - 1)))

    single, block = one(setup, start, given), many(setup, start, given)
    own_error = np.max(np.abs(figures(single()) / truth - 1))
    block()
    runs, missing = {}, []
    for name, maker in sorted(PEERS.items(), key=lambda item: item[0] in SLOW):
        try:
            made = maker(setup, start, fine)
        except ImportError as error:
            missing.append(f"{name}: not installed ({error.name})")
            continue
        found = runs[LIKE[name]][1:] if name in LIKE else cheapest(made, error_of, 0)
        if found is None:
            missing.append(f"{name}: not within {ALLOWED:g} at any tolerance down to {TOLERANCES[-1]:g}")
        else:
            runs[name] = (made(found[0]), *found)
    spent = {name: np.inf for name in ("single", "block", *runs)}
    for _ in range(ROUNDS):
        for name, (go, *_) in runs.items():
            spent["single"] = min(spent["single"], best(single, 8))
            spent["block"] = min(spent["block"], best(block, 3) / BLOCK)
            if name not in SLOW or spent[name] == np.inf:
                spent[name] = min(spent[name], best(go, 1))
    benchmark.pedantic(single, rounds=3)
    with capsys.disabled():
        print(
            f"\nown single run {spent['single'] * 1e3:.2f} ms, error {own_error:.1e}; block {spent['block'] * 1e3:.3f} ms"
        )
        print(f"{'times as long as':50s} own single   own block")
        for name, (_, tolerance, error) in sorted(runs.items(), key=lambda item: spent[item[0]]):
            by_single, by_block = spent[name] / spent["single"], spent[name] / spent["block"]
            print(f"{name:50s} {by_single:10.1f} {by_block:11.1f}   rtol {tolerance:g}, error {error:.1e}")
        for text in missing:
            print(text)


if __name__ == "__main__":
    pytest.main([__file__, "--benchmark-only", "-n", "0", "-s"])
