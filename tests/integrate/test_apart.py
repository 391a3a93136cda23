"""A long run's channels are copies, so that the trace they come from is let go of."""

from pathlib import Path

import numpy as np
import pytest

import sim
from sim.integrate import driven, simulation
from sim.integrate.columns import columns

SCENARIOS = Path(__file__).parents[2] / "scenarios"


@pytest.mark.parametrize(("name", "first"), [("two_or_four", "fine"), ("lean_against_wind_up", "coarse")])
def test_channels_of_a_long_run_are_its_own_and_the_same(name, first, monkeypatch):
    scenario = sim.load(SCENARIOS / f"{name}.yaml")
    short = sim.simulate(scenario.vehicle, scenario.run)
    for module in (simulation, driven):
        monkeypatch.setattr(module, "LONG", 10)
    long = sim.simulate(scenario.vehicle, scenario.run)
    # Of the one that is run first, and has to wait for the other; that stays as it is.
    before, after = (dict(columns(run if first == "fine" else run.coarse, run.time_s.size)) for run in (short, long))
    assert before.keys() == after.keys()
    assert len(before) > 20
    for channel, values in after.items():
        assert np.array_equal(values, before[channel]), channel
        assert values.base is None, channel
