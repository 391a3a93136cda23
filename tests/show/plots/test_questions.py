"""What the pages for the workshop's questions say: ranges of comfort, ride height, obstacles, loads against measures, sweeps."""

import re
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from sim.describe.roads.course import Course
from sim.describe.shown import other_unit, shown_in, written_beside
from sim.measure import measures_for
from sim.measure.comfort import RANGES
from sim.measure.roughness import roughness
from sim.show.plots import PLOTS, course_page, matrix, swept, swept_title
from sim.show.plots.ride_height import running_mean_height
from sim.study.sweep.axes import Axis
from sim.study.sweep.sweep import Swept
from tests.show.plots.cases import case, compared
from tests.show.plots.test_every_plot import boxes, meet, words
from tests.synthetic import still_run, synthetic_run, with_axle


def test_ranges_of_comfort_stand_on_their_page_and_overlap():
    figure = PLOTS["comfort"](case("four"))
    for name, *_ in RANGES:
        assert name in words(figure)
    edges = [(low, high) for _, low, high in RANGES]
    assert sum(high > low for (_, high), (low, _) in pairwise(edges)) == 4  # all but the lowest two


def shaken(amplitude):
    time = np.arange(20_000) * 1e-3
    wave = amplitude * np.sin(2 * np.pi * 8.0 * time)
    return still_run(
        time, acceleration_m_per_s2={"centre of gravity": wave, "driver": wave},
        acceleration_forward_m_per_s2={"driver": 0.0 * wave}, pitch_acceleration_rad_per_s2=0.0 * wave,
    )  # fmt: skip


def test_comfort_is_told_in_the_standards_words():
    """1.0 m/s² at 8 Hz is 0.73 weighted, 0.3 is 0.22."""
    figure = PLOTS["comfort"](compared({"even": shaken(0.3), "hard": shaken(1.0)}))
    title = words(figure)
    assert "not uncomfortable; with “hard” 0.73 m/s² (0.075 g), fairly uncomfortable" in title


@pytest.mark.parametrize("name", ["felt", "comfort"])
def test_what_stands_beside_a_ride_has_the_unit_of_its_axis(name):
    with shown_in("inch"):
        said = words(PLOTS[name](compared({"hard": shaken(1.0)})))
    assert re.search(r"\d g: ", said)
    assert not re.search(r"\d m/s²", said)


def test_ride_height_takes_the_bumps_out_and_leaves_what_they_do():
    time = np.arange(0.0, 20.0, 1e-3)
    sunk = np.where((time > 5) & (time < 15), 0.012, 0.0)
    run = still_run(time)
    bumps = with_axle(run, "front", jounce_m=run.front.jounce_rest_m + sunk + 0.03 * np.sin(2 * np.pi * 4 * time))
    height = running_mean_height(bumps.front, time)
    assert height[10_000] == pytest.approx(-0.012, abs=1e-4)
    assert height[2_000] == pytest.approx(0.0, abs=1e-4)
    title = words(
        PLOTS["ride_height"](compared({"a": replace(bumps, released_s=20.0), "b": replace(run, released_s=20.0)}))
    )
    assert "the front rides" in title
    assert "lower" in title


def test_ride_height_has_the_value_of_every_set_up():
    """Eight set-ups, the most there may be, that sink by 1 to 8 mm in front: each value stands there, whole, in rows within the panel's width."""
    time = np.arange(0.0, 10.0, 1e-3)
    run = still_run(time)
    runs = {
        f"set-up {sunk}": replace(
            with_axle(run, "front", jounce_m=run.front.jounce_rest_m + 1e-3 * sunk + 0.0 * time), released_s=10.0
        )
        for sunk in range(1, 9)
    }
    page = PLOTS["ride_height"](compared(runs))
    rows = [text for text in page.texts if re.search(r"\d: [−\d]", text.get_text().replace("\u00a0", " "))]
    front = " ".join(text.get_text() for text in rows).replace("\u00a0", " ")
    assert "…" not in front
    for number in range(1, 9):
        assert f"{number}: −{number}.0 mm" in front
    # Nothing lies over anything else, and nothing leaves the page.
    renderer = page.canvas.get_renderer()
    for text in rows:
        assert text.get_window_extent(renderer).x1 <= page.bbox.x1


def test_matrix_marks_the_worst_of_a_row_and_what_is_past_a_limit():
    time = np.arange(0.0, 5.0, 1e-3)
    run = still_run(time)
    hit = with_axle(run, "rear", jounce_m=np.where(time > 2, run.rear.jounce_at_stop_m + 0.005, 0.0))
    page = compared({"empty": run, "full": hit})
    figure = PLOTS["matrix"](page)
    assert "! −5.0" in words(figure)
    assert "“full” runs into its rear bump stops" in words(figure)
    # From 6 mm of travel at rest and a stop at 88 mm to 5 mm into it.
    assert "runs 5 mm (0.2 in) into its rear bump stops, not 82 mm (3.2 in) short of them" in words(figure).replace(
        "\u00a0", " "
    )
    bold = [text.get_text() for text in figure.texts if text.get_weight() == "bold"]
    assert "! −5.0" in bold
    names = [measure.name for measure in matrix.rows(page)]
    assert "rear_left_to_stop" in names
    assert "front_strap_hits" not in names  # nothing for both


