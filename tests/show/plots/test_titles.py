"""Titles say what the values say; each is worked out here from the traces."""

from dataclasses import replace

import numpy as np
import pytest

from sim.measure import measures_for
from sim.measure.band import Band
from sim.measure.table import Value
from sim.show.plots import PLOTS
from sim.show.plots.finding import Finding, asked, difference_words, sentence
from sim.show.plots.swept_title import title as swept_title
from sim.study.sweep.axes import Axis
from sim.study.sweep.doubted import NOW, Told
from sim.study.sweep.sweep import Swept
from tests.show.plots.cases import BOTTOMED, BROKE, case, compared
from tests.synthetic import still_run, synthetic_comparison, with_axle

TIME = np.arange(1001) * 1e-3


def bare(text):
    """Return a title without the quotes around set-ups' names."""
    return text.replace("“", "").replace("”", "")


def title(plot: str, comparison) -> str:
    """The bold lines at the top of a page."""
    texts = PLOTS[plot](comparison).texts
    size = texts[0].get_fontsize()
    return " ".join(t.get_text() for t in texts if t.get_fontsize() == size).replace("\u00a0", " ")


def test_tyre_load_names_best_and_worst_share_on_the_ground():
    """Off the ground for 0.1 s and 0.4 s of 1 s: 90 % and 60 %, to a sample of 0.1 %."""
    runs = {}
    for name, samples in (("stiff", 400), ("soft", 100)):
        load = np.full(TIME.size, 9000.0)
        load[200 : 200 + samples] = 0.0
        runs[name] = with_axle(still_run(TIME), "front", tyre_load_n=load)
    text = title("tyre_load", compared(runs))
    assert bare(text) == "With soft the front tyres are on the ground 90.0 % of the time; with stiff 60.0 %"


def test_axle_travel_counts_stop_hits():
    runs = {}
    for name, hits in (("long stop", 3), ("short stop", 0)):
        force = np.zeros(TIME.size)
        for hit in range(hits):
            force[200 * hit + 100 : 200 * hit + 150] = 500.0
        runs[name] = with_axle(still_run(TIME), "rear", stop_force_n=force)
    text = title("axle_travel", compared(runs))
    assert bare(text) == "With short stop the rear axle never runs into its bump stops; with long stop 3 times"


def test_axle_travel_without_hits_says_what_is_left():
    """Jounce from -4 mm at rest, stop met at 88 mm: 92 mm are left to it, as nothing moves."""
    still = still_run(TIME)
    near = with_axle(still, "front", jounce_m=np.full(TIME.size, 0.080))
    text = title("axle_travel", compared({"still": still, "near": near}))
    assert (
        bare(text) == "With still the front axle keeps 92.0 mm (3.62 in) to its bump stops; with near 8.0 mm (0.31 in)"
    )


def test_road_and_wheels_says_how_far_the_wheel_rises():
    """25.4 mm and 50.8 mm are 1 in and 2 in."""
    runs = {
        name: with_axle(still_run(TIME), "rear", wheel_height_m=np.where(TIME > 0.5, height, 0.0))
        for name, height in (("a", 0.0254), ("b", 0.0508))
    }
    text = title("road_and_wheels", compared(runs))
    assert bare(text) == "With a the rear wheels rise 25 mm (1.0 in) above the road's path; with b 51 mm (2.0 in)"


def test_damper_speed():
    """1.27 m/s is 50 in/s."""
    still = still_run(TIME)
    damper = replace(still.front.dampers["main"], speed_m_per_s=-1.27 * np.sin(20 * TIME))
    fast = with_axle(still, "front", dampers={"main": damper})
    text = title("damper_force_speed", compared({"slow": still, "fast": fast}))
    assert bare(text) == "With slow the front dampers work up to 0.00 m/s (0 in/s); with fast 1.27 m/s (50 in/s)"


def test_no_dampers_is_said():
    text = title("damper_force_speed", case("no dampers"))
    assert bare(text) == "No set-up has a damper to show"


def test_bounce_tells_settling_and_who_does_not_settle():
    comparison = synthetic_comparison(2)
    values = {s: row | {"bounce_settling_time": Value(t, 0.0, False), "pitch_settling_time": Value(0.2, 0.0, False)}
              for (s, row), t in zip(comparison.values.items(), (float("inf"), 1.53), strict=True)}  # fmt: skip
    text = title("bounce_and_pitch", replace(comparison, values=values))
    assert bare(text) == (
        "With two dampers the body has stopped bouncing 1.5 s after the last disturbance; "
        "with bare springs not within the run"
    )


