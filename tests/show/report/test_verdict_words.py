"""The verdict in words: what is said first, who is spoken of, and how a change is written."""

from dataclasses import replace
from math import inf, nan
from types import SimpleNamespace

import pytest

from sim.integrate.status import Flag
from sim.measure import measures_for
from sim.measure.alone import alone
from sim.measure.band import Band
from sim.measure.judged import Unsafe
from sim.measure.table import Value
from sim.measure.verdict import carrying, changed, part_of, verdict
from sim.show.report.brief import brief
from sim.show.report.verdict_table import cell, coinciding
from sim.show.report.verdict_words import headline
from tests.measure.verdicts import BOTTOMED, BROKE, GRIP, RIDE, SETTLING, TRAVEL, USUAL, compared, driven


def title(others, doubt=None, **more):
    return headline(verdict(compared(others, **more), doubt)).replace("“", "").replace("”", "")


def one(changes, **more):
    """Return what is said of one set-up, without what every title has."""
    return title({"other": changes}, **more).removeprefix("Against as it is, other ").partition("; ")[0]


def test_a_trade_off_in_one_sentence():
    said = title({"four": {RIDE[0]: 1.12, SETTLING[0]: 0.52}, "same": {}})
    assert (
        said == "Against as it is, four settles in half the time but rides 12 % rougher; grip and travel are the same"
    )


def test_better_everywhere_and_worse_everywhere():
    assert one({RIDE[0]: 0.8, SETTLING[0]: 0.7}) == "rides 20 % smoother and settles in 30 % less time"
    assert (
        one({RIDE[0]: 1.5, TRAVEL[1]: 0.0046})
        == "rides 50 % rougher and leaves 25 mm (1.0 in) less travel to its rear bump stops"
    )


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({GRIP[0]: 0.30}, "swings the load of the front tyres 25 % less"),
        ({GRIP[3]: 0.124}, "has the rear tyres off the ground 12 % of the time, not 5.0 %"),
        ({RIDE[1]: 2.5}, "has a worst second 25 % rougher"),
        ({TRAVEL[2]: 3.0}, "meets its front bump stops 3 times, not 0"),
        ({SETTLING[0]: 2.0}, "takes twice as long to settle"),
        ({SETTLING[0]: 1.3}, "takes 30 % longer to settle"),
        ({SETTLING[0]: 2.7}, "takes 2.7 s, not 1.0 s, to settle"),
        ({SETTLING[0]: inf}, "does not settle within the run"),
    ],
)
def test_figures(changes, words):
    assert one(changes) == words


def test_in_how_many_tries_a_figure_has_no_end_is_said_in_words_of_the_trade():
    """63 % longer with the numbers as written; in 40 of 128 draws it does not settle within the run, so nothing says how much longer."""
    comparison = compared({"soft": {SETTLING[0]: 1.63}})
    found = verdict(comparison, {"soft": {SETTLING[0]: Band(0.4, inf, 40, 128)}})
    word, figure = cell(found, "soft", "settling")
    assert word == "worse"
    assert figure == "takes 63 % longer to settle (in 40 of 128 tries one of the two does not settle within the run)"
    assert figure in headline(found)
    known = verdict(comparison, {"soft": {SETTLING[0]: Band(0.4, 0.9, 0, 128)}})
    assert cell(known, "soft", "settling") == ("clearly worse", "takes 63 % longer to settle")


@pytest.mark.parametrize(
    ("value", "quantity", "words"),
    # 1 in = 25.4 mm (NIST SP 811)
    [
        (0.00022, "length", "0.2 mm (0.01 in)"),
        (0.0, "length", "0 mm (0.0 in)"),
        (0.02, "time", "0.02 s"),
        (0.012, "length", "12 mm (0.5 in)"),
    ],
)
def test_a_difference_that_is_one_does_not_read_as_nought(value, quantity, words):
    assert brief(value, quantity) == words


def test_settling_at_last():
    assert one({SETTLING[0]: 3.0}, base=USUAL | {SETTLING[0]: inf}) == "settles within the run"


def test_of_nothing_no_share_is_said():
    assert one({RIDE[0]: 0.5}, base=USUAL | {RIDE[0]: 0.0}) == "rides 0.50 m/s² rougher"


