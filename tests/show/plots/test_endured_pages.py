"""Pages of long runs: nothing over anything, titles that say the finding, both unit systems."""

from itertools import combinations
from types import SimpleNamespace

import matplotlib
import pytest

from sim.show.plots.heat_history import figure as heat_page
from sim.show.plots.heat_settled import figure as settled_page
from sim.show.plots.heat_settled import title as settled_title
from sim.show.plots.side_by_track import Side
from sim.show.plots.style import drawing
from sim.show.plots.travel_counts import _travel_title, exceeded
from sim.show.plots.travel_counts import figure as travel_page
from sim.show.report.endured import HistoryFile, read_history
from tests.show.plots.test_every_plot import boxes, meet, words
from tests.study.test_endurance import TRUCK, drive, endure, track

PAGES = {"heat": heat_page, "settled": settled_page, "travel": travel_page}


def side(folder, vehicles, run):
    runs, histories = {}, {}
    for number, (name, vehicle) in enumerate(vehicles.items()):
        file = HistoryFile(folder / f"{number}.csv", vehicle)
        runs[name] = endure(vehicle, run, name, file.add)
        file.close()
        histories[name] = read_history(folder / f"{number}.csv")
    return Side(runs, histories)


@pytest.fixture(scope="module")
def few(tmp_path_factory):
    run = track(drive(60.0), {"kind": "stand", "duration": "3 min"}, drive(20.0, speed="20 km/h"), air="28 °C")
    hot = TRUCK.changed({"rear.dampers.main.tube.hot_limit": "34 °C"})
    bare = TRUCK.changed({"front.dampers.main.tube": "none"})
    return side(
        tmp_path_factory.mktemp("few"),
        {"as it is": TRUCK, "a name so long that no title, legend or flag could hold all of it": hot, "no tube in front": bare}, run,
    )  # fmt: skip


def cases(few):
    first = "as it is"
    return {
        "few": few,
        "alone": Side({first: few.runs[first]}, {first: few.histories[first]}),
        "eight": Side(
            {f"set-up {n}": list(few.runs.values())[n % 3] for n in range(8)},
            {f"set-up {n}": list(few.histories.values())[n % 3] for n in range(8)},
        ),
    }


@pytest.mark.parametrize("name", ["few", "alone", "eight"])
@pytest.mark.parametrize("page", PAGES)
def test_nothing_meets_anything_or_leaves_the_page(few, page, name):
    with drawing():
        figure = PAGES[page](cases(few)[name])
        found, edge = boxes(figure), figure.bbox
    panels = [axes.get_window_extent() for axes in figure.axes]
    for (one, box), (two, other) in combinations(found, 2):
        assert not meet(box, other), f"{one!r} over {two!r}"
    for text, box in found:
        assert box.x0 >= edge.x0, text
        assert box.x1 <= edge.x1, text
        assert not any(meet(box, panel) for panel in panels), text


def test_titles_and_flags(few):
    assert "the rear dampers’ oil reaches" in words(heat_page(few)) or "the front dampers’ oil" in words(heat_page(few))
    # By the hottest oil of the drive: beside the bars stands how far from the limit it would settle.
    assert "the hottest oil of this track is " in words(settled_page(few))
    assert "above it" in words(settled_page(few))
    assert "times a kilometre" in words(travel_page(few))
    for page in PAGES.values():
        assert "FLAGGED: 2" in words(page(few))
    said = words(heat_page(few))
    assert "[°C]" in said
    assert "[°F]" in said
    assert "[mi]" in said
    assert "36 km/h (22 mph)" in said
    assert "parked" in said


def test_bars_reach_from_the_coldest_to_the_hottest(few):
    figure = settled_page(few)
    bars = [c for axes in figure.axes for c in axes.collections if isinstance(c, matplotlib.collections.PolyCollection)]
    found = {
        (round(path.vertices[:, 0].min(), 6), round(path.vertices[:, 0].max(), 6))
        for c in bars
        for path in c.get_paths()
    }
    expected = {
        (round(s.coldest, 6), round(s.hottest, 6))
        for run in few.runs.values()
        for s in run.sets.values()
        if s.hottest == s.hottest
    }
    assert found == expected


def test_exceedances_add_up(few):
    run = few.runs["as it is"]
    sizes, counts = exceeded(run, "front", 2.0)
    assert counts[0] == pytest.approx(sum(run.counts["front"].values()) / 2.0)
    assert all(counts[:-1] >= counts[1:])
    assert sizes[1] - sizes[0] == pytest.approx(5e-3)


def test_nothing_to_show(tmp_path):
    bare = TRUCK.changed({"front.dampers": "none", "rear.dampers": "none"})
    empty = side(tmp_path, {"bare": bare}, track({"kind": "stand", "duration": "2 min"}))
    assert "has a tube" in words(heat_page(empty))
    assert "has a tube" in words(settled_page(empty))
    assert "Nothing moved" in words(travel_page(empty))


def counted(**setups):
    """Set-ups with cycles of travel by class of 5 mm, front axle and rear, on a track of 10 km."""
    runs = {
        name: SimpleNamespace(counts=dict(zip(("front", "rear"), each, strict=True)), flags=())
        for name, each in setups.items()
    }
    way = SimpleNamespace(distance_m=[0.0, 10_000.0])
    return Side(runs, dict.fromkeys(runs, way))


def test_a_title_of_travels_tells_the_first_travel_that_set_ups_differ_in():
    """Of 20 mm and more 100 and 96 times a kilometre, but of 25 mm and more 60 and 20 in front."""
    rear = {4: 200}
    side = counted(two=({4: 200, 5: 600}, rear), four=({4: 560, 5: 200}, rear))
    assert (
        _travel_title(side)
        == "With “four” the front axle moves 25 mm (1.0 in) or more 20 times a kilometre; with “two” 60"
    )


def test_travels_that_differ_by_chance_are_alike():
    """Twelve cycles against three on the whole track are chance: what counts says how many times of what."""
    side = counted(two=({4: 1000, 9: 12}, {}), four=({4: 960, 9: 3}, {}))
    assert _travel_title(side) == (
        "Which set-up it is hardly matters, 4.9 times a kilometre at most: with “four” the axles move 20 mm (0.8 in) or more 96 times a "
        "kilometre; with “two” 100"
    )


def test_a_title_says_whose_oil_is_hottest_where_another_damper_is():
    """Four in front keep the front 30 K below its limit, the rear stays at 22 K: it is then the rear that decides."""

    def run(front, rear):
        sets = {
            (axle, "main"): SimpleNamespace(margin=margin, hottest=300.0)
            for axle, margin in (("front", front), ("rear", rear))
        }
        return SimpleNamespace(sets=sets, flags=())

    found = Side({"as it is": run(18.0, 22.0), "four in front": run(30.0, 22.0)}, {})
    said = settled_title(found)
    assert "4 °C (7.2 °F) at most" in said
    assert said.endswith(
        "; the one closest to it is a front damper with “as it is” and a rear damper with “four in front”"
    )
    assert "closest to it" not in settled_title(Side({"a": run(18.0, 22.0), "b": run(20.0, 22.0)}, {}))
