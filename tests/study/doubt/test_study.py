"""The doubt of comparisons: same draws for all, same answer on any number of workers, nothing lost unsaid."""

import numpy as np
import pytest

from sim.describe.parts.vehicle import Vehicle
from sim.linear.standing import stand
from sim.study.doubt.lanes import Doubting, Drawn
from sim.study.doubt.measuring import WAYS, way
from sim.study.doubt.standing import doubted_standing
from sim.study.doubt.study import Doubted, doubted, draws_for
from sim.study.doubt.unknowns import TOGETHER, draws, unknowns
from tests.study.doubt.cases import FOUR, TWELVE, scenario

pytestmark = pytest.mark.long  # whole commands and studies, over and over: seconds each

MEASURES = ["bounce_overshoot", "front_left_to_stop", "acceleration_rms_driver", "pitch_nose_up"]
GRAVITY = 9.80665  # m/s², ISO 80000-3


def test_numbers_written_alike_are_one_and_others_are_their_own(tmp_path):
    loaded = scenario(tmp_path, {"front.springs.coil.rate": "36 N/mm +- 4 %", "body.mass": "about 1640 kg"})
    of = unknowns(loaded.setups, loaded.run)
    assert {(one.path, one.what.doubt.written, one.setups, one.measured) for one in of} == {
        ("body.mass", "about 1640 kg", tuple(FOUR), True),
        ("front.springs.coil.rate", "36 N/mm +- 4 %", ("two front", "four of the single kind", "no gas"), True),
        ("front.springs.coil.rate", "30 N/mm +- 4 %", ("softer coils",), False),
    }


def test_a_draw_changes_the_truck_as_measured_so_that_it_stands_as_measured(tmp_path):
    loaded = scenario(tmp_path, TWELVE)
    of = unknowns(loaded.setups)
    _, values = draws(of, 16)
    drawn = Drawn(loaded.setups, of, values)
    for draw in range(3):
        one = drawn.vehicle("two front", draw)
        assert one is one.reference
        assert stand(one).axles["front"].jounce == pytest.approx(0.0, abs=1e-9)
        softer = drawn.vehicle("softer coils", draw)
        assert softer.reference is one
        assert softer.body.mass == one.body.mass
        assert softer.front.springs["coil"].rate_n_per_m != one.front.springs["coil"].rate_n_per_m


@pytest.fixture(scope="module")
def asked(tmp_path_factory):
    return scenario(tmp_path_factory.mktemp("doubt"), TWELVE)


@pytest.fixture(scope="module")
def answer(asked) -> Doubted:
    return doubted(asked.setups, asked.run, MEASURES, "two front", 1)


@pytest.mark.hours
def test_the_same_on_one_worker_and_on_two(asked, answer):
    again = doubted(asked.setups, asked.run, MEASURES, "two front", 2)
    assert again == answer


def test_bands_lie_around_the_central_values(asked, answer):
    centre = doubted({"two front": asked.setups["two front"]}, asked.run, MEASURES, "two front", 1)
    assert centre.differences == {}
    for name in MEASURES:
        # The same numbers, whatever is run beside it.
        assert answer.values["two front"][name].low == pytest.approx(
            centre.values["two front"][name].low, rel=0.05, abs=1e-4
        )


def test_a_set_up_compared_with_its_like_differs_by_nothing(asked):
    setups = {"one": asked.setups["two front"], "two": asked.setups["two front"]}
    alike = doubted(setups, asked.run, MEASURES, "one", 1)
    for band in alike.differences["two"].values():
        assert (band.low, band.high) == (0.0, 0.0)


def test_common_draws_make_the_band_of_a_difference_narrower_than_the_bands_it_is_of(answer):
    one, other = (answer.values[name]["acceleration_rms_driver"] for name in ("two front", "no gas"))
    apart = answer.differences["no gas"]["acceleration_rms_driver"]
    assert apart.high - apart.low < 0.5 * min(one.high - one.low, other.high - other.low)


def test_shares_are_shares_and_are_ranked(answer):
    ranked = answer.ranked(MEASURES)
    assert [share for _, share in ranked] == sorted((share for _, share in ranked), reverse=True)
    assert 0.5 < sum(share for _, share in ranked) <= 1.1
    assert {one.path for one, _ in ranked} == set(TWELVE)


def test_draws_that_cannot_stand_are_counted_and_said(tmp_path):
    # The damper is 574 mm long at ride: its collapsed length reaches past that in a part of the draws.
    loaded = scenario(tmp_path, {"front.dampers.main.length_collapsed": "500 to 600 mm"}, {"two front": None})
    found = doubted(loaded.setups, loaded.run, MEASURES, "two front", 1)
    ((why, count),) = found.lost["two front"].items()
    # Even over 100 mm, of which 26 lie past the length at ride (`jounce stand`).
    length = stand(loaded.setups["two front"]).axles["front"].dampers[0].length
    assert "outside its stroke" in why or "mm long between its mounts" in why
    assert count == pytest.approx((0.6 - length) / 0.1 * found.draws, abs=0.15 * found.draws)
    assert found.values["two front"]


