"""Lifts against what a hand calculation gives: arcs of arms, turned packs, moments of masses; by springs, spacers, blocks and shackles."""

import re
from math import asin, degrees, sqrt
from pathlib import Path

import numpy as np
import pytest

from sim.cli import main
from sim.describe.files.unmeasured_seats import blocks_that_may_lower
from sim.describe.files.vehicles import load_vehicle, vehicle_from
from sim.describe.parts.guides.series import lowered
from sim.describe.shown import shown_in
from sim.errors import RunError
from sim.linear.standing import stand
from sim.lower.lowering import lower
from sim.show.report.first_words import lifts
from sim.study.lift import lifted
from sim.study.loads import Load, cases
from sim.study.parts_list import parts_list
from sim.study.spring_order import spring_orders
from tests.synthetic import seated_truck

G = 9.80665  # ISO 80000-3
TRUCK = Path(__file__).parents[2] / "scenarios" / "vehicles" / "hut_supply_truck.yaml"


STRAPLESS = {
    "weighed": {"front": "2450 lb", "rear": "1780 lb"}, "wheelbase": "92 in",
    "rear": {"springs": {"pack": {"rate": "230 lb/in"}}, "stop": {"gap": "3.3 in"}, "strap": "none", "dampers": "none"},
}  # fmt: skip


def hut(**raised):
    return {row.label: row for row in lifted(load_vehicle(TRUCK), raised, 1.5).rows}


def test_a_lift_by_the_arc_of_its_arms():
    """Arm of the file: pivot 0.98 m behind the axle; with both ends up alike castor goes by how far the arm turns, asin's of its rise."""
    rows = hut(front=0.05, rear=0.05)
    vehicle = load_vehicle(TRUCK)
    centre = stand(vehicle).axles["front"].centre_height
    rise = rows["front: frame above the measured height over the axle"].after
    assert rise == pytest.approx(0.05, abs=1e-3)
    drop = 0.56 - centre
    length = sqrt(0.98**2 + drop**2)
    turned = degrees(asin((drop + rise) / length) - asin(drop / length))
    castor = rows["front: castor against the measured"]
    # 0.1 deg: the rear is ordered to a whole millimetre too, and the body pitches by what they differ
    assert degrees(castor.after - castor.before) == pytest.approx(-turned, abs=0.1)
    arm = rows["front: arm down from its pivot"]
    assert degrees(arm.after - arm.before) == pytest.approx(turned, abs=0.1)


def test_a_lift_eats_droop_and_gives_bump():
    """2 in of lift on 5.4 in of droop leaves 3.4 in (rule of the trade: what is lifted is gone from the droop)."""
    rows = hut(front=0.0508)
    droop, bump = rows["front: droop left to the strap"], rows["front: bump left to the stop"]
    assert droop.before - droop.after == pytest.approx(0.0508, abs=1e-3)
    assert bump.after - bump.before == pytest.approx(0.0508, abs=1e-3)


def test_centre_of_gravity_and_t_over_2h():
    """Only what is sprung comes up: by the lift times its share of the mass; T/2h by its words."""
    rows = hut(front=0.05, rear=0.05)
    height = rows["centre of gravity of the whole truck above the ground"]
    standing = stand(load_vehicle(TRUCK))
    whole = standing.sprung_mass + sum(axle.unsprung_mass for axle in standing.axles.values())
    assert height.after - height.before == pytest.approx(0.05 * standing.sprung_mass / whole, abs=1e-3)
    assert rows["T/2h: half of the track over that height"].after == pytest.approx(0.75 / height.after)


