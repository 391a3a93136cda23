"""What is compiled before it is needed is what is needed then."""

from pathlib import Path

import pytest

import sim
from sim.integrate import ahead
from sim.integrate.simulation import simulate
from sim.kernel.filters import sum_of_second_orders
from sim.kernel.integrate import narrow_block, run_single
from sim.lower.road import rolling_disc
from sim.machine import shipped
from sim.measure.weighting import WK
from sim.study.many import Track

pytestmark = pytest.mark.long  # whole commands and studies, over and over: seconds each

SCENARIO = Path(__file__).parents[2] / "scenarios" / "two_or_four.yaml"
ALL = (run_single, rolling_disc._contacts, rolling_disc._refined, sum_of_second_orders)


@pytest.fixture(autouse=True)
def _nothing_shipped(monkeypatch):
    """As on a machine for which no machine code comes with the package."""
    monkeypatch.setattr(shipped, "suits", lambda: False)
    for function in (*ALL, narrow_block()):
        monkeypatch.setattr(function, "_entries", {})


@pytest.mark.hours  # it compiles all anew
def test_types_are_those_of_a_run():
    ahead.compiled_ahead(lambda: None)
    before = misses()
    scenario = sim.load(SCENARIO)
    run = simulate(next(iter(scenario.setups.values())), scenario.run)
    WK.filtered(run.time_s, 1e-3)
    # The run compiles nothing more: whatever it calls is found among what is kept.
    assert misses() == before
    assert all(function.signatures or any(function._entries.values()) for function in ALL)


def misses():
    """Return how often each was not found among what is kept, and so compiled by this process."""
    return [sum(function.stats.cache_misses.values()) for function in ALL]


@pytest.mark.hours  # it compiles a block, a third of a minute
def test_types_are_those_of_a_block():
    ahead.compiled_ahead(lambda: None, False, "single")
    before = list(narrow_block().signatures)
    scenario = sim.load(SCENARIO)
    (outcome,) = Track(scenario.run, ["ride_wk_driver"], precision="single").outcomes([scenario.setups["two front"]])
    assert outcome.values
    assert narrow_block().signatures == before


def test_other_work_is_done_meanwhile(monkeypatch):
    done = []
    for name in ("_single_run", "_roads_and_filters"):
        monkeypatch.setattr(ahead, name, lambda name=name: done.append(name))
    ahead.compiled_ahead(lambda: done.append("meanwhile"))
    assert done == ["_roads_and_filters", "meanwhile", "_single_run"]  # of this process, which is not a command
