"""Every plot of the list, drawn for comparisons that are hard to draw."""

import re
from itertools import combinations, pairwise, product
from xml.etree import ElementTree

import matplotlib
import numpy as np
import pytest
from matplotlib.colors import to_hex
from PIL import Image

from sim.describe.plot_names import NAMES
from sim.show.plots import PLOTS
from sim.show.plots.save import pictures, saved
from sim.show.plots.style import drawing, looks
from tests.show.plots.cases import CASES, SENTENCE, case

pytestmark = pytest.mark.long  # whole commands and studies, over and over: seconds each

HARD_TO_WRITE = ("ten", "odd names", "huge in one", "all nan")
"""Cases with the most lines, the oddest letters and numbers; what differs in the others is where things stand on the page."""

HARD_TO_DRAW = (*HARD_TO_WRITE, "different heights", "flagged")
"""The others lie between two of these, or have less on the page."""

TOUCH = 1.0  # pixels by which two boxes may meet through rounding


def boxes(figure):
    """Text and its box in pixels, of all that is written on a page."""
    renderer = figure.canvas.get_renderer()
    return [
        (text.get_text(), text.get_window_extent(renderer))
        for text in figure.findobj(matplotlib.text.Text)
        if text.get_visible() and text.get_text().strip() and _shown(text)
    ]


def _shown(text) -> bool:
    # matplotlib keeps tick texts of the axes, whose x and y axis are not drawn
    axes = text.axes
    return axes is None


def meet(one, two) -> bool:
    return min(one.x1, two.x1) - max(one.x0, two.x0) > TOUCH and min(one.y1, two.y1) - max(one.y0, two.y0) > TOUCH


def said(found) -> str:
    return " ".join(text for text, _ in found).replace("\u00a0", " ")


def words(figure) -> str:
    return said(boxes(figure))


@pytest.fixture(params=PLOTS)
def plot(request):
    return request.param


def pages(cases):
    """Every page of every case; those of other cases are long tests."""
    return [
        pytest.param((name, plot), id=f"{name}-{plot}", marks=() if name in cases else pytest.mark.long)
        for name, plot in product(CASES, PLOTS)
    ]


@pytest.fixture(scope="module", params=pages(HARD_TO_DRAW))
def page(request):
    """A comparison and a page of it, drawn once for all tests that look at it, as none changes it; then the next."""
    name, plot = request.param
    with drawing():
        figure = PLOTS[plot](case(name))
        found = boxes(figure)
    yield case(name), figure, found
    figure.clear()


@pytest.fixture
def drawn(page):
    with drawing():
        yield page


def test_list_is_what_files_may_ask_for():
    assert set(PLOTS) == set(NAMES)


def test_nothing_written_meets_anything(drawn):
    _, _, found = drawn
    assert found
    for (one, box), (two, other) in combinations(found, 2):
        assert not meet(box, other), f"{one!r} over {two!r}"


def test_nothing_written_lies_on_a_panel_or_leaves_the_page(drawn):
    _, figure, found = drawn
    page = figure.bbox
    panels = [axes.get_window_extent() for axes in figure.axes]
    for text, box in found:
        assert not any(meet(box, panel) for panel in panels), text
        inside = box.x0 >= page.x0 and box.x1 <= page.x1 and box.y0 >= page.y0 and box.y1 <= page.y1
        assert inside, text


def test_panels_do_not_meet(drawn):
    _, figure, _ = drawn
    panels = [axes.get_window_extent() for axes in figure.axes]
    assert not any(meet(one, two) for one, two in combinations(panels, 2))


def test_every_setup_is_in_the_legend_with_its_look(drawn):
    comparison, figure, found = drawn
    written = said(found)
    samples = {to_hex(line.get_color()) for line in figure.artists}
    for look in looks(comparison.runs).values():
        assert f"{look.number}  " in written
        assert look.colour in samples