def test_joints_before_the_lift_are_those_of_the_tape():
    """Joint angle by the dot product of shaft and yokes, from the file's places: gearbox 1.55, 0.54 m; pinion 310 mm ahead, 10 mm above."""
    rows = hut(rear=0.05)
    centre = stand(load_vehicle(TRUCK)).axles["rear"].centre_height
    along, drop = 2.95 - 0.31 - 1.55, 0.54 - (centre + 0.01)
    shaft = degrees(asin(drop / sqrt(along**2 + drop**2)))
    assert degrees(rows["rear: joint at the gearbox"].before) == pytest.approx(abs(5.5 - shaft), abs=0.02)
    # the frame comes up with the gearbox, the axle stays
    shaft = degrees(asin((drop + 0.05) / sqrt(along**2 + (drop + 0.05) ** 2)))
    nose = degrees(asin(0.05 / 2.95))  # the body's nose goes down as its rear comes up
    assert degrees(rows["rear: joint at the gearbox"].after) == pytest.approx(abs(shaft - 5.5), abs=nose + 0.3)


def test_a_lift_past_the_travel_is_refused():
    with pytest.raises(RunError, match="past the end of droop"):
        lifted(load_vehicle(TRUCK), {"front": 0.3})
    with pytest.raises(RunError, match="changes nothing"):
        lifted(load_vehicle(TRUCK), {"front": 0.0})


def test_a_lift_goes_as_far_as_the_dampers_let_the_axle_drop():
    """The strap is estimated from the damper, 23.5 in extended, and at ride half way of its stroke: 4.6 in of it are left out."""
    shop = {"weighed": {"front": "2450 lb", "rear": "1780 lb"}, "wheelbase": "92 in"}
    damper = {"length_extended": "23.5 in", "length_collapsed": "14.25 in"}
    truck = vehicle_from(
        {
            "name": "shop",
            **shop,
            "front": {"springs": {"coil": {"rate": "190 lb/in"}}, "dampers": {"main": damper}},
            "rear": {"dampers": {"main": damper}},
        }
    )
    own = stand(truck).axles["front"]
    out = own.dampers[0].stroke_left_out / own.dampers[0].motion_ratio
    near, far = out - 0.01, out + 0.02
    assert 0.0 < -own.droop.jounce < near  # past the strap
    lift = lifted(truck, {"front": near})
    assert "front.strap.length" in lift.changes
    assert any(note.startswith("front: nobody measured its limit straps") for note in lift.notes)
    assert any(
        "too short" in note and note.startswith("front: its 'main' dampers are fully out") for note in lift.notes
    )
    assert -stand(truck.changed(lift.changes)).axles["front"].jounce == pytest.approx(near, abs=1e-3)
    with pytest.raises(RunError, match="past where its 'main' dampers are fully out"):
        lifted(truck, {"front": far})


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (["loads", str(TRUCK)], 0), (["loads", str(TRUCK), "--load", "winch=165 lb, -30 in, 28 in"], 0), (["loads", str(TRUCK), "--load", "winch"], 2),
        (["loads", str(TRUCK), "--load", "winch=165, -30 in, 28 in"], 2), (["lift", str(TRUCK)], 2), (["lift", str(TRUCK), "--front", "2"], 2),
        (["lift", str(TRUCK), "--front", "2 in", "--track", "57 in"], 0), (["lift", str(TRUCK), "--front", "2 m"], 2),
        (["lift", str(TRUCK), "--front", "2 in", "--track", "0 in"], 2),
    ],
)  # fmt: skip
def test_commands(words, code, capsys):
    assert main(words) == code
    said = capsys.readouterr()
    assert "bug" not in said.err
    if code == 0:
        assert "CAUTION" in said.err
        assert " mm (" in said.out


def test_a_lift_in_inches_ends_with_inches_and_lifts_as_far(capsys):
    assert main(["lift", str(TRUCK), "--rear", "2 in", "--units", "inch"]) == 0
    said = capsys.readouterr().out
    assert re.search(r"rear\.springs\.\w+\.free_camber: \d+\.\d\d in$", said, re.MULTILINE)
    assert " mm" not in said
    with shown_in("inch"):
        rows = hut(rear=0.0508)
    assert rows["rear: frame above the measured height over the axle"].after == pytest.approx(0.0508, abs=5e-4)


