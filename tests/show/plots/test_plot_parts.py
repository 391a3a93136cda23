"""Colours, thinning, ticks, wrapping and the other parts that all plots share."""

from itertools import combinations, pairwise
from math import inf
from random import Random
from types import SimpleNamespace

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from sim.measure.measure import Measure
from sim.measure.table import Value
from sim.show.plots.bars import BAR_RIGHT, OPEN, alike, best_among, put_cell
from sim.show.plots.contour_numbers import number
from sim.show.plots.ends import spread
from sim.show.plots.envelope import BINS, cells, envelope
from sim.show.plots.lettering import clean, fits, shortened, width_in, wrapped
from sim.show.plots.levels import MOST_LINES, grouped
from sim.show.plots.scale import Scale, nice_step, scale_of
from sim.show.plots.style import LOOKS, lightness, looks
from sim.show.plots.tyre_load import off_ground


@pytest.mark.parametrize(
    ("colour", "value"),
    [("#000000", 0.0), ("#ffffff", 100.0), ("#ff0000", 53.24), ("#00ff00", 87.73), ("#0000ff", 32.30)],
)
def test_lightness_of_the_primaries(colour, value):
    """CIE L* of the sRGB primaries, as any colour calculator gives them (from memory)."""
    assert lightness(colour) == pytest.approx(value, abs=0.01)


def test_looks_are_apart_in_grey():
    """Some eight units of L* are told apart side by side; common practice, no source."""
    for one, two in combinations(LOOKS, 2):
        assert abs(one.lightness - two.lightness) > 8.0
        assert one.dash != two.dash
        assert one.marker != two.marker
    for one, two in combinations(LOOKS[:4], 2):
        assert abs(one.lightness - two.lightness) > 16.0
    assert max(look.lightness for look in LOOKS) < 62.0  # a contrast of 3 to 1 on white paper


def test_look_follows_the_place_in_the_scenario():
    names = [f"set-up {k}" for k in range(10)]
    found = looks(names)
    assert [look.number for look in found.values()] == list(range(1, 11))
    assert found["set-up 2"] == looks(names[:3])["set-up 2"]
    assert found["set-up 8"].colour == found["set-up 0"].colour


