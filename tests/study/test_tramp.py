"""Tramp: wind-up followed by its shape, other motions named, runs that confirm a map, maps that hang on nobody's grid."""

import pickle
from math import pi, sqrt
from pathlib import Path

import numpy as np
import pytest
from scipy.linalg import eigh

import sim
from sim.describe.files.scenario import load_scenario
from sim.describe.parts.slip import Surface
from sim.errors import RunError
from sim.integrate.line_lengths import line_length
from sim.kernel import layout as at
from sim.linear.standing import stand
from sim.lower.lowering import lower
from sim.lower.rest import rest
from sim.show.plots.tramp_told import turning
from sim.study.mounts import MOVES, relaxed
from sim.study.tramp.map import ran, tramp, tramp_map, with_standing
from sim.study.tramp.motions import assurance, kinetic, motions_of, slip_with, slopes_of, steady
from sim.study.tramp.records import Ran, in_words

ROOT = Path(__file__).parents[2]
ROCK = Surface.model_validate({"name": "firm rock", "friction": 0.85, "sliding": 0.62, "peak_at": "13 %"})
SLOPES = np.array([0.6, 0.2, -0.2])
LEANS = np.radians([-40.0, -20.0, 0.0, 20.0, 40.0])


@pytest.fixture(scope="module")
def truck():
    return sim.load(ROOT / "scenarios" / "vehicles" / "hut_supply_truck.yaml")


# --- shapes ----------------------------------------------------------------------------------------


def test_assurance_is_none_between_motions_that_are_orthogonal_by_mass():
    """Modes of K, M are orthogonal by M (textbook; eigenvectors from scipy.linalg.eigh), whatever their sizes and phases."""
    rng = np.random.default_rng(7)
    root = rng.normal(size=(5, 5))
    mass, stiffness = root @ root.T + np.eye(5), np.diag(rng.uniform(1.0, 9.0, 5))
    _, shapes = eigh(stiffness, mass)
    turned = shapes.T.astype(complex) * (3.0 - 4.0j)
    for i in range(5):
        for j in range(5):
            assert assurance(turned[i], shapes[:, j].astype(complex), mass) == pytest.approx(float(i == j), abs=1e-12)


def test_kinetic_energy_is_that_of_the_parts(truck):
    """Rising as a whole: all of its mass; turning a wheel or the engine: their inertia; a housing about its centre of gravity."""
    found = steady(truck, "rear", ROCK, slip_with(ROCK, truck, "rear", 0.2))
    own = found.own
    rows = [at.COORDINATES + at.Z, at.SPIN + 1, at.ENGINE, at.COORDINATES + at.WIND_UP + 2]
    mass = kinetic(own, found.state, rows)
    axle = own.setup.axles["rear"]
    whole = own.setup.body.mass + sum(each.mass for each in own.setup.axles.values())
    about_centre = axle.pitch_inertia + axle.mass * (axle.gravity_forward**2 + axle.gravity_up**2)
    assert np.diag(mass) == pytest.approx([whole, 2 * 2.1, 0.28, about_centre], rel=1e-6)
    assert mass[1, 2] == pytest.approx(0.0, abs=1e-6)
    assert mass == pytest.approx(mass.T)


def test_the_map_follows_wind_up_and_not_what_is_least_damped(truck):
    """The axle's fore-and-aft give near 17.6 Hz is damped less than wind-up where the tyres grip; it is told apart, by its name."""
    found = tramp_map("as fitted", truck, "rear", ROCK, np.radians([0.0, 20.0]), SLOPES)
    for row in found.points:
        for point in row:
            assert 9.0 < point.frequency_hz < 14.0  # the housing on its leaves and shafts, and no other motion's
            assert point.alike > 0.8
    grip = found.points[1][0]
    assert grip.others[0].damping_ratio < grip.damping_ratio
    assert "fore-and-aft give" in grip.others[0].name
    assert 16.0 < grip.others[0].frequency_hz < 19.0
    past = found.points[1][2].others[0]
    assert past.name == "shaft twist"
    assert past.damping_ratio < 0.0
    assert past.nods


def test_following_does_not_depend_on_the_grid(truck):
    """Wind-up at one point, come to over three slopes or over nine."""
    coarse, fine = (
        tramp_map("as fitted", truck, "rear", ROCK, np.radians([20.0, 25.0]), np.linspace(0.6, -0.2, n)) for n in (3, 9)
    )
    assert coarse.damping[0, -1] == pytest.approx(fine.damping[0, -1], abs=1e-6)


