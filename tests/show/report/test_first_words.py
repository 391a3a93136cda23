"""First sentences of stand, lift, convert and sheet against the tables printed below them, by a few lines of their own."""

import re
from dataclasses import replace
from math import asin, degrees
from unittest import mock

import pytest

import sim
from sim.cli import main
from sim.describe.files.vehicles import load_vehicle
from sim.describe.to_measure import estimated
from sim.linear.standing import stand
from sim.show.report.first_words import TWO_LINES, beside_orders, lifts, order_sentences, orders, stands
from sim.study.fit import fits
from sim.study.lift import Lift, Row, lifted
from tests.describe.test_to_measure import MEASURED, truck
from tests.synthetic import SCENARIOS

TRUCK = SCENARIOS / "vehicles" / "hut_supply_truck.yaml"
NUMBER = r"(-?[\d.]+)"


def said(capsys, *words):
    """Return the first sentence, its line breaks taken out, and the rest of what a command printed."""
    assert main([*map(str, words)]) in (0, 3)
    out = capsys.readouterr().out
    first, _, rest = out.lstrip("\n").partition("\n\n")
    return " ".join(first.split()), rest


def cells(text, label):
    """Return the numbers in the row of a label."""
    (line,) = [line for line in text.splitlines() if line.startswith(label)]
    return [float(one) for one in re.findall(rf"(?<![\w('-]){NUMBER} (?:mm|deg)(?: |$)", line.removeprefix(label))]


def test_stand_says_where_each_set_up_stands_and_what_is_out_of_the_usual(capsys):
    first, rest = said(capsys, "stand", SCENARIOS / "why_does_it_pitch.yaml", "--no-doubt")
    scenario = sim.load(SCENARIOS / "why_does_it_pitch.yaml")
    for name, vehicle in scenario.setups.items():
        axles = stand(vehicle).axles
        own = re.search(rf"“{name}” stands? (.*?)(?:\. “|$)", first)[1]
        share = 100.0 * axles["front"].load / (axles["front"].load + axles["rear"].load)
        assert f"{share:.0f} % of its weight in front" in own
        end = max(("front", "rear"), key=lambda one: abs(axles[one].jounce))
        down = axles[end].jounce
        assert ("as measured" in own.partition(",")[0]) == (abs(down) < 5e-4)
        if abs(down) >= 5e-4:
            assert f"{1e3 * abs(down):.1f} mm" in own.partition(",")[0]
            assert ("lower" in own) == (down > 0.0)
            assert f"at the {end}" in own
        # 0.2 to 0.4 of the body on the road (from memory, no source), by c / (2 sqrt(k m)) of that end
        for axle in ("front", "rear"):
            one = axles[axle]
            critical = 2.0 * (one.wheel_rate * one.sprung_mass) ** 0.5
            ratio = sum(damper.damping_at_wheel for damper in one.dampers) / critical
            assert not (f"{axle} damping ratio" in own and 0.2 <= ratio <= 0.4)
    assert "load on the ground" in rest


def test_stand_says_of_each_end_that_it_moved():
    """A spacer of 60 mm and a block of 50 mm lift by so much, less what the nose takes along; only a front one leaves the rear where it was."""
    truck = load_vehicle(TRUCK)
    both = truck.changed({"front.springs.coil.spacer": "60 mm", "rear.springs.pack.block": "50 mm"})
    front, rear = re.search(
        rf"stands {NUMBER} mm .*? higher at the front and {NUMBER} mm .*? higher at the rear than measured, frame over axle,",
        stands({"both": stand(both)}),
    ).groups()
    assert float(front) == pytest.approx(60.0, abs=3.0)
    assert float(rear) == pytest.approx(50.0, abs=3.0)


def test_stand_says_what_other_tyres_raise_a_truck_whose_frame_stands_over_its_axles_as_before():
    """A radius of 435 mm is that of the file, 410 mm, and 25 mm; of one axle alone the axle is named."""
    truck = load_vehicle(TRUCK)
    up = 1e3 * (0.435 - truck.front.tyre.radius)
    text = stands({"both": stand(truck.changed({"front.tyre.radius": "435 mm", "rear.tyre.radius": "435 mm"}))})
    assert f"stands as measured, frame over axle, and its tyres raise it by {up:.1f} mm" in text
    text = stands({"front": stand(truck.changed({"front.tyre.radius": "435 mm"}))})
    assert f"and its tyres raise the front by {up:.1f} mm" in text
    assert "tyres" not in stands({"none": stand(truck)}).partition("%")[0]


