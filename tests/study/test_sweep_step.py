"""A large sweep chooses its step by trial: what it then says, and whether points that were not tried bear it out."""

from dataclasses import replace
from math import inf
from pathlib import Path

import numpy as np
import pytest

import sim
import sim.study.sweep.step as module
from sim.study.sweep.axes import axis
from sim.study.sweep.step import OF_SPAN, TRIED, tried
from sim.study.sweep.sweep import sweep

SCENARIO = Path("scenarios/two_or_four.yaml")
MEASURES = ["ride_wk_driver", "front_tyre_load_variation"]


def asked(setups=1):
    scenario = sim.load(SCENARIO)
    return replace(scenario, setups=dict(list(scenario.setups.items())[-setups:]))


def low(points):
    return axis("front.dampers.main.valving.compression.low", "0.5 kN s/m", "2.5 kN s/m", points)


def test_points_that_were_not_tried_are_no_farther_off(tmp_path, monkeypatch):
    """The trial is of five points; at all others of the map half of the step moves as little of its range."""
    monkeypatch.setattr("sim.study.sweep.sweep.MANY", 40)
    scenario = asked()
    chosen = sweep(scenario, [low("40")], MEASURES, tmp_path / "chosen", workers=1)
    assert chosen.tried.suits
    assert chosen.tried.points == len(TRIED[1])
    whole = sweep(scenario, [low("40")], MEASURES, tmp_path / "whole", workers=1, coarse=True)
    half = sweep(scenario, [low("40")], MEASURES, tmp_path / "half", workers=1, coarse=False)
    assert whole.tried is None is half.tried
    for setup, rows in half.values.items():
        for name, fine in rows.items():
            assert np.array_equal(chosen.values[setup][name], whole.values[setup][name])
            assert not np.array_equal(fine, whole.values[setup][name])
            assert np.ptp(fine) > 1e-3 * fine.max()
            assert np.abs(fine - whole.values[setup][name]).max() <= 2.0 * OF_SPAN * np.ptp(fine)


def test_a_step_that_is_off_is_not_taken(tmp_path, monkeypatch):
    monkeypatch.setattr("sim.study.sweep.sweep.MANY", 20)
    monkeypatch.setattr(module, "OF_SPAN", 1e-9)
    monkeypatch.setattr(module, "OF_VALUE", 0.0)
    scenario = asked()
    chosen = sweep(scenario, [low("20")], MEASURES, tmp_path / "chosen", workers=1)
    half = sweep(scenario, [low("20")], MEASURES, tmp_path / "half", workers=1, coarse=False)
    assert not chosen.tried.suits
    assert 0.0 < chosen.tried.share < inf
    for setup, rows in half.values.items():
        for name, fine in rows.items():
            assert np.array_equal(chosen.values[setup][name], fine)
    label = "Front tyre load: variation"
    said = chosen.tried.sentence({chosen.tried.measure: label})
    assert said.startswith("Run in steps half as long as the longest")
    assert f"{label} by {100 * chosen.tried.share:.1g} % of its range at 5 points tried" in said


@pytest.mark.parametrize(
    ("whole", "half"),
    [
        ({"values": {"a": 1.0}, "flags": []}, {"values": {"a": 1.0}, "flags": [["bottomed", "", "", 0.0, 0.0, ""]]}),
        ({"values": {"a": None}, "flags": []}, {"values": {"a": 1.0}, "flags": []}),
        ({"values": {"a": 1.0}, "flags": []}, {"why": "it cannot stand", "flags": []}),
    ],
)
def test_a_fault_or_a_value_that_one_step_has_alone_is_a_step_too_long(whole, half, monkeypatch):
    class Points:
        def __init__(self, scenario, axes, measures, coarse, precision):
            self.entry = whole if coarse else half

        def parts(self, places):
            return [list(places)]

        def solved(self, part):
            return [self.entry for _ in part]

    monkeypatch.setattr(module, "Points", Points)
    found = tried(asked(), [low("40")], ["a"])
    assert not found.suits
    assert found.sentence({}) == (
        "Run in steps half as long as the longest that the set-ups bear: the longest change what is flagged or has a value at 5 points tried."
    )


@pytest.mark.parametrize(
    ("of_off", "span", "suits", "words"),
    [
        # Off by a fifth of what is allowed of the span; by nothing; nothing that the input moves; a rounding beside a span as small; an eighth of the span.
        (1e-3, 1.0, True, "no value by more than 0.1 % of its range at 5"),
        (0.0, 1.0, True, "steps half as long move no value at 5 points"),
        (5e-6, 0.0, True, "no value by more than single precision can tell at 5"),
        (5e-6, 1e-5, True, "no value by more than single precision can tell at 5"),
        (0.125, 1.0, False, "the longest change a by 12 % of its range at 5"),
    ],
)
def test_a_value_that_hardly_moves_is_no_share_of_its_range(of_off, span, suits, words, monkeypatch):
    class Points:
        def __init__(self, scenario, axes, measures, coarse, precision):
            self.off = of_off if coarse else 0.0

        def parts(self, places):
            return [list(places)]

        def solved(self, part):
            ends = np.linspace(1.0 - span, 1.0, len(part))
            return [{"values": {"a": float(value) + self.off}, "flags": []} for value in ends]

    monkeypatch.setattr(module, "Points", Points)
    found = tried(asked(), [low("40")], ["a"])
    assert found.suits is suits
    assert words in found.sentence({})


def test_both_axes_are_tried_at_corners_and_between_in_each_set_up():
    maps = [low("30"), axis("front.dampers.main.valving.rebound.low", "2 kN s/m", "5 kN s/m", "20")]
    found = tried(asked(2), maps, MEASURES)
    assert found.points == 2 * 9
    assert found.suits
    assert 0.0 < found.share <= OF_SPAN


def test_few_points_are_run_at_half_of_it_as_ever(tmp_path):
    assert sweep(asked(), [low("3")], MEASURES, tmp_path / "few", workers=1).tried is None
