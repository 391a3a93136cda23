"""Every number of docs/ticket-to-order.md: worked out again by the model, and by the hand calculation beside it."""

from math import degrees, pi, sqrt
from pathlib import Path

import pytest
import yaml

from sim.describe.files.vehicles import vehicle_from
from sim.describe.shown import show
from sim.linear.standing import stand
from sim.study.after_fitting import AXLE, FRAME, FREQUENCY, GIVE, TURN, after_fitting
from sim.study.concluded import Concluded
from sim.study.doubt.fitting import fitting_bands
from sim.study.fit import fits
from sim.study.loads import Load, cases
from sim.study.ordered_length import show_ordered
from sim.study.parts_list import parts_list
from sim.study.spring_design import coil
from sim.study.spring_order import spring_orders

PAGE = (Path(__file__).parents[2] / "docs" / "ticket-to-order.md").read_text(encoding="utf-8")
LB, INCH, LBF, G = 0.45359237, 0.0254, 4.4482216152605, 9.80665  # NIST SP 811, appendix B.8; ISO 80000-3
WINCH = {"mass": "165 lb", "place": {"behind_front_axle": "-30 in", "above_ground": "28 in"}}


def axle():
    return {
        "tyre": {"outside_diameter": '33"'}, "springs": {"coil": {"rate": "190 lb/in"}},
        "dampers": {"main": {"length_extended": "23.5 in", "length_collapsed": "14.25 in"}},
    }  # fmt: skip


@pytest.fixture(scope="module")
def truck():
    return vehicle_from(
        {"weighed": {"front": "2450 lb", "rear": "1780 lb"}, "wheelbase": "92 in", "front": axle(), "rear": axle()}
    )


def row(begins):
    """Return a row of the page by how it begins."""
    return next(line for line in PAGE.splitlines() if line.startswith(f"| {begins}"))


def test_the_file(truck):
    standing = stand(truck)
    for name in ("front", "rear"):
        assert show(standing.axles[name].load, "load") in PAGE
    estimates = {one.path: one for one in truck.estimates}
    front, rear = (estimates[f"{name}.housing.mass"].value for name in ("front", "rear"))
    assert show(front, "mass") in row("front axle with wheels")
    wheel = 15.0 + 110.0 * (33 * INCH) ** 2 * 0.32 * 33 * INCH
    assert front == pytest.approx(215.0 * (2450 * LB / 1e3) ** 0.75 + 2.0 * (wheel - 31.0))
    assert wheel - 31.0 == pytest.approx(4.7, abs=0.05)
    assert show(truck.body.mass, "mass") in row("body")
    assert truck.body.mass / LB == pytest.approx(4230 - front / LB - rear / LB - 4 * 6.78, abs=1.0)
    behind = truck.body.centre_of_gravity.behind_front_axle
    assert show(behind, "length") in row("its centre of gravity")
    assert behind / INCH == pytest.approx((1780 - 425 - 13.6) * 92 / 3244, abs=0.05)


def test_as_it_stands(truck):
    front = stand(truck).axles["front"]
    assert f"{front.ride_frequency:.2f} Hz" in row("ride frequency")
    series = 1.0 / (1.0 / 375 + 1.0 / 3120)
    assert series == pytest.approx(335, abs=0.5)
    assert front.ride_frequency == pytest.approx(sqrt(series * 386.09 / 1907) / 2 / pi, rel=2e-3)
    # A load on a seat above its axle, on an arm: it tips by a radian an arm's length of travel, so that F h / r^2 is taken off (small angles).
    arm, seat = truck.front.guide.pivot.behind_front_axle, truck.front.springs["coil"].axle.above
    assert (arm / INCH, seat / INCH) == (pytest.approx(35.4, abs=0.05), pytest.approx(3.5, abs=0.05))
    taken = 954 * 3.5 / 35.4**2
    assert taken == pytest.approx(2.7, abs=0.05)
    assert f"{taken:.1f} lb/in off" in PAGE
    assert front.wheel_rate / (LBF / INCH) == pytest.approx(2 * (190 - taken), abs=0.3)
    critical = 2.0 * sqrt(front.wheel_rate * front.sprung_mass)
    assert show(critical, "damping") in row("critical damping")
    assert critical / (LBF / INCH) == pytest.approx(2 * sqrt(375 * 1907 / 386.09), rel=2e-3)
    valving = truck.front.dampers["main"].valving
    mean = 0.5 * (valving.compression.low + valving.rebound.low)
    shown = row("one damper, mean")
    assert f"{front.dampers[0].motion_ratio:.3f}" in shown
    # as written into the file, rounded to what its doubt is worth
    # friction as damping: 4 F / (pi v), L. S. Jacobsen 1930, from memory
    seals = 4.0 * truck.front.dampers["main"].seal_friction / (pi * 0.1)
    assert seals / (LBF / INCH) == pytest.approx(4 * 6.7 / (pi * 3.94), rel=0.01) == pytest.approx(2.17, rel=0.01)
    assert mean / (LBF / INCH) == pytest.approx(13.35 - 2.17, rel=0.01)
    assert mean == pytest.approx(2338 - seals, rel=0.01)
    assert 0.25 * critical / (2 * front.dampers[0].motion_ratio ** 2) == pytest.approx(2338, rel=0.003)
    for speed in (0.1, 0.26, 0.52):
        cells = row(f"{speed:g} m/s")
        assert show(float(valving.force(speed)), "force") in cells
        assert show(-float(valving.force(-speed)), "force") in cells
    assert pytest.approx(-float(valving.force(-0.1)) / LBF, rel=0.015) == 4 / 3 * 11.19 * 0.1 / INCH


