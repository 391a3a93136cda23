from math import isnan

import numpy as np
import pytest

from sim.measure import hits
from sim.measure.signals import CHATTER_S, contacts
from tests.synthetic import still_run, with_axle, with_damper

TIME = np.arange(2001) * 1e-3


def during(*spans):
    touching = np.zeros(TIME.size, bool)
    for start, end in spans:
        touching |= (start - 1e-9 <= TIME) & (end - 1e-9 > TIME)
    return touching


@pytest.mark.parametrize(
    ("spans", "expected"),
    [
        ((), 0),
        (((0.5, 0.6),), 1),
        (((0.5, 0.501),), 1),  # one sample
        (((0.5, 0.6), (0.9, 1.0), (1.5, 2.1)), 3),  # the last one lasts to the end
        (((0.0, 0.3),), 0),  # was there from the start
        (((0.0, 0.3), (0.5, 0.6)), 1),
        (((0.5, 0.52), (0.525, 0.53), (0.54, 0.56)), 1),  # chatter
        (((0.5, 0.52), (0.525, 0.53), (0.60, 0.62)), 2),
        (((0.0, 0.3), (0.31, 0.4)), 0),  # chatter of a contact that did not begin
        (((0.5, 0.52), (0.54, 0.56)), 2),  # parted for exactly the limit
        (((0.5, 0.52), (0.539, 0.56)), 1),
    ],
)
def test_contacts(spans, expected):
    assert CHATTER_S == 0.02
    assert contacts(during(*spans), TIME) == expected


def test_contacts_of_a_bouncing_contact_do_not_depend_on_the_sampling():
    for step in (1e-3, 0.5e-3, 0.25e-3):
        time = np.arange(round(2 / step) + 1) * step
        assert contacts(np.sin(2 * np.pi * 7 * time + 0.3) > 0.5, time) == 14


def test_contacts_of_one_sample():
    assert contacts(np.array([True]), np.array([0.0])) == 0


def test_hits_of_stop_and_strap():
    run = still_run(TIME)
    run = with_axle(run, "front", stop_force_n=np.where(during((0.1, 0.2), (0.5, 0.6)), 4e3, 0.0))
    run = with_axle(run, "rear", strap_force_n=np.where(during((0.1, 0.2)), 4e3, 0.0))
    found = {m.name: m.of(run) for m in hits.measures(run)}
    assert found == {
        "front_stop_hits": 2, "front_strap_hits": 0, "front_damper_end_hits": 0,
        "rear_stop_hits": 0, "rear_strap_hits": 1, "rear_damper_end_hits": 0,
    }  # fmt: skip


def test_hits_of_many_at_once_are_those_of_each():
    each = [during((0.1, 0.2), (0.5, 0.6)), during(), during((0.3, 0.4))]
    run = with_axle(still_run(TIME), "front", stop_force_n=4e3 * np.array(each, float).T)
    assert hits.stop_hits(run, "front").tolist() == [2.0, 0.0, 1.0]


def test_damper_ends_of_all_sets_count_each_for_itself():
    run = still_run(TIME)
    damper = run.front.dampers["main"]
    at_collapsed, at_extended = damper.length_collapsed_m, damper.length_extended_m
    length = np.full(TIME.size, damper.length_rest_m)
    first = np.where(during((0.1, 0.2), (0.5, 0.6)), at_collapsed - 1e-4, length)
    both = np.where(during((1.0, 1.1)), at_extended + 1e-4, first)
    run = with_axle(run, "front", dampers={"main": damper, "second": damper})
    run = with_damper(run, "front", "main", length_m=both)
    assert hits.damper_end_hits(run, "front") == 3
    run = with_damper(run, "front", "second", length_m=first)
    assert hits.damper_end_hits(run, "front") == 5


def test_nothing_to_run_into():
    run = with_axle(still_run(TIME), "front", jounce_at_stop_m=None, jounce_at_strap_m=None, dampers={})
    assert all(isnan(of(run, "front")) for of in (hits.stop_hits, hits.strap_hits))
    assert isnan(hits.damper_end_hits(run, "front"))
    unknown = with_damper(still_run(TIME), "front", "main", length_collapsed_m=None, length_extended_m=None)
    assert isnan(hits.damper_end_hits(unknown, "front"))


def test_one_known_end_is_judged():
    run = with_damper(
        still_run(TIME), "front", "main", length_extended_m=None,
        length_m=np.where(during((0.3, 0.4)), 0.39, 0.9),
    )  # fmt: skip
    assert hits.damper_end_hits(run, "front") == 1


def test_which_end_a_damper_is_against():
    damper = still_run(TIME[:5]).front.dampers["main"]
    least, most = damper.length_collapsed_m, damper.length_extended_m
    run = with_damper(
        still_run(TIME[:5]), "front", "main",
        length_m=np.array([least - 1e-4, least, damper.length_rest_m, most, most + 1e-4]),
    )  # fmt: skip
    damper = run.front.dampers["main"]
    assert hits.collapsed(damper).tolist() == [True, False, False, False, False]
    assert hits.extended(damper).tolist() == [False, False, False, False, True]