def test_hardly_matters_says_by_how_much_at_most():
    said = title({"up": {RIDE[0]: 1.004, SETTLING[0]: 1.1}})
    assert said == (
        "up hardly matters: grip, ride, travel and settling are the same as with as it is (at most, it takes 10 % longer to settle)"
    )
    said = title({"up": {RIDE[0]: 1.004}, "down": {RIDE[0]: 1.05}})
    assert said.startswith("Which set-up it is hardly matters: ")
    assert said.endswith("(at most, down rides 5 % rougher)")


def test_bare_springs_do_not_make_the_dampers_matter():
    said = title({"bare": {RIDE[0]: 2.0}, "up": {RIDE[0]: 1.04}}, bare=("bare",))
    assert (
        said
        == "up hardly matters: grip, ride, travel and settling are the same as with as it is (at most, it rides 4 % rougher)"
    )
    said = title({"bare": {RIDE[0]: 2.0}, "up": {}, "down": {RIDE[0]: 1.04}}, bare=("bare",))
    assert said.startswith("Which set-up with dampers it is hardly matters: ")
    said = title({"bare": {RIDE[0]: 2.0}, "up": {}, "down": {}}, bare=("bare",))
    assert said == "Every other set-up with dampers coincides with as it is in every figure"


def test_a_second_set_up_beside_a_trade_off():
    said = title({"bare leaves": {RIDE[0]: 1.12, SETTLING[0]: 0.52}, "rusty": {RIDE[0]: 1.5, SETTLING[0]: 2.0}})
    assert said.endswith("grip and travel are the same. rusty rides 50 % rougher and takes twice as long to settle")


def test_coinciding():
    assert title({"up": {}}) == "up coincides with as it is in every figure"
    found = verdict(compared({"twin": {}, "rough": {RIDE[0]: 1.3}}))
    assert coinciding(found) == ["“as it is” and “twin” coincide in every figure."]
    assert cell(found, "twin", "ride") == ("coincides", "")


def test_too_close_to_call():
    said = title({"up": {RIDE[0]: 1.3}}, {"up": {RIDE[0]: Band(-0.2, 0.8)}})
    # Of two figures of the ride one is open: it is named, as the other is known to be the same.
    assert (
        said == "up against as it is: ride (weighted RMS) is too close to call; grip, travel and settling are the same"
    )
    both = {"up": {RIDE[0]: Band(-0.2, 0.8), RIDE[1]: Band(-0.5, 0.5)}}
    said = title({"up": {RIDE[0]: 1.3}}, both)
    assert said == "up against as it is: ride is too close to call; grip, travel and settling are the same"
    said = title({"up": {RIDE[0]: 1.3, SETTLING[0]: 0.5}}, {"up": {RIDE[0]: Band(-0.2, 0.8)}})
    assert (
        said
        == "Against as it is, up settles in half the time; ride (weighted RMS) is too close to call; grip and travel are the same"
    )


def test_of_many_open_figures_the_first_is_named_and_the_others_are_counted():
    """Three of four figures of grip are open, the fourth is known to be the same."""
    wide = {name: Band(-0.3, 0.5) for name in GRIP[:3]}
    said = title({"up": {**dict.fromkeys(GRIP[:2], 0.5), GRIP[2]: 0.1}}, {"up": wide})
    assert "grip (front tyre load and 2 more) is too close to call" in said
    said = title({"up": dict.fromkeys(GRIP[:2], 0.5)}, {"up": {name: wide[name] for name in GRIP[:2]}})
    assert "grip (front tyre load and rear tyre load) is too close to call" in said


def test_words_follow_a_band_that_leaves_out_the_run_of_central_values():
    said = title({"up": {RIDE[0]: 1.12}}, {"up": {RIDE[0]: Band(-0.35, -0.25)}})
    assert said.startswith("Against as it is, up rides 25 % smoother")


def test_an_open_figure_stands_with_its_band():
    comparison = compared({"up": {RIDE[0]: 1.3}})
    found = verdict(comparison, {"up": {RIDE[0]: Band(-0.2, 0.8)}})
    assert cell(found, "up", "ride") == ("too close to call", "weighted RMS −0.200 to +0.800 m/s²")