def test_stand_says_the_worst_first_and_counts_the_rest():
    stiff = load_vehicle(TRUCK).changed(
        {"front.springs.coil.rate": "150 N/mm", "front.dampers.main.count": 4, "front.stop.gap": "20 mm"}
    )
    text = stands({"stiff": stand(stiff), "plain": stand(load_vehicle(TRUCK)), "again": stand(load_vehicle(TRUCK))})
    assert re.search(r"out of the usual: .*? and \d+ more", text)
    assert text.splitlines()[1].startswith("“plain” and “again” stand as measured")


def test_lift_says_what_is_taken_most_by_the_table(capsys):
    first, rest = said(
        capsys, "lift", SCENARIOS / "what_the_lift_costs.yaml", "--front", "2 in", "--rear", "1 in", "--track", "1.5 m"
    )
    assert first.startswith("A lift of 51 mm (2.0 in) in front and 25 mm (1.0 in) at the rear takes ")
    lost = {}
    for line in rest.splitlines():
        label = re.match(r"(?:front|rear)(?: damper '\w+')?: (?:bump|droop|stroke) left.*?(?=\s{2,})", line)
        if label:
            before, after, _ = cells(rest, label[0])
            lost[label[0]] = (before, after, 100.0 * (1.0 - after / before))
    most = max(lost, key=lambda one: lost[one][2])
    before, after, share = lost[most]
    assert most.partition(": ")[2] in first
    assert f"{before:.1f} mm" in first
    assert f"{after:.1f} mm" in first
    # Most is more than half.
    assert ("takes most of the" in first) == (share > 50.0)
    assert (f"{share:.0f} % less" if share > 50.0 else f"takes {share:.0f} % of the") in first
    castor = cells(rest, "front: castor against the measured")
    assert f"castor falls by {castor[0] - castor[1]:.1f} deg" in first
    height = cells(rest, "centre of gravity of the whole truck above the ground")
    assert re.search(rf"{height[2]:.0f} mm \([\d.]+ in\) higher, so it rolls over sooner", first)


def test_what_a_lift_takes_is_called_most_from_half_of_it_on():
    """Of 100 mm 60 are most, 40 are not."""
    height = Row("centre of gravity of the whole truck above the ground", "length", 0.7, 0.75)
    for after, words in (
        (0.04, "takes most of the front droop left to the strap: 100.0 mm"),
        (0.06, "takes 40 % of the front droop left"),
    ):
        text = lifts(
            Lift({}, (Row("front: droop left to the strap", "length", 0.1, after), height), ()), {"front": 0.05}
        )
        assert words in text
        assert ("60 % less" in text) == (after == 0.04)


@pytest.mark.parametrize("taped", [False, True])
def test_lift_says_that_what_it_takes_most_of_rests_on_an_estimate(taped):
    """A strap that nobody taped is ours, and with it the droop that a lift takes."""
    strap = {"strap": {"length": "17 in"}} if taped else {}
    vehicle = truck(MEASURED, stop={"gap": "2.5 in"}, **strap)
    said = lifts(lifted(vehicle, {"front": 0.05}), {"front": 0.05}, estimated(vehicle))
    assert re.search(r"takes (most|\d+ %) of the front droop left to the strap", said)
    assert ("(the length of the strap is estimated: measure it)" in said) == (not taped)


