"""Lengths of dampers over the travel: closed forms of plain places, margins, and what is said when they do not fit."""

from math import cos, degrees, hypot, radians, sin

import numpy as np
import pytest

from sim.describe.estimates.estimate import Estimate
from sim.describe.files.scenario import load
from sim.describe.parts.dampers.laws import Table
from sim.describe.parts.vehicle import Vehicle
from sim.integrate.damper_room import WIND_UP
from sim.integrate.simulation import simulate
from sim.show.report.sheet import TEST_SPEEDS, write_forces
from sim.study.fit import fits
from tests.published.textbook import HEIGHT, car

STOP = {"gap": "80 mm", "squeeze": "30 mm", "rate_first": "50 N/mm", "rate_full": "500 N/mm"}


def one(body, axle, lean="0 m", guide=None, collapsed="300 mm", extended="700 mm"):
    plain = car(1200.0, 1800.0, 1.05, 1.05, 34e3, 34e3, unsprung=(60.0, 60.0), tyre_rates=(3e5, 3e5))
    return plain.changed(
        {
            "front.guide": guide or {"kind": "straight"},
            "front.stop": STOP,
            "front.dampers": {
                "main": {
                    "valving": {"kind": "straight", "compression": "1 kN s/m", "rebound": "2 kN s/m"}, "lean_inward": lean,
                    "body": {"behind_front_axle": body[0], "above_ground": body[1]},
                    "axle": {"ahead": axle[0], "above": axle[1]},
                    "length_collapsed": collapsed, "length_extended": extended,
                }
            },
        }
    )  # fmt: skip


def test_upright_over_the_axle():
    """Straight up: it shortens by the jounce itself, ratio 1, no lean."""
    fit = fits(one(("0 m", f"{HEIGHT + 0.5} m"), ("0 m", "0 m")))[0]
    ride = fit.places["ride"]
    assert ride.length == pytest.approx(0.5, abs=1e-6)
    assert ride.motion_ratio == pytest.approx(1.0, abs=1e-9)
    assert (ride.lean_side, ride.lean_behind) == pytest.approx((0.0, 0.0), abs=1e-9)
    assert fit.places["bump stop squeezed"].length == pytest.approx(0.5 - 0.11, abs=1e-6)
    assert fit.margin_in == pytest.approx(0.39 - 0.3, abs=1e-6)
    assert not fit.problems
    assert any("there is no strap" in note for note in fit.notes)


HANGS = 660.0 * 9.80665 / 34e3
"""Drop [m] at which springs of 34 N/mm, held both ways, have let go 600 kg of body and carry 60 kg of axle."""


def test_without_a_strap_held_springs_let_it_hang():
    """The damper is judged where the axle hangs: 0.5 m and the drop, by weight over rate."""
    place = (("0 m", f"{HEIGHT + 0.5} m"), ("0 m", "0 m"))
    fit = fits(one(*place))[0]
    assert (fit.droop.place, fit.droop.held) == ("hanging on its springs", True)
    assert fit.droop.jounce == pytest.approx(-HANGS, abs=1e-6)
    assert fit.margin_out == pytest.approx(0.7 - 0.5 - HANGS, abs=1e-6)
    assert fit.verdict == "fits"
    short = fits(one(*place, extended="680 mm"))[0]
    assert short.verdict == "does not fit"
    assert any(f"fully out {(HANGS + 0.5 - 0.68) * 1e3:.1f} mm" in text for text in short.problems)


def test_without_a_strap_a_loose_coil_leaves_the_axle_to_the_damper():
    """Past its free length, 600 g/k below the measured height, nothing but the damper holds 60 kg of axle."""
    loose = {"front.springs.coil.held_both_ways": False}
    fit = fits(one(("0 m", f"{HEIGHT + 0.5} m"), ("0 m", "0 m")).changed(loose))[0]
    assert (fit.droop.place, fit.droop.held) == ("coil at its free length", False)
    assert fit.droop.jounce == pytest.approx(-600.0 * 9.80665 / 34e3, abs=1e-6)
    # A damper that is long enough lacks the strap alone: upright it is as much longer there as the coil gives, 0.5 m and the drop.
    free = 600.0 * 9.80665 / 34e3
    assert fit.verdict.startswith(f"fits, with a limit strap taut where the damper is {(0.5 + free) * 1e3:.1f} mm")
    assert f"leaves {free * 1e3:.1f} mm" in fit.strap
    assert not fit.problems
    assert any(f"{60 * 9.80665:.0f} N" in text and "Fit a limit strap" in text for text in fit.notes)
    # Too short for the coil's free length it may stay too: the strap is then taut half an inch before the damper's own end.
    short = fits(one(("0 m", f"{HEIGHT + 0.5} m"), ("0 m", "0 m"), extended="0.66 m").changed(loose))[0]
    assert short.margin_out == pytest.approx(0.66 - 0.5 - free, abs=1e-6)
    assert short.verdict.startswith("fits, with a limit strap taut where the damper is 647.3 mm")
    assert "leaves 147.3 mm" in short.strap
    # With hardly any droop left a strap is no cure: 0.54 less half an inch is 27 mm below ride.
    none = fits(one(("0 m", f"{HEIGHT + 0.5} m"), ("0 m", "0 m"), extended="0.54 m").changed(loose))[0]
    assert none.verdict == "does not fit"
    assert not none.strap


