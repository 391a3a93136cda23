"""How much of the machine's arithmetic the block kernel uses, where its operations go, and what single precision would give.

python -m pytest tests/benchmarks/test_peak.py --benchmark-only -n 0 -s

Operations are counted by running the kernel's own text in plain Python on numbers that count (operations.py); the peak is
measured by fused multiply-adds alone (peak.py), in turn with the blocks.
"""

import re
from collections import Counter

import numba
import numpy as np

from sim.kernel import integrate
from sim.kernel import layout as at
from sim.kernel.folded import folded
from sim.kernel.integrate import run_block
from sim.kernel.jit import BLOCK, FLAGS
from sim.lower import pack
from tests.benchmarks.narrow import narrowed
from tests.benchmarks.operations import FLOPS, KINDS, PARTS, count
from tests.benchmarks.peak import peak
from tests.benchmarks.test_speed import STEPS, best, figures, one, prepared

COUNTED_STEPS = 1000
NARROW_LANES = 2 * BLOCK
ROUNDS = 20


def text(lanes):
    """The block kernel's own loop for so many lanes, folded, not compiled."""
    keep = integrate.compiled_folded
    integrate.compiled_folded = folded
    try:
        return integrate._build(lanes, traced=False)
    finally:
        integrate.compiled_folded = keep


def runner(run, setup, start, given, kind, lanes):
    def own(array):
        raw = np.zeros(array.size + 64, kind)
        begin = (-raw.ctypes.data // raw.itemsize) % (64 // raw.itemsize)
        made = raw[begin : begin + array.size].reshape(array.shape)
        made[...] = array
        return made

    packed = pack([setup] * lanes, lanes)
    memory, lines, knots = own(packed.memory), own(packed.lines), own(packed.knots)
    heights, rates, push = own(given.heights), own(given.rates), own(given.push)
    peaks, bushes, nothing = own(np.zeros(at.REDUCTIONS * lanes)), own(packed.bush_memory()), own(np.zeros((1, 1)))

    def go():
        memory.reshape(-1, lanes)[: at.STATES] = start[:, None]
        peaks[:] = 0.0
        run(
            memory, lines, packed.lines_front, packed.kinds, knots, packed.first_group, heights, rates, push,
            kind(given.step_s), STEPS, 1, nothing, peaks, bushes,
        )  # fmt: skip
        return peaks.reshape(-1, lanes)

    return go


def reduced(peaks):
    """The same figures as of a trace, of a block's first lane."""
    loads = peaks[at.PEAK_TYRE : at.PEAK_TYRE + at.AXLES, 0].astype(float)
    return np.r_[loads, np.sqrt(float(peaks[at.SUM_ACCELERATION_SQUARED, 0]) / (STEPS + 1))]


def instructions(run):
    """Counts of a compiled kernel's vector instructions, as they stand."""
    code = "".join(run.inspect_asm().values())
    return Counter(re.findall(r"^\tv([a-z]+?)(?:132|213|231)?p[sd]\b", code, re.MULTILINE))


def test_share_of_peak(benchmark, capsys):
    setup, start, given = prepared()
    counts = count(setup, start, given, COUNTED_STEPS)
    flops = sum(n for (_, kind), n in counts.items() if kind in FLOPS)
    truth = figures(one(setup, start, prepared(8)[2])())
    single = one(setup, start, given)
    wide_double = runner(run_block, setup, start, given, np.float64, BLOCK)
    single()
    wide_double()
    wide_kernel = numba.njit(**FLAGS)(narrowed(text(NARROW_LANES)))
    wide = runner(wide_kernel, setup, start, given, np.float32, NARROW_LANES)
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
        spent["single precision"] = min(spent["single precision"], best(wide, 1) / NARROW_LANES)
    benchmark.pedantic(wide_double, rounds=3)
    with capsys.disabled():
        print("\noperations a lane and evaluation, as written")
        print(f"{'':16s}" + "".join(f"{kind:>10s}" for kind in KINDS))
        for part in PARTS:
            print(f"{part:16s}" + "".join(f"{counts.get((part, kind), 0.0):10.1f}" for kind in KINDS))
        print(f"in all {flops:.0f}, {flops * 4 * STEPS / 1e6:.1f} million a course without comparisons")
        for name in limits:
            share = flops * 4 * STEPS / spent[name] / peaks[name]
            off = np.max(np.abs(error[name] / truth - 1))
            print(
                f"{name}: {spent[name] * 1e3:.3f} ms a set-up, {spent['run'] / spent[name]:.1f} set-ups in the time of a single "
                f"run; peak {peaks[name] / 1e9:.1f} G/s, share {100 * share:.0f} %; error {off:.1e}"
            )
        print("vector instructions of the single-precision block: " + ", ".join(
            f"{n} {word}" for word, n in instructions(wide_kernel).most_common(12)))  # fmt: skip