def test_what_is_unsafe_is_said_first():
    into_stops = {TRAVEL[0]: -0.004}
    assert title({"soft": into_stops}).startswith(
        "soft runs into its front bump stops. Against as it is, soft runs 4 mm (0.2 in) into its front bump stops, not 30 mm (1.2 in) short"
    )
    said = title({"soft": {}, "bare": {"front_left_to_strap": -0.01}}, base=USUAL | into_stops | {TRAVEL[1]: -0.001})
    assert said.startswith(
        "Every set-up runs into its front and rear bump stops; bare also draws its front limit straps taut. "
    )
    said = title({"short": {"front_damper_end_hits": 2.0}}, base=USUAL | {"front_damper_end_hits": 0.0})
    assert said.startswith("short runs front dampers to their ends. ")
    said = title({"a": into_stops, "b": into_stops})
    assert said.startswith("Each of a and b runs into its front bump stops. ")
    said = title({name: into_stops for name in "abc"})
    assert said.startswith("Every set-up but as it is runs into its front bump stops. ")


@pytest.mark.parametrize(
    ("before", "after", "words"),
    [
        (0.030, 0.005, "leaves 25 mm (1.0 in) less travel to its front bump stops"),
        (-0.030, -0.005, "squeezes its front bump stops 25 mm (1.0 in) less"),
        (-0.005, -0.030, "squeezes its front bump stops 25 mm (1.0 in) more"),
        (-0.030, 0.010, "stays 10 mm (0.4 in) short of its front bump stops, not 30 mm (1.2 in) into them"),
        (0.010, -0.030, "runs 30 mm (1.2 in) into its front bump stops, not 10 mm (0.4 in) short of them"),
    ],
)
def test_a_stop_that_is_squeezed_leaves_no_travel(before, after, words):
    assert f"other {words}; grip" in title({"other": {TRAVEL[0]: after}}, base=USUAL | {TRAVEL[0]: before})


def test_of_those_that_a_title_has_no_room_for_it_is_said_what_they_do_and_where_to_look():
    others = {
        "both": {"front_left_to_stop": -0.004, "rear_left_to_stop": -0.004},
        "front": {"front_left_to_stop": -0.004},
        "rear": {"rear_left_to_stop": -0.004},
    }
    said = title(others).partition(". ")[0]
    assert said.endswith("1 other set-up reaches a stop or another limit too, as the table shows")
    # What every set-up does is said of all: that these reach a stop is no news then.
    taut = {name: {"front_left_to_strap": -0.01 * place} for place, name in enumerate(others, 1)}
    rear = {"rear_left_to_strap": -0.01}
    figures = {"both": taut["both"] | rear, "front": taut["front"], "rear": rear}
    said = title(figures, base=USUAL | {TRAVEL[0]: -0.004}).partition(". ")[0]
    assert said.endswith("; 1 other set-up reaches another limit too, as the table shows")
    assert "less than that" not in said


def test_a_flagged_one_is_named_whatever_room_a_title_has():
    """The last of a plan is all of it together: the one that is wanted."""
    stops = Flag("on_stops", None, "rear axle", "It stands on its bump stops.")
    flags = {"lift": (BOTTOMED, stops), "cargo": (stops, BROKE), "all of it": (BOTTOMED,)}
    said = title({"lift": {}, "cargo": {}, "all of it": {}, "softer": {TRAVEL[0]: -0.004}}, flags=flags).partition(
        ". "
    )[0]
    assert said.endswith(
        "; all of it (flagged) runs a damper to its end; 1 other set-up reaches a stop or another limit too, as the table shows"
    )
    more = {f"{number} mm": {} for number in range(3)}
    flags |= dict.fromkeys(more, ())
    kinds = ("damper_end", "cavitation", "coil_bind")
    flags |= {name: (replace(BOTTOMED, kind=kind), BROKE) for name, kind in zip(more, kinds, strict=True)}
    said = title({"lift": {}, "cargo": {}, "all of it": {}, **more}, flags=flags).partition(". ")[0]
    assert said.endswith("; 2 more are flagged too")


def test_flagged_comes_before_all():
    into_stops = USUAL | {TRAVEL[0]: -0.004}
    said = title({"other": {}, "short": {}}, base=into_stops, flags={"short": (BOTTOMED,)})
    assert said.startswith("short (flagged) runs a damper to its end; every set-up runs into its front bump stops. ")
    said = title({"other": {RIDE[0]: 1.3}}, flags={"other": (BOTTOMED,)})
    assert said == (
        "other (flagged) runs a damper to its end. as it is runs no damper to its end. Nothing is judged against as it is, as the "
        "other one is flagged: change that, then compare again"
    )
    said = title({"other": {RIDE[0]: 1.3}}, flags={"as it is": (BROKE,)})
    assert said == (
        "as it is (flagged) broke down in numbers. Nothing can be judged against as it is, which is flagged: change it, then compare again"
    )