def test_the_winch(truck):
    loaded = cases(truck, [Load("winch", 165 * LB, -30 * INCH, 28 * INCH)])[1]
    shares = {"front": 1 + 30 / 92, "rear": -30 / 92}
    for name, begins in (("front", "front frame goes down"), ("rear", "rear frame comes up")):
        by_hand = abs(165 * LB * G * shares[name] / (2 * 190 * LBF / INCH))
        cells = row(begins).split("|")
        assert show(by_hand, "length") in cells[2]
        assert show(abs(loaded.axles[name].height), "length") in cells[3]
        assert abs(loaded.axles[name].height) == pytest.approx(by_hand, abs=5e-4)
    assert f"{loaded.axles['front'].frequency:.2f} Hz" in PAGE
    said = [part for one in loaded.axles.values() for part in one.verdict.split("; ")]
    assert [one for one in said if "bump" not in one] == [
        "front hop 7.6 Hz: may be slow, as estimated: measure the rate of the tyre, usual 8.0 to 12.0 Hz"
    ]
    assert all("estimated: measure the gap to the stop" in one for one in said if "bump" in one)
    assert "*front hop 7.6 Hz: may be slow, as estimated: measure the rate of the tyre, usual 8.0 to 12.0 Hz*" in PAGE
    assert "*estimated: measure the gap to the stop*" in PAGE


def test_the_coil(truck):
    order = spring_orders(truck.changed({"loads.winch": WINCH}), {"front": 0.0})[0]
    ride, bump = order.then["ride"], order.then["full bump"]
    assert show(ride.force, "force") in row("carries at ride")
    assert show_ordered(order.order, inches=True) in row("free length")
    by_hand = ride.length / INCH + ride.force / LBF / 190
    assert order.order / INCH == pytest.approx(round(16.0 * by_hand) / 16.0, abs=1e-9)
    assert show(order.free, "length") in row("the old one")
    made = coil(ride.force, ride.length, order.rate, 5.2 * INCH, ride.length - bump.length)
    assert show(made.wire, "length") in row("wire, all turns")
    assert f"{made.turns:.2f}" in row("wire, all turns")
    assert f"{made.stress_bump / 1e6:.0f} MPa" in row("stress at full bump")
    assert f"{made.steel}, bears {made.bears / 1e6:.0f} MPa" in row("stress at full bump")
    index = made.across / made.wire
    wahl = (4 * index - 1) / (4 * index - 4) + 0.615 / index
    assert made.stress_bump == pytest.approx(wahl * 8 * bump.force * made.across / (pi * made.wire**3), rel=1e-3)


def test_typed_and_metric_sizes_are_each_other():
    """Both systems of the first lines: 2450 lb and 1111 kg, and so on."""
    for inch, metric in ((2450 * LB, 1111), (1780 * LB, 807), (165 * LB, 75), (92 * INCH, 2.337), (30 * INCH, 0.76)):
        assert inch == pytest.approx(metric, rel=3e-3)
        assert f"{metric:g} " in PAGE


def test_on_the_truck(truck):
    """The readings of the last table: lever rule, tyres and springs in series, and the frame's slope over the wheelbase."""
    text = PAGE.partition("```yaml")[2].partition("```")[0]
    changes = yaml.safe_load(text)["setups"]["winch and coils"]
    vehicle = truck.changed(changes)
    after = after_fitting(vehicle, "winch and coils", {"winch and coils": changes}, fitting_bands)
    with_it = {(one.axle, one.kind): one for one in after.own.readings}
    by_tyres = 165 * (1 + 30 / 92) / 3120
    for kind, begins in ((AXLE, "axle's centre, against before"), (FRAME, "frame from the ground, against before")):
        value = with_it["front", kind].value
        assert show(value, "length") in row(begins)
        assert value / INCH == pytest.approx(-by_tyres, abs=0.01)
    assert f"{by_tyres:.2f} in" in row("axle's centre, against before")
    down, up = (with_it[axle, FRAME].value / INCH for axle in ("front", "rear"))
    assert f"{-down:.2f} in down in front, {up:.2f} in up behind" in row("castor, against before")
    castor = degrees(with_it["front", TURN].value)
    assert f"{castor:.2f} deg" in row("castor, against before")
    assert castor == pytest.approx(degrees((down - up) / 92), abs=0.03)
    onto = 180 * (1 + 17.7 / 92)
    assert onto == pytest.approx(215, abs=0.5)
    pushed = with_it["front", GIVE].value
    assert show(pushed, "length") in row("pushed with 180 lbf")
    assert pushed / INCH == pytest.approx(onto / 335, rel=0.03)
    frequency = with_it["front", FREQUENCY].value
    assert f"{frequency:.2f} Hz" in row("ride frequency | √(335 x 386 / (1907 + 219))")
    assert frequency == pytest.approx(sqrt(335 * 386 / (1907 + 219)) / 2 / pi, rel=0.01)
    (bare,) = (case for case in after.cases if not case.loads)
    frame = next(one for one in bare.readings if (one.axle, one.kind) == ("front", FRAME))
    assert f"the frame would stand {show(frame.value, 'length')} higher" in PAGE
    # as long as the winch presses it: 0.58 in, by the lever rule above
    assert frame.value / INCH == pytest.approx(0.58, abs=0.02)
    own = with_it["front", FRAME]
    assert f"*{1e3 * own.low:.0f} to {1e3 * own.high:.0f} mm*" in PAGE
    parts = parts_list(vehicle, spring_orders(vehicle, {}), [Concluded(fit) for fit in fits(vehicle)], {})
    assert [(part.axle, part.kind, part.count) for part in parts.order] == [("front", "coil", 2)]
    assert parts.order[0].first == "measure its length at ride, end to end, or its free length off the truck"
