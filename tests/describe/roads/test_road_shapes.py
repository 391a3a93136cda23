"""Every shape of the list: one example each, and what all of them must keep."""

from typing import Any, get_args

import numpy as np
import pytest
from pydantic import TypeAdapter, ValidationError
from scipy.integrate import trapezoid

from sim.describe.roads import AnyShape, Shape
from sim.describe.roads.flat import Flat

EXAMPLES: dict[str, dict[str, Any]] = {
    "circular_hump": {"height": "100 mm", "chord": "3.7 m"},
    "ditch": {"depth": "300 mm", "width": "2.5 m"},
    "fallen_log": {"diameter": "240 mm", "sunk": "150 mm"},
    "flat": {"length": "10 m"},
    "flat_topped_hump": {"height": "75 mm", "plateau": "7 m", "ramp": "975 mm"},
    "half_sine": {"height": "80 mm", "length": "1.2 m"},
    "parabolic_hump": {"height": "100 mm", "length": "3.7 m"},
    "plank": {"height": "50 mm", "width": "200 mm"},
    "pothole": {"depth": "90 mm", "length": "700 mm", "ramp": "100 mm"},
    "random": {"iso_class": "C", "length": "60 m", "seed": 4},
    "sinusoidal_hump": {"height": "120 mm", "length": "4.8 m"},
    "step": {"height": "-120 mm", "ramp": "300 mm"},
    "survey": {"file": "track.csv"},
    "washboard": {"pitch": "600 mm", "depth": "40 mm", "count": 12},
}
JUMPING = {"plank"}
SHAPES: TypeAdapter[AnyShape] = TypeAdapter(Shape)


def shape(kind: str, folder: Any = ".", **changes: Any) -> AnyShape:
    data = {"kind": kind, **EXAMPLES[kind], **changes}
    return SHAPES.validate_python(data, context={"folder": folder})


@pytest.fixture
def folder(tmp_path):
    rows = "\n".join(f"{d / 4},{30 * np.sin(d)}" for d in range(40))
    (tmp_path / "track.csv").write_text(f"distance [m],height [mm]\n{rows}\n", encoding="utf-8")
    return tmp_path


def test_every_kind_of_the_list_has_an_example():
    kinds = {get_args(model.model_fields["kind"].annotation)[0] for model in get_args(AnyShape)}
    assert kinds == set(EXAMPLES)


@pytest.mark.parametrize("kind", EXAMPLES)
def test_starts_at_zero_and_stays_level_outside(kind, folder):
    one = shape(kind, folder)
    before, after = np.linspace(-3.0, 0.0, 20), one.length_m + np.linspace(1e-9, 3.0, 20)
    assert np.array_equal(one.height_at(before), np.zeros(20))
    assert np.ptp(one.height_at(after)) == 0.0


@pytest.mark.parametrize("kind", EXAMPLES)
def test_is_continuous_but_at_its_edges(kind, folder):
    one = shape(kind, folder)
    fine = np.linspace(-0.1, one.length_m + 0.1, 400_001)
    jumps = np.abs(np.diff(one.height_at(fine))) > 1e-2
    places = fine[:-1][jumps]
    assert bool(places.size) == (kind in JUMPING)
    for place in places:
        assert min(abs(place - edge) for edge in one.edges()) < 2e-5


@pytest.mark.parametrize("kind", EXAMPLES)
def test_slope_changes_at_once_only_at_its_edges(kind, folder):
    one = shape(kind, folder)
    fine = np.linspace(-0.05, one.length_m + 0.05, 20_001)
    slope_change = np.abs(np.diff(one.height_at(fine), 2)) / (fine[1] - fine[0])
    for place in fine[1:-1][slope_change > 0.1]:
        assert min(abs(place - edge) for edge in one.edges()) < 2 * (fine[1] - fine[0])


@pytest.mark.parametrize("kind", EXAMPLES)
def test_edges_lie_on_the_shape_in_order(kind, folder):
    one = shape(kind, folder)
    edges = one.edges()
    assert list(edges) == sorted(set(edges))
    assert all(0.0 <= edge <= one.length_m for edge in edges)
    assert bool(edges) == (not isinstance(one, Flat))


@pytest.mark.parametrize("kind", sorted(set(EXAMPLES) - {"step", "survey", "random"}))
def test_is_its_own_mirror_image(kind):
    one = shape(kind)
    x = np.linspace(-0.2, one.length_m + 0.2, 1001)
    assert np.allclose(one.height_at(x), one.height_at(one.length_m - x), rtol=0.0, atol=1e-12)