def test_verdict_says_what_is_traded():
    """Off the ground for 30 % and 10 % of the time, level between: load varies by sqrt(p / (1 - p)), 65 % and 33 %, half as much."""
    runs = {}
    for name, samples in (("more", 300), ("less", 100)):
        run = still_run(TIME, speed_m_per_s=7.0)
        for axle in ("front", "rear"):
            load = np.full(TIME.size, 9000.0)
            load[200 : 200 + samples] = 0.0
            run = with_axle(run, axle, tyre_load_n=load)
        runs[name] = run
    text = title("verdict", compared(runs))
    assert bare(text) == "Against more, less swings the load of the front tyres 49 % less; ride and travel are the same"
    still = {name: still_run(TIME, speed_m_per_s=7.0) for name in ("a", "b")}
    assert bare(title("verdict", compared(still))) == "b coincides with a in every figure"


@pytest.mark.parametrize("plot", PLOTS)
def test_run_that_broke_down_is_no_winner(plot):
    for name in ("nan in one", "huge in one"):
        # That it broke down is said; nothing else of it.
        said = title(plot, case(name)).replace("“bare springs” (flagged) broke down in numbers", "")
        assert "bare springs" not in said


SMALL = {measure.name: measure for measure in measures_for(still_run(TIME))}
RIDE, OFF = SMALL["ride_wk_driver"], SMALL["front_tyre_off_ground"]


def swept(rows, axes=None, told=()):
    axes = axes or (Axis("rear.dampers.main.body", np.array([0.0, 10.0, 20.0]), "mm", "lean"),)
    arrays = {setup: {name: np.array(row) for name, row in each.items()} for setup, each in rows.items()}
    return swept_title(
        Swept("x", axes, tuple(next(iter(rows.values()))), arrays, ()),
        [SMALL[n] for n in next(iter(rows.values()))],
        told,
    )


def test_a_sweep_that_changes_much_names_best_and_worst():
    """In both units, as the table beneath: g is 9.80665 m/s² (NIST SP 811)."""
    assert swept({"a": {RIDE.name: [1.0, 1.2, 1.5]}}) == (
        "Ride at driver: upward weighted RMS is best at 0 mm, 1 m/s² (0.102 g); worst at 20 mm (0.787 in), 1.5 m/s² (0.153 g)"
    )


def test_a_best_that_doubt_leaves_open_is_said_to_be():
    """Against the truck as it is and the next best set-up; a band on one side of nothing leaves nothing open, and no best no doubt."""
    open_, better = Band(-0.3, 0.2), Band(-0.5, -0.2)
    told = [Told(RIDE, "a", (0,), against, band) for against, band in ((NOW, open_), ("b", open_), ("c", better))]
    rows = {"a": {RIDE.name: [1.0, 1.2, 1.5]}}
    assert swept(rows, told=told).endswith(
        "; with the numbers in doubt the best of all is too close to call against “a” as the file has it and “b” at its best"
    )
    assert "too close" not in swept(rows, told=told[2:])
    assert "too close" not in swept({"a": {OFF.name: [0.01, 0.05, 0.09]}}, told=told)
    assert "too close" not in swept({"a": {RIDE.name: [1.0, 1.01, 1.02]}}, told=told)


def test_a_sweep_that_hardly_matters_says_so_and_what_does():
    """Ride by 2 %; between set-ups by half; off the ground from 1 to 9 %."""
    assert (
        swept({"a": {RIDE.name: [1.0, 1.01, 1.02]}})
        == "Lean hardly matters for ride at driver: upward weighted RMS: 1 m/s² (0.102 g) to 1.02 m/s² (0.104 g)"
    )
    said = swept({"a": {RIDE.name: [1.0, 1.01, 1.02]}, "b": {RIDE.name: [1.5, 1.51, 1.52]}})
    assert said.endswith("; which set-up it is does: 1 m/s² (0.102 g) to 1.52 m/s² (0.155 g)")
    said = swept({"a": {RIDE.name: [1.0, 1.01, 1.02], OFF.name: [0.01, 0.05, 0.09]}})
    assert said.endswith(
        ": 1 m/s² (0.102 g) to 1.02 m/s² (0.104 g); it does for front tyres: time off the ground: 1 % to 9 %"
    )