def test_envelope_keeps_every_peak_of_every_stretch():
    rng = np.random.default_rng(3)
    x, y = np.arange(100_003.0), rng.normal(size=100_003)
    y[77_777] = 50.0
    thin_x, thin_y = envelope(x, y)
    assert thin_x.size <= 2 * BINS + 2
    assert (thin_x[0], thin_x[-1]) == (x[0], x[-1])
    assert np.all(np.diff(thin_x) > 0)
    assert np.array_equal(thin_y, y[thin_x.astype(int)])  # points of the line, none invented
    for part in np.array_split(np.arange(x.size), BINS // 2):  # any stretch twice as long as its own
        inside = (thin_x >= part[0]) & (thin_x <= part[-1])
        assert inside.sum() >= 2
    assert thin_y.max() == 50.0
    assert thin_y.min() == y.min()


def test_envelope_leaves_short_lines_whole_and_gaps_open():
    x = np.arange(3000.0)
    y = np.where(x < 1500, 1.0, np.nan)
    thin_x, thin_y = envelope(x, y)
    assert thin_x.size == 3000
    assert np.isnan(thin_y[1500:]).all()
    long_x = np.arange(50_000.0)
    _, thin_y = envelope(long_x, np.where(long_x < 25_000, 1.0, np.inf))
    assert np.isnan(thin_y[-10:]).all()
    assert (thin_y[:10] == 1.0).all()


def test_cells_keep_where_a_cloud_has_been():
    angle = np.linspace(0.0, 2 * np.pi, 50_000)
    x, y = cells(np.cos(angle), np.sin(angle), (2.0, 2.0))
    assert x.size < 400
    far = np.min(np.hypot(np.cos(angle)[::97, None] - x, np.sin(angle)[::97, None] - y), axis=1)
    assert far.max() < 2.0 * np.hypot(1 / 60, 1 / 60)


@pytest.mark.parametrize(
    ("least", "step"), [(1.0, 1.0), (1.1, 2.0), (2.2, 2.5), (3.0, 5.0), (7.0, 10.0), (0.03, 0.05), (1200.0, 2000.0)]
)
def test_nice_step(least, step):
    assert nice_step(least) == pytest.approx(step)


@pytest.mark.parametrize("quantity", ["length", "force", "speed", "distance", "angle", "time"])
@pytest.mark.parametrize("ends", [(-0.12, 0.09), (0.0, 43_000.0), (-3e-4, 5e-4), (1e7, 1.1e7)])
def test_ticks_lie_inside_say_their_value_and_are_even(quantity, ends):
    scale = Scale(*ends, quantity)
    for ticks in scale.ticks():
        assert 2 <= len(ticks.at) <= scale.about + 1
        assert all(scale.low - 1e-9 * scale.span <= at <= scale.high + 1e-9 * scale.span for at in ticks.at)
        assert np.allclose(np.diff(ticks.at), np.diff(ticks.at)[0])
        numbers = [float(text.replace("−", "-")) for text in ticks.labels]
        assert np.allclose(np.diff(numbers), np.diff(numbers)[0])
        assert len(set(ticks.labels)) == len(ticks.labels)


def test_ticks_of_both_systems_are_of_one_scale():
    """1 in = 25.4 mm (NIST SP 811)."""
    millimetre, inch = Scale(0.0, 0.1016, "length").ticks()
    assert (millimetre.unit, inch.unit) == ("mm", "in")
    assert inch.at == pytest.approx([0.0254 * float(text) for text in inch.labels])
    assert millimetre.at == pytest.approx([1e-3 * float(text) for text in millimetre.labels])


def test_scale_ignores_what_blew_up():
    scale = scale_of([np.array([0.0, 0.1, np.nan, np.inf, 1e300])], "length", pad=0.0)
    assert (scale.low, scale.high) == (0.0, 0.1)
    assert scale_of([np.array([])], "length").span > 0.0


def plain(lines) -> str:
    """Lines joined again, with usual spaces."""
    return " ".join(lines).replace("\u00a0", " ")


def test_wrapped_lines_fit_and_lose_nothing():
    text = "With two dampers the front tyres are on the ground 98 % of the time; with bare springs 71 %"
    for most in (2.0, 4.0, 9.0):
        lines = wrapped(text, most, 14.0, bold=True)
        assert plain(lines) == text
        assert max(width_in(line, 14.0, True) for line in lines) <= most


def test_balanced_lines_are_as_many_and_even():
    text = "With two dampers the rear tyres are on the ground 96.2 % of the time; with bare springs 92.6 %"
    usual, even = wrapped(text, 9.0, 14.0, True), wrapped(text, 9.0, 14.0, True, balanced=True)
    assert len(usual) == len(even) == 2
    assert plain(even) == text
    assert abs(len(even[0]) - len(even[1])) < abs(len(usual[0]) - len(usual[1]))


def test_numbers_stay_with_their_units():
    text = "aaaa bbbb 1.43 m/s (56 in/s); cccc 98 % dddd 3.2 s eeee 4 mm"
    for most in np.linspace(0.6, 3.0, 25):
        lines = [line.replace("\u00a0", " ") for line in wrapped(text, float(most), 9.0, most_lines=99)]
        assert not any(line.startswith(("m/s", "in/s", "%", "s ", "mm")) for line in lines)
        assert " ".join(lines) == text


def test_text_too_long_ends_in_an_ellipsis():
    assert wrapped("a " * 400, 2.0, 9.0, most_lines=3)[-1].endswith("…")
    assert shortened("x" * 300, 1.0, 9.0).endswith("…")
    assert width_in(shortened("x" * 300, 1.0, 9.0), 9.0) <= 1.0
    assert shortened("short", 1.0, 9.0) == "short"


def test_letters_that_the_font_lacks_are_marked():
    assert clean("Dämpfer\n減  $x") == "Dämpfer ? $x"


def test_spread_labels_are_apart_in_order_and_inside():
    wanted = [1.0, 1.02, 1.04, 2.0, 2.99, 3.0]
    places = spread(wanted, 0.16, 1.0, 3.0)
    assert all(two - one >= 0.16 - 1e-12 for one, two in pairwise(places))
    assert places[0] >= 1.0 - 1e-12
    assert places[-1] <= 3.0 + 1e-12
    assert spread([1.0, 2.0], 0.1, 0.0, 3.0) == [1.0, 2.0]


def test_lines_of_one_height_are_one():
    assert grouped([0.1, 0.1004, None, 0.2], 1e-3) == [(0.1, [1, 2]), (0.2, [4])]
    many = grouped([0.1 * k for k in range(MOST_LINES + 1)], 1e-3)
    assert [numbers for _, numbers in many] == [[1], [MOST_LINES + 1]]
    assert grouped([None, None], 1e-3) == []


def test_stretches_off_the_ground():
    time = np.arange(11.0)
    load = np.array([5.0, 0, 0, 0, 5, 5, 5, 0, 5, 0, 0])
    assert off_ground(time, load, 1e-3).tolist() == [[1.0, 3.0], [7.0, 7.001], [9.0, 10.0]]
    assert off_ground(time, load, 2.5).tolist() == [[1.0, 3.5], [7.0, 10.0]]  # gaps closed
    assert off_ground(time, np.ones(11), 1e-3).shape == (0, 2)
    assert off_ground(time, np.zeros(11), 1e-3).tolist() == [[0.0, 10.0]]


def test_what_fits_is_what_the_font_measures():
    """The sum of letters only saves measuring: near the room, and for pairs that are set much closer, the answer is the font's."""
    letters = "The rear wheels leave the ground for 0.24 s: TyToLTAVAVWA. jjj |__| f\u00a0%\u2026"
    chance = Random(3)
    for _ in range(300):
        text = "".join(chance.choice(letters) for _ in range(chance.randint(1, 60)))
        points, bold = chance.choice(((7.0, False), (9.0, False), (14.0, True)))
        width = width_in(text, points, bold)
        for share in (0.85, 0.97, 1.0, 1.01, 1.15):
            assert fits(text, share * width, points, bold) == (share >= 1.0)
    for pairs in ("TyTyToToLTLTLT", "VAVAVAVAVA", "To Te Ty LT"):
        width = width_in(pairs, 14.0, True)
        assert fits(pairs, 1.001 * width, 14.0, True)
        assert not fits(pairs, 0.999 * width, 14.0, True)


def test_numbers_of_lines_stand_whole_inside_the_panel():
    """On a plane x + y lines are straight: those that only cut a corner go without a number, the others have theirs away from the edges."""
    figure = Figure(figsize=(8.0, 3.0))
    FigureCanvasAgg(figure)
    axes = figure.add_axes((0.1, 0.1, 0.8, 0.8))
    x, y = np.linspace(0.0, 10.0, 6), np.linspace(0.0, 10.0, 5)
    lines = axes.contour(x, y, np.add.outer(y, x), levels=[0.5, 8.0, 12.0, 19.5])
    number(axes, lines, "{:.0f}".format, (0.0, 10.0), (0.0, 10.0))
    assert sorted(text.get_text() for text in axes.texts) == ["12", "8"]
    frame = axes.get_window_extent()
    for text in axes.texts:
        box = text.get_window_extent()
        assert frame.x0 < box.x0 < box.x1 < frame.x1
        assert frame.y0 < box.y0 < box.y1 < frame.y1


def test_numbers_of_lines_never_lie_on_one_another():
    """Lines of a valley so steep that eleven of them lie within a third of an inch: numbers go along them, or are left out; the widest keep theirs."""
    figure = Figure(figsize=(8.0, 3.0))
    FigureCanvasAgg(figure)
    axes = figure.add_axes((0.1, 0.1, 0.2, 0.8))
    x, y = np.linspace(0.0, 10.0, 41), np.linspace(0.0, 10.0, 41)
    lines = axes.contour(
        x, y, np.add.outer(0.01 * y, np.where(x < 2.0, 50.0 * x, 100.0 + x)), levels=np.arange(5.0, 110.0, 10.0)
    )
    number(axes, lines, "{:.0f}".format, (0.0, 10.0), (0.0, 10.0))
    figure.canvas.draw()
    boxes = [text.get_window_extent() for text in axes.texts]
    assert len(boxes) >= 6
    for i, one in enumerate(boxes):
        assert not any(one.overlaps(other) for other in boxes[:i])


def test_what_reads_the_same_is_marked_alike():
    assert alike(("one",), {"one": "7.3 %", "two": "7.3 %", "three": "7.2 %"}) == ("one", "two")
    assert alike(("one",), {"one": "40.7 %", "two": "40.7 %"}) == ()
    assert alike((), {"one": "2", "two": "3"}) == ()


def test_a_best_is_one_of_the_same_load():
    """Nobody chooses a load: the better valving of the loaded truck is marked beside that of the empty one, and a load alone is not."""
    measure = Measure("x", "x", "percent", "less", lambda run: 0.0, "")
    row = {
        name: Value(value, 0.0, False)
        for name, value in {"a": 0.10, "b": 0.12, "a loaded": 0.30, "b loaded": 0.26, "towed": 0.05}.items()
    }
    said = {name: f"{100 * value.value:.1f} %" for name, value in row.items()}
    groups = (("a", "b"), ("a loaded", "b loaded"), ("towed",))
    assert [best_among(row, measure, group, said) for group in groups] == [("a",), ("b loaded",), ()]
    assert best_among(row, measure, ("a", "b"), {"a": "0.1", "b": "0.1"}) == ()


def test_what_nobody_would_notice_is_no_best():
    """A bump stop squeezed by 22.1 or by 22.2 mm is squeezed alike: a tape tells a quarter of an inch (docs/reading-results.md)."""
    measure = Measure("x", "x", "length", "more", lambda run: 0.0, "")

    def best(**lengths):
        row = {name: Value(value, 0.0, False) for name, value in lengths.items()}
        return best_among(
            row, measure, tuple(row), {name: f"{1e3 * value.value:.1f} mm" for name, value in row.items()}
        )

    assert best(one=-0.0221, two=-0.0222, three=-0.0221) == ()
    assert best(one=-0.0221, two=-0.0222, three=-0.0301) == ("one", "two")
    assert best(one=-0.0221, two=-0.0301, three=-0.0301) == ("one",)


def test_what_is_not_reached_has_a_bar_unlike_all_that_have_a_length():
    """It goes on past the longest of the others, and is broken there; without it the longest goes to the edge."""
    measure = Measure("settling", "Settling time", "time", "less", float, "")
    for others, longest in (((1.0, 3.0, inf), OPEN), ((1.0, 3.0), BAR_RIGHT)):
        row = {str(place): Value(value, 0.0, flagged=False) for place, value in enumerate(others)}
        bars: dict[float, list[tuple[float, float]]] = {}

        def line(across, at, bars=bars, **style):
            if style.get("solid_capstyle") == "butt":
                bars.setdefault(round(at[0], 6), []).append(across)

        looks = {name: SimpleNamespace(number=place, colour="k") for place, name in enumerate(row)}
        put_cell(SimpleNamespace(text=lambda *_, **__: None, line=line, looks=looks), measure, row, 0.0, 0.0)
        ends = [max(end for _, end in pieces) for pieces in bars.values()]
        assert ends[1] == pytest.approx(longest)
        assert [len(pieces) for pieces in bars.values()] == [1, 1, 4][: len(others)]
        assert max(ends) <= BAR_RIGHT + 1e-9