@pytest.mark.parametrize("taped", [False, True])
def test_lift_says_that_castor_rests_on_arms_that_nobody_taped(taped):
    """A turn of the arm is asin((d + lift)/R) - asin(d/R): R is ours until the pivot is taped."""
    pivot = {"guide": {"kind": "arm", "pivot": {"behind_front_axle": "35 in", "above_ground": "19 in"}}}
    vehicle = truck(MEASURED, stop={"gap": "2.5 in"}, strap={"length": "17 in"}, **(pivot if taped else {}))
    text = lifts(lifted(vehicle, {"front": 0.05}), {"front": 0.05}, estimated(vehicle))
    assert re.search(r"castor falls by [\d.]+ deg", text)
    assert ("deg (the place of the front arms' pivot is estimated: measure it)" in text) == (not taped)
    # Lifted behind alone the truck turns as a whole, by asin(50 mm / wheelbase): no arm decides that.
    behind = lifts(lifted(vehicle, {"rear": 0.05}), {"rear": 0.05}, estimated(vehicle))
    turn = degrees(asin(0.05 / vehicle.wheelbase))
    assert float(re.search(r"castor falls by ([\d.]+) deg", behind)[1]) == pytest.approx(turn, abs=0.1)
    assert "pivot is estimated" not in behind
    assert "'s stroke" not in behind


def test_a_truck_that_is_lowered_loses_bump_and_does_not_roll_sooner(capsys):
    first, _ = said(capsys, "lift", SCENARIOS / "what_the_lift_costs.yaml", "--front", "-1 in")
    assert "bump left to the stop" in first
    assert "rolls over" not in first


def test_convert_says_what_one_damper_must_give_by_the_table(capsys, tmp_path):
    first, rest = said(capsys, "convert", SCENARIOS / "four_each_how.yaml", "--outputs", tmp_path)
    found = re.match(
        rf"For the wheel to feel “(.*?)”, each of the (\d+) (\w+)( '\w+')? dampers of “(.*?)” must give {NUMBER} N .*? of rebound at 0.26 m/s "
        rf".*?, where each of the (\d+) \w+ dampers now gives {NUMBER} N",
        first,
    )
    row = next(line for line in rest.splitlines() if line.startswith(f"{found[3]} main") and " 0.26 m/s" in line)
    assert f" {found[2]} " in row
    assert re.findall(rf"{NUMBER} N \(", row)[1] == found[6]  # compression, then rebound
    # twice as many at the same places: half of the force each
    assert float(found[6]) * int(found[2]) == pytest.approx(float(found[8]) * int(found[7]), abs=int(found[2]))


def test_sheet_says_what_to_order_and_what_does_not_fit_by_the_table(capsys, tmp_path):
    first, rest = said(capsys, "sheet", SCENARIOS / "right_length.yaml", "--outputs", tmp_path)
    assert first.startswith("For “as it was”: order the 2 front dampers, 385.0 mm")
    rows = [line for line in rest.splitlines() if re.search(r" (yes|no)\s*$", line)]
    for axle in ("front", "rear"):
        (row,) = [line for line in rows if line.startswith("as it was") and f"{axle} main" in line]
        least = min(float(one) for one in re.findall(rf"{NUMBER} mm", row)[1:])
        own = re.search(rf"2 {axle} dampers.*?extended: {NUMBER} mm", first)
        assert float(own[1]) == least
    wrong = {
        line: min(float(one) for one in re.findall(rf"{NUMBER} mm", line)[1:])
        for line in rows
        if line.rstrip().endswith("no")
    }
    worst = min(wrong, key=wrong.get)
    name = re.search(r"With “(.*?)” the (\w+) dampers do not fit", " ".join(rest.split()))
    assert worst.startswith(name[1])
    assert f"{name[2]} main" in worst
    assert f"limit strap, {-wrong[worst]:.1f} mm" in " ".join(rest.split())
    assert ("Nor do all fit with" in " ".join(rest.split())) == (len(wrong) > 1)


def test_what_nobody_measured_is_asked_for_before_an_order():
    truck = sim.vehicle_from(
        {
            "weighed": {"front": "2450 lb", "rear": "1780 lb"}, "wheelbase": "92 in",
            **{axle: {"dampers": {"main": {"length_extended": "23.5 in", "length_collapsed": "14.25 in"}}} for axle in ("front", "rear")},
        }
    )  # fmt: skip
    text = orders("mine", {"mine": fits(truck)})
    assert text.startswith("Before the 2 front dampers are ordered, measure the damper eye to eye at ride")
    assert "Order" not in text


