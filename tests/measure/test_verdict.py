"""Comparisons whose verdict is known, worked out by hand from the table of smallest noticed differences in docs/reading-results.md.

The sizes: a little from once the smallest difference, clearly from twice, much from four times; a share is of the smaller figure.
"""

from dataclasses import replace
from math import inf, nan

import pytest

from sim.measure import measures_for
from sim.measure.band import Band
from sim.measure.noticed import NOTICED
from sim.measure.verdict import carrying, kind_of, verdict
from tests.measure.verdicts import (
    ALL_SAME,
    GRIP,
    KNOWN,
    RIDE,
    SETTLING,
    TRAVEL,
    USUAL,
    against,
    compared,
    driven,
    run_of,
    said,
)
from tests.synthetic import synthetic_run


@pytest.mark.parametrize("name", KNOWN)
def test_known_answers(name):
    changes, different = KNOWN[name]
    assert said(changes) == ALL_SAME | different


@pytest.mark.parametrize("name", KNOWN)
def test_the_way_back_is_the_same_step(name):
    """Reference and other changed for each other: better becomes worse, and no size changes."""
    changes, _ = KNOWN[name]
    there = against(changes)
    back = verdict(compared({"other": USUAL}, base=USUAL | changes)).others["other"]
    turned = {"better": "worse", "worse": "better"}
    assert {b: (turned.get(p.outcome, p.outcome), p.size) for b, p in there.parts.items()} == {
        b: (p.outcome, p.size) for b, p in back.parts.items()
    }


NOTHING = {
    # below 0.315 m/s² nobody minds: 0.33 is 5 % more than that, 0.36 is 14 %
    "ride": (RIDE[0], 0.02, 0.33, 0.36),
    # of a tenth of a per cent off the ground the double is nothing; floor one point
    "off the ground": (GRIP[2], 0.001, 0.002, 0.013),
    # of 50 ms; floor 0.1 s
    "settling": (SETTLING[0], 0.05, 0.10, 0.16),
    # from a millimetre before the stop to a millimetre into it
    "travel": (TRAVEL[0], 0.001, -0.001, -0.007),
    "nothing at all": (GRIP[3], 0.0, 0.009, 0.011),
}


@pytest.mark.parametrize("name", NOTHING)
def test_near_nothing_a_share_says_nothing(name):
    figure, value, unnoticed, noticed = NOTHING[name]
    block = {RIDE[0]: "ride", SETTLING[0]: "settling", TRAVEL[0]: "travel"}.get(figure, "grip")
    base = USUAL | {figure: value}
    assert said({figure: unnoticed}, base=base)[block] == "same"
    assert said({figure: noticed}, base=base)[block] == "a little worse"


@pytest.mark.parametrize(
    ("changes", "standing"),
    [
        ("equal", "same"), ("better everywhere", "better"), ("worse everywhere", "worse"), ("a trade-off", "trade-off"),
        ("better in front, worse behind", "trade-off"), ("ride 11 % rougher", "worse"), ("settling is not known", "same"),
    ],
)  # fmt: skip
def test_standing(changes, standing):
    assert against(KNOWN[changes][0]).standing == standing


# --- doubt ---------------------------------------------------------------------------------------

DOUBTED = {
    # ride 1.30 against 1.00: smallest noticed 0.1
    "certain": (1.30, Band(0.29, 0.31), "clearly worse"),
    "the band holds zero": (1.30, Band(-0.05, 0.65), "same too close to call"),
    "the band touches zero": (1.30, Band(0.0, 0.60), "same too close to call"),
    "worse in all of a wide band": (1.30, Band(0.01, 0.60), "clearly worse"),
    "under what is noticed in the whole band": (1.02, Band(-0.05, 0.09), "same"),
    "under what is noticed, but perhaps not": (1.02, Band(-0.05, 0.12), "same too close to call"),
    "under what is noticed, surely worse": (1.05, Band(0.02, 0.08), "same"),
    "equal, but who knows": (1.00, Band(-0.30, 0.30), "same too close to call"),
    "better, certainly": (0.70, Band(-0.35, -0.25), "much better"),
    # the run of the central values lies outside of what the draws come to: the band decides
    "seems rougher, surely smoother": (1.12, Band(-0.35, -0.25), "clearly better"),
    "seems smoother, surely rougher": (0.85, Band(0.15, 0.50), "a little worse"),
    "seems the same, surely rougher": (1.00, Band(0.25, 0.60), "clearly worse"),
    "seems much rougher, surely unnoticed": (1.50, Band(0.02, 0.08), "same"),
}


