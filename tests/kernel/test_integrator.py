"""The integrator: order, agreement with SciPy's DOP853, kinks, energy, lanes."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import solve_ivp

import sim
from sim.describe.runs import Drop, Track
from sim.integrate.given import Input, sampled
from sim.integrate.single import start_state, traced, with_plan
from sim.kernel import layout as at
from sim.kernel.integrate import run_block
from sim.lower.lowering import lower
from sim.lower.packed import pack
from sim.lower.rest import Equations, rest
from sim.machine.jit import BLOCK
from tests.published.textbook import car
from tests.reference import Reference

SCENARIOS = Path(__file__).parents[2] / "scenarios"
SCENARIO = sim.load(SCENARIOS / "two_or_four.yaml")


def smooth_input(step, steps):
    """A road that is smooth to every order: a Gaussian swell of 60 mm, rear 0.4 s later."""
    time = np.arange(steps + 1) * step
    heights, rates = [], []
    for delay in (0.6, 1.0):
        t = (time - delay) / 0.12
        heights.append(0.06 * np.exp(-t * t))
        rates.append(0.06 * np.exp(-t * t) * -2 * t / 0.12)
    return Input.of(step, steps, 1, np.array(heights), np.array(rates), np.zeros(steps + 1))


def smooth_truck():
    """The demo's truck with straight dampers and without friction, so that nothing has a corner."""
    return SCENARIO.vehicle.changed(
        {
            f"{axle}.dampers.main.{key}": value
            for axle in ("front", "rear")
            for key, value in (
                ("valving", {"kind": "straight", "compression": "2 kN s/m", "rebound": "2 kN s/m"}), ("seal_friction", "none"),
            )
        } | {"rear.springs.pack.friction": "none"}
    )  # fmt: skip


def test_fourth_order_on_a_smooth_road():
    """Straight dampers and no leaf friction, so that nothing has a corner: error falls with the fourth power or faster."""
    setup = lower(smooth_truck())
    start = rest(setup).state
    last = {}
    for steps in (400, 800, 1600, 6400):
        given = smooth_input(1.6 / steps, steps)
        trace = traced(pack([setup], 1), start, given, kink_m=0.0)
        assert trace[:, at.TRACE_TYRE : at.TRACE_TYRE + 2].min() > 0.0  # lift-off would be a corner
        last[steps] = trace[-1, : 2 * at.COORDINATES]
    errors = [np.max(np.abs(last[n] - last[6400])) for n in (400, 800, 1600)]
    orders = np.log2(np.array(errors[:-1]) / np.array(errors[1:]))
    # It comes down to four from above; a method of third order would show three.
    assert np.all(orders > 3.8)
    assert orders[1] < orders[0] + 0.1


def test_a_start_on_a_slope():
    """Two steps from a road that rises and bends at once, where there are no rates of earlier steps: errors of fourth order.

    Against SciPy's DOP853 on the same equations with the road's own sine.
    """
    setup = lower(smooth_truck())
    start = rest(setup).state
    phase = np.array([0.3, 1.1])

    def road(time):
        t = 25.0 * np.asarray(time)[..., None] + phase
        return 0.02 * (np.sin(t) - np.sin(phase)), 0.5 * np.cos(t)

    equations = Equations(setup)
    errors = []
    for step in (2e-3, 1e-3):
        exact = solve_ivp(
            lambda t, y: equations.derivative(y, *road(t)), (0.0, 2 * step), start, "DOP853", rtol=1e-12, atol=1e-14
        ).y[:, -1]
        heights, rates = (np.ascontiguousarray(rows.T) for rows in road(step * np.arange(4)))
        trace = traced(pack([setup], 1), start, Input.of(step, 3, 1, heights, rates, np.zeros(4)), kink_m=0.0)
        assert trace[:, at.TRACE_TYRE : at.TRACE_TYRE + 2].min() > 0.0
        errors.append(np.max(np.abs(trace[2, : 2 * at.COORDINATES] - exact[: 2 * at.COORDINATES])))
    # After two steps an error of fourth order over a time is one of fifth; a stage at the wrong time leaves one of second.
    assert errors[0] > 12.0 * errors[1]


