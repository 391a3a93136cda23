"""Sweeps and tunings that move a leaf pack: what was estimated from it goes along, as in a set-up that a person writes."""

import pytest

from sim.describe.files.scenario import load_scenario
from sim.describe.files.vehicles import vehicle_from
from sim.study.sweep.axes import axis
from sim.study.sweep.points import Points
from sim.study.tuning.followers import followed, followers

TRUCK = """\
kind: vehicle
name: Truck
weighed: {front: 2980 lb, rear: 2260 lb}
wheelbase: 102 in
front: {springs: {coil: {rate: 170 lb/in}}}
rear: {springs: {pack: {leaves: 5, leaf_width: 2.5 in, leaf_thickness: 0.25 in, halves: {ahead: 23 in, behind: 25 in}}}}
"""
WRITTEN = {
    "weighed": {"front": "2980 lb", "rear": "2260 lb"},
    "wheelbase": "102 in",
    "rear": {"springs": {"pack": {"rate": "155 lb/in"}}},
}


def test_a_sweep_over_a_packs_leaves_has_its_wind_up_rate_at_each_point(tmp_path):
    """By hand: the rate goes as the cube of the thickness, and what the pack holds against wind-up with it."""
    (tmp_path / "truck.yaml").write_text(TRUCK, encoding="utf-8")
    (tmp_path / "s.yaml").write_text(
        "kind: scenario\nname: S\nvehicle: truck.yaml\nrun: {kind: drop, height: 50 mm}\nsetups:\n  as it is:\n",
        encoding="utf-8",
    )
    points = Points(
        load_scenario(tmp_path / "s.yaml"),
        [axis("rear.springs.pack.leaf_thickness", "0.25 in", "0.3 in", "2")],
        [],
        coarse=False,
    )
    thin, thick = (points.point(("as it is", (n,)))[0].rear.guide.wind_up.rate for n in (0, 1))
    assert thick / thin == pytest.approx((0.3 / 0.25) ** 3, rel=0.004)


@pytest.mark.parametrize("more", [0.8, 1.5])
def test_a_tuned_pack_takes_its_wind_up_rate_along(more):
    truck = vehicle_from(WRITTEN)
    path = "rear.springs.pack.rate"
    following = followers(truck, {path: truck.rear.springs["pack"].rate * more}, [path])
    assert followed(truck, [path, "front.dampers.main.count"]) == list(following)
    assert following["rear.guide.wind_up.rate"] == pytest.approx(truck.rear.guide.wind_up.rate * more)
    # at one damping ratio, c as the root of the rate
    assert following["rear.guide.wind_up.damping"] == pytest.approx(truck.rear.guide.wind_up.damping * more**0.5)
    # as a set-up has it that a person writes, to the three digits of an estimate
    written = truck.changed({path: f"{155 * more} lb/in"})
    assert following["rear.guide.wind_up.rate"] == pytest.approx(written.rear.guide.wind_up.rate, rel=0.006)


def test_a_given_rate_and_one_that_moves_itself_stay():
    path, own = "rear.springs.pack.rate", "rear.guide.wind_up.rate"
    truck = vehicle_from(WRITTEN)
    assert own not in followers(truck, {path: 40e3}, [path, own])
    given = vehicle_from({**WRITTEN, "rear": {**WRITTEN["rear"], "guide": {"wind_up": {"rate": "300 lbf ft/deg"}}}})
    assert not followers(given, {path: 40e3}, [path])