def test_a_guide_that_bends_too_sharply_says_its_travel_in_the_units_asked_for():
    """9 1/16 in is 230 mm (25.4 mm an inch, NIST SP 811)."""
    with shown_in("inch"), pytest.raises(ValueError, match=r"between -9\.1 in and 13\.8 in of travel"):
        lowered(lambda jounce: (np.sign(jounce), jounce), -0.2302, 0.3505)


def test_the_engine_of_the_page_by_hand():
    """docs/springs.md: 0.966 x 80 kg x g / 72 N/mm is 10.5 mm by the lever rule; the model's 10.7 mm has the pitch in it."""
    page = (TRUCK.parents[2] / "docs" / "springs.md").read_text(encoding="utf-8")
    by_hand = (1.0 - 0.10 / 2.95) * 80.0 * G / 72e3
    loaded = cases(load_vehicle(TRUCK), [Load("engine", 80.0, 0.10, 0.75)])[1].axles["front"]
    assert f"= {by_hand * 1e3:.1f} mm; jounce says {-loaded.height * 1e3:.1f} mm" in page
    assert -loaded.height == pytest.approx(by_hand, abs=5e-4)


@pytest.mark.parametrize("before", ["0 mm", "20 mm"])
def test_a_spacer_lifts_as_a_coil_longer_by_as_much(before):
    """By hand: a coil whose end is lower by d carries the same load at d more of height; its own length and load stay."""
    truck = load_vehicle(TRUCK).changed({"front.springs.coil.spacer": before})
    thick = float(before.split()[0]) + 30.0
    springs = {"spacer": {"front.springs.coil.spacer": f"{thick:g} mm"}}
    free = next(line.line.length_free for line in lower(truck).lines if line.role == "coil" and line.axle == "front")
    springs["longer coil"] = {"front.springs.coil.free_length": f"{free + 0.030!r} m"}
    by = {name: stand(truck.changed(changes)).axles["front"] for name, changes in springs.items()}
    now = stand(truck).axles["front"]
    for one in by.values():
        # The coils of the demo stand nearly upright over the axle, whose arm turns their lower seat a little.
        assert now.jounce - one.jounce == pytest.approx(0.030, abs=0.002)
    assert by["spacer"].jounce == pytest.approx(by["longer coil"].jounce, abs=3e-4)
    assert by["spacer"].ride_frequency == pytest.approx(now.ride_frequency, rel=0.01)


def test_a_spacer_that_is_fitted_is_a_shorter_coil_on_the_truck_as_measured():
    """It stands as measured with or without; what holds it is a coil shorter by the spacer."""
    data = {"front": {"springs": {"coil": {"rate": "190 lb/in", "body": {"above_ground": "800 mm"}, "spacer": "2 in"}}}}
    shop = {"weighed": {"front": "2450 lb", "rear": "1780 lb"}, "wheelbase": "92 in"}
    fitted = vehicle_from({**shop, **data})
    del data["front"]["springs"]["coil"]["spacer"]
    plain = vehicle_from({**shop, **data})
    lines = [next(line.line for line in lower(truck).lines if line.role == "coil") for truck in (plain, fitted)]
    assert lines[0].length_free - lines[1].length_free == pytest.approx(0.0508, abs=1e-9)
    assert stand(fitted).axles["front"].jounce == pytest.approx(0.0, abs=1e-6)


def on_leaves(**more):
    pack = {"rate": "230 lb/in", "halves": {"ahead": "0.56 m", "behind": "0.70 m"}, **more}
    return vehicle_from({**STRAPLESS, "rear": {**STRAPLESS["rear"], "springs": {"pack": pack}}})


