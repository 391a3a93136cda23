"""A set-up that gives a spring another rate, and where a set-up's fault is said to be that lies between several numbers."""

import pytest

from sim.describe.files.scenario import load_scenario
from sim.describe.files.vehicles import vehicle_from
from sim.errors import InputError

COIL = {"wire_diameter": "16 mm", "coil_diameter": "140 mm", "active_coils": 8.5}
PACK = {"leaves": 6, "leaf_width": "70 mm", "leaf_thickness": "8 mm", "length": "1300 mm"}
TRUCK = {
    "weighed": {"front": "1390 kg", "rear": "1180 kg"}, "wheelbase": "2.85 m", "front": {"springs": {"coil": COIL}},
    "rear": {"springs": {"pack": PACK}},
}  # fmt: skip


def test_a_rate_takes_the_place_of_wire_and_leaves():
    """G d⁴ / (8 D³ n) is 27.85 N/mm of the truck's own coil (Shigley, ch. 10), which it keeps."""
    truck = vehicle_from(TRUCK)
    changed = truck.changed({"front.springs.coil.rate": "230 lb/in", "rear.springs.pack.rate": "40 N/mm"})
    assert changed.front.springs["coil"].rate_n_per_m == pytest.approx(230 * 4.4482216152605 / 0.0254)
    assert changed.rear.springs["pack"].rate_n_per_m == pytest.approx(40e3)
    paths = {one.path for one in changed.estimates}
    assert not paths & {
        "rear.springs.pack.rate_factor",
        "rear.springs.pack.clamped",
        "rear.springs.pack.full_length_leaves",
    }
    assert truck.front.springs["coil"].rate_n_per_m == pytest.approx(79.3e9 * 0.016**4 / (8 * 0.140**3 * 8.5))
    # The dimensions again, all of them, are the coil again.
    assert changed.reference.front.springs["coil"] == truck.front.springs["coil"]


HALVES = {
    **TRUCK, "rear": {"springs": {"pack": {"rate": "45 N/mm"}}, "guide": {"kind": "leaf", "fixed_half_length": "550 mm"}},
}  # fmt: skip


def test_a_stiffer_pack_is_stiffer_against_wind_up_where_that_was_not_measured():
    """By hand: two packs' rate times half-length², 2 x 60 N/mm x 0.55² m² = 36.3 kN m/rad, to the two digits and a half of an estimate."""
    truck = vehicle_from(HALVES)
    assert truck.rear.guide.wind_up.rate == pytest.approx(2 * 45e3 * 0.55**2, rel=0.01)
    stiffer = truck.changed({"rear.springs.pack.rate": "60 N/mm"})
    assert stiffer.rear.guide.wind_up.rate == pytest.approx(2 * 60e3 * 0.55**2, rel=0.01)
    assert stiffer.reference.rear.guide.wind_up.rate == truck.rear.guide.wind_up.rate
    assert stiffer.front.guide.wind_up == truck.front.guide.wind_up
    # Another block or another friction winds up no leaf otherwise.
    assert truck.changed({"rear.springs.pack.block": "50 mm"}).rear.guide.wind_up == truck.rear.guide.wind_up
    # What was measured, or stands in the set-up itself, stays.
    own = truck.changed({"rear.springs.pack.rate": "60 N/mm", "rear.guide.wind_up.rate": "30 kN m/rad"})
    assert own.rear.guide.wind_up.rate == pytest.approx(30e3)
    guide = {"kind": "leaf", "fixed_half_length": "550 mm", "wind_up": {"rate": "28 kN m/rad"}}
    measured = vehicle_from({**HALVES, "rear": {"springs": {"pack": {"rate": "45 N/mm"}}, "guide": guide}})
    assert measured.changed({"rear.springs.pack.rate": "60 N/mm"}).rear.guide.wind_up.rate == pytest.approx(28e3)