@pytest.mark.parametrize(
    ("change", "asked"),
    [
        ({"front.stop": "none"}, "not known: give a bump stop"),
        ({"front.dampers.main.length_extended": "none"}, "not known: give length_extended"),
        ({"front.springs.coil.rate": "8 N/mm"}, "not known: give a limit strap"),
    ],
)
def test_fits_is_not_said_where_it_is_not_known(change, asked):
    """The last: a spring so soft that it lets the axle hang 0.8 m down, past what is computed of its guide."""
    truck = one(("0 m", f"{HEIGHT + 0.5} m"), ("0 m", "0 m"))
    if "front.springs.coil.rate" in change:
        change = change | {"front.springs.coil.free_length": f"{1 + 600 * 9.80665 / 8e3!r} m"}
    assert fits(truck.changed(change))[0].verdict == asked


def test_leans_by_trigonometry():
    """30 deg back in side view, 20 deg from behind: angles of the line itself, ratio the cosine between line and travel."""
    side, behind, length = radians(30.0), radians(20.0), 0.6
    flat = length * cos(behind)
    body = f"{flat * sin(side)!r} m", f"{HEIGHT + flat * cos(side)!r} m"
    ride = fits(one(body, ("0 m", "0 m"), f"{length * sin(behind)!r} m"))[0].places["ride"]
    assert degrees(ride.lean_side) == pytest.approx(-30.0, abs=1e-4)
    assert degrees(ride.lean_behind) == pytest.approx(20.0, abs=1e-4)
    assert ride.motion_ratio == pytest.approx(cos(side) * cos(behind), abs=1e-6)


def test_wind_up_takes_length():
    """A mount d ahead of the axle's centre under an upright damper rises and falls by about d sin(5 deg) as the housing winds up."""
    d = 0.2
    guide = {"kind": "straight", "wind_up": {"rate": "20 kN m/rad"}}
    fit = fits(one((f"{-d} m", f"{HEIGHT + 0.5} m"), (f"{d} m", "0 m"), guide=guide))[0]
    up, back = d * sin(WIND_UP), d * (1 - cos(WIND_UP))
    wanted = hypot(0.5 - 0.11 - up, back)
    assert fit.places["bump stop squeezed"].length == pytest.approx(wanted, abs=1e-6)
    assert fit.places["ride"].length == pytest.approx(0.5, abs=1e-6)


def test_a_room_that_counts_on_wind_up_says_so():
    """At rest there is more room: who reads another figure beside this one must see why. A housing that is held has no such words."""
    guide = {"kind": "straight", "wind_up": {"rate": "20 kN m/rad"}}
    wound = one(("0 m", f"{HEIGHT + 0.5} m"), ("0.1 m", "0 m"), extended="0.52 m", collapsed="0.36 m").changed(
        {"front.guide": guide}
    )
    held = one(("0 m", f"{HEIGHT + 0.5} m"), ("0.1 m", "0 m"), extended="0.52 m", collapsed="0.36 m")
    for vehicle, says in ((wound, True), (held, False)):
        (fit,) = [fit for fit in fits(vehicle) if fit.axle == "front"]
        assert fit.problems
        assert fit.winds_up is says
        assert any("wound up by 5 deg" in text for text in fit.problems) is says


@pytest.mark.parametrize(
    ("collapsed", "extended", "words"),
    [
        ("395 mm", "700 mm", "solid 5.0 mm (0.20 in) before its bump stop is fully squeezed"),
        ("385 mm", "700 mm", "5.0 mm (0.20 in) from the squeezed bump stop"),
    ],
)
def test_too_long_collapsed_is_said(collapsed, extended, words):
    fit = fits(one(("0 m", f"{HEIGHT + 0.5} m"), ("0 m", "0 m"), collapsed=collapsed, extended=extended))[0]
    assert any(words in text for text in (*fit.problems, *fit.notes))


def test_what_its_doubt_may_turn_round_is_said_as_may_and_what_to_measure(monkeypatch):
    """Upright, solid 5 mm before the stop is squeezed: 30 mm of squeeze, 12 mm more or less, leave open that it fits; 3 mm do not."""

    def found(half):
        truck = one(("0 m", f"{HEIGHT + 0.8} m"), ("0 m", "0 m"), collapsed="695 mm", extended="1.1 m")
        part = Estimate(
            "front.stop.squeeze", "squeeze", "length", 0.03, half, "about 30 mm", "a usual stop", "", "common practice, no source", "stops-and-straps.md"
        )  # fmt: skip
        monkeypatch.setattr(Vehicle, "estimates", property(lambda _: (part,) if half else ()))
        return fits(truck)[0]

    may = found(0.012)
    assert may.in_doubt == ("collapsed",)
    assert may.verdict == "may not fit, as far as it is estimated: measure the height of the bump stop"
    assert "by 5.0 mm (0.20 in), 12.0 mm (0.47 in) more or less. If it is, it becomes the bump stop" in may.problems[0]
    # 5 mm and half an inch.
    assert "fit a damper at least 17.7 mm" in may.problems[0]
    for half in (0.003, 0.0):
        fact = found(half)
        assert (fact.in_doubt, fact.verdict) == ((), "does not fit")
        assert (
            "is solid 5.0 mm (0.20 in) before its bump stop is fully squeezed: it becomes the bump stop"
            in fact.problems[0]
        )