def test_what_every_set_up_is_flagged_for_is_said_once():
    """Of dampers that all meet their ends flag and figure say the same."""
    both = {"as it is": (BOTTOMED,), "longer": (BOTTOMED,)}
    said = title({"longer": {}}, base=USUAL | {TRAVEL[0]: -0.004, "front_damper_end_hits": 3.0}, flags=both)
    assert said == (
        "Every set-up (flagged) runs front dampers to their ends and runs into its front bump stops. "
        "Nothing is judged, as every set-up is flagged: change what is flagged, then compare again"
    )
    flat = replace(BOTTOMED, kind="stop_full")
    said = title({"longer": {"rear_damper_end_hits": 1.0}}, flags={"as it is": (flat,), "longer": (flat, BOTTOMED)})
    assert said.startswith(
        "Every set-up (flagged) squeezes a bump stop fully; longer also runs rear dampers to their ends. Nothing is"
    )
    front, rear = {"front_damper_end_hits": 1.0}, {"rear_damper_end_hits": 1.0}
    said = title({"longer": rear}, base=USUAL | front | {"rear_damper_end_hits": 0.0}, flags=both)
    assert said.startswith(
        "Every set-up (flagged) runs front dampers to their ends; longer also runs rear dampers to their ends. Nothing"
    )
    # Others than the same axle's are said of each.
    said = title(
        {"longer": {"front_damper_end_hits": 0.0} | rear},
        base=USUAL | front | {"rear_damper_end_hits": 0.0},
        flags=both,
    )
    assert said.startswith(
        "as it is (flagged) runs front dampers to their ends; longer (flagged) runs rear dampers to their ends. Nothing"
    )


def test_what_one_alone_is_flagged_for_and_what_it_meets_is_one_part():
    said = title({}, base=USUAL | {TRAVEL[0]: -0.004}, flags={"as it is": (replace(BOTTOMED, kind="stop_full"),)})
    assert said.startswith("as it is (flagged) squeezes a bump stop fully and runs into its front bump stops. ")


def test_who_is_free_of_what_the_reference_is_flagged_for_is_said_first():
    said = title({"cure": {RIDE[0]: 0.7}, "second": {RIDE[0]: 1.3}}, flags={"as it is": (BOTTOMED,)})
    assert said.startswith(
        "as it is (flagged) runs a damper to its end. cure and second run no damper to its end. Against as it is, cure rides 30 % smoother"
    )


def test_a_launch_says_that_the_axle_winds_up_as_far():
    """It is what a launch is asked for: unchanged it is a finding too. 6.41 and 6.35 deg are nearer than half a degree."""
    carriers = carrying(measures_for(driven(in_gear=True)), "launch")["wind-up"]
    wound = next(one for one in carriers if one.name == "rear_pinion_up")
    found = verdict(compared({"other": {RIDE[0]: 0.8}}))
    other = found.others["other"]
    change = changed(wound, Value(0.1119, 0.0, flagged=False), Value(0.1108, 0.0, flagged=False))
    parts = other.parts | {"wind-up": part_of("wind-up", [change])}
    said = headline(replace(found, others={"other": replace(other, parts=parts)}))
    assert said.endswith("rides 20 % smoother; grip, travel, settling and wind-up are the same")


def test_cells():
    found = verdict(compared({"mixed": {GRIP[0]: 0.30, GRIP[1]: 0.5}, "unknown": {RIDE[0]: nan, RIDE[1]: nan}}))
    assert cell(found, "as it is", "grip") == ("reference", "")
    assert cell(found, "mixed", "ride") == ("same", "")
    assert cell(found, "mixed", "grip") == (
        "better and worse", "swings the load of the front tyres 25 % less, swings the load of the rear tyres 25 % more",
    )  # fmt: skip
    assert cell(found, "unknown", "ride") == ("not known", "")


