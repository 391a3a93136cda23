from dataclasses import replace
from math import inf, nan

import pytest

from sim.measure.comparison import worst_setups
from sim.measure.table import Value
from sim.measure.worst import worst
from tests.synthetic import synthetic_comparison


def exact(**values):
    return {setup: Value(value, 0.0, False) for setup, value in values.items()}


@pytest.mark.parametrize(
    ("values", "better", "expected"),
    [
        (exact(a=1.0, b=2.0, c=1.5), "less", ("b",)),
        (exact(a=1.0, b=2.0, c=1.5), "more", ("a",)),
        (exact(a=-3.0, b=2.0), "more", ("a",)),
        (exact(a=1.0, b=2.0), None, ()),
        (exact(a=2.0, b=2.0, c=1.0), "less", ("a", "b")),
        (exact(a=2.0, b=2.0), "less", ()),
        (exact(a=0.0, b=0.0, c=0.0), "less", ()),
        (exact(a=nan, b=2.0, c=1.0), "less", ("b",)),
        (exact(a=nan, b=2.0), "less", ()),  # nothing to compare with
        (exact(a=nan, b=nan), "less", ()),
        (exact(a=1.0, b=inf), "less", ("b",)),
        (exact(a=inf, b=inf, c=1.0), "less", ("a", "b")),
        (exact(a=inf, b=inf), "less", ()),
        (exact(a=1.0), "less", ()),
        ({}, "less", ()),
    ],
)
def test_worst(values, better, expected):
    assert worst(values, better) == expected


def test_a_difference_within_the_numerical_errors_is_none():
    close = {"a": Value(2.00, 0.03, False), "b": Value(2.05, 0.03, False)}
    assert worst(close, "less") == ()
    assert worst(close | exact(c=1.0), "less") == ("a", "b")
    apart = {"a": Value(2.00, 0.02, False), "b": Value(2.05, 0.02, False)}
    assert worst(apart, "less") == ("b",)


def test_an_unknown_error_hides_no_difference():
    values = {"a": Value(1.0, nan, False), "b": Value(2.0, nan, False)}
    assert worst(values, "less") == ("b",)


def test_order_of_setups_does_not_matter():
    values = exact(a=1.0, b=3.0, c=3.0, d=2.0)
    turned = dict(reversed(values.items()))
    assert set(worst(values, "less")) == set(worst(turned, "less")) == {"b", "c"}


def test_worst_setups_of_a_comparison():
    comparison = synthetic_comparison(3)
    found = worst_setups(comparison)
    assert set(found) == {measure.name for measure in comparison.measures}
    # without dampers the washboard lifts the wheels the longest
    assert found["rear_tyre_off_ground"] == ("bare springs",)
    assert found["front_bump_used"] == ()  # neither way is better
    assert "bare springs" not in found["front_main_rebound_force"]  # it has none


@pytest.mark.parametrize(
    ("loads", "marked"),
    [
        ((0.233, 0.233, 0.232), ()),  # 23.3, 23.3 and 23.2 %: a tenth of the figure is noticed
        ((0.250, 0.233, 0.232), ()),
        ((0.260, 0.233, 0.232), ("bare springs",)),
    ],
)
def test_what_nobody_notices_is_not_marked(loads, marked):
    comparison = synthetic_comparison(3)
    name = "rear_tyre_load_variation"
    values = {
        setup: row | {name: Value(load, 0.0, False)}
        for (setup, row), load in zip(comparison.values.items(), loads, strict=True)
    }
    assert worst_setups(replace(comparison, values=values))[name] == marked