def test_too_short_extended_becomes_the_strap():
    truck = load("scenarios/two_or_four.yaml").vehicle.changed({"front.dampers.main.length_extended": "660 mm"})
    front, rear = fits(truck)
    assert "becomes the limit strap" in front.problems[0]
    assert "shorter limit strap" in front.problems[0]
    assert not rear.problems


def test_a_damper_that_swings_past_its_own_normal_is_longest_in_between():
    """Leaned along the travel, a mount that passes the foot of the normal: the least length is d itself, not that of either end."""
    d = 0.35  # level distance between the mounts; the axle's mount passes the body's on its way up
    fit = fits(one((f"{d} m", f"{HEIGHT + 0.05} m"), ("0 m", "0 m"), collapsed="200 mm"))[0]
    assert fit.places["bump stop squeezed"].length > d
    assert fit.margin_in == pytest.approx(d - 0.2, abs=2e-5)


def test_free_oil_leans_too_far_somewhere():
    """44.9 deg at ride is let pass; over the travel it leans further, which is said with the cure."""
    place = (("0.34 m", f"{HEIGHT + 0.345} m"), ("0 m", "0 m"))
    fit = fits(one(*place, collapsed="200 mm").changed({"front.dampers.main.construction": "twin_tube"}))[0]
    assert any("takes in its gas past 45 deg. Stand it up, or fit one with a gas cell" in text for text in fit.problems)
    cell = fits(one(*place, collapsed="200 mm").changed({"front.dampers.main.construction": "gas_cell"}))[0]
    assert not cell.problems


def test_demo_truck_fits_in_every_scenario():
    for name in ("two_or_four", "empty_or_loaded", "body_up_or_down"):
        for vehicle in load(f"scenarios/{name}.yaml").setups.values():
            assert not [problem for fit in fits(vehicle) for problem in fit.problems]


def test_fitted_sheet_read_back_as_a_measured_damper_gives_the_run_it_came_from(tmp_path):
    """The forces that the sheet writes for the builder, read as a machine's file: the same run within what a table is lowered to."""
    scenario = load("scenarios/two_or_four.yaml")
    truck = scenario.setups["two front"]
    read = {}
    for name, axle in truck.axles:
        write_forces(axle.dampers["main"].valving, tmp_path / f"{name}.csv")
        read[f"{name}.dampers.main.valving"] = {"kind": "measured", "file": str(tmp_path / f"{name}.csv")}
    back = truck.changed(read)
    speeds = np.linspace(-2.5, 2.5, 501)
    for name, axle in truck.axles:
        law, found = axle.dampers["main"].valving, dict(back.axles)[name].dampers["main"].valving
        assert found.force(speeds) == pytest.approx(law.force(speeds), abs=2e-3 * np.max(np.abs(law.force(speeds))))
        assert found.reduced.words[-1].startswith("no point at rest")
    one_, other = simulate(truck, scenario.run), simulate(back, scenario.run)
    for name in ("front", "rear"):
        first, second = dict(one_.axles)[name], dict(other.axles)[name]
        assert np.max(np.abs(first.jounce_m - second.jounce_m)) < 5e-3 * np.ptp(first.jounce_m)
        assert np.max(second.tyre_load_n) == pytest.approx(np.max(first.tyre_load_n), rel=3e-3)


def test_sheet_read_back_as_a_damper_gives_the_run_it_came_from():
    """The forces at the sheet's test speeds, as a table, over the hut track: as the law they were read from, where it holds knees."""
    scenario = load("scenarios/two_or_four.yaml")
    truck = scenario.setups["two front"]
    read = {}
    for name, axle in truck.axles:
        law = axle.dampers["main"].valving
        speeds = np.array([*TEST_SPEEDS, 1.5, 2.5])
        read[f"{name}.dampers.main.valving"] = {
            "kind": "table",
            "compression": [{"speed": f"{v} m/s", "force": f"{float(law.force(v))!r} N"} for v in speeds],
            "rebound": [{"speed": f"{v} m/s", "force": f"{float(-law.force(-v))!r} N"} for v in speeds],
        }
        assert isinstance(Table.model_validate(read[f"{name}.dampers.main.valving"]), Table)
    one_, other = simulate(truck, scenario.run), simulate(truck.changed(read), scenario.run)
    for axle in ("front", "rear"):
        first, second = dict(one_.axles)[axle], dict(other.axles)[axle]
        assert np.max(second.tyre_load_n) == pytest.approx(np.max(first.tyre_load_n), rel=0.01)
        assert np.max(np.abs(first.jounce_m - second.jounce_m)) < 0.03 * np.ptp(first.jounce_m)