def test_numbers_of_road_and_run_are_drawn_once_for_sixteen(tmp_path):
    loaded = scenario(
        tmp_path, {"front.tyre.radius": "402 mm +- 5 mm", "body.mass": "about 1640 kg"}, {"two front": None},
        {"kind": "push", "over": "front", "force": "900 N +- 90 N", "watch": "2 s"},
    )  # fmt: skip
    of = unknowns(loaded.setups, loaded.run)
    _, values = draws(of, 64)
    for number, one in enumerate(of):
        assert len(set(values[:, number])) == (64 // TOGETHER if one.of_road else 64)
    found = doubted(loaded.setups, loaded.run, ["front_left_to_stop", "bounce_overshoot"], "two front", 1)
    assert not found.lost["two front"]
    assert found.values["two front"]["front_left_to_stop"].low < found.values["two front"]["front_left_to_stop"].high


def test_a_harder_push_by_an_uncertain_share_moves_a_linear_truck_by_that_share(tmp_path):
    """Springs, tyres and dampers are straight lines here, so travel goes with the force, to first order exactly."""
    straight = {"kind": "straight", "compression": "2 kN s/m", "rebound": "2 kN s/m"}
    plain = {
        f"{end}.{key}": value
        for end in ("front", "rear")
        for key, value in (
            ("dampers.main.valving", straight),
            ("dampers.main.seal_friction", "0 N"),
            ("dampers.main.gas_force", "0 N"),
        )
    } | {"rear.springs.pack.friction": "0 N"}
    run = {"kind": "push", "over": "front", "force": "300 N +- 30 N", "watch": "2 s"}
    loaded = scenario(tmp_path, {}, {"one": plain}, run)
    found = doubted(loaded.setups, loaded.run, ["front_left_to_stop"], "one", 1)
    band = found.values["one"]["front_left_to_stop"]
    # What is left shrinks with the force: from the gap by the travel of 300 N, 10 % more or less of it.
    gap = loaded.setups["one"].front.stop.gap - stand(loaded.setups["one"]).axles["front"].jounce
    travel = gap - 0.5 * (band.low + band.high)
    assert (band.high - band.low) / (2.0 * travel) == pytest.approx(0.1, rel=0.05)


def test_driven_runs_get_fewer_draws(asked):
    class Driven:
        way = "driven"

    assert draws_for(Driven(), 12) < draws_for(asked.run, 12)
    assert draws_for(asked.run, 12) == 128
    assert draws_for(asked.run, 26) > draws_for(asked.run, 12)
    assert {bin(draws_for(asked.run, n)).count("1") for n in range(1, 100)} == {1}  # powers of two


def test_a_standing_trucks_bands_are_first_order_propagation(tmp_path):
    """Load on the ground is linear in the masses: W = (m_sprung share + m_axle) g."""
    loaded = scenario(
        tmp_path, {"front.housing.mass": "232 kg +- 20 kg", "body.mass": "1640 kg +- 40 kg"}, {"two front": None}
    )
    _, bands = doubted_standing(loaded.setups)
    band = bands["two front"]["front", "load"]
    vehicle = loaded.setups["two front"]
    share = 1.0 - vehicle.body.centre_of_gravity.behind_front_axle / vehicle.wheelbase
    half = GRAVITY * np.hypot(20.0, 40.0 * share)
    assert 0.5 * (band.high - band.low) == pytest.approx(half, rel=0.05)
    assert 0.5 * (band.high + band.low) == pytest.approx(stand(vehicle).axles["front"].load, rel=1e-3)


def test_motions_keep_their_names_where_pitch_inertia_is_not_known(tmp_path):
    """Of a body whose radius of gyration squared is front times rear distance each end swings by itself, and names go either way.

    By hand, k the rate over an axle (springs and tyres in series) and m the sprung mass there: f = sqrt(k / m) / 2 pi of either end, which no
    doubt of the pitch inertia by 15 % brings together.
    """
    vehicle = scenario(tmp_path, {}, {"two front": None}).setups["two front"]
    ahead = vehicle.body.centre_of_gravity.behind_front_axle
    apart = vehicle.body.mass * ahead * (vehicle.wheelbase - ahead)
    loaded = scenario(tmp_path, {"body.pitch_inertia": f"{apart:.0f} kg m^2 +- 15 %"}, {"two front": None})
    stood = stand(loaded.setups["two front"])
    _, bands = doubted_standing(loaded.setups)
    own = [bands["two front"]["mode", name, "frequency"] for name in ("bounce", "pitch")]
    slow, quick = sorted(own, key=lambda band: band.low)
    assert slow.high < quick.low
    for band, name in zip(
        (slow, quick), sorted(("front", "rear"), key=lambda one: stood.axles[one].ride_frequency), strict=True
    ):
        assert 0.93 * band.low < stood.axles[name].ride_frequency < 1.07 * band.high


def test_every_number_has_a_way_to_measure_it(asked):
    vehicle = asked.setups["two front"]
    assert isinstance(vehicle, Vehicle)
    for path in TWELVE:
        one = way(path)
        assert one.how
        assert "{" not in one.do
    assert way("front.housing.mass").do == "weigh the front axle"
    assert way("rear.springs.pack.rate").do == "measure the rate of the rear spring 'pack'"
    assert way("something.else").do
    assert len({one.path for one in WAYS}) == len(WAYS)


def test_a_part_that_cannot_be_run_says_why(asked):
    of = unknowns(asked.setups)
    _, values = draws(of, 16)
    values[:, [one.path for one in of].index("body.mass")] = -1.0
    lanes = Doubting(Drawn(asked.setups, of, values), asked.run, MEASURES).solved((0, 16))
    assert all(why for one in lanes.values() for why in one.lost)
    assert all(np.isnan(one.values).all() for one in lanes.values())
