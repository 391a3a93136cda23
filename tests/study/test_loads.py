"""Loads against what a hand calculation gives: sag m g/k by shares, frequency; and what is said of them."""

import json
from dataclasses import replace
from math import pi, sqrt
from pathlib import Path

import pytest

from sim.cli import main
from sim.describe.files.vehicles import load_vehicle, vehicle_from
from sim.integrate.status import Flag
from sim.linear.placing import placings
from sim.linear.standing import stand
from sim.study.lift import lifted
from sim.study.loads import Case, Load, Loaded, beyond, cases, finding, parted, usual_loads
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
    truck = load_vehicle(TRUCK).changed(
        {"rear.stop.gap": gap, "front.stop.gap": gap,
         # dampers that are not solid before so high a stop
         "rear.dampers.main.length_collapsed": "250 mm", "front.dampers.main.length_collapsed": "250 mm"}
    )  # fmt: skip
    rows = cases(truck, usual_loads(truck))
    said = finding(rows)
    least = {(case.name, axle): one.up for case in rows[1:] for axle, one in case.axles.items()}
    name, axle = min(least, key=least.get)
    assert said.startswith(start)
    assert f"“{name}”" in said
    assert f"{1e3 * least[name, axle]:.1f} mm" in said
    assert axle in said


def test_a_load_that_raises_the_front_is_not_said_to_take_its_travel():
    """350 kg behind the rear axle: the nose comes up, and what is left there is more than without it, though less than at the rear."""
    truck = load_vehicle(TRUCK).changed({"rear.stop.gap": "220 mm", "front.stop.gap": "60 mm"})
    rows = cases(truck, [Load("cargo", 350.0, 3.4, 1.0)])
    bare, cargo = rows[0].axles, rows[1].axles
    assert cargo["front"].up > bare["front"].up
    assert cargo["front"].up < cargo["rear"].up < bare["rear"].up
    said = finding(rows)
    assert f"{1e3 * cargo['rear'].up:.1f} mm" in said
    assert f"of {1e3 * bare['rear'].up:.1f} mm" in said
    assert "at the rear" in said


def test_what_is_past_a_limit_without_any_load_does_not_hide_what_a_load_does():
    bare, stones = cases(load_vehicle(TRUCK), [Load("stones", 1100.0, 2.95, 1.1)])[:2]
    assert not any(axle.flags for axle in bare.axles.values())
    hanging = Flag("no_strap", None, "front damper 'main'", "The front damper 'main' holds the hanging axle.")
    front = replace(bare.axles["front"], flags=(hanging,))
    said = finding([replace(bare, axles=bare.axles | {"front": front}), stones])
    first, second = said.split(". ")
    assert first == "Without any load it is past a limit: front damper 'main' holds the hanging axle, no strap does"
    assert second.startswith("“stones” (1100 kg")
    assert "rear axle stands on its bump stops" in second
    # What is as bad without it is not the load's.
    both = [
        replace(case, axles=case.axles | {"front": replace(case.axles["front"], flags=(hanging,))})
        for case in (bare, stones)
    ]
    assert "hanging" not in finding(both).split(". ")[1]


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


def test_a_load_is_told_apart_from_what_holds_without_it():
    bare, light, heavy = (
        Case("", {"front": Loaded(0.0, 1e4, 1.3, 0.3, 0.1, 0.1, 0.1, 0.1, verdict)})
        for verdict in ("slow; little", "slow; little", "slow; none")
    )
    assert [beyond(case, bare, "front") for case in (bare, light, heavy)] == [
        "slow; little",
        "nothing more to mind than without it",
        "none",
    ]
    # A semicolon in its brackets cuts no sentence in two.
    wound, more = (
        Case("", {"front": Loaded(0.0, 1e4, 1.3, 0.3, 0.1, 0.1, 0.1, 0.1, f"slow; wind-up (0.8; without hop){turn}")})
        for turn in (" 10.6 deg: much", " (loaded) 12.0 deg: much")
    )
    assert parted(more.axles["front"].verdict) == ["slow", "wind-up (0.8; without hop) (loaded) 12.0 deg: much"]
    assert beyond(more, wound, "front") == "wind-up (0.8; without hop) (loaded) 12.0 deg: much"
    usual = Case("", {"front": Loaded(0.0, 1e4, 1.3, 0.3, 0.1, 0.1, 0.1, 0.1, "as usual")})
    assert beyond(usual, bare, "front") == beyond(usual, usual, "front") == "as usual"