def test_a_block_lifts_by_its_thickness_and_leaves_the_axle_where_it_is_on_its_arc():
    """By hand: the pack bears what it bore, so it lies as it lay, and the axle hangs lower by the block; leaves of more arch swing it along R - sqrt(R² - z²)."""
    truck = on_leaves()
    block, arch = (lifted(truck, {"rear": 0.05}, by={"rear": way}) for way in ("spacers", "springs"))
    thickness = float(block.changes["rear.springs.pack.block"].split()[0]) * 0.0254
    assert thickness == pytest.approx(0.05, abs=1.2e-3)
    guide = truck.rear.guide
    radius = 0.75 * guide.fixed_half_length
    places = []
    for one in (block, arch):
        setup = truck.changed(one.changes)
        jounce = stand(setup).axles["rear"].jounce
        assert jounce == pytest.approx(-0.05, abs=2e-3)
        places.append(float(lower(setup).paths["rear"].forward(np.array(jounce))))
    level = float(lower(truck).paths["rear"].forward(np.array(0.0)))
    # What is left is the rest of rounding the block to a hundredth of an inch, on the flat of the arc.
    assert places[0] == pytest.approx(level, abs=1e-5)
    assert places[1] - level == pytest.approx(radius - sqrt(radius**2 - 0.05**2), rel=0.1)
    rows = {row.label: row for row in block.rows}
    lever = rows["rear: lever by which a tyre's push winds the pack up"]
    # The tyre gives a little less: nose down, the truck puts 0.4 % of its weight forward.
    assert lever.after - lever.before == pytest.approx(thickness, abs=3e-4)
    assert any("longer, braked and driven" in note for note in block.notes)


def test_a_block_that_is_fitted_is_part_of_the_truck_as_measured():
    """It stands as measured with or without; what carries it is leaves of less arch by the block."""
    bare, blocked = (stand(on_leaves(**more)).axles["rear"] for more in ({}, {"block": "2 in"}))
    assert blocked.jounce == pytest.approx(bare.jounce, abs=1e-6)
    out = on_leaves(block="2 in").changed({"rear.springs.pack.block": "0 in"})
    assert stand(out).axles["rear"].jounce == pytest.approx(0.0508, abs=2e-3)
    # The arch that is found is that of the leaves alone.
    (order,) = (one for one in spring_orders(on_leaves(block="2 in"), {}) if one.axle == "rear")
    (plain_order,) = (one for one in spring_orders(on_leaves(), {}) if one.axle == "rear")
    assert order.free == pytest.approx(plain_order.free - 0.0508, abs=1e-6)
    assert order.places["ride"].force == pytest.approx(plain_order.places["ride"].force)


def test_a_pinion_that_a_lift_turns_is_told_with_what_turns_it_back():
    """By hand shackles turn the pack by asin(lift / fixed half) more than leaves of more arch do; a degree and less is told by nobody."""
    truck = on_leaves()
    found = {}
    for way in ("shackles", "springs"):
        lift = lifted(truck, {"rear": 0.05}, by={"rear": way})
        row = next(row for row in lift.rows if row.label == "rear: pinion upwards against the frame")
        found[way] = degrees(row.after - row.before)
        notes = [note for note in lift.notes if "pinion turns" in note]
        assert len(notes) == (abs(found[way]) > 1.0)
        for note in notes:
            one = re.search(r"pinion turns (up|down) by ([\d.]+) deg", note)
            assert f"the rear {one[0]} against the frame" in lifts(lift, {"rear": 0.05})
            assert f"Turn it {'down' if one[1] == 'up' else 'up'} again" in note
            assert float(one[2]) * (1.0 if one[1] == "up" else -1.0) == pytest.approx(found[way], abs=0.05)
    assert abs(found["shackles"]) > 1.0
    by_hand = degrees(asin(0.05 / truck.rear.guide.fixed_half_length))
    assert found["shackles"] - found["springs"] == pytest.approx(by_hand, abs=0.15)
    little = lifted(truck, {"rear": 0.005}, by={"rear": "shackles"})
    assert not [note for note in little.notes if "pinion turns" in note]
    assert "pinion turns" not in lifts(little, {"rear": 0.005})


