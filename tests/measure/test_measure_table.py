from dataclasses import replace
from math import inf, isnan, nan

import numpy as np
import pytest

from sim.describe.shown import SHOWN
from sim.integrate.status import Flag
from sim.measure import Measure, measures_for
from sim.measure.table import ERROR_LIMIT, FLOORS, evaluate, evaluated
from tests.synthetic import refined, still_run, synthetic_run, with_axle

TIME = np.arange(1001) * 1e-3


def judged(value, finer, quantity="length"):
    """One measure that says `value` of a run and `finer` of its finer twin."""
    fine = still_run(TIME)
    run = replace(fine, coarse=fine)
    measure = Measure("m", "M", quantity, "less", lambda given: finer if given is fine else value, "for this test")
    return evaluated(measure, run)


def test_every_quantity_has_a_floor_and_can_be_shown():
    quantities = {measure.quantity for measure in measures_for(synthetic_run("four dampers"))}
    assert quantities - {"count"} <= set(FLOORS)
    assert quantities <= set(SHOWN)


@pytest.mark.parametrize(
    ("value", "finer", "quantity", "flagged"),
    [
        (0.1, 0.1 * (1 + 0.9 * ERROR_LIMIT), "length", False),
        (0.1, 0.1 * (1 + 1.1 * ERROR_LIMIT), "length", True),
        (0.1, 0.1 * (1 - 1.1 * ERROR_LIMIT), "length", True),
        (-0.1, -0.1 * (1 + 1.1 * ERROR_LIMIT), "length", True),
        (0.0, 0.9e-5, "length", False),  # noise about nothing
        (0.0, 1.1e-5, "length", True),
        (0.0, 0.9, "force", False),
        (0.0, 1.1, "force", True),
        (2.0, 2.0, "count", False),
        (2.0, 3.0, "count", True),
        (200.0, 201.0, "count", True),
        (2.0, 2.5, "number", True),  # half a cycle more
        (nan, nan, "length", False),
        (nan, 0.1, "length", True),
        (0.1, nan, "length", True),
        (inf, inf, "time", False),
        (inf, 3.0, "time", True),
        (3.0, inf, "time", True),
    ],
)
def test_flags(value, finer, quantity, flagged):
    assert judged(value, finer, quantity).flagged is flagged


def test_error_is_the_difference_to_the_finer_run():
    found = judged(0.2, 0.19)
    assert found.value == 0.2
    assert found.error == pytest.approx(0.01)
    assert judged(nan, nan).error == 0.0
    assert judged(inf, 2.0).error == inf


def test_without_a_finer_run_no_error_is_known():
    found = evaluate(still_run(TIME))["front_bump_used"]
    assert isnan(found.error)
    assert not found.flagged


def test_a_run_and_its_finer_twin_agree():
    values = evaluate(synthetic_run("two dampers"))
    assert not [name for name, value in values.items() if value.flagged]
    assert values["front_tyre_load_highest"].error == pytest.approx(
        1e-6 * values["front_tyre_load_highest"].value, rel=1e-6
    )


def test_a_finer_twin_that_differs_is_noticed_where_it_differs():
    run = synthetic_run("two dampers")
    run = replace(run, coarse=refined(run, error=5e-3))
    values = evaluate(run)
    assert values["front_tyre_load_highest"].flagged
    assert values["front_bump_used"].flagged
    assert values["acceleration_rms_driver"].flagged
    assert not values["front_main_power"].flagged  # the twin's dampers are the same


def test_counts_that_differ_are_flagged():
    run = still_run(TIME)
    hit = with_axle(run, "front", stop_force_n=np.where((TIME > 0.5) & (TIME < 0.6), 10.0, 0.0))
    value = evaluate(replace(hit, coarse=run))["front_stop_hits"]
    assert (value.value, value.error, value.flagged) == (1.0, 1.0, True)


@pytest.mark.parametrize("which", ["coarse", "fine"])
def test_nothing_of_a_run_that_blew_up_is_trusted(which):
    flag = Flag("not_finite", 0.4, "body", "It blew up.")
    fine = still_run(TIME, flags=(flag,) if which == "fine" else ())
    run = still_run(TIME, flags=(flag,) if which == "coarse" else (), coarse=fine)
    values = evaluate(run)
    assert values
    assert all(value.flagged for value in values.values())


@pytest.mark.parametrize("huge", [1e200, inf, nan])
def test_a_run_that_blew_up_can_still_be_measured(huge):
    wild = np.where(TIME > 0.4, huge, 0.0) if np.isfinite(huge) else np.r_[TIME[:-1] * 0, huge]
    run = still_run(
        TIME, bounce_m=wild, pitch_nose_up_rad=wild, acceleration_m_per_s2={"driver": wild},
        flags=(Flag("not_finite", 1.0, "body", "It blew up."),),
    )  # fmt: skip
    run = with_axle(run, "front", tyre_load_n=wild, jounce_m=wild, wheel_height_m=wild)
    values = evaluate(replace(run, coarse=run))
    assert all(value.flagged for value in values.values())
    assert not any(np.isinf(value.value) for value in values.values())


def test_a_run_of_one_sample_can_be_measured():
    values = evaluate(still_run(TIME[:1]))
    assert isnan(values["bounce_overshoot"].value)
    assert isnan(values["front_tyre_off_ground"].value)
    assert values["pitch_nose_up"].value == 0.0


def test_measures_can_be_chosen():
    run = still_run(TIME)
    chosen = [measure for measure in measures_for(run) if measure.quantity == "count"]
    assert list(evaluate(run, chosen)) == [measure.name for measure in chosen]
