"""Files of right keys with anything under them, drawn by Hypothesis: no traceback, a documented exit code, words that fit a screen.

Mutations of text (`tests.fuzz.mutations`) mostly break a file's form, and then its reader stops early. These are whole YAML with
the keys of a shipped file, so that what is drawn reaches the descriptions and the rules between them.
"""

import os
import shutil
from functools import cache

import pytest
import yaml
from hypothesis import example, given, settings
from hypothesis import strategies as st

from sim.errors import Problem
from tests.fuzz.judging import judged
from tests.fuzz.run import SCENARIOS

pytestmark = pytest.mark.long  # whole commands and studies, over and over: seconds each

FILES = (
    "two_or_four.yaml", "will_they_fade.yaml", "tune_for_the_track.yaml", "what_to_measure_first.yaml", "push_on_the_bumper.yaml",
    "vehicles/hut_supply_truck.yaml", "courses/corrugated_track.yaml", "courses/upper_track.yaml",
)  # fmt: skip
"""One of each kind of file and run."""

EXAMPLES = int(os.environ.get("EXAMPLES", "15"))
"""Of each file; more by hand: `EXAMPLES=5000 python -m pytest -n 0 --hypothesis-seed=1 tests/fuzz/test_grammar.py`."""


@cache
def shipped(name):
    """Return a shipped file as plain data, the ways to all of its places, and all its keys."""
    data = yaml.safe_load((SCENARIOS / name).read_text(encoding="utf-8"))
    places, keys = [], {"kind"}

    def walk(part, way):
        places.append(way)
        for key, inner in part.items() if isinstance(part, dict) else enumerate(part) if isinstance(part, list) else ():
            keys.add(str(key))
            walk(inner, (*way, key))

    walk(data, ())
    return data, places[1:], sorted(keys)


def anything(keys):
    """Return a strategy for what may stand in a place: numbers with and without units, texts, lists, mappings of known keys."""
    number = st.floats(allow_nan=True) | st.integers(-(10**6), 10**6) | st.sampled_from([0, 1e-300, 1e300, 10**400])
    unit = st.sampled_from(
        ["m", "mm", "in", "kg", "N/mm", "lb/in", "N", "km/h", "%", "deg", "°C", "kg m^2", "kN s/m", "psi", "kPa", "s"]
    )
    text = st.builds("{} {}".format, number, unit) | st.builds("{} +- {}".format, number, unit) | st.text(max_size=8)
    plain = st.none() | st.booleans() | number | text | st.sampled_from(keys) | st.dates()
    return st.recursive(
        plain,
        lambda inner: (
            st.lists(inner, max_size=4) | st.dictionaries(st.sampled_from(keys) | st.integers(), inner, max_size=4)
        ),
        max_leaves=8,
    )


def put(data, way, new):
    """Return data with something else in a place; every part on the way is a copy."""
    if not way:
        return new
    copied = dict(data) if isinstance(data, dict) else list(data)
    copied[way[0]] = put(copied[way[0]], way[1:], new)
    return copied


@st.composite
def changed(draw, name):
    """Return a shipped file with up to three places changed, or a key added."""
    data, places, keys = shipped(name)
    for way in draw(st.lists(st.sampled_from(places), min_size=1, max_size=3, unique=True)):
        try:
            data = put(data, way, draw(anything(keys)))
        except (KeyError, IndexError, TypeError):  # what stood there went with a place above it
            continue
    if draw(st.booleans()):
        data = {**data, draw(st.sampled_from(keys)): draw(anything(keys))}
    return data


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    place = tmp_path_factory.mktemp("grammar") / "scenarios"
    shutil.copytree(SCENARIOS, place)
    return place


@pytest.mark.parametrize("name", FILES)
def test_right_keys_with_anything_under_them(folder, name):
    path = folder / name
    path = path.with_name(f"drawn_{path.name}")

    @settings(max_examples=EXAMPLES)
    @given(changed(name))
    @example({})
    def holds(data):
        path.write_text(
            yaml.safe_dump(data, allow_unicode=True, sort_keys=False), encoding="utf-8", errors="surrogatepass"
        )
        found = judged(path)
        assert not found.fault, found.words

    holds()


@pytest.mark.parametrize("sign", ["\x1b", "\x85", "\u2028", "\u202e", "\ud800"])
def test_no_sign_of_a_file_steers_the_terminal(sign):
    problem = str(Problem(f"a{sign}b", f"c{sign}d.yaml", 1, 1, f"e{sign}f", f"g{sign}h", f"i{sign}j", f"k{sign}l"))
    assert sign not in problem
    assert problem.count(f"\\u{ord(sign):04x}") == 6
