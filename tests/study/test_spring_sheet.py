"""The sheet that a spring is ordered by: what is known of it, what is to be measured, and no more."""

from pathlib import Path

import pytest

import sim
from sim.linear.standing import stand
from sim.show.pages.called import called
from sim.show.report.spring_sheet import cautions_of, spring_rows, spring_words
from sim.study.lift import lifted
from sim.study.spring_order import spring_orders
from sim.study.spring_stress import StressOff, coil_stress_words

TRUCK = Path(__file__).parents[2] / "scenarios" / "vehicles" / "hut_supply_truck.yaml"
LEAVES = {"kind": "leaf_pack", "leaves": 6, "full_length_leaves": 1, "leaf_width": "70 mm", "leaf_thickness": "8 mm", "length": "1300 mm",
          "halves": {"ahead": "640 mm", "behind": "660 mm"}}  # fmt: skip


def sheet(vehicle, axle):
    """Return the order of the one spring of an axle, and its rows by section and label."""
    (order,) = [one for one in spring_orders(vehicle, {}) if one.axle == axle]
    return order, {(row.section, row.label): row.metric for row in spring_rows("mine", "a road", order, stand(vehicle))}


def on_leaves(**more):
    return sim.load(TRUCK).changed({"rear.springs": {"pack": LEAVES | more}})


def number(text):
    return float(text.split()[0])


def test_a_pack_is_ordered_by_more_arch_than_it_has_at_ride_which_is_to_be_taped():
    """Whether it lies flat at ride nobody has said, so no free camber is ordered: without load it drops by F/k, from whatever arch it had."""
    vehicle = on_leaves()
    order, rows = sheet(vehicle, "rear")
    rate = number(rows["3 Order this pack", "rate of one (+/- 5 %)"]) * 1e3
    load = number(rows["3 Order this pack", "ride: load of one"])
    more = number(rows["3 Order this pack", "arch without load, more than at ride as measured"])
    assert more == pytest.approx(1e3 * load / rate, abs=1.0)
    for section in ("2 As it is", "3 Order this pack"):
        assert rows[section, "arch as measured at ride, eyes to main leaf: tape it"].startswith("____")
    assert rows["3 Order this pack", "whole arch without load, the sum of both"].startswith("____")
    assert not any("free camber" in label for _, label in rows)
    assert "free camber" not in spring_words(order)
    assert "arch without load, more than at ride as measured: " in spring_words(order)


def test_what_is_known_of_the_leaves_stands_in_the_order():
    _, rows = sheet(on_leaves(), "rear")
    own = {label: text for (section, label), text in rows.items() if section == "3 Order this pack"}
    assert own["leaves, all of them"] == "6"
    assert own["leaves that reach both eyes"] == "1"
    assert own["width of a leaf"] == "70.0 mm"
    assert own["thickness of a leaf"] == "8.0 mm"
    assert own["half ahead of the U-bolts"] == "640.0 mm"
    assert own["half behind the U-bolts"] == "660.0 mm"
    # Of a pack that is known by its rate alone these are blanks.
    _, rows = sheet(
        sim.load(TRUCK).changed({"rear.springs": {"pack": {"kind": "leaf_pack", "rate": "60 N/mm"}}}), "rear"
    )
    assert rows["3 Order this pack", "halves ahead, behind"].startswith("____")
    assert ("3 Order this pack", "leaves, all of them") not in rows


def test_stress_of_leaves_by_the_formula_of_the_handbooks():
    """6 W l / (n b t²), with W and l for half of the pack (Khurmi, Machine Design; Bhandari, Design of Machine Elements)."""
    _, rows = sheet(on_leaves(), "rear")
    for place in ("ride", "full bump"):
        load = number(rows["3 Order this pack", f"{place}: load of one"])
        stress = number(rows["3 Order this pack", f"{place}: stress in its leaves, all alike (Khurmi)"])
        assert stress == pytest.approx(1e-6 * 6 * (load / 2) * 0.65 / (6 * 0.070 * 0.008**2), abs=0.6)
    order, _ = sheet(on_leaves(leaf_thickness="12 mm", leaves=2), "rear")
    # Two leaves of 12 mm are as stiff as six of 8 mm within a third, and have less to bend: more stress than they bear.
    assert any("in its leaves at full bump, and leaves bear some 1000 MPa" in text for text in order.notes)
    order, _ = sheet(on_leaves(leaves=8), "rear")
    assert not any("in its leaves" in text for text in order.notes)


