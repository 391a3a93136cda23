from dataclasses import FrozenInstanceError
from math import isnan

import numpy as np
import pytest

from sim.measure import MEASURES, driving, holding, hop, measures_for
from sim.measure.table import evaluate
from tests.synthetic import still_run, synthetic_comparison, synthetic_run

TIME = np.arange(1001) * 1e-3
EVERY = measures_for(synthetic_run("four dampers"))


def test_names_and_labels_are_unique():
    for of in ("name", "label"):
        names = [getattr(measure, of) for measure in EVERY]
        assert len(set(names)) == len(names)


@pytest.mark.parametrize("measure", EVERY, ids=lambda measure: measure.name)
def test_a_measure_says_what_it_is(measure):
    assert measure.label
    assert measure.note.endswith(".")
    assert measure.better in ("less", "more", None)
    assert isinstance(measure.of(synthetic_run("four dampers")), float)


@pytest.mark.parametrize("measure", EVERY, ids=lambda measure: measure.name)
def test_a_truck_that_stands_still_has_done_nothing(measure):
    value = measure.of(still_run(TIME))
    left = {  # what says how the truck stands, not how it moved
        "tyre_load_lowest", "tyre_load_highest", "tyre_load_lowest_share", "left_to_stop",
        "left_to_strap", "left_to_extended", "left_to_collapsed", "droop_at_ride",
    }  # fmt: skip
    if measure.name.partition("_")[2] in left:
        assert value != 0.0
    else:
        assert abs(value) < 1e-12 or isnan(value)


def test_every_family_has_measures():
    for family in MEASURES:
        held = family(synthetic_run("two dampers"))
        # Of runs that drive, in tests/integrate/test_driving.py; of bumps that push back, in tests/integrate/test_road_pushes_back.py.
        assert held or family in (driving.measures, holding.measures, hop.measures)


def test_several_runs_have_each_measure_once_in_the_order_of_families():
    runs = synthetic_comparison(3).runs
    union = [measure.name for measure in measures_for(*runs.values())]
    assert union == [measure.name for measure in EVERY]  # four dampers have them all
    assert measures_for(runs["bare springs"], runs["two dampers"]) != ()


def test_measures_of_another_setup_are_answered_with_no_value():
    bare = evaluate(synthetic_run("bare springs"), EVERY)
    assert set(bare) == {measure.name for measure in EVERY}
    assert isnan(bare["front_second_power"].value)


def test_measures_are_frozen():
    with pytest.raises(FrozenInstanceError):
        EVERY[0].name = "other"
