"""Numbers that a description wants in an order keep it in every draw, so that no try is lost to it."""

import numpy as np
import pytest

from sim.describe.doubtful import ordered
from sim.errors import JounceError
from sim.study.doubt.in_order import Pair, in_order
from sim.study.doubt.lanes import Drawn
from sim.study.doubt.unknowns import draws, unknowns
from tests.study.doubt.cases import scenario

DOUBTS = {
    # 95 times in 100 within these ends: with normal distributions the two cross in one draw of six or so
    "front.stop.rate_first": "60 N/mm +- 50 N/mm",
    "front.stop.rate_full": "110 N/mm +- 90 N/mm",
    "rear.dampers.main.length_collapsed": "380 mm +- 60 mm",
}


def test_two_in_doubt_change_places_and_one_is_mirrored_at_what_is_known():
    both, low, high = Pair("a", "b", 1.0, 2.0), Pair("a", "c", 1.0, 2.0), Pair("d", "b", 1.0, 2.0)
    assert in_order({"a": 3.0, "b": 2.5}, [both]) == {"a": 2.5, "b": 3.0}
    assert in_order({"a": 2.5}, [low]) == {"a": 1.5}
    assert in_order({"b": 0.5}, [high]) == {"b": 1.5}
    assert in_order({"a": 1.0, "b": 1.0}, [both]) == {"a": 1.0, "b": 1.0}


def test_no_try_is_lost_to_a_stop_that_softens_or_a_damper_that_is_crossed(tmp_path):
    loaded = scenario(tmp_path, DOUBTS, {"as it is": None, "other stops": {"front.stop.rate_full": "70 N/mm"}})
    of = unknowns(loaded.setups)
    _, values = draws(of, 128)
    column = {one.path: n for n, one in enumerate(of)}
    crossed = values[:, column["front.stop.rate_first"]] > values[:, column["front.stop.rate_full"]]
    assert np.count_nonzero(crossed) > 5
    assert np.any(values[:, column["front.stop.rate_first"]] > 70e3)
    drawn = Drawn(loaded.setups, of, values)
    for draw in range(128):
        for name in loaded.setups:
            one = drawn.vehicle(name, draw)  # refused before: "rate_full must not be less"
            assert one.front.stop.rate_first <= one.front.stop.rate_full
    # what does not cross stays as it was drawn, and what does keeps both values
    for draw in (int(np.argmax(crossed)), int(np.argmin(crossed))):
        stop = drawn.vehicle("as it is", draw).front.stop
        pair = sorted(values[draw, [column["front.stop.rate_first"], column["front.stop.rate_full"]]])
        assert (stop.rate_first, stop.rate_full) == pytest.approx(pair, rel=1e-12)


def test_every_rule_of_order_is_one_that_the_description_refuses(tmp_path):
    """Each pair crossed in the truck's own file is refused: what is kept in order here is what would be lost."""
    loaded = scenario(tmp_path, {})
    truck = next(iter(loaded.setups.values()))
    found = list(ordered(truck))
    assert {one.lesser.rpartition(".")[2] for one in found} >= {"rate_first", "length_collapsed"}
    for one in found:
        low, high = one.values
        assert low <= high
        unit = (
            "N/m"
            if "rate" in one.lesser
            else "K"
            if "limit" in one.lesser
            else "m^2/s"
            if "viscosity" in one.lesser
            else "m"
        )
        with pytest.raises(JounceError):
            truck.changed({one.lesser: f"{1.1 * high!r} {unit}"})
