"""How stiffly leaf packs hold an axle against wind-up after a set-up has changed them: estimated anew, or said."""

from math import pi

import pytest

from sim.describe.files.given_with_old_packs import given_with_old_packs
from sim.describe.files.scenario import load_scenario
from sim.describe.files.vehicles import load_vehicle, vehicle_from
from sim.describe.shown import shown_in
from sim.lower.lowering import lower
from sim.study.doubt.lanes import Drawn
from sim.study.doubt.unknowns import draws, unknowns

INCH, LBF = 0.0254, 4.4482216152605  # NIST SP 811
FT_A_DEGREE = 12 * INCH * LBF / (pi / 180.0)
PACK = {
    "leaves": 5,
    "leaf_width": "2.5 in",
    "leaf_thickness": "1/4 in",
    "halves": {"ahead": "23 in", "behind": "25 in"},
}
TRUCK = {
    "weighed": {"front": "2980 lb", "rear": "2260 lb"}, "wheelbase": "102 in", "front": {"springs": {"coil": {"rate": "170 lb/in"}}},
    "rear": {"springs": {"pack": PACK}},
}  # fmt: skip


def rate(vehicle):
    return vehicle.rear.guide.wind_up.rate / FT_A_DEGREE


def by_hand(pack_lb_in, ahead=23.0, behind=25.0):
    """Both packs [lbf ft/deg]: halves a, b share k as 1/a³ : 1/b³, each holds its k times its length squared."""
    of_ahead = pack_lb_in * behind**3 / (ahead**3 + behind**3)
    return 2.0 * (of_ahead * ahead**2 + (pack_lb_in - of_ahead) * behind**2) / 12.0 * pi / 180.0


def test_an_estimate_takes_both_halves_as_from_leaves_does():
    """155.5 lb/in and 23, 25 in: 258 lbf ft/deg; from 23 in alone it would be 239. One number, whichever way it is asked."""
    truck = vehicle_from(TRUCK)
    steel = 207e9  # as the parts have it
    k = 2.0 * steel * 2.5 * INCH * (0.25 * INCH) ** 3 * (2 * 4 + 3 * 1) / (12.0 * (24 * INCH) ** 3) * INCH / LBF
    assert k == pytest.approx(155.5, abs=0.1)
    # written to three digits, as an estimate is
    assert rate(truck) == pytest.approx(by_hand(k), rel=0.003)
    assert rate(truck) == pytest.approx(258.0, abs=0.6)
    of_leaves = lower(truck.changed({"rear.guide.wind_up.rate": "from_leaves"})).axles["rear"].wind_up_rate
    assert rate(truck) == pytest.approx(of_leaves / FT_A_DEGREE, rel=0.003)


@pytest.mark.parametrize(
    ("changes", "wanted"),
    [
        ({"rate": "191.7 lb/in"}, by_hand(191.7)), ({"leaves": 6}, by_hand(155.53 * 13 / 11)), ({"leaf_width": "2 in"}, by_hand(155.53 * 0.8)),
        ({"leaf_thickness": "0.28 in"}, by_hand(155.53 * (0.28 / 0.25) ** 3)),
        ({"halves": {"ahead": "20 in", "behind": "28 in"}}, by_hand(155.53, 20.0, 28.0)), ({"count": 4}, 2.0 * by_hand(155.53)),
        # half of what bends is 22 in: stiffer by (24/22)³ and turned by shorter halves
        ({"halves": {"ahead": "21 in", "behind": "23 in"}}, by_hand(155.53 * (24 / 22) ** 3, 21.0, 23.0)),
    ],
)  # fmt: skip
def test_another_pack_has_its_wind_up_rate_estimated_anew(changes, wanted):
    truck = vehicle_from(TRUCK)
    changed = truck.changed({f"rear.springs.pack.{key}": value for key, value in changes.items()})
    assert rate(changed) == pytest.approx(wanted, rel=0.004)
    assert "rear.guide.wind_up.rate" in {one.path for one in changed.estimates}
    # its damping at the same damping ratio: as the root of the rate
    damping = [one.rear.guide.wind_up.damping for one in (truck, changed)]
    assert damping[1] / damping[0] == pytest.approx((rate(changed) / rate(truck)) ** 0.5, rel=0.006)
    assert not list(given_with_old_packs({"other": changed}))


def test_what_the_pack_does_not_change_stays_to_the_last_digit():
    truck = vehicle_from(TRUCK)
    for changes in (
        {"front.springs.coil.rate": "204 lb/in"},
        {"rear.springs.pack.free_camber": "5 in"},
        {"rear.springs.pack.block": "2 in"},
    ):
        assert truck.changed(changes).rear.guide == truck.rear.guide


def test_a_set_up_that_asks_for_leaves_has_its_damping_all_the_same():
    changed = vehicle_from(TRUCK).changed(
        {"rear.springs.pack.rate": "191.7 lb/in", "rear.guide.wind_up.rate": "from_leaves"}
    )
    alone = vehicle_from(TRUCK).changed({"rear.springs.pack.rate": "191.7 lb/in"})
    assert changed.rear.guide.wind_up.damping == pytest.approx(alone.rear.guide.wind_up.damping, rel=0.01)


def test_a_truck_and_its_stiffer_pack_are_off_together():
    """Drawn, the stiffer pack holds the axle by about as much more in every draw: what clamps and eyes give is of one truck."""
    truck = vehicle_from(TRUCK)
    setups = {"as it is": truck, "stiffer": truck.changed({"rear.springs.pack.rate": "191.7 lb/in"})}
    of = unknowns(setups)
    assert sum(one.path == "rear.guide.wind_up.rate" for one in of) == 1
    drawn = Drawn(setups, of, draws(of, 32)[1])
    ratios, own = [], []
    for draw in range(32):
        was, now = (drawn.vehicle(name, draw).rear.guide.wind_up.rate for name in setups)
        ratios.append(now / was)
        own.append(was)
    # a third off either way and more, and yet the one is always more than the other
    assert max(own) / min(own) > 1.5
    assert min(ratios) > 1.1
    assert max(ratios) < 1.4


def test_a_given_rate_does_not_follow_and_says_what_it_would_be(tmp_path):
    """300 lbf ft/deg given: 23.3 % more of the pack would make it 370. One that the set-up gives says nothing."""
    truck = vehicle_from(
        {**TRUCK, "rear": {"springs": {"pack": PACK}, "guide": {"wind_up": {"rate": "300 lbf ft/deg"}}}}
    )
    stiffer = truck.changed({"rear.springs.pack.rate": "191.7 lb/in"})
    assert rate(stiffer) == pytest.approx(300.0)
    with shown_in("inch"):
        (said,) = given_with_old_packs({"as it is": truck, "stiffer": stiffer, "as stiff": stiffer})
    assert "'stiffer' and 'as stiff'" in said
    assert "23 % more" in said
    assert "it is some 370 lbf ft/deg" in said
    own = truck.changed({"rear.springs.pack.rate": "191.7 lb/in", "rear.guide.wind_up.rate": "370 lbf ft/deg"})
    assert not list(given_with_old_packs({"own": own}))
    # and in a scenario of a truck as the demo has it, whose rate was measured
    hut = load_vehicle("scenarios/vehicles/hut_supply_truck.yaml")
    assert any(
        "less" in text for text in given_with_old_packs({"soft": hut.changed({"rear.springs.pack.rate": "30 N/mm"})})
    )
    assert not any("does not follow" in text for text in load_scenario("scenarios/why_does_it_pitch.yaml").notices)