def test_of_two_inputs_the_one_that_does_nothing_is_named():
    axes = (Axis("a", np.array([1.0, 2.0]), "mm", "lean"), Axis("b", np.array([1.0, 2.0]), "km/h", "speed"))
    said = swept({"a": {RIDE.name: [[1.0, 2.0], [1.02, 2.01]]}}, axes)
    assert said.startswith(
        "Ride at driver: upward weighted RMS is best at 1 mm (0.0394 in) and 1 km/h (0.621 mph), 1 m/s² (0.102 g); worst"
    )
    assert said.endswith("; lean hardly matters: 0.02 m/s² (0.002 g) at most")


def test_of_loads_or_worn_dampers_the_best_place_of_each_is_named():
    """Where all are best and worst at one place it is said once, with how far they reach; else each has its own."""
    assert swept({"empty": {RIDE.name: [1.0, 1.2, 1.5]}, "full": {RIDE.name: [0.8, 1.0, 1.3]}}) == (
        "Ride at driver: upward weighted RMS is best with every set-up at 0 mm, 0.8 m/s² (0.0816 g) to 1 m/s² (0.102 g); "
        "worst with every set-up at 20 mm (0.787 in), 1.3 m/s² (0.133 g) to 1.5 m/s² (0.153 g)"
    )
    assert swept({"new": {RIDE.name: [1.5, 1.2, 1.0]}, "worn": {RIDE.name: [1.5, 0.5, 0.8]}}) == (
        "Ride at driver: upward weighted RMS is best with “new” at 20 mm (0.787 in), 1 m/s² (0.102 g), with “worn” at 10 mm (0.394 in), 0.5 m/s² (0.051 g); "
        "worst with every set-up at 0 mm, 1.5 m/s² (0.153 g)"
    )


def test_of_a_level_stretch_its_far_end_is_as_good():
    """1.00 m/s² is best, 1.09 is nearer than 10 %; three points off it is named, and nan or a flag is not as good, nor what lies past a hill."""
    speeds = (Axis("run.speed", np.arange(10.0, 80.0, 10.0), "km/h", "speed"),)
    assert ", 1 m/s² (0.102 g), and as good at 20 km/h (12.4 mph); worst" in swept(
        {"a": {RIDE.name: [2.0, 1.09, 1.07, 1.05, 1.0, 1.08, 1.3]}}, speeds
    )
    assert "as good" not in swept({"a": {RIDE.name: [2.0, 1.09, 1.2, 1.05, 1.0, 1.08, 1.3]}}, speeds)
    assert "as good" not in swept({"a": {RIDE.name: [2.0, 1.2, 1.2, 1.05, 1.0, 1.08, 1.3]}}, speeds)
    assert "as good" not in swept({"a": {RIDE.name: [2.0, 1.09, float("nan"), 1.05, 1.0, 1.08, 1.3]}}, speeds)


def test_points_that_could_not_be_run_count_for_nothing():
    nan = float("nan")
    assert "hardly matters" in swept({"a": {RIDE.name: [1.0, nan, 1.02]}})


@pytest.mark.parametrize(
    ("changed", "axle"),
    [
        ({"front.dampers": None}, "front"),
        ({"rear.dampers": None}, "rear"),
        ({"loads.cargo": None, "front.dampers": None}, "rear"),
    ],
)
def test_the_axle_that_the_question_is_about(changed, axle):
    """The rear differs more; the front is what is changed, or what is changed is no axle's own."""
    runs = {"a": still_run(TIME), "b": still_run(TIME)}
    comparison = compared(runs)
    comparison.scenario.changes = {"a": {}, "b": changed}
    front = Finding({"a": 1.0, "b": 1.3}, "less", str, str, "acceleration")
    rear = Finding({"a": 1.0, "b": 1.9}, "less", str, str, "acceleration")
    assert asked(comparison, front, rear) is {"front": front, "rear": rear}[axle]


def test_what_nobody_would_notice_hardly_matters():
    """Ride: 10 % of the smaller."""
    runs = {name: still_run(TIME) for name in ("a", "b")}
    text = {}
    for other in (1.09, 1.11):
        finding = Finding(
            {"a": 1.0, "b": other}, "less", lambda v: f"it is {v:.2f}", lambda v: f"{v:.2f}", "acceleration"
        )
        text[other] = bare(sentence(compared(runs), finding, ""))
    # what it is that hardly matters, and by how much: 1.09 less 1.00
    assert text[1.09] == "Which set-up it is hardly matters, 0.09 m/s² at most: with a it is 1.00; with b 1.09"
    assert text[1.11] == "With a it is 1.00; with b 1.11"
    # Of an answer with several findings only this one is meant: a tyre that lifts may stand in the next sentence.
    near = Finding(
        {"a": 1.0, "b": 1.09}, "less", lambda v: f"it is {v:.2f}", str, "acceleration", "", "what reaches “seat”"
    )
    assert bare(sentence(compared(runs), near, "")).startswith(
        "Which set-up it is hardly matters to what reaches seat, 0.09 m/s² at most: "
    )


