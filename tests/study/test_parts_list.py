"""The parts list: what a set-up changes is on it, with sizes by hand; what it does not change is not."""

from pathlib import Path

import pytest

from sim.describe.files.vehicles import load_vehicle, vehicle_from
from sim.linear.standing import stand
from sim.study.concluded import Concluded
from sim.study.fit import fits
from sim.study.lift import lifted
from sim.study.little_droop import little_droop
from sim.study.parts_list import parts_list
from sim.study.spring_order import spring_orders
from tests.synthetic import seated_truck

TRUCK = load_vehicle(Path(__file__).parents[2] / "scenarios" / "vehicles" / "hut_supply_truck.yaml")
INCH = 0.0254  # NIST SP 811, appendix B.8


def parts(changes=None, heights=None, **concluded):
    vehicle = TRUCK.changed(changes) if changes else TRUCK
    heights = heights or {}
    known = [Concluded(fit, **concluded) for fit in fits(vehicle)]
    return parts_list(vehicle, spring_orders(vehicle, heights), known, heights)


def by_kind(found):
    return {(part.axle, part.kind): part for part in found.order}


def test_a_truck_as_measured_needs_nothing():
    found = parts()
    assert found.order == ()
    assert found.offers == ()
    assert set(found.stays) == {
        f"{axle} {what}"
        for axle, springs in (("front", "coils 'coil'"), ("rear", "leaf packs 'pack'"))
        for what in (springs, "dampers 'main'", "bump stops", "limit straps")
    }


def test_a_block_needs_u_bolts_longer_by_it_and_keeps_its_pack():
    found = parts({"rear.springs.pack.block": "2 in"})
    own = by_kind(found)
    assert set(own) == {("rear", "block"), ("rear", "U-bolt")}
    assert (own["rear", "block"].count, own["rear", "U-bolt"].count) == (2, 4)
    assert own["rear", "block"].size == pytest.approx(2 * INCH)
    assert own["rear", "U-bolt"].size == pytest.approx(2 * INCH)
    assert "50.8 mm (2.00 in) longer" in own["rear", "U-bolt"].words
    assert "never one block on another" in own["rear", "block"].words
    assert "rear leaf packs 'pack'" in found.stays


def test_spacers_shackles_straps_and_stops():
    found = parts({
        "front.springs.coil.spacer": "30 mm", "rear.springs.pack.shackle_lift": "40 mm", "front.strap.length": "580 mm",
        "front.strap.count": 4, "rear.stop.gap": "62 mm", "rear.strap": "none",
    })  # fmt: skip
    own = by_kind(found)
    assert set(own) == {("front", "spacer"), ("rear", "shackle"), ("front", "strap"), ("rear", "stop")}
    assert (own["front", "spacer"].count, own["front", "spacer"].size) == (2, pytest.approx(0.030))
    # The pack turns about its fixed eye: lift times whole length over fixed half; the file has one half, taken as even.
    assert (own["rear", "shackle"].count, own["rear", "shackle"].size) == (2, pytest.approx(0.040 * 2.0))
    assert (own["front", "strap"].count, own["front", "strap"].size) == (4, pytest.approx(0.580))
    for words in (
        "in place of 570.0 mm",
        "upper bolt 60.0 mm (2.36 in) behind the front axle",
        "lower bolt 60.0 mm (2.36 in) behind the axle",
    ):
        assert words in own["front", "strap"].words
    # 92 - 62 mm: taller by as much in the same place.
    assert "30.0 mm (1.18 in) taller" in own["rear", "stop"].words
    assert found.off == ("rear limit straps",)