def test_dampers_that_are_too_short_bring_no_strap_of_themselves():
    """The packs let the axle hang under 1180 kg x 9.81 / (2 x 45 N/mm) = 129 mm lower, before the long dampers are out; a second set is out sooner."""
    long = {"length_collapsed": "370 mm", "length_extended": "670 mm", "length_at_ride": "490 mm"}
    truck = vehicle_from({**HALVES, "rear": {**HALVES["rear"], "dampers": {"main": long}}})
    assert truck.rear.strap is None
    short = {"count": 2, "length_collapsed": "370 mm", "length_extended": "480 mm"}
    assert truck.changed({"rear.dampers.added": short}).rear.strap is None
    assert truck.changed(
        {"rear.dampers.added": short, "rear.strap.length": "400 mm"}
    ).rear.strap.length == pytest.approx(0.4)
    # Coils would fall out: their straps stay.
    assert truck.changed({"front.dampers.added": short}).front.strap is not None


BY_RATE = {
    **TRUCK, "front": {"springs": {"coil": {"rate": "33 N/mm"}}}, "rear": {"springs": {"pack": {"rate": "60 N/mm"}}},
}  # fmt: skip


@pytest.mark.parametrize("truck", [BY_RATE, {**BY_RATE, "front": {"springs": {"coil": {"count": 2}}}}])
def test_wire_and_leaves_take_the_place_of_a_rate(truck):
    """27.85 N/mm of that wire in place of 33, or of an estimated rate: known no better than the formula, as any other."""
    truck = vehicle_from(truck)
    changed = truck.changed({f"front.springs.coil.{key}": value for key, value in COIL.items()})
    assert changed.front.springs["coil"].rate is None
    assert changed.front.springs["coil"].rate_n_per_m == pytest.approx(79.3e9 * 0.016**4 / (8 * 0.140**3 * 8.5))
    paths = {one.path for one in changed.estimates}
    assert "front.springs.coil.rate" not in paths
    assert "front.springs.coil.rate_factor" in paths
    changed = truck.changed({f"rear.springs.pack.{key}": value for key, value in PACK.items()})
    # E b t³ (2 n_G + 3 n_F) / (6 l³) of 1300 mm, of which a usual 100 mm are held.
    assert changed.rear.springs["pack"].rate_n_per_m == pytest.approx(207e9 * 0.07 * 0.008**3 * 13 / (6 * 0.6**3))
    assert "rear.springs.pack.rate" not in {one.path for one in changed.estimates}


@pytest.mark.parametrize(
    "changes",
    [{**COIL, "rate": "33 N/mm"}, {"wire_diameter": "16 mm"}, {"coil_diameter": "140 mm", "active_coils": 8.5}],
)
def test_a_set_up_with_both_or_with_some_of_the_wire_is_refused_with_what_is_wanted(changes):
    truck = vehicle_from(BY_RATE)
    with pytest.raises(InputError, match="in a set-up: all three of them take the place of the vehicle's rate"):
        truck.changed({f"front.springs.coil.{key}": value for key, value in changes.items()})


def test_a_fault_between_numbers_is_said_at_the_set_ups_line(tmp_path):
    (tmp_path / "truck.yaml").write_text(
        "kind: vehicle\nname: T\nweighed: {front: 1390 kg, rear: 1180 kg}\nwheelbase: 2.85 m\n"
        "front:\n  springs:\n    coil:\n      rate: 33 N/mm\n",
        encoding="utf-8",
    )
    file = tmp_path / "both.yaml"
    file.write_text(
        "kind: scenario\nname: Both\nvehicle: truck.yaml\nrun: {kind: drop, height: 50 mm}\nsetups:\n  today:\n  wire:\n"
        "    rear.dampers.main.valving: firm\n    front.springs.coil.active_coils: 7.5\n",
        encoding="utf-8",
    )
    with pytest.raises(InputError) as caught:
        load_scenario(file)
    (problem,) = caught.value.problems
    assert problem.file.endswith("both.yaml")
    assert problem.line == 9
    assert problem.where == "setups.wire.front.springs.coil"
    assert "give either rate or the wire's dimensions" in problem.message
