"""The kernel for browsers runs as the native one: every demo scenario, and what sliders change as if it stood in the file."""

from pathlib import Path

import numpy as np
import pytest

import sim
from sim.show.pages.simulator.bundle import Choice
from sim.show.pages.simulator.calls import call_of
from tests.show.pages.in_node import SHARE, apart, in_node, native, needs_node

pytestmark = needs_node

SCENARIOS = Path(__file__).parents[3] / "scenarios"
OF_HOURS = {"tune_for_rock_and_heat", "two_or_four_heat", "what_tube_size", "will_they_fade"}
"""Scenarios whose question takes hours of track: dampers that warm are no single run of the kernel."""


SHORT = {"two_or_four", "brake_from_speed", "push_on_the_bumper"}
"""One of each way that the kernel is run; the others are asked for by `-m long`."""


@pytest.mark.parametrize(
    "path",
    [
        pytest.param(path, id=path.stem, marks=() if path.stem in SHORT else pytest.mark.long)
        for path in sorted(SCENARIOS.glob("*.yaml"))
    ],
)
def test_demo_scenario_runs_as_here(path, tmp_path):
    scenario = sim.load(path)
    if scenario.run.way == "hours":
        assert path.stem in OF_HOURS
        return
    choices = [Choice({"setup": name}, call_of(setup, scenario.run)) for name, setup in scenario.setups.items()]
    # Written before the native run, which leaves its last state in what it was given.
    pages = in_node(tmp_path, choices)
    for choice, page in zip(choices, pages, strict=True):
        here = native(choice.call)
        assert len(here) > 100  # it has moved at all
        assert apart(here, page).max() < SHARE, choice.chosen


def valving(compression_low, compression_high, rebound_low, rebound_high):
    """Return the change to a file that gives the front dampers a knee curve with these slopes [kN s/m]."""
    sides = {
        "compression": {"low": f"{compression_low} kN s/m", "knee": "0.12 m/s", "high": f"{compression_high} kN s/m"},
        "rebound": {"low": f"{rebound_low} kN s/m", "knee": "0.12 m/s", "high": f"{rebound_high} kN s/m"},
    }
    return {"front.dampers.main.valving": {"kind": "knee", **sides}}


MOVED = {
    "two_or_four": [
        ((1.5, 1.0, 1.0, 1.0), valving(2.85, 0.9, 5.2, 1.9)),
        ((1.0, 2.0, 1.0, 1.0), valving(1.9, 1.8, 5.2, 1.9)),
        ((1.0, 1.0, 0.5, 1.0), valving(1.9, 0.9, 2.6, 1.9)),
        ((1.0, 1.0, 1.0, 0.0), valving(1.9, 0.9, 5.2, 0.0)),
        ((1.0, 0.0, 0.5, 2.0), valving(1.9, 0.0, 2.6, 3.8)),
    ],
    # A braking front end hardly extends its dampers, so the rebound stays as it is past its knee.
    "brake_from_speed": [
        ((1.5, 1.0, 1.0, 1.0), valving(2.85, 0.9, 5.2, 1.9)),
        ((0.5, 2.0, 0.5, 1.0), valving(0.95, 1.8, 2.6, 1.9)),
    ],
}
"""Factors of the front dampers' sliders, and the same change as it is written in a file."""


@pytest.mark.parametrize("scenario", MOVED)
def test_sliders_change_a_curve_as_the_file_does(scenario, tmp_path):
    """Bump and rebound, below and above the knee, each by its own factor; the truck's front dampers have a knee curve."""
    changes, scenario = MOVED[scenario], sim.load(SCENARIOS / f"{scenario}.yaml")
    own = call_of(scenario.vehicle, scenario.run)
    asked = [(0, [factors, (1.0,) * 4], None) for factors, _ in changes]
    pages = in_node(tmp_path, [Choice({}, own)], asked)
    plain = native(own)
    for (_, change), page in zip(changes, pages, strict=True):
        here = native(call_of(scenario.vehicle.changed(change), scenario.run, parts=own.given["every"]))
        assert apart(here, page).max() < SHARE, change
        assert apart(here, plain).max() > 1e-4  # the change was one


def test_fewer_outputs_are_the_same_run(tmp_path):
    """Written at every fourth step only, what is drawn is the same run, output by output."""
    scenario = sim.load(SCENARIOS / "two_or_four.yaml")
    own = call_of(scenario.vehicle, scenario.run)
    every = own.given["every"]
    whole, fourth = in_node(tmp_path, [Choice({}, own)], [(0, None, None), (0, None, 4 * every)])
    assert np.array_equal(whole[::4], fourth)