def test_another_spring_is_ordered_with_its_length_and_another_height_is_only_offered():
    stiffer = by_kind(parts({"front.springs.coil.rate": "40 N/mm"}))
    assert set(stiffer) == {("front", "coil")}
    assert "40.00 N/mm" in stiffer["front", "coil"].words
    load = {"mass": "100 kg", "place": {"behind_front_axle": "0 m", "above_ground": "1 m"}}
    loaded = parts({"loads.engine": load})
    assert loaded.order == ()
    # 981 N on 72 N/mm are 13.6 mm: the coil that brings that back is as much longer.
    (offer,) = loaded.offers
    assert offer.startswith("front coils 'coil': only if")
    asked = by_kind(parts({}, {"front": 0.040}))
    (order,) = (one for one in spring_orders(TRUCK, {"front": 0.040}) if one.axle == "front")
    assert asked["front", "coil"].size == order.order
    assert order.order - order.free == pytest.approx(0.040, abs=2e-3)


def test_a_new_pack_takes_new_u_bolts():
    own = by_kind(parts({"rear.springs.pack.rate": "50 N/mm"}))
    assert set(own) == {("rear", "leaf pack"), ("rear", "U-bolt")}
    assert own["rear", "U-bolt"].count == 4


def test_dampers_that_differ_are_ordered_and_those_that_do_not_fit_are_others():
    longer = by_kind(parts({"front.dampers.main.length_extended": "740 mm"}))
    assert set(longer) == {("front", "damper")}
    assert "740.0 mm (29.13 in) extended" in longer["front", "damper"].words
    assert not longer["front", "damper"].first
    short = by_kind(parts({"front.dampers.main.length_extended": "600 mm"}, None, offered=(0.350, 0.730)))
    assert (
        "others than described (they do not fit): 350.0 mm (13.78 in) collapsed at most"
        in short["front", "damper"].words
    )
    assert short["front", "damper"].size == 0.730
    gone = parts({"rear.dampers": "none"})
    assert gone.off == ("rear dampers 'main'",)


def test_other_parts_are_named():
    own = by_kind(parts({"front.tyre.radius": "420 mm"}))
    assert "radius 420.0 mm (16.54 in) in place of 402.0 mm (15.83 in)" in own["front", "other"].words


def test_packs_put_over_their_axle_are_the_same_packs_on_other_seats():
    over = seated_truck("-75 mm").changed({"rear.springs.pack.seat_above": "75 mm"})
    found = parts_list(over, spring_orders(over, {}), [Concluded(fit) for fit in fits(over)], {})
    kinds = {part.kind: part for part in found.order}
    assert "leaf pack" not in kinds
    assert kinds["other"].what == "spring seats"
    assert kinds["other"].size == pytest.approx(0.15)
    assert "higher on the axle" in kinds["other"].words


def test_an_axle_that_has_little_droop_left_needs_longer_straps_and_dampers():
    """A lift that leaves less than a quarter of the droop: a strap longer by the lift leaves all of it; the damper longer by its own way."""
    up = 0.8 * stand(TRUCK).axles["front"].droop_left
    lift = lifted(TRUCK, {"front": up})
    vehicle = TRUCK.changed(lift.changes)
    little = little_droop(vehicle)
    assert set(little) == {"front"}
    known = [Concluded(fit) for fit in fits(vehicle)]
    own = by_kind(found := parts_list(vehicle, spring_orders(vehicle, {}), known, {}, little))
    assert own["front", "strap"].size - TRUCK.front.strap.length == pytest.approx(up, abs=1e-3)
    # The damper leans, so it is drawn out by less than the axle drops.
    ratio = stand(TRUCK).axles["front"].dampers[0].motion_ratio
    longer = own["front", "damper"].size - TRUCK.front.dampers["main"].length_extended
    assert longer == pytest.approx(up * ratio, rel=0.1)
    assert not any(one in found.stays for one in ("front limit straps", "front dampers 'main'"))
    assert {"rear limit straps", "rear dampers 'main'"} <= set(found.stays)
    # What the lift itself says is what the list has.
    assert any("front: the lift takes most of the droop: longer straps, and dampers" in note for note in lift.notes)
    # Cargo that presses it down again does not hide that the empty truck hangs in its straps.
    load = {"mass": "300 kg", "place": {"behind_front_axle": "0 m", "above_ground": "1 m"}}
    loaded = little_droop(vehicle.changed({"loads.engine": load}))
    assert loaded["front"].after == pytest.approx(little["front"].after, abs=1e-6)
    assert (little["front"].empty, loaded["front"].empty) == (False, True)
    assert little_droop(TRUCK) == {}


