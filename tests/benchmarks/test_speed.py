"""Speed, measured beside a reference in the same run; not part of the tests.

python -m pytest tests/benchmarks --benchmark-only -n 0 -s

Prints the ratios: one 10 s course at 1 kHz, energies and all, against SciPy's LSODA on the same compiled right-hand side,
and a block of set-ups against the single run, a set-up and core. LSODA is taken at two tolerances: the loosest that is as
accurate as the own run in peak tyre loads and RMS body acceleration, and the loosest that is within 1e-4. Errors are
against a run at an eighth of the step, which itself is within 1e-6 of DOP853 (tests/kernel).
"""

import os
import subprocess
import sys
import time
from dataclasses import replace
from pathlib import Path

import numba
import numpy as np
import pytest
from scipy.integrate import solve_ivp

import sim
from sim.integrate.driven import substeps_of
from sim.integrate.given import sampled
from sim.integrate.single import with_plan
from sim.kernel import layout as at
from sim.kernel.integrate import derivative, narrow_block, run_block, run_single
from sim.lower.lowering import lower
from sim.lower.packed import UNWATCHED, pack
from sim.lower.rest import Equations, Under, rest
from sim.lower.wheeled import driven_trace, road_table, start_of, wheeled
from sim.machine.jit import BLOCK

ROOT = Path(__file__).parents[2]
STEPS = 10_000
WATCHED = np.array([at.SCRATCH + at.LOAD, at.SCRATCH + at.SCRATCH_ROWS + at.LOAD, at.RATE + at.COORDINATES + at.Z])
"""What a block writes at each step: tyre loads and the body's acceleration."""


def prepared(cut=1):
    """The demo's "two front" over its course: set-up, start, and 10 s of road in steps of 1 ms / cut."""
    scenario = sim.load(ROOT / "scenarios" / "two_or_four.yaml")
    vehicle = scenario.setups["two front"]
    setup = lower(vehicle)
    plan = scenario.run.plan(setup)
    setup = with_plan(setup, plan)
    given = sampled(vehicle, plan, 1e-3, cut)
    steps = STEPS * cut
    given = replace(given, steps=steps, push=given.push[: steps + 1].copy())
    return setup, rest(setup).state, given


def one(setup, start, given):
    packed = pack([setup], 1)
    trace = np.empty((STEPS + 1, at.TRACE_LINES + at.LINE_CHANNELS * len(setup.lines)))
    bushes = packed.bush_memory()

    def go():
        packed.memory[: at.STATES] = start
        run_single(
            packed.memory, packed.lines, packed.lines_front, packed.kinds, packed.knots, packed.first_group,
            given.road, given.nominal, given.speed_m_per_s, given.push, given.step_s, given.steps, given.every, trace,
            UNWATCHED, bushes,
        )  # fmt: skip
        return trace

    return go


def many(setup, start, given, kind=np.float64):
    """A block of either precision; the signals come back that are watched (`WATCHED`)."""
    packed = pack([setup] * BLOCK, BLOCK, kind)
    out, bushes = np.empty((len(WATCHED), STEPS + 1, BLOCK), kind), packed.bush_memory()
    road, push = given.road.astype(kind), given.push.astype(kind)
    solve = run_block if kind is np.float64 else narrow_block()
    rows, short = packed.rows(), start[: at.MOTION] - start[: at.MOTION].astype(kind)

    def go():
        rows[: at.STATES] = start[:, None]
        rows[at.CARRY : at.CARRY + at.MOTION] = short[:, None]
        solve(
            packed.memory, packed.lines, packed.lines_front, packed.kinds, packed.knots, packed.first_group, road,
            given.nominal, kind(given.speed_m_per_s), push, kind(given.step_s), STEPS, 1, out, WATCHED, bushes,
        )  # fmt: skip
        return out

    return go


def reduced(signals):
    """Peak tyre loads and RMS body acceleration of a block's first lane."""
    first = signals[:, :, 0].astype(float)
    return np.r_[first[:2].max(axis=1), np.sqrt(np.mean(first[2] ** 2))]


@numba.njit
def right_hand_side(t, y, m, lines, front, knots, first, road, nominal, by_spacing, step, pair, pair_rate):
    """The same compiled equations, on the same road."""
    m[: at.STATES] = y
    derivative(m, lines, front, knots, first, road, nominal + t / step, by_spacing, 1.0 / step, 0.0, pair, pair_rate)
    return m[at.RATE : at.RATE + at.STATES].copy()


def by_spacing(given):
    """Samples of the road a metre."""
    return 1.0 / (given.speed_m_per_s * given.step_s)


