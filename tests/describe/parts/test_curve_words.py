"""The word for a force-speed curve: force ratio against speed ratio, of curves whose answer is plain."""

import pytest
from pydantic import TypeAdapter

from sim.describe.parts.dampers.curve_words import curve_words, side_words
from sim.describe.parts.dampers.laws import Law
from sim.describe.parts.dampers.testing import TEST_SPEEDS
from tests.describe.parts.dampers import MONOTUBE

LAW = TypeAdapter(Law)


def knee(bump, rebound):
    sides = zip(("compression", "rebound"), (bump, rebound), strict=True)
    return LAW.validate_python(
        {
            "kind": "knee",
            **{name: {"low": f"{a} N s/m", "knee": "0.12 m/s", "high": f"{b} N s/m"} for name, (a, b) in sides},
        }
    )


@pytest.mark.parametrize(
    ("power", "word"), [(0.5, "digressive"), (0.9, "digressive"), (1.0, "linear"), (1.1, "progressive"), (2.0, "progressive")]
)  # fmt: skip
def test_a_power_of_speed(power, word):
    """F = c v^n: force grows 20^n-fold over 20-fold speed, so n alone decides, whatever c is."""
    for factor in (3.0, 4000.0):
        assert side_words(TEST_SPEEDS, [factor * v**power for v in TEST_SPEEDS]) == word


@pytest.mark.parametrize(
    ("bump", "rebound", "words"),
    [
        ((900, 2000), (900, 2000), "progressive"),
        ((2000, 900), (2000, 900), "digressive"),
        ((900, 900), (2600, 2600), "linear"),
        ((2000, 900), (900, 2000), "compression digressive; rebound progressive"),
        ((900, 2000), (2000, 900), "compression progressive; rebound digressive"),
        ((900, 900), (2000, 900), "compression linear; rebound digressive"),
        ((0, 0), (900, 2000), "compression no force; rebound progressive"),
        ((0, 500), (900, 2000), "progressive"),
    ],
)
def test_each_direction_by_its_own_curve(bump, rebound, words):
    assert curve_words(knee(bump, rebound)) == words


def test_a_table_and_its_formula_have_one_word():
    """The same points written as a table: what the law is called must not matter."""
    points = [{"speed": f"{v} m/s", "force": f"{3000 * v**1.6!r} N"} for v in TEST_SPEEDS]
    flat = [{"speed": f"{v} m/s", "force": f"{800 * v**0.5!r} N"} for v in TEST_SPEEDS]
    assert curve_words(LAW.validate_python({"kind": "table", "compression": points, "rebound": flat})) == (
        "compression progressive; rebound digressive"
    )


def test_a_curve_that_turns_round_is_said_in_two_parts():
    """Force over speed, by hand: 100, 200, 300, 200, 100, 50 turns at the third speed; its inverse the other way."""
    slopes = (100.0, 200.0, 300.0, 200.0, 100.0, 50.0)
    there = [c * v for c, v in zip(slopes, TEST_SPEEDS, strict=True)]
    assert side_words(TEST_SPEEDS, there).startswith("progressive up to 0.13 m/s")
    back = [v / c for c, v in zip(slopes, TEST_SPEEDS, strict=True)]
    assert side_words(TEST_SPEEDS, back).startswith("digressive up to 0.13 m/s")


def test_bleed_and_valves():
    """A bleed's jet goes with the square of speed until the valves open: progressive first, digressive after (Dixon, ch. 6)."""
    words = curve_words(LAW.validate_python(MONOTUBE))
    assert words.partition(" from there")[0].count("digressive") == 1
