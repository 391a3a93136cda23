"""Loads and lifts against what a hand calculation gives: sag m g/k by shares, frequency, arcs of arms, moments of masses."""

import json
import re
from math import asin, degrees, pi, sqrt
from pathlib import Path

import numpy as np
import pytest

from sim.cli import main
from sim.describe.files.vehicles import load_vehicle, vehicle_from
from sim.describe.parts.guides.series import lowered
from sim.describe.shown import shown_in
from sim.errors import RunError
from sim.linear.placing import placings
from sim.linear.standing import stand
from sim.lower.lowering import lower
from sim.study.lift import lifted
from sim.study.loads import Case, Load, Loaded, beyond, cases, finding, usual_loads
from sim.study.spring_order import spring_orders
from tests.published.textbook import car

G = 9.80665  # ISO 80000-3
RATE, UNSPRUNG, BASE = 34e3, 60.0, 2.1
TRUCK = Path(__file__).parents[2] / "scenarios" / "vehicles" / "hut_supply_truck.yaml"


def plain():
    """A body of 1200 kg midway between its axles, on upright springs and stiff tyres."""
    return car(1200.0, 1800.0, BASE / 2, BASE / 2, RATE, RATE, unsprung=(UNSPRUNG, UNSPRUNG), tyre_rates=(3e5, 3e5))


@pytest.mark.parametrize("behind", [-0.6, 0.0, 0.5, 1.05, 2.1, 2.9])
def test_sag_by_hand(behind):
    """An axle's springs take the load's share by the lever rule and give by m g share / k; rates stay, so the frequency goes by the mass."""
    load = Load("one", 120.0, behind, 0.6)
    empty, with_it = cases(plain(), [load])
    # The lever rule holds level; pitched by the difference of both sags, a centre of gravity less than 1 m up moves by that angle.
    tilt = abs(with_it.axles["front"].height - with_it.axles["rear"].height) / BASE
    moved = 1320.0 * G * 1.0 * tilt / BASE
    shares = {"front": 1.0 - behind / BASE, "rear": behind / BASE}
    for axle, share in shares.items():
        one = with_it.axles[axle]
        assert one.height == pytest.approx(-120.0 * G * share / RATE, abs=6e-4)  # levers turn a little with the pitch
        assert one.load - empty.axles[axle].load == pytest.approx(120.0 * G * share, abs=moved + 0.1)
        ride = RATE * 3e5 / (RATE + 3e5)
        assert one.frequency == pytest.approx(sqrt(ride / (600.0 + 120.0 * share)) / 2 / pi, rel=3e-3)


def test_the_frame_goes_the_same_way_in_every_table(capsys, tmp_path):
    """Down is a minus for `loads` and for `stand` alike: 300 kg over the rear axle press it down by about m g / k."""
    (tmp_path / "asked.yaml").write_text(
        "kind: scenario\nname: x\nvehicle: " + json.dumps(str(TRUCK)) + "\nrun: {kind: push, over: front, force: 400 N}\nsetups:\n  as it is:\n  loaded:\n"
        "    loads.sand: {mass: 300 kg, place: {behind_front_axle: 2.95 m, above_ground: 1.1 m}}\n", encoding="utf-8"
    )  # fmt: skip
    (_, case) = cases(load_vehicle(TRUCK), [Load("sand", 300.0, 2.95, 1.1)])
    assert main(["stand", str(tmp_path / "asked.yaml"), "--no-doubt", "--units", "metric"]) in (0, 3)
    rows = [line for line in capsys.readouterr().out.splitlines() if "frame up from the measured height" in line]
    assert len(rows) == 2
    for line, axle in zip(rows, ("front", "rear"), strict=True):
        assert float(line.split()[-1]) == pytest.approx(1e3 * case.axles[axle].height, abs=0.06), axle
    assert float(rows[1].split()[-1]) < -20.0


def test_all_of_it_is_the_sum():
    loads = [Load("front one", 80.0, 0.2, 0.6), Load("rear one", 150.0, 1.9, 0.7)]
    _, first, second, both = cases(plain(), loads)
    for axle in ("front", "rear"):
        assert both.axles[axle].height == pytest.approx(first.axles[axle].height + second.axles[axle].height, abs=1e-3)
    assert both.mass == 230.0


@pytest.mark.parametrize(
    ("aboard", "more"),
    [(["driver", "full tank"], False), (["tanks full"], False), (["half a tank"], True), (["3/4 full tank"], True), ([], True)],
)  # fmt: skip
def test_tanks_that_were_full_on_the_scale_are_not_filled_once_more(aboard, more):
    truck = vehicle_from({"weighed": {"front": "1180 kg", "rear": "960 kg", "aboard": aboard}, "wheelbase": "2580 mm"})
    assert ("full tanks" in [load.name for load in usual_loads(truck)]) == more


def test_a_load_that_no_truck_stands_under_is_said():
    rows = cases(load_vehicle(TRUCK), [Load("a house", 4000.0, 9.0, 1.0)])
    assert rows[1].axles == {}
    assert rows[1].cannot