def test_a_difference_of_next_to_nothing_has_no_size():
    """A twentieth of nothing is nothing: "swings the load 5 % less" of what stands still reads like a finding."""
    said = title({"other": {GRIP[1]: 0.00248}}, base=USUAL | {GRIP[1]: 0.00261})
    assert said.endswith("(no figure differs by a twentieth of what a person would notice)")
    assert title({"other": {GRIP[1]: 0.37}}).endswith("(at most, it swings the load of the rear tyres 8 % less)")


def test_others_that_do_as_much_are_named_beside():
    better = {RIDE[0]: 0.8, SETTLING[0]: 0.5}
    said = title({"one": better, "two": better | {RIDE[0]: 0.81}, "three": {RIDE[0]: 0.8}})
    assert said == (
        "Against as it is, one rides 20 % smoother and settles in half the time; grip and travel are the same. two does as much"
    )
    assert title({name: better for name in "abcd"}).endswith(". b and 2 others do as much")


def test_all_that_coincide_are_meant():
    assert title({"b": {}}) == "b coincides with as it is in every figure"
    assert title({"b": {}, "c": {}}) == "Every other set-up coincides with as it is in every figure"


def test_what_has_no_stops_has_no_travel_that_is_the_same():
    said = title({"none": dict.fromkeys((*TRAVEL[:2],), nan) | {SETTLING[0]: 0.5}})
    assert said == "Against as it is, none settles in half the time; grip and ride are the same; travel is not known"


def test_one_alone():
    assert title({}) == (
        "as it is has the front tyres off the ground 5.0 % of the time, shakes the driver by 1.00 m/s² weighted RMS and settles in 1.0 s; "
        "nothing to compare it with"
    )
    assert "and does not settle within the run; nothing" in title({}, base=USUAL | {SETTLING[0]: inf})
    bobs = {"front_body_cycles": 1.0, "rear_body_cycles": 0.5, "body_settling_time": 1.0}
    assert (
        title({}, base=bobs, speed_m_per_s=0.0) == "as it is bobs once over the front axle; nothing to compare it with"
    )
    assert title({}, base={}, flags={"as it is": (BROKE,)}).endswith("as it is alone: nothing to compare it with")


@pytest.mark.parametrize(
    ("front", "rear", "said"),
    [(0.0, 0.1745329, "as it is winds its rear axle up by 10.0 deg; nothing to compare it with"), (0.0, 0.001, "as it is alone: nothing to compare it with")],
)  # fmt: skip
def test_of_one_launch_alone_it_is_said_what_it_does(front, rear, said):
    """10 deg are 0.1745 rad; less than half a degree nobody notices (docs/reading-results.md)."""
    found = verdict(compared({}))
    values = {"front_pinion_up": Value(front, 0.0, flagged=False), "rear_pinion_up": Value(rear, 0.0, flagged=False)}
    run = SimpleNamespace(runs={"as it is": SimpleNamespace(flags=())}, values={"as it is": values})
    figures = alone(run, carrying(measures_for(driven(in_gear=True)), "launch"), "as it is", "launch")
    assert headline(replace(found, alone=figures, unsafe={}), str) == said


def test_who_all_but_squeezes_a_stop_fully_is_said_by_how_much():
    found = verdict(compared({"nearly": {RIDE[0]: 0.7}}))
    flat = Unsafe((Flag("stop_full", 1.0, "front bump stops", "The front bump stops were squeezed flat."),))
    nearly = replace(found.others["nearly"], short_of_m=0.0001)
    said = headline(replace(found, unsafe={"as it is": flat}, others={"nearly": nearly}), str)
    assert (
        "fully. nearly is 0.1 mm (0.004 in) short of squeezing a bump stop fully. Against as it is, nearly rides 30 % smoother"
        in said
    )


def test_what_hardly_matters_is_not_said_of_what_nobody_knows():
    """One set-up is without stops and has no travel; the other one differs by next to nothing."""
    none = dict.fromkeys(TRAVEL, nan)
    said = headline(verdict(compared({"none": none, "soft": {RIDE[0]: 1.02}})), str)
    assert said.startswith(
        "Which set-up it is hardly matters: grip, ride and settling are the same as with as it is (at most, "
    )
    assert said.endswith("); travel is not known with none")
    both = headline(verdict(compared({"soft": {RIDE[0]: 1.02}, "firm": {RIDE[0]: 1.01}})), str)
    assert "grip, ride, travel and settling are the same" in both
    assert "not known" not in both