def test_tyres_are_ordered_by_what_stands_on_their_wall_and_not_by_a_radius():
    data = {"kind": "vehicle", "weighed": {"front": "1980 lb", "rear": "1560 lb"}, "wheelbase": "88 in",
            "front": {"tyre": {"size": "31x10.50R15"}}, "rear": {"tyre": {"size": "31x10.50R15"}}}  # fmt: skip
    truck = vehicle_from(data).changed({"front.tyre.size": "35x12.50R15"})
    (one,) = [part for part in parts_list(truck, (), (), {}).order if part.kind == "other"]
    assert one.axle == "front"
    # 2 in in radius, and by hand 9.4 kg a wheel (tests/describe/estimates/test_other_wheels.py).
    assert one.words.startswith("35x12.50R15 in place of 31x10.50R15; radius 444.5 mm (17.50 in) in place of 393.7 mm")
    assert "each wheel some 9.4 kg (21 lb) heavier" in one.words
    # What a half-car cannot see of larger ones is said where they are ordered; smaller ones clear what those before cleared.
    assert "whether they clear arches, arms and springs at full bump and steering lock is not looked at" in one.words
    (small,) = [
        part
        for part in parts_list(truck.reference.changed({"front.tyre.size": "235/75R15"}), (), (), {}).order
        if part.kind == "other"
    ]
    assert "clear arches" not in small.words


def short_behind(**changes):
    """Return a truck whose rear dampers are fully out before its axle hangs, and whose bump stop nobody has measured but for its gap."""
    return vehicle_from({
        "kind": "vehicle", "weighed": {"front": "1980 lb", "rear": "1560 lb"}, "wheelbase": "88 in",
        "front": {"tyre": {"size": "31x10.50R15"}, "springs": {"coil": {"rate": "165 lb/in"}}},
        "rear": {"tyre": {"size": "31x10.50R15"}, "stop": {"gap": "2.75 in"},
                 "springs": {"pack": {"leaves": 5, "leaf_width": "2.5 in", "leaf_thickness": "0.25 in", "length": "46 in", "clamped": "4.5 in"}},
                 "dampers": {"main": {"length_extended": "23 in", "length_collapsed": "14 in", "length_at_ride": "18.75 in"}}},
    }).changed({"rear.springs.pack.shackle_lift": "2 in", **changes})  # fmt: skip


def test_dampers_that_end_in_droop_alone_stay_with_a_strap_where_no_other_can_be_had():
    """Of a damper that is too short for droop nobody is to measure a bump stop first: what is left inwards is more than nothing."""
    truck = short_behind()
    (fit,) = [one for one in fits(truck) if one.axle == "rear"]
    assert fit.margin_out < 0.0 < fit.margin_in
    assert "the height of the bump stop" in fit.unmeasured
    assert fit.verdict == "does not fit"
    found = parts_list(truck, (), [Concluded(fit, cannot="none", no_length="none")], {})
    own = by_kind(found)
    assert ("rear", "damper") not in own
    assert "rear dampers 'main' (with those limit straps)" in found.stays
    # Taut half an inch before it is fully out, which is 22.5 in; wind-up asks for some more.
    taut = float(own["rear", "strap"].words.partition(" mm (")[2].partition(" in)")[0])
    assert 22.0 < taut <= 22.5
    other = parts_list(truck, (), [Concluded(fit, offered=(0.3, 0.7))], {})
    assert by_kind(other)["rear", "damper"].words.startswith("others than described (they do not fit)")