def test_obstacles_of_a_run_on_the_spot():
    figure = PLOTS["obstacles"](compared({"push": replace(synthetic_run(), run=None)}))
    assert "drives over no obstacle" in words(figure)
    assert "Fallen log" in words(PLOTS["obstacles"](case("two")))


def test_class_letters_and_notices_of_a_course_page_are_apart(tmp_path):
    x = np.arange(0.0, 30.0, 0.1)
    z = 3.0 * np.sin(x)
    z[100] += 400.0
    rows = "".join(
        f"{a:.1f};{'' if n in (50, 51) else f'{b:.2f}'}\n" for n, (a, b) in enumerate(zip(x, z, strict=True))
    )
    (tmp_path / "a.csv").write_text("distance [m];height [mm]\n" + rows.replace(".", ","), encoding="utf-8")
    items = [{"kind": "survey", "file": "a.csv"}]
    road = Course.model_validate({"kind": "course", "name": "$x$", "items": items}, context={"folder": tmp_path})
    figure = course_page.figure(road, roughness(road))
    found = boxes(figure)
    for place, (one, box) in enumerate(found):
        for two, other in found[place + 1 :]:
            assert not meet(box, other), f"{one!r} over {two!r}"
        assert not any(meet(box, axes.get_window_extent()) for axes in figure.axes), one
    said = words(figure)
    for text in ("1 spike taken out", "1 gap bridged", "decimal comma", "Roughness (IRI) of each 10 m"):
        assert text in said


def swept_of(values, path="run.speed", unit="km/h", measure="front_left_to_stop"):
    numbers = np.linspace(10.0, 50.0, 5)
    moved = Axis(path, numbers, unit, "driving speed")
    rows = {setup: {measure: np.array(row)} for setup, row in values.items()}
    found = next(m for m in measures_for(synthetic_run()) if m.name == measure)
    return Swept("s", (moved,), (measure,), rows, ()), [found]


def test_where_a_stop_is_first_met():
    """Straight between points: from 10 to -10 mm between 20 and 30 km/h is nothing at 25."""
    moved, measure = swept_of({"empty": [0.05, 0.04, 0.03, 0.02, 0.01], "full": [0.03, 0.01, -0.01, 0.02, -0.02]})
    figure = swept.figure(moved, measure)
    assert "A bump stop is met with “full” from 25 km/h (15.5 mph); “empty” nowhere" in words(figure)
    assert "[mph]" in words(figure)
    assert swept_title.first_touch(moved.axes[0].numbers, [np.full(5, -1.0)]) == 10.0
    assert "No bump stop is met up to 50 km/h (31.1 mph)" in words(swept.figure(*swept_of({"empty": [0.05] * 5})))


def test_what_is_the_same_at_every_point_is_a_line_and_no_panel():
    """A panel of noughts alone says nothing; one that is asked for alone is drawn all the same."""
    moved, (travel,) = swept_of({"a": [0.05, 0.04, 0.03, 0.02, 0.01], "b": [0.05] * 5})
    _, (off,) = swept_of({"a": [0.0] * 5}, measure="front_tyre_off_ground")
    rows = {setup: row | {off.name: np.zeros(5)} for setup, row in moved.values.items()}
    both = replace(moved, measures=(travel.name, off.name), values=rows)
    figure = swept.figure(both, [travel, off])
    assert len(figure.axes) == 1
    assert "The same at every point and with every set-up: front tyres: time off the ground 0.0 %." in words(figure)
    # Where a point has none, or one reads otherwise, it is a finding.
    for other in ([0.0, 0.0, np.nan, 0.0, 0.0], [0.0, 0.0, 0.02, 0.0, 0.0]):
        apart = replace(both, values=rows | {"b": rows["b"] | {off.name: np.array(other)}})
        assert len(swept.figure(apart, [travel, off]).axes) == 2
    assert len(swept.figure(replace(both, measures=(off.name,)), [off]).axes) == 1


def test_tyre_rate_is_drawn_with_its_caveat_and_both_units():
    given = swept_of({"a": [1.0, 1.1, 1.2, 1.3, 1.4]}, "front.tyre.rate, rear.tyre.rate", "N/mm", "ride_wk_driver")
    figure = swept.figure(*given)
    assert "changes grip" in words(figure)
    assert "[lb/in]" in words(figure)
    found = boxes(figure)
    for place, (one, box) in enumerate(found):
        for two, other in found[place + 1 :]:
            assert not meet(box, other), f"{one!r} over {two!r}"
    assert "changes grip" not in words(swept.figure(*swept_of({"a": [1.0] * 5}, measure="ride_wk_driver")))


def test_other_units_are_exact():
    """NIST SP 811: 1 mi = 1.609344 km, 1 in = 25.4 mm, 1 lbf/in = 175.126835 N/m."""
    assert other_unit("mph") == (pytest.approx(1.609344), "km/h")
    assert other_unit("N/mm")[0] * 175.126835e-3 == pytest.approx(1.0, rel=1e-8)
    assert other_unit("in") == (pytest.approx(25.4), "mm")
    # Degrees have a zero of their own, and seconds are the same everywhere.
    assert other_unit("°C") is None
    assert other_unit("s") is None
    with shown_in("inch"):
        assert written_beside(25.4, "mm") == "1 in"
    with shown_in("metric"):
        assert written_beside(25.4, "mm") == "25.4 mm"
    assert written_beside(25.4, "mm") == "25.4 mm (1 in)"
    assert written_beside(4.0, "") == "4"
