"""Speed, measured beside a reference in the same run; not part of the tests.

python -m pytest tests/benchmarks --benchmark-only -s

Prints the ratios: one 10 s course at 1 kHz against SciPy's LSODA on the same compiled right-hand side at the loosest
tolerance that keeps peak tyre loads within 1e-4, and a block of set-ups against the single run, a set-up and core.
"""

import os
import subprocess
import sys
import time
from pathlib import Path

import numba
import numpy as np
import pytest
from scipy.integrate import solve_ivp

import sim
from sim.kernel import layout as at
from sim.kernel.integrate import derivative, run_block, run_single
from sim.kernel.jit import BLOCK
from sim.lower import aligned, lower, pack
from sim.rest import Equations, rest
from sim.simulation import Input, sampled, with_plan

ROOT = Path(__file__).parents[2]
STEPS = 10_000


def prepared():
    scenario = sim.load(ROOT / "scenarios" / "two_or_four.yaml")
    vehicle = scenario.setups["two front"]
    setup = lower(vehicle)
    plan = scenario.run.plan(setup)
    setup = with_plan(setup, plan)
    given = sampled(vehicle, plan, 1e-3, 1)
    last = 2 * STEPS + 1
    given = Input(
        1e-3, STEPS, 1, given.heights[:, :last].copy(), given.rates[:, :last].copy(), given.push[:last].copy()
    )
    return setup, rest(setup).state, given


def one(setup, start, given):
    packed = pack([setup], 1)
    trace = np.empty((STEPS + 1, at.TRACE_LINES + at.LINE_CHANNELS * len(setup.lines)))
    peaks, bushes = aligned((at.REDUCTIONS,)), packed.bush_memory()

    def go():
        packed.memory[: at.STATES] = start
        run_single(
            packed.memory, packed.lines, packed.lines_front, packed.bushed, packed.knots, packed.first_group,
            given.heights, given.rates, given.push, given.step_s, STEPS, 1, trace, peaks, bushes,
        )  # fmt: skip
        return trace

    return go


def many(setup, start, given):
    packed = pack([setup] * BLOCK, BLOCK)
    peaks, bushes, nothing = aligned((at.REDUCTIONS * BLOCK,)), packed.bush_memory(), np.empty((1, 1))

    def go():
        packed.rows()[: at.STATES] = start[:, None]
        run_block(
            packed.memory, packed.lines, packed.lines_front, packed.bushed, packed.knots, packed.first_group,
            given.heights, given.rates, given.push, given.step_s, STEPS, 1, nothing, peaks, bushes,
        )  # fmt: skip
        return peaks

    return go


@numba.njit
def right_hand_side(t, y, m, lines, front, knots, first, heights, rates, step, pair, pair_rate):
    """The same compiled equations, road read from the same table by straight lines between half steps."""
    place = min(max(t / (0.5 * step), 0.0), heights.shape[1] - 1.001)
    i = int(place)
    s = place - i
    h = heights[:, i] * (1 - s) + heights[:, i + 1] * s
    r = rates[:, i] * (1 - s) + rates[:, i + 1] * s
    m[: at.MOTION] = y
    derivative(m, lines, front, knots, first, h, r, 0.0, pair, pair_rate)
    return m[at.RATE : at.RATE + at.MOTION].copy()


def lsoda(setup, start, given, tolerance):
    packed = pack([setup], 1)
    times = np.arange(STEPS + 1) * 1e-3
    fixed = (
        packed.memory, packed.lines, packed.lines_front, packed.knots, packed.first_group,
        given.heights, given.rates, given.step_s, np.zeros(0), np.zeros(packed.lines.shape[0]),
    )  # fmt: skip
    right_hand_side(0.0, start[: at.MOTION], *fixed)

    def go():
        found = solve_ivp(
            right_hand_side, (0.0, times[-1]), start[: at.MOTION], "LSODA", times,
            args=fixed, rtol=tolerance, atol=tolerance * 1e-2, max_step=0.02,
        )  # fmt: skip
        assert found.success
        return found.y

    return go


def miss(setup, given, states, ours):
    """Largest error of peak tyre loads and RMS body acceleration; ours is within 1e-6 of DOP853 (tests/kernel)."""
    equations = Equations(setup)
    loads, up = np.empty((len(states), 2)), np.empty(len(states))
    for i, motion in enumerate(states):
        state = np.zeros(at.STATES)
        state[: at.MOTION] = motion
        rates = equations.derivative(state, given.heights[:, 2 * i], given.rates[:, 2 * i])
        up[i] = rates[at.COORDINATES + at.Z]
        loads[i] = equations.tyre_loads()
    peaks = loads.max(axis=0) / ours[:, at.TRACE_TYRE : at.TRACE_TYRE + 2].max(axis=0) - 1
    rms = np.sqrt(np.mean(up**2) / np.mean(ours[:, at.TRACE_RATE + at.Z] ** 2)) - 1
    return max(*np.abs(peaks), abs(rms))


def best(function, times):
    spent = []
    for _ in range(times):
        begin = time.perf_counter()
        function()
        spent.append(time.perf_counter() - begin)
    return min(spent)


def test_single_course(benchmark):
    setup, start, given = prepared()
    go = one(setup, start, given)
    go()
    benchmark(go)


def test_block_of_sixteen(benchmark):
    setup, start, given = prepared()
    go = many(setup, start, given)
    go()
    benchmark(go)


def test_ratios(benchmark, capsys):
    setup, start, given = prepared()
    single, block = one(setup, start, given), many(setup, start, given)
    ours = single().copy()
    block()
    spent = {"single": best(single, 15), "block": best(block, 5) / BLOCK}
    chosen = None
    for tolerance in (1e-3, 3e-4, 1e-4, 3e-5, 1e-5, 3e-6, 1e-6, 1e-7):
        reference = lsoda(setup, start, given, tolerance)
        if miss(setup, given, reference().T, ours) < 1e-4:
            chosen = tolerance
            break
    assert chosen is not None
    spent["lsoda"] = best(reference, 3)
    benchmark.pedantic(single, rounds=3)
    with capsys.disabled():
        print(
            f"\nsingle {spent['single'] * 1e3:.2f} ms; LSODA (rtol {chosen:g}) {spent['lsoda'] * 1e3:.0f} ms, "
            f"{spent['lsoda'] / spent['single']:.0f} times as long; block {spent['block'] * 1e3:.3f} ms a set-up, "
            f"{spent['single'] / spent['block']:.1f} set-ups in the time of a single one"
        )


def test_cold_and_warm_command(benchmark, tmp_path, capsys):
    """From the shell to written files: with nothing compiled, and again."""
    environment = {**os.environ, "NUMBA_CACHE_DIR": str(tmp_path / "cache")}
    command = [sys.executable, "-m", "sim", "compare", "scenarios/two_or_four.yaml", "--outputs", str(tmp_path / "out")]

    def go():
        done = subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True, check=True)
        return done.stderr

    begin = time.perf_counter()
    said = go()
    cold = time.perf_counter() - begin
    assert "compiling" in said
    benchmark.pedantic(go, rounds=3)
    with capsys.disabled():
        print(f"\ncold {cold:.1f} s, warm {benchmark.stats.stats.min:.2f} s")


if __name__ == "__main__":
    sys.exit(pytest.main([__file__, "--benchmark-only", "-s"]))