def test_the_same_frequency_is_said_of_the_same_rate_alone():
    """36 N/mm as measured: another free length keeps it, 30 N/mm does not."""
    said = "the same rate, so the same frequency"
    _, rows = sheet(sim.load(TRUCK).changed({"front.springs.coil.free_length": "500 mm"}), "front")
    assert ("3 Order this coil", said) in rows
    _, rows = sheet(sim.load(TRUCK).changed({"front.springs.coil.rate": "30 N/mm"}), "front")
    assert ("3 Order this coil", said) not in rows
    assert number(rows["3 Order this coil", "another rate, so another frequency: as measured it was"]) == 36.0


def test_a_rate_that_rests_on_an_estimate_is_marked_and_no_order():
    truck = {
        "weighed": {"front": "1390 kg", "rear": "1180 kg"}, "wheelbase": "2.85 m",
        "rear": {"springs": {"pack": {"leaves": 6, "leaf_width": "70 mm", "leaf_thickness": "8 mm", "halves": {"ahead": "650 mm", "behind": "650 mm"}}}},
    }  # fmt: skip
    order, rows = sheet(sim.vehicle_from(truck), "rear")
    assert order.unmeasured == ("how many leaves reach both eyes",)
    assert ("3 Order this pack", "rate of one (+/- 5 %), estimated") in rows
    assert ("3 Order this pack", "leaves that reach both eyes, estimated") in rows
    assert ("3 Order this pack", "length, less what the U-bolts hold") in rows  # the sum of two that were taped
    truck["rear"]["springs"]["pack"]["full_length_leaves"] = 2
    order, rows = sheet(sim.vehicle_from(truck), "rear")
    assert order.unmeasured == ()
    assert ("3 Order this pack", "rate of one (+/- 5 %)") in rows


def wound(**more):
    """Return the truck on coils of 16.5 mm wire, 140 mm across, 7.44 turns that work, of which nobody measured the solid length."""
    wire = {"kind": "coil", "wire_diameter": "16.5 mm", "coil_diameter": "140 mm", "active_coils": 7.44,
            "body": {"behind_front_axle": "0 mm", "above_ground": "0.86 m"}, "axle": {"ahead": "0 mm", "above": "95 mm"}}  # fmt: skip
    return sim.load(TRUCK).changed({"front.springs": {"coil": wire | more}})


def test_a_coil_whose_wire_and_turns_are_known_is_solid_where_they_say():
    """(n + 2) d, squared and ground ends (Shigley, Mechanical Engineering Design, table 10-1, from memory): 9.44 turns of 16.5 mm."""
    order, rows = sheet(wound(), "front")
    for section in ("2 As it is", "3 Order this coil"):
        assert number(rows[section, "solid length, from wire and turns"]) == pytest.approx(9.44 * 16.5, abs=0.051)
    assert not any("is not known" in text for text in order.notes)
    # It is judged by that: turns of the same wire until they touch before the stop is squeezed.
    bump = order.places["full bump"].length
    many = bump / 0.0165 - 2.0 + 1.0
    order, _ = sheet(wound(active_coils=many), "front")
    text = next(text for text in order.problems if "is solid" in text)
    assert f"is solid {1e3 * 0.0165:.1f} mm" in text
    assert "solid length from wire and turns: measure it" in text
    # Measured, it is what was measured.
    _, rows = sheet(wound(solid_length="160 mm"), "front")
    assert rows["2 As it is", "solid length"] == "160.0 mm"


def test_wire_and_turns_stand_in_the_order_of_a_coil():
    _, rows = sheet(wound(), "front")
    own = {label: text for (section, label), text in rows.items() if section == "3 Order this coil"}
    assert own["wire diameter"] == "16.5 mm"
    assert own["mean diameter of the coil"] == "140.0 mm"
    assert own["turns that work"] == "7.44"
    assert own["turns, all of them (2 at the ends carry nothing)"] == "9.44"
    assert own["inside diameter"] == "123.5 mm"


def test_a_coil_of_which_the_rate_alone_is_known_leaves_it_open():
    order, rows = sheet(sim.load(TRUCK).changed({"front.springs.coil.solid_length": "none"}), "front")
    assert any("whether it binds at full bump is not known" in text for text in order.notes)
    assert rows["2 As it is", "solid length"].startswith("____")


def measured_on_leaves():
    """Return a truck that was weighed and measured on those packs; the rest of it is estimated."""
    weighed = {"weighed": {"front": "1390 kg", "rear": "1180 kg"}, "wheelbase": "2.85 m"}
    return sim.vehicle_from(weighed | {"rear": {"springs": {"pack": LEAVES | {"friction": "200 N"}}}})


