"""How much of the machine's arithmetic the block kernel uses, where its operations go, in double and in single precision.

python -m pytest tests/benchmarks/test_peak.py --benchmark-only -n 0 -s

Operations are counted by running the kernel's own text in plain Python on numbers that count (operations.py); the peak is
measured by fused multiply-adds alone (peak.py), in turn with the blocks.
"""

import numpy as np

from sim.machine.jit import BLOCK
from tests.benchmarks.operations import FLOPS, KINDS, PARTS, count
from tests.benchmarks.peak import peak
from tests.benchmarks.test_speed import STEPS, best, figures, many, one, prepared, reduced

COUNTED_STEPS = 1000
ROUNDS = 20


def test_share_of_peak(benchmark, capsys):
    setup, start, given = prepared()
    counts = count(setup, start, given, COUNTED_STEPS)
    flops = sum(n for (_, kind), n in counts.items() if kind in FLOPS)
    truth = figures(one(setup, start, prepared(8)[2])())
    single = one(setup, start, given)
    wide_double, wide = many(setup, start, given), many(setup, start, given, np.float32)
    single()
    error = {"double": reduced(wide_double()), "single precision": reduced(wide())}
    peaks, spent = (
        {"double": 0.0, "single precision": 0.0},
        dict.fromkeys(("run", "double", "single precision"), np.inf),
    )
    limits = {"double": peak(np.float64), "single precision": peak(np.float32)}
    for _ in range(ROUNDS):
        for name, limit in limits.items():
            peaks[name] = max(peaks[name], limit(), limit())
        spent["run"] = min(spent["run"], best(single, 2))
        spent["double"] = min(spent["double"], best(wide_double, 1) / BLOCK)
        spent["single precision"] = min(spent["single precision"], best(wide, 1) / BLOCK)
    benchmark.pedantic(wide_double, rounds=3)
    with capsys.disabled():
        print("\noperations a lane and step of two evaluations, as written")
        print(f"{'':16s}" + "".join(f"{kind:>10s}" for kind in KINDS))
        for part in PARTS:
            print(f"{part:16s}" + "".join(f"{counts.get((part, kind), 0.0):10.1f}" for kind in KINDS))
        print(f"in all {flops:.0f}, {flops * STEPS / 1e6:.1f} million a course without comparisons")
        for name in limits:
            share = flops * STEPS / spent[name] / peaks[name]
            off = np.max(np.abs(error[name] / truth - 1))
            print(
                f"{name}: {spent[name] * 1e3:.3f} ms a set-up, {spent['run'] / spent[name]:.1f} set-ups in the time of a single "
                f"run; peak {peaks[name] / 1e9:.1f} G/s, share {100 * share:.0f} %; error {off:.1e}"
            )