def test_a_verdict_says_what_is_wrong_first():
    rows = {case.name: case for case in cases(load_vehicle(TRUCK), [Load("stones", 1100.0, 2.95, 1.1)])}
    assert rows["as it is"].axles["rear"].verdict == "as usual"
    assert rows["stones"].axles["rear"].verdict.startswith("rear axle stands on its bump stops")


STRAPLESS = {
    "weighed": {"front": "2450 lb", "rear": "1780 lb"}, "wheelbase": "92 in",
    "rear": {"springs": {"pack": {"rate": "230 lb/in"}}, "stop": {"gap": "3.3 in"}, "strap": "none", "dampers": "none"},
}  # fmt: skip


def test_without_a_strap_loads_and_lift_have_the_droop_of_stand_to_where_it_hangs():
    """By hand: jacked up, the axle goes down by the load that it had on the ground over the rate of its springs, 1780 lb / (2 x 230 lb/in)."""
    truck = vehicle_from(STRAPLESS)
    standing = stand(truck).axles["rear"]
    assert cases(truck, [])[0].axles["rear"].down == standing.droop_left
    assert standing.droop_left == pytest.approx(1780 / (2 * 230) * 0.0254, rel=0.02)
    rows = {row.label: row for row in lifted(truck, {"rear": 0.03}).rows}
    assert rows["rear: droop left, no strap"].before == standing.droop_left


def test_bump_left_under_a_load_is_placed_by_the_range_of_a_comparison():
    """50 mm (2.0 in) are the least usual with a load (common practice, no source)."""
    rows = cases(vehicle_from(STRAPLESS), [Load("cargo", 363.0, 2.337, 1.0), Load("less", 30.0, 2.337, 1.0)])
    cargo, less = rows[1].axles["rear"], rows[2].axles["rear"]
    assert 0.025 < cargo.up < 0.050
    assert (
        f"rear bump travel left (loaded) {1e3 * cargo.up:.0f} mm ({cargo.up / 0.0254:.1f} in): little, usual 50 to 150 mm (2.0 to 5.9 in)"
        in cargo.verdict
    )
    assert less.up > 0.075
    assert "bump travel" not in less.verdict


def test_a_load_is_judged_in_the_words_of_stand_and_compare():
    """One table of ranges: what `loads` says of an axle is what `placings` of the same truck says, whatever the load."""
    truck = vehicle_from(STRAPLESS)
    for load in (Load("cargo", 363.0, 2.337, 1.0), Load("less", 30.0, 2.337, 1.0)):
        place = {"behind_front_axle": f"{load.behind} m", "above_ground": f"{load.above} m"}
        standing = stand(truck.changed({f"loads.{load.name}": {"mass": f"{load.mass} kg", "place": place}}))
        (_, case) = cases(truck, [load])
        for axle in ("front", "rear"):
            wanted = [one.sentence for one in placings(standing) if one.axle == axle and not one.is_usual]
            wanted = [flag.words for flag in standing.flags if flag.part.startswith(axle)] + wanted
            assert case.axles[axle].verdict == ("; ".join(wanted) or "as usual")


def test_more_load_never_has_a_better_word_for_bump_travel():
    """From nothing to 400 kg over the rear axle: once little is left it stays little (a verdict turned at 15 % before)."""
    truck = load_vehicle(TRUCK).changed({"rear.stop.gap": "70 mm"})
    loads = [Load(f"{mass}", float(mass), 2.95, 1.0) for mass in range(10, 401, 30)]
    said = ["bump travel left" in case.axles["rear"].verdict for case in cases(truck, loads)[:-1]]
    assert said == [True] * len(said)


@pytest.mark.parametrize(("gap", "start"), [("92 mm", "“all of it”"), ("160 mm", "No load comes near")])
def test_the_first_sentence_says_which_load_leaves_least(capsys, gap, start):
    """Against the table that is printed below it: the least of the column 'bump left', with its row and axle."""
    truck = load_vehicle(TRUCK).changed({"rear.stop.gap": gap, "front.stop.gap": gap})
    rows = cases(truck, usual_loads(truck))
    said = finding(rows)
    least = {(case.name, axle): one.up for case in rows[1:] for axle, one in case.axles.items()}
    name, axle = min(least, key=least.get)
    assert said.startswith(start)
    assert f"“{name}”" in said
    assert f"{1e3 * least[name, axle]:.1f} mm" in said
    assert axle in said


def test_a_load_past_the_limit_is_the_lightest_that_is():
    truck = load_vehicle(TRUCK)
    loads = [Load("stones", 1100.0, 2.95, 1.1), Load("gravel", 900.0, 2.95, 1.1), Load("sand", 200.0, 2.95, 1.1)]
    rows = cases(truck, loads)
    on_stops = [case for case in rows if case.axles["rear"].up <= 0.0]
    assert finding(rows).startswith(f"“{min(on_stops, key=lambda case: case.mass).name}” (")
    assert "rear axle stands on its bump stops" in finding(rows)
    assert "is past the limit" in finding(cases(truck, [Load("a house", 4000.0, 9.0, 1.0)]))