@pytest.mark.parametrize(
    ("difference", "quantity", "words"),
    # 1 in = 25.4 mm (NIST SP 811)
    [
        (0.004, "length", "4 mm (0.16 in)"),
        (0.05, "time", "0.05 s"),
        (0.012, "percent", "1.2 %"),
        (1.0, "count", "1 hit"),
        (2.0, "count", "2 hits"),
        (0.120, "length", "120 mm (4.7 in)"),
        (0.00024, "length", "0.24 mm (0.01 in)"),
        (0.00004, "length", "0.04 mm"),
    ],
)
def test_how_much_hardly_matters_has_two_digits(difference, quantity, words):
    assert difference_words(difference, quantity) == words


def test_bare_springs_are_named_and_not_compared():
    runs = {name: still_run(TIME) for name in ("a", "b", "c")}
    runs["none"] = with_axle(still_run(TIME), "rear", dampers={})
    finding = Finding(
        {"a": 1.0, "b": 1.3, "c": 1.1, "none": 9.0},
        "less",
        lambda v: f"it is {v:.1f}",
        lambda v: f"{v:.1f}",
        "acceleration",
    )
    assert bare(sentence(compared(runs), finding, "")) == "With a it is 1.0; with b 1.3; with none 9.0"
    alike = replace(finding, values={"a": 1.0, "b": 1.0, "c": 1.0, "none": 9.0})
    assert bare(sentence(compared(runs), alike, "")) == "With every set-up with dampers it is 1.0; with none 9.0"


def said(values, better="less", flags=()):
    runs = {name: still_run(TIME) for name in values}
    runs |= {name: replace(runs[name], flags=(flag,)) for name, flag in flags}
    finding = Finding(values, better, lambda v: f"it takes {v:.0f}", lambda v: f"{v:.0f}")
    return sentence(compared(runs), finding, "nothing to say")


def test_sentences():
    nan = float("nan")
    assert bare(said({"a": 1.0, "b": 3.0, "c": 2.0})) == "With a it takes 1; with b 3"
    assert bare(said({"a": 1.0, "b": 3.0, "c": 2.0}, "more")) == "With b it takes 3; with a 1"
    assert bare(said({"a": 1.0, "b": 1.0, "c": 9.0})) == "With every set-up but c it takes 1; with c 9"
    assert bare(said({"a": 1.0, "b": 1.0, "c": 4.0, "d": 9.0})) == "With a and 1 other it takes 1; with d 9"
    assert bare(said({"a": 1.0, "b": 9.0, "c": 9.0, "d": 9.0})) == "With a it takes 1; with b and 2 others 9"
    assert bare(said({"a": 1.0})) == "With a it takes 1"
    assert bare(said({"a": 1.0, "b": 1.0})) == "With every set-up it takes 1"
    assert bare(said({"a": 1.0, "b": nan, "c": 1.0})) == "With all that can say it takes 1"
    assert bare(said({"a": nan})) == "nothing to say"
    assert bare(said({"a": 1.0, "b": 2.0}, flags=[("a", BOTTOMED)])) == "With a (flagged) it takes 1; with b 2"
    assert said({"a": 1.0, "b": 2.0}, flags=[("b", BROKE)]).endswith("with “b” (flagged) 2")
    # A flagged best is no advice: the best of the others is named too, unless it is the worst of all.
    values = {"a": 1.0, "b": 2.0, "c": 3.0, "d": 9.0}
    text = "With a (flagged) it takes 1; with d 9; best of those not flagged: b, 2"
    assert bare(said(values, flags=[("a", BOTTOMED)])) == text
    # Of those that read the same the one without a flag speaks.
    assert (
        bare(said({"a": 1.0, "b": 1.1, "c": 9.0}, flags=[("a", BOTTOMED)]))
        == "With every set-up but c it takes 1; with c 9"
    )
    assert (
        bare(said({"a": 1.0, "b": 1.1, "c": 8.0, "d": 9.0}, flags=[("a", BOTTOMED)]))
        == "With b and 1 other it takes 1; with d 9"
    )


def test_the_name_of_a_set_up_of_the_demo_is_whole():
    name = "four at both ends, valved for four"
    assert f"“{name}”" in said({name: 1.0, "b": 3.0})