def test_no_pack_is_ordered_for_longer_shackles():
    """The lift's set-up goes into a file and to the sheet: one lift of 50 mm, by shackles of up (a + b) / a, and no pack of more arch."""
    truck = measured_on_leaves()
    changes = lifted(truck, {"rear": 0.050}, by={"rear": "shackles"}).changes
    assert list(changes) == ["rear.springs.pack.shackle_lift"]
    order, rows = sheet(truck.changed(changes), "rear")
    assert order.stands == pytest.approx(0.050, abs=1e-3)
    assert "nothing to order" in spring_words(order)
    lift = float(changes["rear.springs.pack.shackle_lift"].split()[0])
    assert f"by shackles {lift * (640 + 660) / 640:.1f} mm" in order.kept
    assert not any(section.startswith("3 Order") for section, _ in rows)
    # A pack of more arch is one to be ordered, as is another height on the same shackles.
    more = lifted(truck, {"rear": 0.050}).changes
    assert sheet(truck.changed(more), "rear")[0].kept == ""
    both = spring_orders(truck.changed(changes), {"rear": 0.080})[1]
    assert both.kept == ""
    assert both.order - order.order == pytest.approx(0.030, abs=2e-3)


def test_no_spring_is_ordered_for_a_block_or_a_spacer():
    order, _ = sheet(measured_on_leaves().changed({"rear.springs.pack.block": "50 mm"}), "rear")
    assert "by a block 50.0 mm" in order.kept
    assert "thicker" in order.kept
    order, _ = sheet(sim.load(TRUCK).changed({"front.springs.coil.spacer": "30 mm"}), "front")
    assert "by a spacer 30.0 mm" in order.kept
    assert sheet(sim.load(TRUCK), "front")[0].kept == ""


def test_each_kind_of_spring_has_its_own_cautions_and_words():
    """A pack throws nothing, and a coil has no U-bolts; more height is more arch of the one, more length of the other."""
    vehicle = sim.load(TRUCK)
    by = {order.coil: order for order in spring_orders(vehicle, {})}
    coil, pack = (" ".join(cautions_of(by[coil])) for coil in (True, False))
    assert "spring compressor" in coil
    assert "U-bolts" not in coil
    assert "U-bolts" in pack
    assert "compressor" not in pack
    for text in (coil, pack):
        assert "stands under its frame" in text
    for coil, word in ((True, "length"), (False, "arch")):
        rows = {row.label: row.metric for row in spring_rows("mine", "a road", by[coil], stand(vehicle))}
        assert rows["the same rate, so the same frequency"] == f"more height is more {word}, not more rate"


def test_one_name_for_what_a_pack_is_ordered_by():
    """Report, form, sheet and list: who orders it by any of them orders the arch at ride with it."""
    name = "arch without load, more than at ride as measured"
    assert called("rear.springs.pack.free_camber") == f"Rear springs: {name}"
    order, rows = sheet(on_leaves(), "rear")
    assert ("2 As it is", name) in rows
    assert name in spring_words(order)


def test_a_coil_is_at_its_limit_or_past_it_as_far_as_that_is_known():
    """951 MPa are continued past the table, a tenth off: 1017 are at the limit, 1100 past it; with 60 more or less they are at it."""
    limits = (500e6, 800e6, 951e6)
    said = {
        stress: coil_stress_words("front coil 'coil'", (0.016, 0.130), stress, limits, StressOff())
        for stress in (900e6, 1017e6, 1100e6)
    }
    assert said[900e6][0] == ""
    assert said[1017e6][0] == ""
    assert "at the limit, as far as that is known, so it may sag" in said[1017e6][1]
    assert "it sags or breaks" in said[1100e6][0]
    off = StressOff(60e6, ("the height of the bump stop",))
    guessed = coil_stress_words("front coil 'coil'", (0.016, 0.130), 1100e6, limits, off)
    assert guessed[0] == ""
    assert "estimates leave 60 MPa" in guessed[1]
    assert "measure the height of the bump stop" in guessed[1]
    # Within the table nothing is continued.
    assert "it sags or breaks" in coil_stress_words("front coil 'coil'", (0.012, 0.120), 1017e6, limits, StressOff())[0]


def test_castor_is_against_the_measured_and_a_pinion_against_its_frame():
    vehicle = sim.load(TRUCK)
    said = {
        one.axle: [row.label for row in spring_rows("mine", "a road", one, stand(vehicle), 0.05)]
        for one in spring_orders(vehicle, {})
    }
    assert "castor then, against the measured, with loads as measured" in said["front"]
    assert "pinion upwards then, against the frame, with loads as measured" in said["rear"]