@pytest.mark.parametrize("page", pages(HARD_TO_WRITE), indirect=True, scope="module")
def test_written_to_files_that_can_be_read(drawn, tmp_path):
    _, figure, _ = drawn
    png, svg = saved(figure, tmp_path / "picture")
    with Image.open(png) as image:
        image.load()
        assert image.size[0] == 1100
        assert len(set(image.convert("L").resize((110, 70)).tobytes())) > 5
    text = svg.read_text(encoding="utf-8")
    title = figure.texts[0].get_text()
    assert title in "".join(ElementTree.fromstring(text).itertext())  # text, not outlines
    assert svg.stat().st_size < 900e3


def test_flagged_run_is_told(plot):
    figure = PLOTS[plot](case("flagged"))
    written = words(figure)
    # Two set-ups with the same faults are one paragraph.
    assert written.count("FLAGGED: ") == 1
    assert "FLAGGED: 2 two dampers at 3.21 s: " in written
    assert "So with 4 stiffer valving at 3.21 s." in written
    assert SENTENCE in written
    assert "Also: " in written
    assert "two dampers (flagged)" in written
    assert "FLAGGED" not in words(PLOTS[plot](case("four")))


def test_same_run_same_bytes(plot, tmp_path):
    first = [path.read_bytes() for path in saved(PLOTS[plot](case("two")), tmp_path / "one")]
    again = [path.read_bytes() for path in saved(PLOTS[plot](case("two")), tmp_path / "two")]
    assert first == again


def test_no_settings_of_a_person_get_in_and_none_are_left(plot):
    usual = words(PLOTS[plot](case("two")))
    with matplotlib.rc_context({"font.size": 30.0, "axes.unicode_minus": False}):
        before = dict(matplotlib.rcParams)
        assert words(PLOTS[plot](case("two"))) == usual
        assert dict(matplotlib.rcParams) == before


def test_long_runs_are_thinned(plot):
    figure = PLOTS[plot](case("long"))
    points = [len(line.get_xdata()) for axes in figure.axes for line in axes.lines]
    assert max(points, default=0) < 4000


def test_peaks_outlive_thinning():
    figure = PLOTS["tyre_load"](case("long"))
    run = case("long").runs["bare springs"]
    top = max(np.nanmax(line.get_ydata()) for line in figure.axes[0].lines)
    assert top == run.front.tyre_load_n.max()


def test_only_plots_asked_for_are_written(tmp_path):
    made = pictures(case("two"), tmp_path, ["tyre_load"])
    assert sorted(path.name for path in made) == ["tyre_load.png", "tyre_load.svg"]
    assert sorted(tmp_path.iterdir()) == sorted(made)


def test_ticks_rise_and_units_agree():
    """1 in is 25.4 mm exactly (NIST SP 811)."""
    figure = PLOTS["axle_travel"](case("four"))
    axes = figure.axes[0]
    box = axes.get_window_extent()
    found = [(text, b) for text, b in boxes(figure) if b.y0 > box.y0 - 5 and b.y1 < box.y1 + 5]
    number = re.compile(r"^−?\d+(\.\d+)?$")
    for inch, side in ((1.0, "left"), (25.4, "right")):
        beside = [
            (float(text.replace("−", "-")) * inch * 1e-3, (b.y0 + b.y1) / 2)
            for text, b in found
            if number.match(text) and (b.x1 <= box.x0 if side == "left" else b.x0 >= box.x1)
        ]
        assert len(beside) >= 4
        for value, y in beside:
            share = (y - box.y0) / box.height
            low, high = axes.get_ylim()
            assert low + share * (high - low) == pytest.approx(value, abs=0.01 * (high - low))
        assert all(one[0] != two[0] for one, two in pairwise(sorted(beside)))


@pytest.mark.benchmark(group="plots")
def test_speed_of_all_plots(benchmark, tmp_path):
    benchmark(pictures, case("four"), tmp_path)