@pytest.mark.parametrize("kind", EXAMPLES)
def test_cannot_be_changed_and_refuses_unknown_words(kind, folder):
    one = shape(kind, folder)
    with pytest.raises(ValidationError):
        one.repeat = 3
    with pytest.raises(ValidationError):
        shape(kind, folder, colour="red")


LENGTHS = [
    (kind, word)
    for kind, words in EXAMPLES.items()
    for word in words
    if word not in ("count", "file", "iso_class", "seed")
]


@pytest.mark.parametrize(("kind", "word"), LENGTHS)
@pytest.mark.parametrize("value", [0.1, "0.1", "-5 m", "1e9 m", "nan m", "3 kg", None, [], True])
def test_refuses_impossible_lengths(kind, word, value):
    if (kind, word, value) == ("step", "height", "-5 m"):
        value = "-5000 mm"
    with pytest.raises(ValidationError):
        shape(kind, **{word: value})


@pytest.mark.parametrize(
    ("kind", "changes", "words"),
    [
        ("pothole", {"ramp": "400 mm"}, "at most 350.0 mm"),
        ("circular_hump", {"height": "1.9 m"}, "more than half a circle"),
        ("fallen_log", {"sunk": "240 mm"}, "does not stand out"),
        ("washboard", {"length": "7.2 m"}, "either `count` or `length`"),
        ("washboard", {"count": None}, "either `count` or `length`"),
        ("washboard", {"count": None, "length": "500 mm"}, "shorter than one pitch"),
        ("washboard", {"count": 0}, "greater than or equal to 1"),
        ("random", {"iso_class": "K"}, "Input should be 'A'"),
        ("random", {"seed": -1}, "greater than or equal to 0"),
        ("random", {"shortest_wave": "50 m"}, "less than half of its longest"),
        ("flat", {"repeat": 0}, "greater than or equal to 1"),
        ("flat", {"repeat": 10**7}, "less than or equal to"),
    ],
)
def test_says_why_sizes_do_not_go_together(kind, changes, words):
    with pytest.raises(ValidationError, match=words):
        shape(kind, **changes)


def test_washboard_length_becomes_whole_pitches():
    by_length = shape("washboard", count=None, length="7.3 m")
    assert by_length.length_m == pytest.approx(12 * 0.6, abs=1e-12)
    x = np.linspace(0.0, 7.2, 721)
    assert np.allclose(by_length.height_at(x), shape("washboard").height_at(x), atol=1e-14)


def test_washboard_reaches_from_trough_to_peak():
    one = shape("washboard")
    crests = 0.3 + 0.6 * np.arange(12)
    assert np.allclose(one.height_at(crests), 0.04, rtol=0.0, atol=1e-15)
    assert np.allclose(one.height_at(0.6 * np.arange(13)), 0.0, rtol=0.0, atol=1e-15)


def test_log_stands_out_by_what_is_not_sunk():
    half_free, deep = shape("fallen_log", sunk="60 mm"), shape("fallen_log")
    for one, top in ((half_free, 0.18), (deep, 0.09)):
        middle = np.array([one.length_m / 2.0])
        assert one.height_at(middle)[0] == pytest.approx(top, abs=1e-12)
    # chord of a circle of radius 0.12 m at 0.03 m from its middle (Pythagoras)
    assert deep.length_m == pytest.approx(2.0 * np.sqrt(0.12**2 - 0.03**2), abs=1e-12)
    assert half_free.length_m == pytest.approx(0.24, abs=1e-12)


def test_ditch_is_level_at_rims_and_bottom_and_as_deep_as_said():
    one = shape("ditch")
    places = np.array([0.0, 1.25, 2.5])
    assert np.allclose(one.height_at(places), [0.0, -0.3, 0.0], rtol=0.0, atol=1e-15)
    assert np.allclose(one.height_at(places + 1e-6) - one.height_at(places), 0.0, atol=1e-11)


def test_half_sine_has_its_mean_height():
    # mean of a half sine: 2 / pi of its top
    x = np.linspace(0.0, 1.2, 10_001)
    mean = trapezoid(shape("half_sine").height_at(x), x) / 1.2
    assert mean == pytest.approx(0.08 * 2.0 / np.pi, rel=1e-7)