def test_rigid_wind_up_is_a_stiff_spring(truck):
    """f = root((k + shafts)/I)/2 pi (closed form, one mass on two springs); too quick to feel the tyres, so it never grows."""
    rate = 2e6
    stiff = truck.changed({"rear.guide.wind_up.rate": f"{rate} N m/rad"})
    found = tramp_map("stiff", stiff, "rear", ROCK, np.radians([-30.0, 0.0, 30.0]), SLOPES)
    inertia = 8.5 + 2 * 0.9 * (0.06**2 + 0.04**2)
    for i in range(3):
        assert found.points[i][0].frequency_hz == pytest.approx(sqrt((rate + 11e3) / inertia) / 2.0 / pi, rel=0.02)
        assert in_words(found.stretches(found.damping[i])) == "never"


def test_a_housing_that_is_held_is_refused(truck):
    held = truck.changed({"rear.guide.wind_up.rate": "rigid"})
    with pytest.raises(RunError, match="nothing to map"):
        tramp_map("held", held, "rear", ROCK, np.radians([0.0, 20.0]), SLOPES)


@pytest.mark.parametrize(("relaxation", "better"), [("at_once", -0.06), ("after_length", 0.18)])
def test_which_side_is_better_turns_on_how_grip_follows_load(truck, relaxation, better):
    """On the demo truck: behind the axle where grip follows load at once, ahead where it does so after its length.

    That the side turns with the delay follows from the phase of load against wind-up, no published value.
    """
    vehicle = relaxed(truck, relaxation)
    growth = {}
    for ahead in (better, -3.0 * better if better < 0.0 else -better):
        moved = MOVES["both"].of(vehicle, "rear", ahead)
        values = [m.value.real for m in motions_of(steady(moved, "rear", ROCK, slip_with(ROCK, moved, "rear", -0.1))).all
                  if m.value.imag > 10.0]  # fmt: skip
        growth[ahead] = max(values)
    assert min(growth, key=lambda ahead: growth[ahead]) == better


def test_a_run_says_how_fast_it_swings_and_is_flagged(truck):
    """Just past the line it swings with the frequency of the motion that grows there; a damper too short is flagged."""
    found = tramp_map("as fitted", truck, "rear", ROCK, np.radians([20.0, 25.0]), np.array([0.3, 0.1, -0.1, -0.2]))
    past = ran(truck, "rear", ROCK, -0.1)
    assert past.tramps
    assert past.flags == ()
    assert past.frequency_hz == pytest.approx(found.points[0][2].others[0].frequency_hz, rel=0.1)
    ride = 0.60
    short = truck.changed(
        {"front.dampers.main.length_extended": f"{ride} m", "front.dampers.main.length_collapsed": "0.3 m"}
    )
    flags = ran(short, "rear", ROCK, -0.2).flags
    assert "damper_end" in {flag.kind for flag in flags}


def test_a_truck_that_its_pull_presses_onto_its_stops_is_not_told_to_take_load_off(truck):
    """At rest it has 2 mm left: under full pull the rear goes down by more. One that stands on its stops by its load is told so."""
    left = stand(truck).axles["rear"].travel_left_up
    near = truck.changed({"rear.stop.gap": f"{truck.rear.stop.gap - left + 0.002} m"})
    cargo = {"mass": "200 kg", "place": {"behind_front_axle": f"{truck.wheelbase} m", "above_ground": "1 m"}}
    on = near.changed({"loads.more": cargo})
    (pressed,) = (flag for flag in ran(near, "rear", ROCK, -0.1).flags if flag.kind == "on_stops")
    assert pressed.words == "rear axle, pulling, stands on its bump stops"
    assert "at rest it has 2.0 mm (0.08 in) left there" in pressed.sentence
    assert "load off" not in pressed.sentence
    (stands,) = (flag for flag in ran(on, "rear", ROCK, -0.1).flags if flag.kind == "on_stops")
    assert "Take load off" in stands.sentence


def test_dampers_that_fit_nowhere_are_told_why_where_they_stand_and_what_to_do(truck):
    """Rear dampers that are solid long before the stop is squeezed, wherever they are mounted."""
    ride = stand(truck).axles["rear"].dampers[0].length
    solid = truck.changed(
        {
            "rear.dampers.main.length_collapsed": f"{ride - 0.01} m",
            "rear.dampers.main.length_extended": f"{ride + 0.3} m",
        }
    )
    places, standing = with_standing(solid, "rear", "both", np.linspace(-0.1, 0.1, 3))
    with pytest.raises(RunError) as told:
        tramp_map("as it is", solid, "rear", ROCK, places, np.array([0.1, -0.1]), "both", "at_once", standing=standing)
    said = str(told.value)
    assert said.startswith(
        "With “as it is” the dampers fit at no place that was to be tried (both mounts): as it stands, rear damper 'main' is solid "
    )
    assert "jounce check" in said
    assert "of the both" not in said


