"""What is out of the usual is said once: of all set-ups together where all are so, then of those that are so alone."""

import pytest

from sim.describe.good import GOOD, Placed
from sim.describe.to_measure import rests_on_estimate, to_be_measured
from sim.show.report.placed import unusual


def placed_at(kind, value):
    return Placed(kind, GOOD[kind], "front", "", value)


SLOW, STIFF, USUAL = placed_at("hop_frequency", 7.6), placed_at("body_damping", 0.74), placed_at("hop_frequency", 9.0)


def said(placed):
    return placed.sentence


@pytest.mark.parametrize(
    ("placed", "sentences"),
    [
        ({"one": [SLOW]}, [f"“one”: {said(SLOW)}."]),
        ({"one": [SLOW], "other": [SLOW]}, [f"With every set-up: {said(SLOW)}."]),
        (
            {"one": [SLOW], "stiff": [SLOW, STIFF], "other": [SLOW, USUAL]},
            [f"With every set-up: {said(SLOW)}.", "“one”, “other”: nothing else.", f"“stiff”: {said(STIFF)}."],
        ),
        ({"one": [USUAL], "stiff": [STIFF]}, ["“one”: all as usual in the trade.", f"“stiff”: {said(STIFF)}."]),
        ({"one": [USUAL], "other": [USUAL]}, ["“one”, “other”: all as usual in the trade."]),
        ({}, []),
    ],
)
def test_what_is_so_with_every_setup_is_said_once(placed, sentences):
    assert unusual(placed) == sentences


def test_two_limits_that_nobody_measured_are_one_request():
    paths = frozenset({"front.stop.gap", "front.strap.length"})
    measures = ["front_left_to_strap", "front_left_to_stop", "rear_left_to_stop", "front_left_to_stop"]
    assert to_be_measured(rests_on_estimate(paths, measures)) == (
        " (the length of the strap and the gap to the stop are estimated: measure them)"
    )
    assert to_be_measured(rests_on_estimate(paths, measures[1:])) == " (the gap to the stop is estimated: measure it)"
    assert not to_be_measured(rests_on_estimate(paths, ["rear_left_to_stop", "front_time_off"]))