def lsoda(setup, start, given, tolerance):
    packed = pack([setup], 1)
    times = np.arange(STEPS + 1) * 1e-3
    fixed = (
        packed.memory, packed.lines, packed.lines_front, packed.knots, packed.first_group,
        given.road, given.nominal, by_spacing(given), given.step_s, np.zeros(0), np.zeros(packed.lines.shape[0]),
    )  # fmt: skip
    right_hand_side(0.0, start, *fixed)

    def go():
        found = solve_ivp(
            right_hand_side, (0.0, times[-1]), start, "LSODA", times,
            args=fixed, rtol=tolerance, atol=tolerance * 1e-2, max_step=0.02,
        )  # fmt: skip
        assert found.success
        return found.y

    return go


def figures(trace):
    """Peak tyre loads and RMS body acceleration."""
    return np.r_[
        trace[:, at.TRACE_TYRE : at.TRACE_TYRE + 2].max(axis=0), np.sqrt(np.mean(trace[:, at.TRACE_RATE + at.Z] ** 2))
    ]


def figures_of_states(setup, given, states):
    """The same from LSODA's states."""
    equations = Equations(setup)
    loads, up = np.empty((len(states), 2)), np.empty(len(states))
    every = given.every
    for i, state in enumerate(states):
        road = Under(given.road, float(given.nominal + every * i), by_spacing(given), 1.0 / given.step_s)
        rates = equations.derivative(state.copy(), road=road)
        up[i] = rates[at.COORDINATES + at.Z]
        loads[i] = equations.tyre_loads()
    return np.r_[loads.max(axis=0), np.sqrt(np.mean(up**2))]


def best(function, times):
    """Return the least processor time of all threads [s]: a machine's other work is not in it, as it is in the clock's."""
    spent = []
    for _ in range(times):
        begin = time.process_time()
        function()
        spent.append(time.process_time() - begin)
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


def test_block_of_single_precision(benchmark):
    setup, start, given = prepared()
    go = many(setup, start, given, np.float32)
    go()
    benchmark(go)


def test_ratios(benchmark, capsys):
    setup, start, given = prepared()
    fine = prepared(8)[2]
    single = one(setup, start, given)
    blocks = {"double": many(setup, start, given), "single precision": many(setup, start, given, np.float32)}
    truth = figures(one(setup, start, fine)())
    own = np.max(np.abs(figures(single()) / truth - 1))
    errors = {name: np.max(np.abs(reduced(go()) / truth - 1)) for name, go in blocks.items()}
    spent, tolerances = {"single": np.inf, **dict.fromkeys(blocks, np.inf)}, {}
    for _ in range(40):  # in turn, so that a machine's other work meets all alike
        spent["single"] = min(spent["single"], best(single, 2))
        for name, go in blocks.items():
            spent[name] = min(spent[name], best(go, 1) / BLOCK)
    for tolerance in (1e-3, 3e-4, 1e-4, 3e-5, 1e-5, 3e-6, 1e-6, 3e-7, 1e-7):
        reference = lsoda(setup, start, fine, tolerance)
        error = np.max(np.abs(figures_of_states(setup, fine, reference().T) / truth - 1))
        for name, allowed in (("within 1e-4", 1e-4), ("as accurate", own)):
            if name not in tolerances and error <= allowed:
                tolerances[name], spent[name] = tolerance, best(reference, 3)
        if len(tolerances) == 2:
            break
    benchmark.pedantic(single, rounds=3)
    with capsys.disabled():
        print(f"\nsingle {spent['single'] * 1e3:.2f} ms, error {own:.1e}")
        for name, tolerance in tolerances.items():
            ratio = spent[name] / spent["single"]
            print(f"LSODA {name} (rtol {tolerance:g}): {spent[name] * 1e3:.0f} ms, {ratio:.0f} times as long")
        for name, error in errors.items():
            ratio = spent["single"] / spent[name]
            print(
                f"block of {name}: {spent[name] * 1e3:.3f} ms a set-up, {ratio:.1f} in the time of a single run, error {error:.1e}"
            )


def test_launch(benchmark, capsys):
    """A 6 s launch uphill against a course, both by their second; the launch at the step that its shafts ask for."""
    scenario = sim.load(ROOT / "scenarios" / "lean_against_wind_up.yaml")
    vehicle = scenario.setups["as fitted, leaned forward"]
    setup = lower(vehicle)
    plan = replace(scenario.run.plan(setup), duration_s=6.0)
    own = wheeled(setup, plan.driving)
    table = road_table(setup, plan)
    standing = rest(setup)
    start_there = start_of(own, standing, table)
    cut = substeps_of(own, standing, start_there, table, 1e-3)

    def go():
        return driven_trace(own, table, start_there, 6.0, 1e-3, cut)

    go()
    spent = best(go, 20) / 6.0
    course = one(*prepared())
    course()
    by_second = best(course, 40) / (STEPS * 1e-3)
    benchmark.pedantic(go, rounds=3)
    with capsys.disabled():
        print(
            f"\nlaunch {spent * 1e3:.2f} ms a second in {cut} parts a step, course {by_second * 1e3:.2f}: "
            f"{spent / by_second:.1f} times as much"
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
    sys.exit(pytest.main([__file__, "--benchmark-only", "-n", "0", "-s"]))