@pytest.mark.parametrize("mass", [30.0, 363.0, 1500.0])
def test_the_first_sentence_says_that_the_gap_it_rests_on_is_estimated(mass):
    """Far from the stops, past what is usual and on the stops: a gap that nobody taped carries each of the three sentences."""
    measured = STRAPLESS["rear"] | {"stop": {"gap": "3.3 in"}}
    guessed = {key: value for key, value in measured.items() if key != "stop"}
    front = {"stop": {"gap": "9 in"}}  # the rear is the limit
    for rear, said in ((measured, False), (guessed, True)):
        truck = vehicle_from({**STRAPLESS, "front": front, "rear": rear})
        words = finding(cases(truck, [Load("cargo", mass, 2.337, 1.0)]))
        assert ("the gap to the rear bump stops is estimated: measure it" in words) is said


def test_usual_loads_stand_on_a_truck_as_measured():
    truck = vehicle_from({"weighed": {"front": "2450 lb", "rear": "1780 lb"}, "wheelbase": "92 in"})
    rows = cases(truck, usual_loads(truck))
    assert len(rows) == len(usual_loads(truck)) + 2
    assert all(case.axles for case in rows)


def hut(**raised):
    return {row.label: row for row in lifted(load_vehicle(TRUCK), raised, 1.5).rows}


def test_a_lift_by_the_arc_of_its_arms():
    """Arm of the file: pivot 0.98 m behind the axle; with both ends up alike castor goes by how far the arm turns, asin's of its rise."""
    rows = hut(front=0.05, rear=0.05)
    vehicle = load_vehicle(TRUCK)
    centre = stand(vehicle).axles["front"].centre_height
    rise = rows["front: frame above the measured height"].after
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
    assert rows["rear: frame above the measured height"].after == pytest.approx(0.0508, abs=5e-4)


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


def test_a_block_that_makes_the_dampers_too_short_for_the_droop_is_said(tmp_path, capsys):
    """By hand: the spring hangs as it hung, so all of the block comes out of the damper; upright, 100 mm out of what was left at full droop."""
    upright = {
        "count": 2, "body": {"behind_front_axle": "92 in", "above_ground": "830 mm"}, "axle": {"ahead": "0 mm", "above": "0 mm"}, "lean_inward": "0 mm",
        "length_extended": "26 in", "length_collapsed": "14 in",
    }  # fmt: skip
    data = {**STRAPLESS, "rear": {**STRAPLESS["rear"], "dampers": {"main": upright}}}
    truck = vehicle_from(data)
    lift = lifted(truck, {"rear": 0.100}, by={"rear": "spacers"})
    row = next(row for row in lift.rows if row.label == "rear damper 'main': room left at full droop")
    assert row.before == pytest.approx(stand(truck).axles["rear"].dampers[0].room_in_droop)
    assert row.before - row.after == pytest.approx(0.100, abs=3e-3)
    assert row.before > 0.0 > row.after
    assert any("the axle hangs on them" in note for note in lift.notes)
    less = lifted(truck, {"rear": 0.5 * row.before}, by={"rear": "spacers"})
    assert not any("the axle hangs on them" in note for note in less.notes)
    file = tmp_path / "truck.yaml"
    file.write_text(json.dumps({"kind": "vehicle", **data}), encoding="utf-8")
    assert main(["lift", str(file), "--rear", "4 in", "--by", "rear:blocks"]) == 0
    assert "the rear dampers are too short for the droop" in " ".join(capsys.readouterr().out.split())


def test_a_longer_shackle_turns_the_pack_about_its_fixed_eye():
    """By hand: s = up (a + b) / a, and the turn is up / a, pinion upwards behind with the fixed eye ahead."""
    truck = on_leaves()
    by = {
        way: {row.label: row for row in lifted(truck, {"rear": 0.05}, by={"rear": way}).rows}
        for way in ("shackles", "springs")
    }
    fixed = truck.rear.guide.fixed_half_length
    assert by["shackles"]["rear: shackle longer by"].after == pytest.approx(0.05 * (fixed + 0.70) / fixed)
    pinion = "rear: pinion upwards against the measured"
    assert by["shackles"][pinion].after - by["springs"][pinion].after == pytest.approx(0.05 / fixed)
    assert lifted(truck, {"rear": 0.05}, by={"rear": "shackles"}).changes == lifted(truck, {"rear": 0.05}).changes


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


def test_a_load_is_told_apart_from_what_holds_without_it():
    bare, light, heavy = (
        Case("", {"front": Loaded(0.0, 1e4, 1.3, 0.3, 0.1, 0.1, 0.1, 0.1, verdict)})
        for verdict in ("slow; little", "slow; little", "slow; none")
    )
    assert [beyond(case, bare, "front") for case in (bare, light, heavy)] == ["slow; little", "as without it", "none"]
    usual = Case("", {"front": Loaded(0.0, 1e4, 1.3, 0.3, 0.1, 0.1, 0.1, 0.1, "as usual")})
    assert beyond(usual, bare, "front") == beyond(usual, usual, "front") == "as usual"