def test_a_lift_in_front_alone_turns_frame_gearbox_and_pinion_together():
    """By hand the whole truck turns by asin(0.08 m / wheelbase); between gearbox and axle nothing has moved, so both joints stay as they were."""
    lift = lifted(load_vehicle(TRUCK), {"front": 0.08})
    by = {row.label: row for row in lift.rows}
    pinion = by["rear: pinion upwards against the frame"]
    assert degrees(asin(0.08 / load_vehicle(TRUCK).wheelbase)) > 1.5
    assert abs(degrees(pinion.after - pinion.before)) < 0.1
    for joint in ("gearbox", "pinion"):
        row = by[f"rear: joint at the {joint}"]
        assert degrees(row.after) == pytest.approx(degrees(row.before), abs=0.1)
    assert not [note for note in lift.notes if "pinion turns" in note]
    assert "pinion turns" not in lifts(lift, {"front": 0.08})


def test_a_longer_shackle_turns_the_pack_about_its_fixed_eye():
    """By hand: s = up (a + b) / a, and the turn is up / a, pinion upwards behind with the fixed eye ahead."""
    truck = on_leaves()
    by = {
        way: {row.label: row for row in lifted(truck, {"rear": 0.05}, by={"rear": way}).rows}
        for way in ("shackles", "springs")
    }
    fixed = truck.rear.guide.fixed_half_length
    assert by["shackles"]["rear: shackle longer by"].after == pytest.approx(0.05 * (fixed + 0.70) / fixed)
    pinion = "rear: pinion upwards against the frame"
    # Lift and camber are written to a hundredth of an inch each, and the guide turns with what that leaves of height.
    assert by["shackles"][pinion].after - by["springs"][pinion].after == pytest.approx(
        0.05 / fixed, abs=0.254e-3 / fixed
    )
    # The pack stays, and bears what it bore: it stands where leaves of as much more arch would hold it.
    changes = lifted(truck, {"rear": 0.05}, by={"rear": "shackles"}).changes
    (path,) = changes
    assert path == "rear.springs.pack.shackle_lift"
    more = lifted(truck, {"rear": 0.05}).changes
    for one in (changes, more):  # springs are found to a millimetre, and both are written to a hundredth of an inch
        assert stand(truck.changed(one)).axles["rear"].jounce == pytest.approx(-0.05, abs=7e-4)
    # Shackles that a set-up has already are counted to.
    twice = lifted(truck.changed(changes), {"rear": 0.10}, by={"rear": "shackles"}).changes
    lift = [float(one[path].split()[0]) for one in (changes, twice)]
    assert lift[1] == pytest.approx(2.0 * lift[0], abs=0.1)


@pytest.mark.parametrize(
    ("raised", "by", "why"),
    [
        ({"front": 0.05}, {"front": "shackles"}, "longer shackles"),
        ({"rear": -0.03}, {"rear": "spacers"}, "no block to take out"),
    ],
)
def test_what_cannot_lift_an_axle_is_said(raised, by, why):
    with pytest.raises(RunError, match=why):
        lifted(load_vehicle(TRUCK), raised, by=by)


def test_the_command_lifts_by_what_it_is_given(tmp_path, capsys):
    assert main(["lift", str(TRUCK), "--rear", "50 mm", "--by", "rear:spacers"]) == 0
    out = capsys.readouterr().out
    assert re.search(r"rear\.springs\.pack\.block: 5\d mm|rear\.springs\.pack\.block: 4\d mm", out)
    assert "spacers or blocks" in out
    for way in (
        "rear:blocks",
        "rear=blocks",
        "rear = spacers",
    ):  # as people say it of a leaf pack, and as they part the two
        assert main(["lift", str(TRUCK), "--rear", "50 mm", "--by", way]) == 0
        assert capsys.readouterr().out == out
    assert main(["lift", str(TRUCK), "--rear", "50 mm", "--by", "wishes"]) == 2
    assert "springs, spacers, shackles, blocks" in capsys.readouterr().err


