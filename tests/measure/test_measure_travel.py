from math import isnan

import numpy as np
import pytest

from sim.measure import travel
from tests.synthetic import still_run, with_axle, with_damper

TIME = np.arange(1001) * 1e-3


def moved(up_m, down_m, **changes):
    """Stands at +10 mm, stop at +90 mm, strap at -70 mm: 80 mm each way."""
    run = still_run(TIME)
    path = np.interp(TIME, [0.0, 0.2, 0.5, 1.0], [0.01, 0.01 + up_m, 0.01 - down_m, 0.01])
    given = {"jounce_rest_m": 0.01, "jounce_at_stop_m": 0.09, "jounce_at_strap_m": -0.07}
    return with_axle(run, "rear", jounce_m=path, **(given | changes))


def test_travel_used_is_from_where_it_stood():
    run = moved(0.06, 0.02)
    assert travel.bump_used(run, "rear") == pytest.approx(0.06)
    assert travel.droop_used(run, "rear") == pytest.approx(0.02)
    assert travel.left_to_stop(run, "rear") == pytest.approx(0.02)
    assert travel.left_to_strap(run, "rear") == pytest.approx(0.06)
    assert travel.bump_share(run, "rear") == pytest.approx(0.75)
    assert travel.droop_share(run, "rear") == pytest.approx(0.25)


def test_used_and_left_add_up_to_what_there_is():
    for up, down in ((0.0, 0.0), (0.03, 0.05), (0.1, 0.09)):
        run = moved(up, down)
        assert travel.bump_used(run, "rear") + travel.left_to_stop(run, "rear") == pytest.approx(0.08)
        assert travel.droop_used(run, "rear") + travel.left_to_strap(run, "rear") == pytest.approx(0.08)


def test_into_stop_and_strap():
    run = moved(0.09, 0.1)
    assert travel.left_to_stop(run, "rear") == pytest.approx(-0.01)
    assert travel.left_to_strap(run, "rear") == pytest.approx(-0.02)
    assert travel.bump_share(run, "rear") == pytest.approx(1.125)
    assert travel.droop_share(run, "rear") == pytest.approx(1.25)


def test_one_way_only_uses_nothing_the_other_way():
    run = moved(0.05, -0.01)
    assert travel.droop_used(run, "rear") == 0.0


def with_lengths(length_m, **ends):
    return with_damper(still_run(TIME), "rear", "main", length_m=length_m, **ends)


def test_room_of_dampers_to_both_ends_is_from_the_least_and_the_greatest_length():
    """Between 420 and 560 mm, of a damper that goes from 400 to 600 mm; a longer one beside it is solid by 10 mm."""
    length = np.interp(TIME, [0.0, 0.3, 0.6, 1.0], [0.5, 0.42, 0.56, 0.5])
    run = with_lengths(length, length_collapsed_m=0.400, length_extended_m=0.600)
    assert travel.left_to_collapsed(run, "rear") == pytest.approx(0.020)
    assert travel.left_to_extended(run, "rear") == pytest.approx(0.040)
    assert travel.left_to_collapsed(with_lengths(length, length_collapsed_m=0.430), "rear") == pytest.approx(-0.010)
    # Turned over in time and length, in becomes out.
    turned = with_lengths(1.0 - length, length_collapsed_m=1.0 - 0.600, length_extended_m=1.0 - 0.400)
    assert travel.left_to_collapsed(turned, "rear") == pytest.approx(travel.left_to_extended(run, "rear"))
    assert travel.left_to_extended(turned, "rear") == pytest.approx(travel.left_to_collapsed(run, "rear"))
    assert isnan(travel.left_to_collapsed(with_lengths(length, length_collapsed_m=None), "rear"))


def test_the_room_to_the_collapsed_end_stands_in_the_place_of_the_stop_where_there_is_none():
    by = {measure.name: measure for measure in travel.measures(moved(0.05, 0.05))}
    assert by["rear_left_to_stop"].shown.table
    assert not by["rear_left_to_collapsed"].shown.table
    by = {measure.name: measure for measure in travel.measures(moved(0.05, 0.05, jounce_at_stop_m=None))}
    assert not by["rear_left_to_stop"].shown.table
    assert by["rear_left_to_collapsed"].shown.table


def test_without_stop_or_strap_nothing_is_left_to_say():
    run = moved(0.05, 0.05, jounce_at_stop_m=None, jounce_at_strap_m=None)
    for of in (
        travel.left_to_stop,
        travel.left_to_strap,
        travel.bump_share,
        travel.droop_share,
    ):
        assert isnan(of(run, "rear"))


def test_a_truck_that_stands_on_its_stop_has_no_share():
    run = moved(0.0, 0.02, jounce_at_stop_m=0.005, jounce_at_strap_m=0.02)
    assert isnan(travel.bump_share(run, "rear"))
    assert isnan(travel.droop_share(run, "rear"))
    assert travel.left_to_stop(run, "rear") == pytest.approx(-0.005)