@pytest.mark.hours  # ten seconds of DOP853 in steps that suit it
def test_demo_course_agrees_with_dop853():
    """Peaks of tyre load and RMS body acceleration within 1e-4 of DOP853 at rtol 1e-10, started afresh at every edge."""
    run = SCENARIO.run
    for name in ("two front", "bare springs"):
        vehicle = SCENARIO.setups[name]
        ours = sim.simulate(vehicle, run)
        reference = Reference(vehicle, run)
        # Bare springs bounce for ever: after some seconds of flight two true solutions part. Compare the first part.
        end = len(ours.time_s) if name == "two front" else np.searchsorted(ours.time_s, 4.0)
        times = ours.time_s[:end]
        edges = np.array(reference.plan.course.edges())
        starts = reference.plan.lead_m + np.array([0.0, vehicle.wheelbase])
        pieces = sorted(((edges[:, None] + starts) / reference.plan.speed_m_per_s).ravel())
        states = reference.solve(times, pieces)
        loads, up = reference.loads_and_acceleration(times, states)
        for index, (_, axle) in enumerate(ours.axles):
            assert axle.tyre_load_n[:end].max() == pytest.approx(loads[:, index].max(), rel=1e-4)
        rms = np.sqrt(np.mean(ours.acceleration_m_per_s2["centre of gravity"][:end] ** 2))
        assert rms == pytest.approx(np.sqrt(np.mean(up**2)), rel=1e-4)


@pytest.mark.parametrize("file", sorted(p.name for p in SCENARIOS.glob("*.yaml")))
def test_energy_is_accounted_for_in_every_demo(file):
    """To a millionth of what was turned over, the driver's work included; with wheels that leave the ground, stops, knees and edges."""
    scenario = sim.load(SCENARIOS / file)
    if isinstance(scenario.run, Track):  # hours: tests/study/test_endurance.py
        return
    for name, vehicle in scenario.setups.items():
        run = sim.simulate(vehicle, scenario.run, name)
        assert run.energy.residual_share < 1e-6, name


def test_a_block_of_set_ups_is_as_many_single_runs():
    """Different numbers of dampers, knees and lengths side by side; each lane as if alone, to rounding."""
    vehicles = list(SCENARIO.setups.values())
    vehicles += [
        vehicles[1].changed({"front.springs.coil.rate": f"{rate} N/mm", "front.dampers.main.bush_rate": "900 N/mm"})
        for rate in range(30, 42)
    ]
    setups = [lower(v) for v in vehicles]
    plan = SCENARIO.run.plan(setups[0])
    setups = [with_plan(s, plan) for s in setups]
    starts = [start_state(s, plan, rest(s)) for s in setups]
    given = sampled(vehicles[0], plan, 1e-3, 1)
    steps = 3000
    block = pack(setups, BLOCK)
    block.rows()[: at.STATES] = np.array(starts).T
    watched = np.array([at.SCRATCH + at.LOAD, at.SCRATCH + at.SCRATCH_ROWS + at.LOAD, at.RATE + at.COORDINATES + at.Z])
    out = np.empty((len(watched), steps + 1, BLOCK))
    run_block(
        block.memory, block.lines, block.lines_front, block.kinds, block.knots, block.first_group,
        given.road, given.nominal, given.speed_m_per_s, given.push, given.step_s, steps, 1, out, watched, block.bush_memory(),
    )  # fmt: skip
    short = replace(given, steps=steps, every=1)
    for lane, (setup, start) in enumerate(zip(setups, starts, strict=True)):
        trace = traced(pack([setup], 1), start, short, kink_m=0.0)  # a block does no step again
        load = trace[:, at.TRACE_TYRE : at.TRACE_TYRE + 2]
        # Bare springs amplify rounding while they fly; a few seconds keep it far below this.
        own = out[:2, :, lane].T
        assert own == pytest.approx(load, rel=1e-6, abs=1e-2)
        assert own.max(axis=0) == pytest.approx(load.max(axis=0), rel=1e-7)
        assert np.sum(own <= 0.0, axis=0) == pytest.approx(np.sum(load <= 0.0, axis=0))
        assert np.sum(out[2, :, lane] ** 2) == pytest.approx(np.sum(trace[:, at.TRACE_RATE + at.Z] ** 2), rel=1e-7)
        for axle in range(at.AXLES):
            jounce = trace[:, at.JOUNCE + 2 * axle]
            assert block.rows()[at.JOUNCE_MOST + axle, lane] == pytest.approx(max(jounce.max(), 0.0), abs=1e-7)
            assert block.rows()[at.JOUNCE_LEAST + axle, lane] == pytest.approx(min(jounce.min(), 0.0), abs=1e-7)
        assert block.rows()[: at.MOTION, lane] == pytest.approx(trace[-1, : at.MOTION], rel=1e-6, abs=1e-7)