def test_a_block_is_no_lift_where_packs_lie_under_the_axle():
    """Between pack and axle it puts the axle higher: `lift` says so; what is there already is taken out to lift."""
    with pytest.raises(
        RunError, match="rear: its packs lie under the axle, where a block between the two lowers the frame"
    ):
        lifted(on_leaves(seat_above="-75 mm"), {"rear": 0.04}, by={"rear": "spacers"})
    out = lifted(on_leaves(seat_above="-75 mm", block="2 in"), {"rear": 0.04}, by={"rear": "spacers"})
    left = 2.0 - float(out.changes["rear.springs.pack.block"].split()[0])
    assert left == pytest.approx(0.04 / 0.0254, abs=0.05)
    (lever,) = (row for row in out.rows if row.label.startswith("rear: lever by which"))
    # From the axle's centre down to the pack is the lever shorter: 75 mm and the block.
    standing = stand(on_leaves(seat_above="-75 mm", block="2 in")).axles["rear"].centre_height
    assert lever.before == pytest.approx(standing - 0.075 - 0.0508, abs=1e-6)


def test_the_lever_counts_the_seat_that_was_taped():
    block = lifted(on_leaves(seat_above="70 mm"), {"rear": 0.05}, by={"rear": "spacers"})
    (lever,) = (row for row in block.rows if row.label.startswith("rear: lever by which"))
    assert lever.before == pytest.approx(stand(on_leaves()).axles["rear"].centre_height + 0.07, abs=1e-6)
    assert lever.after - lever.before == pytest.approx(0.05, abs=2e-3)


def test_a_block_is_never_planned_or_ordered_without_saying_where_it_lifts(tmp_path, capsys):
    """By hand: between a pack and an axle above it a block of d brings the frame down by d, on one below it up by d."""
    lifts = "a block lifts only where the pack lies on top of the axle; under the axle it lowers the truck"
    truck = load_vehicle(TRUCK)
    (said,) = (note for note in lifted(truck, {"rear": 0.05}, by={"rear": "spacers"}).notes if lifts in note)
    assert "rear.springs.pack.seat_above, not given" in said
    assert not any(lifts in note for note in lifted(truck, {"rear": 0.05}).notes)
    over, under = seated_truck("70 mm"), seated_truck("-70 mm")
    assert not any(lifts in note for note in lifted(over, {"rear": 0.05}, by={"rear": "spacers"}).notes)
    for vehicle, sense in ((over, 1.0), (under, -1.0), (truck, 1.0)):
        setup = vehicle.changed({"rear.springs.pack.block": "50 mm"})
        assert stand(setup).axles["rear"].frame_up == pytest.approx(sense * 0.05, abs=1e-3)
        block = next(part for part in parts_list(setup, spring_orders(setup, {}), [], {}).order if part.kind == "block")
        assert (lifts in block.words) == (vehicle is truck)
        assert ("lowers the truck" in block.words) == (vehicle is not over)
        assert (lifts in " ".join(blocks_that_may_lower({"block": setup}))) == (vehicle is truck)
    file = tmp_path / "block.yaml"
    file.write_text(
        f"kind: scenario\nname: Block\nvehicle: {TRUCK.resolve()}\nrun: {{kind: drop, height: 50 mm}}\nsetups:\n  as it is:\n"
        "  block:\n    rear.springs.pack.block: 2 in\n",
        encoding="utf-8",
    )
    main(["stand", str(file), "--no-doubt"])
    assert f"NOTICE: set-up 'block': {lifts}" in capsys.readouterr().err


def test_an_axle_on_coils_is_told_how_it_is_lifted_beside_shackles():
    with pytest.raises(RunError, match=r"Lift it by springs or spacers: --by front:springs --by rear:shackles"):
        lifted(load_vehicle(TRUCK), {"front": 0.05, "rear": 0.05}, by={"front": "shackles", "rear": "shackles"})