def test_straps_that_the_pull_alone_makes_taut_are_no_fault(truck):
    """At rest the front has 2 mm of droop left: a pull of the rear axle lifts the nose by more. Straps that are taut at rest are one."""
    own = lower(truck)
    (strap,) = (line for line in own.lines if line.axle == "front" and line.role == "strap")
    apart = line_length(own, strap, float(rest(own).state[at.JOUNCE]))
    near = truck.changed({"front.strap.length": f"{apart + 0.002} m"})
    assert stand(near).axles["front"].travel_left_down > 0.0
    assert "on_straps" not in {flag.kind for flag in ran(near, "rear", ROCK, -0.1).flags}
    short = truck.changed({"front.strap.length": f"{apart - 0.02} m"})
    assert "on_straps" in {flag.kind for flag in ran(short, "rear", ROCK, -0.1).flags}


def test_where_the_dampers_are_now_is_a_place_of_its_own(truck):
    """The hut truck's file leans them by atan(ahead / rise), and has its lower mounts so far ahead of the axle."""
    damper = truck.rear.dampers["main"]
    for move, wanted in (("upper", MOVES["upper"].stands(truck, "rear", "main")), ("both", damper.axle.ahead)):
        places, at_ = with_standing(truck, "rear", move, np.linspace(-0.6, 0.6, 3))
        assert places.tolist() == sorted(places)
        assert len(places) == 4
        assert places[at_] == pytest.approx(wanted, abs=1e-4)
    assert with_standing(truck, "rear", "both", np.array([0.5, 0.6]))[1] is None
    grid = np.array([-0.1, round(damper.axle.ahead, 4), 0.4])
    same, at_ = with_standing(truck, "rear", "both", grid)
    assert (same.tolist(), at_) == (grid.tolist(), 1)


@pytest.mark.hours  # a third of a minute
def test_whether_the_advice_turns_does_not_hang_on_how_many_places_are_mapped(monkeypatch):
    """Of the demo it does turn, by seventeen places; five alone would step over the best of them and say that it does not."""
    monkeypatch.setattr("sim.study.tramp.map._confirmed", lambda *given: {})
    scenario = load_scenario(ROOT / "scenarios" / "lean_against_wind_up.yaml")
    vehicle = next(one for one in scenario.setups.values() if one.rear.dampers)
    surface = scenario.run.pulls_away_on
    slopes = np.linspace(0.6, 0.55 * slopes_of(surface, vehicle, "rear")[0], 9)
    said = {}
    for steps in (3, 6):
        leans, ahead = (np.linspace(-end, end, steps) for end in (np.pi / 4, 0.18))
        found = tramp("two", vehicle, "rear", surface, leans, ahead, slopes)
        assert [len(one.points) for one in found.maps] == [len(one.places) for one in found.maps]
        assert abs(len(found.maps[0].points) - steps) <= 1
        said[steps] = (found.turns(), turning(found))
    assert said[3] == said[6]
    assert said[3][0] == ("both",)


@pytest.mark.hours
def test_whoever_shares_out_the_work_changes_nothing(monkeypatch):
    """Each map by itself, then the runs that confirm each, in any order and anywhere: here from the last on, and through a copy of their bytes."""
    monkeypatch.setattr("sim.study.tramp.map.ran", lambda setup, axle, surface, slope: Ran(0.01, 0.02, slope, ()))
    scenario = load_scenario(ROOT / "scenarios" / "lean_against_wind_up.yaml")
    vehicle, surface = scenario.setups["upright"], scenario.run.pulls_away_on
    steepest, _ = slopes_of(surface, vehicle, "rear")
    given = (
        "upright",
        vehicle,
        "rear",
        surface,
        np.radians([-30.0, 0.0, 30.0]),
        np.array([-0.1, 0.0, 0.1]),
        np.linspace(0.6, 0.55 * steepest, 3),
    )
    asked = []

    def from_the_last(pieces):
        asked.append(len(pieces))
        return [pickle.loads(pickle.dumps(piece())) for piece in reversed(pieces)][::-1]

    one, other = tramp(*given), tramp(*given, each=from_the_last)
    assert asked == [4, 4]
    for first, second in zip((*one.maps, *one.fine), (*other.maps, *other.fine), strict=True):
        np.testing.assert_array_equal(first.damping, second.damping)
        assert first.ran == second.ran
    assert all(mapped.ran for mapped in other.maps)
