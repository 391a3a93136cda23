"""Contacts one by one: what the tyre, stop and ends do at and near touching."""

import numpy as np
import pytest

from sim.describe.files.scenario import load
from sim.integrate.given import STEP_S, sampled
from sim.integrate.simulation import simulate
from sim.integrate.single import traced, with_plan
from sim.kernel import layout as at
from sim.kernel.forces import contact, tyre
from sim.kernel.integrate import run_block
from sim.kernel.layout import TYRE_DAMPING_DEPTH
from sim.lower.lowering import lower
from sim.lower.packed import UNWATCHED, pack
from sim.lower.rest import rest
from sim.machine.jit import BLOCK


def test_tyre_damping_fades_in_with_deflection():
    """Full past 5 mm, half at 2.5 mm, none at touch: touching down has no jump."""
    rate, damping, speed = 5e5, 400.0, 0.5
    for share in (0.0, 0.25, 0.5, 1.0, 2.0):
        deflection = share * TYRE_DAMPING_DEPTH
        load, elastic = tyre(deflection, speed, rate, 0.0, damping)
        assert elastic == pytest.approx(rate * deflection)
        assert load - elastic == pytest.approx(damping * speed * min(share, 1.0))


def test_tyre_neither_pulls_nor_sticks():
    assert tyre(-0.01, 3.0, 5e5, 0.0, 400.0) == (0.0, 0.0)
    load, elastic = tyre(0.002, -9.0, 5e5, 0.0, 400.0)
    assert load == 0.0
    assert elastic > 0.0


def test_contact_loses_in_proportion_to_its_elastic_force():
    """Hunt and Crossley (1975): force (k p + k3 p³)(1 + loss dp/dt), so nothing at touch and never a pull."""
    assert contact(0.0, 2.0, 1e5, 1e8, 0.3) == (0.0, 0.0)
    force, elastic = contact(0.01, 0.5, 1e5, 1e8, 0.3)
    assert elastic == pytest.approx(1e5 * 0.01 + 1e8 * 0.01**3)
    assert force == pytest.approx(elastic * 1.15)
    assert contact(0.01, -9.0, 1e5, 1e8, 0.3)[0] == 0.0


def test_strap_pulls_as_soon_as_it_is_longer_than_itself():
    """Its force in a run against rate x stretch x (1 + loss x speed), wherever taut; nothing where slack."""
    scenario = load("scenarios/two_or_four.yaml")
    run = simulate(scenario.setups["bare springs"], scenario.run.model_copy(update={"speed": 25.0 / 3.6}))
    force = run.front.strap_force_n
    assert np.max(force) > 500.0  # bare springs throw the axle into its strap
    jounce = run.front.jounce_m
    at_strap = run.front.jounce_at_strap_m
    assert at_strap is not None
    assert np.all(force[jounce > at_strap + 2e-3] == 0.0)
    assert np.all(force[jounce < at_strap - 2e-3] > 0.0)


def test_strap_pulls_in_every_stage_of_a_step():
    """A slack strap is left out of the sums: a block of lanes, which writes no channels, must find it as the single run does."""
    scenario = load("scenarios/two_or_four.yaml")
    vehicle = scenario.setups["bare springs"]
    setup = lower(vehicle)
    plan = scenario.run.plan(setup)
    setup = with_plan(setup, plan)
    given = sampled(vehicle, plan, STEP_S, 1)
    start = rest(setup).state
    trace = traced(pack([setup], 1), start.copy(), given, kink_m=0.0)  # these very steps, none done again
    packed = pack([setup] * BLOCK, BLOCK)
    packed.rows()[: at.STATES] = start[:, None]
    run_block(
        packed.memory, packed.lines, packed.lines_front, packed.kinds, packed.knots, packed.first_group, given.road,
        given.nominal, given.speed_m_per_s, given.push, given.step_s, given.steps, 1, np.empty((0, 1, BLOCK)), UNWATCHED, packed.bush_memory(),
    )  # fmt: skip
    least = packed.rows()[at.JOUNCE_LEAST : at.JOUNCE_LEAST + 2]
    wanted = trace[:, [at.JOUNCE, at.JOUNCE + 2]].min(axis=0)
    assert least == pytest.approx(np.repeat(wanted[:, None], BLOCK, axis=1), abs=1e-7)
