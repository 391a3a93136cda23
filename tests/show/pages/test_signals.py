"""What a page draws of a run is what the run itself says: the same signs, zeros and names."""

from pathlib import Path

import numpy as np
import pytest

import sim
from sim.integrate.driven import driven_once
from sim.integrate.given import STEP_S
from sim.integrate.single import once, prepared
from sim.show.pages.scene import frames
from sim.show.pages.simulator.calls import RUNS, call_of
from sim.show.pages.simulator.signals import signals

SCENARIOS = Path(__file__).parents[3] / "scenarios"


def seen(call):
    """Return the signals (n,) of a call by name, run here."""
    given = dict(call.given)
    wrote = RUNS[call.run](*given.values())
    time = np.arange(wrote) * given["step"] * given["every"]
    return {
        name: own.scale * given["out"][:wrote, own.column] + own.zero + own.per_s * time
        for name, own in signals(call).items()
    }


@pytest.mark.parametrize("name", ["two_or_four", "push_on_the_bumper", "brake_from_speed", "lean_on_ripples"])
def test_signals_are_the_runs_own(name):
    scenario = sim.load(SCENARIOS / f"{name}.yaml")
    setup = list(scenario.setups.values())[-1]
    own = seen(call_of(setup, scenario.run))
    if scenario.run.way == "driven":
        run = driven_once(setup, scenario.run)
    else:
        ready = prepared(setup, scenario.run)
        run = once(ready, scenario.run, "", STEP_S, ready.cut, kink_m=0.0)
    expected = {key: values for key, values in frames(run, STEP_S)["channels"].items()}
    # What somebody pushes with is given to a run, not a signal of it.
    expected.pop("push_up_n", None)
    expected["acceleration_m_per_s2"] = run.acceleration_m_per_s2["centre of gravity"]
    for axle, trace in run.axles:
        for key, damper in trace.dampers.items():
            expected[f"{axle}.{key}.speed_m_per_s"] = damper.speed_m_per_s
            expected[f"{axle}.{key}.force_n"] = damper.force_n
    assert set(own) == set(expected)
    for key, values in expected.items():
        size = max(np.abs(values).max(), 1e-6)
        # Frames are kept in single precision.
        np.testing.assert_allclose(own[key], values, rtol=0.0, atol=2e-7 * size, err_msg=key)