def test_zero_road_zero_motion():
    for vehicle in SCENARIO.setups.values():
        setup = lower(vehicle)
        still = Input.of(1e-3, 2000, 1, np.zeros((2, 2001)), np.zeros((2, 2001)), np.zeros(2001))
        trace = traced(pack([setup], 1), rest(setup).state, still)
        assert np.max(np.abs(trace[:, at.COORDINATES : 2 * at.COORDINATES])) < 1e-9


def test_kinks_cost_no_accuracy():
    """Knees, stops, straps, lift-off and friction: one tenth of the step changes peaks by less than 1e-4."""
    vehicle, run = SCENARIO.setups["two front"], SCENARIO.run
    setup = lower(vehicle)
    plan = run.plan(setup)
    setup = with_plan(setup, plan)
    start = start_state(setup, plan, rest(setup))
    traces = [traced(pack([setup], 1), start, sampled(vehicle, plan, 1e-3, cut)) for cut in (1, 10)]
    for column in (at.TRACE_TYRE, at.TRACE_TYRE + 1):
        assert traces[0][:, column].max() == pytest.approx(traces[1][:, column].max(), rel=1e-4)
    rms = [np.sqrt(np.mean(t[:, at.TRACE_RATE + at.Z] ** 2)) for t in traces]
    assert rms[0] == pytest.approx(rms[1], rel=1e-4)


@pytest.mark.parametrize("name", ["bare springs", "two front"])
def test_steps_with_kinks_are_done_again_in_parts(name):
    """Wheels that leave the ground and come back: the peaks of steps sixteen times as short, each done once, within a few millionths.

    Of the same steps, each done once, some peak or RMS is off by five times as much.
    """
    vehicle, run = SCENARIO.setups[name], SCENARIO.run
    setup = lower(vehicle)
    plan = run.plan(setup)
    setup = with_plan(setup, plan)
    start = start_state(setup, plan, rest(setup))

    def figures(cut, **how):
        trace = traced(pack([setup], 1), start, sampled(vehicle, plan, 1e-3, cut), **how)
        if name == "bare springs":
            trace = trace[:4000]  # they bounce for ever, and after some seconds of flight two true solutions part
        assert np.any(trace[:, at.TRACE_TYRE] == 0.0)
        rates = trace[:, at.TRACE_RATE : at.TRACE_RATE + at.COORDINATES]
        moving = [at.Z, at.PITCH, at.JOUNCE, at.JOUNCE + 2]
        return np.r_[
            trace[:, at.TRACE_TYRE : at.TRACE_TYRE + 2].max(axis=0), np.sqrt(np.mean(rates[:, moving] ** 2, axis=0))
        ]

    exact = figures(32, kink_m=0.0)
    once, again = (np.max(np.abs(figures(2, **how) / exact - 1.0)) for how in ({"kink_m": 0.0}, {}))
    assert again < 3e-6
    assert again < 0.2 * once


def test_a_fall_on_springs_alone():
    """Dropped without any damping it hops for seconds: no touch-down and no lift-off gives or takes more than a millionth."""
    truck = car(1200.0, 1800.0, 1.05, 1.05, 34e3, 34e3, unsprung=(60.0, 60.0), tyre_rates=(3e5, 3e5))
    run = sim.simulate(truck, Drop.model_validate({"kind": "drop", "height": "100 mm", "watch": "4 s"}))
    in_the_air = run.front.tyre_load_n == 0.0
    assert np.count_nonzero(np.diff(in_the_air)) > 20
    assert run.energy.residual_share < 1e-6
