"""The demo's scenarios about dampers: what they read is what the commands write, and what they claim holds."""

from pathlib import Path

import numpy as np
import pytest

from sim.describe.files.scenario import load
from sim.integrate.simulation import simulate
from sim.study.compare import compare
from sim.study.convert import converted
from sim.study.fit import fits
from tests.describe.parts.dampers import MONOTUBE

pytestmark = pytest.mark.long  # whole commands and studies, over and over: seconds each

SCENARIOS = (
    "as_ordered_or_returned",
    "one_drilled_washer",
    "four_each_how",
    "lean_them_in",
    "right_length",
    "stroke_left",
)


@pytest.mark.parametrize("name", SCENARIOS)
def test_runs_within_what_the_model_is_valid_for(name):
    comparison = compare(load(f"scenarios/{name}.yaml"))
    assert not [flag.sentence for run in comparison.runs.values() for flag in run.flags]


def test_files_of_the_four_are_those_of_the_conversion():
    setups = load("scenarios/four_each_how.yaml").setups
    found = {
        c.member.name: c
        for c in converted(setups["two front"], setups["four on new brackets"])
        if c.member.axle == "front"
    }
    for name, damper in setups["four valved for it"].front.dampers.items():
        one = found[name]
        assert damper.valving.force(one.speed) == pytest.approx(one.compression, abs=0.01)
        assert damper.valving.force(-one.speed) == pytest.approx(-one.rebound, abs=0.01)


def test_files_that_were_read_go_into_the_record():
    scenario = load("scenarios/four_each_how.yaml")
    assert {p.name for p in scenario.sources} >= {
        "front_main_each.csv",
        "front_second_each.csv",
        "hut_supply_truck.yaml",
    }
    assert all(Path(p).exists() for p in scenario.sources)


def test_lift_with_longer_straps_is_caught():
    setups = load("scenarios/right_length.yaml").setups
    problems = {name: " ".join(p for fit in fits(vehicle) for p in fit.problems) for name, vehicle in setups.items()}
    assert problems["as it was"] == problems["lifted, longer dampers, taller bump stops"] == ""
    assert "becomes the limit strap" in problems["lifted, longer straps"]
    assert "becomes the bump stop" in problems["lifted, longer dampers"]


def test_a_third_more_force_makes_up_for_30_degrees():
    """Force by 1/cos of the added lean and knee speeds by cos: the same wheel within a hundredth of the travel."""
    scenario = load("scenarios/lean_them_in.yaml")
    first, second = (
        simulate(scenario.setups[n], scenario.run)
        for n in ("nearly upright, as fitted", "leaned 30 deg, a third more force")
    )
    assert np.max(np.abs(first.front.jounce_m - second.front.jounce_m)) < 0.03 * np.ptp(first.front.jounce_m)


@pytest.mark.parametrize(("pressure", "flagged"), [("1 bar", True), ("60 bar", False)])
def test_want_of_gas_is_flagged(pressure, flagged):
    law = {**MONOTUBE, "tube": {**MONOTUBE["tube"], "gas_pressure": pressure}}
    scenario = load("scenarios/two_or_four.yaml")
    truck = scenario.vehicle.changed({"front.dampers.main.valving": law, "front.dampers.main.gas_force": "none"})
    run = simulate(truck, scenario.run)
    kinds = [flag.kind for flag in run.flags]
    assert ("cavitation" in kinds) == flagged
    if flagged:
        sentence = next(flag.sentence for flag in run.flags if flag.kind == "cavitation")
        assert "its gas is at 1.00 bar" in sentence
        assert "Charge it higher" in sentence