@pytest.mark.parametrize("name", DOUBTED)
def test_doubt(name):
    value, band, expected = DOUBTED[name]
    assert said({RIDE[0]: value}, doubt={RIDE[0]: band})["ride"] == expected


def test_a_band_that_ends_at_nought_holds_it():
    exact = {RIDE[0]: 0.0}
    for band in (Band(0.0, 0.60), Band(-0.60, 0.0)):
        assert said({RIDE[0]: 1.30}, doubt={RIDE[0]: band}, errors=exact)["ride"] == "same too close to call"


def test_a_figure_in_doubt_does_not_undo_one_that_is_certain():
    doubt = {RIDE[0]: Band(-0.5, 1.0)}
    assert said({RIDE[0]: 1.30, RIDE[1]: 2.50}, doubt=doubt)["ride"] == "clearly worse"


def test_numerical_error_is_a_doubt_too():
    """1.30 against 1.00, each known to 0.16 only: the difference may be nothing."""
    assert said({RIDE[0]: 1.30}, errors={RIDE[0]: 0.16})["ride"] == "same too close to call"
    assert said({RIDE[0]: 1.30}, errors={RIDE[0]: 0.10})["ride"] == "clearly worse"
    # on top of what the doubt leaves
    band = {RIDE[0]: Band(0.05, 0.55)}
    assert said({RIDE[0]: 1.30}, doubt=band, errors={RIDE[0]: 0.02})["ride"] == "clearly worse"
    assert said({RIDE[0]: 1.30}, doubt=band, errors={RIDE[0]: 0.03})["ride"] == "same too close to call"
    # one step settles within the run and the other does not
    assert said({SETTLING[0]: 0.5}, errors={SETTLING[0]: inf})["settling"] == "same too close to call"


def test_doubt_of_the_comparison_is_taken():
    comparison = compared({"other": {RIDE[0]: 1.30}})
    doubted = replace(comparison, doubt={"other": {RIDE[0]: Band(-1.0, 1.0)}})
    assert verdict(comparison).others["other"].parts["ride"].outcome == "worse"
    assert verdict(doubted).others["other"].parts["ride"].outcome == "too close to call"


# --- nan and inf ---------------------------------------------------------------------------------


def test_both_not_reached_is_the_same():
    assert said({}, base=USUAL | {SETTLING[0]: inf})["settling"] == "same"
    change = against({}, base=USUAL | {SETTLING[0]: inf}).parts["settling"].changes[0]
    assert change.difference == 0.0


def test_settling_at_last_is_much_better():
    assert said({SETTLING[0]: 3.0}, base=USUAL | {SETTLING[0]: inf})["settling"] == "much better"


def test_what_no_set_up_has_is_no_block():
    found = verdict(compared({"other": {SETTLING[0]: nan}}, base=USUAL | {SETTLING[0]: nan}))
    assert set(found.others["other"].parts) == {"grip", "ride", "travel"}


# --- set-ups that coincide -----------------------------------------------------------------------


def test_equal_set_ups_coincide():
    found = verdict(compared({"twin": {}, "other": {RIDE[0]: 1.2}, "its twin": {RIDE[0]: 1.2}}))
    assert found.others["twin"].coincides == ("as it is",)
    assert found.others["other"].coincides == ("its twin",)