@pytest.mark.parametrize("name", ["right_length", "stroke_left", "two_or_four"])
def test_the_first_sentence_of_an_order_takes_two_lines_and_every_set_has_its_own(name):
    scenario = sim.load(SCENARIOS / f"{name}.yaml")
    every = {own: fits(vehicle) for own, vehicle in scenario.setups.items()}
    for own, each in every.items():
        sentences = order_sentences(own, every)
        assert all(len(one) <= TWO_LINES for one in sentences)
        assert all(one.endswith(".") for one in sentences)
        assert sentences[0].startswith(f"For “{own}”: ")
        # No set is lost on the way.
        assert all(any(f" {fit.called}" in one for one in sentences) for fit in each)
        assert not any("'main'" in one for one in sentences)  # the axle has no other


def test_a_set_has_its_name_where_its_axle_has_another():
    truck = sim.load(TRUCK)
    two = truck.changed({"front.dampers.second": truck.front.dampers["main"]})
    said = " ".join(order_sentences("mine", {"mine": fits(two)}))
    assert all(words in said for words in ("2 front 'main' dampers", "2 front 'second' dampers", "2 rear dampers"))


def test_what_is_to_be_measured_is_a_sentence_of_its_own_where_two_lines_do_not_hold_it():
    truck = load_vehicle(TRUCK)
    long, plain = fits(truck)
    long = replace(long, problems=("the front damper 'main' becomes the bump stop",), margin_in=-0.031)
    many = [f"the number {number} of this truck with its long name" for number in range(6)]
    with mock.patch.object(type(long), "measure", return_value=many):
        first, second, *others = order_sentences("mine", {"mine": (long, plain)})
    assert len(first) <= TWO_LINES
    assert first.startswith("Do not order the 2 front dampers: ")
    assert second.startswith(f"Measure first: {many[0]}, ")
    assert second.endswith(f"{many[-1]}.")
    assert others


def test_a_damper_that_becomes_the_stop_is_not_to_be_ordered():
    """385 mm collapsed and 69 mm left in: 100 mm longer collapsed is 31 mm too long where the stop is squeezed."""
    truck = load_vehicle(TRUCK).changed({"front.dampers.main.length_collapsed": "485 mm"})
    one = next(fit for fit in fits(truck) if fit.axle == "front")
    text = orders("mine", {"mine": fits(truck)})
    assert text.startswith("Do not order the 2 front dampers: they become the bump stop, ")
    assert f"{-1e3 * one.margin_in:.1f} mm" in text
    assert one.margin_in == pytest.approx(0.069 - 0.100, abs=1e-3)
    assert "Order the 2 rear dampers" in text


def test_set_ups_with_dampers_that_do_not_fit_are_named():
    """The worst with its reason, the others by name; that which fits is not among them."""
    scenario = sim.load(SCENARIOS / "right_length.yaml")
    every = {name: fits(vehicle) for name, vehicle in scenario.setups.items()}
    own = next(iter(every))
    wrong = [name for name, each in every.items() if any(fit.problems for fit in each)]
    worst = min(wrong, key=lambda name: min(min(fit.margin_in, fit.margin_out) for fit in every[name]))
    text = beside_orders(own, every)
    assert f"With “{worst}” the front dampers do not fit: " in text
    (other,) = [name for name in wrong if name != worst]
    assert text.endswith(f". Nor do all fit with “{other}”.")


def test_a_load_that_takes_stroke_at_ride_is_named_with_what_it_leaves():
    """By the lengths eye to eye at ride: what is left to collapsed, as a share of the stroke."""
    scenario = sim.load(SCENARIOS / "stroke_left.yaml")
    every = {name: fits(vehicle) for name, vehicle in scenario.setups.items()}
    own, *others = every
    text = beside_orders(own, every, [fit for name in others for fit in every[name]])
    left = {
        name: next(
            (f.places["ride"].length - f.collapsed) / (f.extended - f.collapsed) for f in each if f.axle == "rear"
        )
        for name, each in every.items()
    }
    least = min(left, key=left.get)
    assert (
        f"Standing, the rear dampers have {100 * left[own]:.0f} % of the stroke left inwards, with “{least}” {100 * left[least]:.0f} %."
    ) in text
    # Other dampers are another order: of them nothing is said here.
    assert "Standing" not in beside_orders(own, every, ())
