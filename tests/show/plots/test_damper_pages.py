"""Pages about dampers that no comparison draws: nothing written meets anything, in hard cases too."""

import re
from itertools import combinations

import pytest
from pydantic import TypeAdapter

from sim.describe.files.scenario import load
from sim.describe.parts.dampers.laws import Law
from sim.show.plots import converted_forces, dyno_page, each_damper, margins
from sim.show.plots import through_travel as travel_page
from sim.show.plots.style import drawing
from sim.study.convert import converted, doubled, ends_up, gas_lifts, through_travel
from sim.study.dyno import against
from sim.study.fit import fits
from sim.study.little_droop import LittleDroop
from tests.show.plots.test_every_plot import boxes, meet, words

LONG = "the second pair on brackets of its own ahead of the axle, valved for four, as the builder wanted it"


def setups(name):
    return load(f"scenarios/{name}.yaml").setups


def returned():
    return TypeAdapter(Law).validate_python({"kind": "measured", "file": "scenarios/dampers/front_returned.csv"})


def strange():
    vehicle = setups("two_or_four")["two front"]
    ends = {
        "front.dampers.main.length_collapsed": "none",
        "rear.dampers.main.length_extended": "none",
        "rear.strap": "none",
    }
    return {LONG: vehicle.changed(ends), "two front": vehicle, "$x$ <b>": vehicle.changed({"front.stop": "none"})}


def dyno(target=True, tolerance=0.1):
    law = returned()
    wanted = setups("two_or_four")["two front"].front.dampers["main"].valving
    points = against(law, wanted, tolerance) if target else ()
    return dyno_page.figure(
        "front_returned.csv", law, wanted if target else None, f"{LONG}, front.main", points, tolerance
    )


def gas():
    vehicle = setups("two_or_four")["two front"]
    return each_damper.gas_figure({LONG: gas_lifts(vehicle), "twice as many": gas_lifts(doubled(vehicle))})


def each(name="two_or_four", to=None):
    found = setups(name)
    given = found["two front"]
    wanted = doubled(given) if to is None else found[to]
    return converted_forces.figure(given, converted(given, wanted), (LONG, "twice as many"))


PAGES = {
    "lengths": lambda: margins.figure({name: fits(v) for name, v in setups("right_length").items()}),
    "lengths, hard": lambda: margins.figure({name: fits(v) for name, v in strange().items()}),
    "lengths, little droop": lambda: margins.figure(
        {name: fits(v) for name, v in strange().items()}, next(iter(strange())),
        {axle: LittleDroop(0.08, 0.004, True, 0.076, {}, True) for axle in ("front", "rear")},
    ),
    "lengths, none": lambda: margins.figure({"bare": fits(setups("two_or_four")["bare springs"])}),
    "dyno": dyno, "dyno alone": lambda: dyno(target=False), "dyno strict": lambda: dyno(tolerance=0.01),
    "each": each, "each, new brackets": lambda: each("four_each_how", "four on new brackets"),
    "end up": lambda: each_damper.end_up_figure(ends_up(setups("two_or_four")["two front"])),
    "end up, refused": lambda: each_damper.end_up_figure(
        ends_up(setups("two_or_four")["two front"].changed({"front.dampers.main.construction": "twin_tube"}))
    ),
    "travel": lambda: travel_page.figure(through_travel(setups("four_each_how")["four on new brackets"]), LONG),
    "gas": gas, "gas, none": lambda: each_damper.gas_figure({"none": ()}),
}  # fmt: skip


@pytest.mark.parametrize("name", PAGES)
def test_nothing_written_meets_anything_or_leaves_the_page(name):
    with drawing():
        figure = PAGES[name]()
        found = boxes(figure)
        panels = [axes.get_window_extent() for axes in figure.axes]
        assert found
        for (one, box), (two, other) in combinations(found, 2):
            assert not meet(box, other), f"{one!r} over {two!r}"
        for text, box in found:
            assert not any(meet(box, panel) for panel in panels), text
            page = figure.bbox
            inside = box.x0 >= page.x0 and box.x1 <= page.x1 and box.y0 >= page.y0 and box.y1 <= page.y1
            assert inside, text


@pytest.mark.parametrize("name", PAGES)
def test_no_hyphen_stands_for_a_minus_sign(name):
    """As the ticks of axes have them: U+2212."""
    said = words(PAGES[name]())
    assert not re.search(r"(?<![\w.)-])-\.?\d", said)
    if name == "end up":  # lighter tube up
        assert re.search(r"its mass by −\d", said)


def test_titles_say_what_was_found():
    assert "with “lifted, longer straps” becomes the limit strap:" in words(PAGES["lengths"]())
    # The whole travel is the same under every load, so no load leaves least.
    loaded = margins.figure({name: fits(v) for name, v in setups("stroke_left").items()})
    assert "least is left by the rear 'main' damper with every set-up, 15.1 mm" in words(loaded)
    # Short straps keep each damper within its ends, and the axle from hanging: 4 and 12 mm of droop.
    few = {
        axle: LittleDroop(0.08, left, True, 0.076, {}, axle == "rear")
        for axle, left in (("front", 0.012), ("rear", 0.004))
    }
    lifted = {name: fits(v) for name, v in setups("stroke_left").items()}
    said = words(margins.figure(lifted, next(iter(lifted)), few))
    front, rear = "12.0 mm (0.47 in) in front", "4.0 mm (0.16 in) at the rear"  # 1 in = 25.4 mm (NIST SP 811)
    assert f"Little droop is left with “{next(iter(lifted))}” without its loads: {front} and {rear}; " in said
    assert "least is left by the rear 'main' damper with every set-up, 15.1 mm" in said
    # One that becomes the limit strap is worse, and is said first.
    short = {name: fits(v) for name, v in setups("right_length").items()}
    said = words(margins.figure(short, "lifted, longer straps", few))
    assert said.index("becomes the limit strap:") < said.index("; little droop is left with “lifted, longer straps”")
    assert "2 of 10 points outside, −16 % in rebound at 0.52 m/s" in words(dyno())
    assert "gives 445 N (100 lbf) of rebound at 0.26 m/s (10 in/s), not 890 N (200 lbf)" in words(each())
    assert "6.0 mm (0.24 in) above that axle" in words(gas())
    # Of two sets on one axle both ratios are read, uncut: (980 - 90) mm and (980 + 160) mm of a 980 mm arm, less a little by lean.
    said = words(PAGES["each, new brackets"]())
    assert re.search(r"then 2 'main' \(squares, ratio 0\.89\d\), 2 'second' \(circles, ratio 1\.1\d\d\)", said), said