def test_less_than_is_printed_coincides_and_more_does_not():
    """Ride is printed to 0.01 m/s²."""
    assert against({RIDE[0]: 1.001}).coincides == ("as it is",)
    assert against({RIDE[0]: 1.02}).coincides == ()
    # nearer than their numerical errors
    assert against({RIDE[0]: 1.02}, errors={RIDE[0]: 0.011}).coincides == ("as it is",)


def test_one_figure_apart_outside_the_blocks_is_enough():
    assert against({"pitch_nose_up": 0.1}, base=USUAL | {"pitch_nose_up": 0.05}).coincides == ()


def test_a_damper_set_more_is_another_truck():
    comparison = compared({"other": {}})
    row = dict(comparison.values["other"])
    del row["front_main_power"]
    values = comparison.values | {"other": row}
    assert verdict(replace(comparison, values=values)).others["other"].coincides == ()


# --- which measures carry a block ----------------------------------------------------------------


def names(run):
    found = carrying(measures_for(run), kind_of(run))
    return {block: tuple(one.name for one in those) for block, those in found.items()}


def test_blocks_of_a_course():
    assert names(run_of()) == {
        "wind-up": (),
        "grip": GRIP,
        "ride": RIDE,
        "travel": (*TRAVEL, "front_droop_at_ride", "rear_droop_at_ride"),
        "settling": SETTLING,
    }


def test_on_the_spot_nobody_asks_for_grip_and_ride_and_bobs_come_first():
    found = names(run_of(speed_m_per_s=0.0))
    assert found["grip"] == found["ride"] == ()
    assert found["settling"] == ("front_body_cycles", "rear_body_cycles", "body_settling_time")


def test_half_a_bob_is_noticed():
    base = {"front_body_cycles": 1.0, "rear_body_cycles": 0.5, "body_settling_time": 1.0}
    for cycles, expected in ((1.0, "same"), (1.5, "a little worse"), (2.0, "clearly worse"), (3.0, "much worse")):
        assert said({"front_body_cycles": cycles}, base=base, speed_m_per_s=0.0)["settling"] == expected


def test_launches_and_stops_are_judged_by_slip_hop_and_wind_up():
    launch, stop = names(driven(in_gear=True)), names(driven(in_gear=False))
    of_both = ("sliding", "traction_swing", "tyre_off_ground")
    assert set(launch["grip"]) == {f"{axle}_{name}" for axle in ("front", "rear") for name in of_both}
    assert launch["wind-up"][:2] == ("front_pinion_down", "rear_pinion_up")  # a front pinion points back
    assert next(iter(launch)) == "wind-up"  # what a launch is run to ask stands before travel
    assert stop["grip"][0] == "stopping_distance"
    assert stop["wind-up"][:2] == ("front_pinion_up", "rear_pinion_down")
    assert "pitch_nose_down" in stop["travel"]
    of_hop = tuple(f"{axle}_{what}" for what in ("hop_swing", "hop_time", "wind_up_left") for axle in ("front", "rear"))
    assert launch["wind-up"][2:] == stop["wind-up"][2:] == of_hop
    assert launch["settling"] == stop["settling"] == ()


@pytest.mark.parametrize("run", [synthetic_run("four dampers"), run_of(0.0), driven(True), driven(False)], ids=kind_of)
def test_every_claim_can_be_said_and_judged(run):
    for measure in measures_for(run):
        assert measure.quantity in NOTICED, measure.name  # titles of pages judge it, whether or not it carries a block
        if measure.carries:
            assert measure.better in ("less", "more")
            assert (measure.carries.noticed or measure.quantity) in NOTICED
            assert len(measure.carries.never.split(" ")) == 2
            for text in (measure.carries.better, measure.carries.worse):
                assert text.format(share="x", change="x", to="x", of="x", pace="x") != text


def test_every_smallest_difference_has_a_source():
    for name, noticed in NOTICED.items():
        assert noticed.source, name
        assert noticed.share >= 0.0 < noticed.floor
    # 10 to 13 % of whole-body vibration (Mansfield and Griffin 2000, from memory)
    assert 0.10 <= NOTICED["acceleration"].share <= 0.13
