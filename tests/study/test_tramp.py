"""Tramp: wind-up followed by its shape, other motions named, and words that say always, never or from where on."""

import pickle
import re
from dataclasses import replace
from math import inf, nan, pi, sqrt
from pathlib import Path

import numpy as np
import pytest
from matplotlib.figure import Figure
from scipy.linalg import eigh

import sim
from sim.describe.files.scenario import load_scenario
from sim.describe.parts.slip import Surface
from sim.errors import RunError
from sim.integrate.status import Flag
from sim.kernel import layout as at
from sim.show.plots.contour_numbers import is_speck
from sim.show.plots.tramp_stability import figure
from sim.show.plots.tramp_told import paragraphs, title, turning
from sim.study.deciding import FINE
from sim.study.mounts import MOVES, Misfit, relaxed
from sim.study.tramp.map import ran, tramp, tramp_map, with_standing
from sim.study.tramp.motions import assurance, kinetic, motions_of, slip_with, slopes_of, steady
from sim.study.tramp.records import Other, Point, Ran, Tramp, TrampMap, in_words

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


# --- words: synthetic maps whose answer is known ------------------------------------------------------


def synthetic(rows, others=(), relaxation="at_once", move="upper", flags=(), left_out=None):
    """A map of given damping ratios of wind-up, and of one other motion by place: (name, ratios, nods)."""
    others = dict(others)
    points = []
    for i, row in enumerate(rows):
        if left_out and i in left_out:
            points.append([])
            continue
        name, ratios, nods = others.get(i, ("rear hop", (0.5,) * len(row), True))
        points.append([
            Point(z, 11.0, 0.1, float(slope), -z, 1.0, (Other(name, ratio, 6.0, -ratio, nods),))
            for z, ratio, slope in zip(row, ratios, SLOPES, strict=True)
        ])  # fmt: skip
    made = {(0, 0): Ran(0.0, 0.0, nan, tuple(flags))} if points[0] else {}
    places = LEANS if move == "upper" else np.linspace(-0.18, 0.18, 5)
    return TrampMap("fitted", "rear", places[: len(rows)], SLOPES, points, made, move, relaxation, left_out or {})


NEVER, ALWAYS, LATE, EARLY = (0.3, 0.2, 0.1), (-0.1, -0.2, -0.3), (0.3, 0.1, -0.1), (0.1, -0.1, -0.3)
MIDDLE, UP_TO = (0.1, -0.1, 0.1), (-0.1, 0.1, 0.2)


def both(rows, **more):
    return Tramp((synthetic(rows, **more), synthetic([NEVER] * 5, move="both")))


def test_each_lean_has_its_word():
    found = synthetic([NEVER, ALWAYS, LATE, MIDDLE, UP_TO])
    assert [found.tramps(i) for i in range(5)] == [
        "never", "always", "as the tyres reach their most grip (slope 0.00)", "while the tyres still grip (slope 0.40), until the tyres reach their most grip (slope 0.00)",
        "until the tyres come near their most grip (slope 0.40)",
    ]  # fmt: skip
    assert [found.onset(i) for i in range(5)] == [-inf, inf, pytest.approx(0.0), pytest.approx(0.4), inf]
    assert [found.first_name(i) for i in range(3)] == ["", "wind-up", "wind-up"]


def test_a_lean_that_never_tramps_is_the_latest_and_one_that_always_does_the_first():
    said = title(both([LATE, ALWAYS, EARLY, NEVER, LATE]))
    assert said.startswith(
        "Tramp starts latest with the dampers leaned 20 deg forward: never; first with them leaned 20 deg back: always"
    )
    said = title(both([LATE, LATE, EARLY, NEVER, LATE]))
    assert "leaned 20 deg forward: never; first with them upright: while the tyres still grip (slope 0.40)" in said
    said = title(both([LATE, ALWAYS, EARLY, LATE, LATE]))
    assert (
        "latest with the dampers leaned 40 deg back: as the tyres reach their most grip (slope 0.00); first with them leaned 20 deg back: always"
        in said
    )
    for rows in ([LATE, ALWAYS, EARLY, NEVER, LATE], [NEVER] * 5, [ALWAYS] * 5):
        every = " ".join([title(both(rows)), *paragraphs(both(rows))])
        assert "inf" not in every
        assert "nan" not in every


def test_the_title_says_first_how_it_is_where_the_dampers_are_now():
    """Five leans from 40 deg back to 40 deg forward: at the second of them the truck has its dampers."""
    rows = [LATE, ALWAYS, EARLY, NEVER, LATE]
    stops = "It stops when the throttle is eased until the tyres slip less than that. "
    for at_, (said, eases) in enumerate(
        (
            ("hops as the tyres reach their most grip (slope 0.00)", stops),
            ("always hops", ""),
            ("hops while the tyres still grip (slope 0.40)", stops),
        )
    ):
        found = replace(synthetic(rows), standing=at_)
        assert title(Tramp((found, synthetic([NEVER] * 5, move="both")))).startswith(
            f"As it stands it {said}: wind-up. {eases}Tramp starts latest with the dampers leaned 20 deg forward: never"
        )
    assert found.words(2) == "upright, as it stands"
    assert found.words(3) == "leaned 20 deg forward"


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


def test_all_or_nothing():
    assert (
        title(both([NEVER] * 5))
        == "With “fitted” no motion grows by itself anywhere on this map: it never hops (tramp)"
    )
    maps = synthetic([ALWAYS] * 5), synthetic([ALWAYS] * 5, move="both")
    assert title(Tramp(maps)) == "With “fitted” it always hops (tramp), wherever on this map the dampers are"


def test_a_small_difference_hardly_matters():
    near = [LATE, (0.3, 0.1, -0.102), LATE, LATE, LATE]
    said = title(Tramp((synthetic(near), synthetic([LATE] * 5, move="both"))))
    assert re.search(r"hops as .* at best, as .* at worst: where the dampers are hardly matters to that", said)
    assert title(both([LATE, LATE, EARLY, LATE, LATE])).endswith(
        ". Where both mounts are hardly matters (its start moves by 0.00 of slope)"
    )


def test_another_motion_that_grows_is_named():
    nodding = both([NEVER] * 5, others={1: ("shaft twist", (0.1, -0.1, -0.2), True)})
    assert "leaned 20 deg back: while the tyres still grip (slope 0.40)" in title(nodding)
    assert nodding.maps[0].first_name(1) == "shaft twist (6.0 Hz), the pinion nods along"
    assert any("shaft twist" in text and "wind-up does not grow by itself" in text for text in paragraphs(nodding))
    apart = both([NEVER] * 5, others={1: ("rear fore-and-aft give", (0.1, -0.1, -0.2), False)})
    assert apart.maps[0].tramps(1) == "never"
    assert apart.maps[0].also(1) == "rear fore-and-aft give (6.0 Hz) while the tyres still grip (slope 0.40)"
    assert any("Rear fore-and-aft give grows too" in text for text in paragraphs(apart))


def test_overlapping_stretches_are_one():
    found = synthetic([EARLY], others={0: ("shaft twist", (0.1, 0.1, -0.1), True)})
    assert found.tramps(0) == "while the tyres still grip (slope 0.40)"
    found = synthetic([UP_TO], others={0: ("shaft twist", (0.1, 0.1, -0.1), True)})
    assert (
        found.tramps(0)
        == "until the tyres come near their most grip (slope 0.40) and as the tyres reach their most grip (slope 0.00)"
    )


def test_the_advice_turns_where_no_place_is_good_both_ways():
    back, forward = [NEVER, NEVER, LATE, EARLY, EARLY], [EARLY, EARLY, LATE, NEVER, NEVER]
    still = synthetic([NEVER] * 5, move="both")
    late = synthetic([NEVER] * 5, move="both", relaxation="after_length")
    turned = Tramp((synthetic(back), still, synthetic(forward, relaxation="after_length"), late))
    assert turned.turns() == ("upper",)
    assert turning(turned).startswith("On your truck the advice turns on how the tyre's grip builds up")
    # Advice that other tyres turn round is no advice without its condition.
    assert title(turned).startswith("If grip follows load at once, tramp starts latest with the dampers leaned ")
    standing = Tramp((replace(synthetic(back), standing=2), *turned.maps[1:]))
    assert title(standing).startswith(
        "If grip follows load at once, as it stands it hops as the tyres reach their most grip (slope 0.00): wind-up. It stops when the throttle is eased until the tyres "
        "slip less than that. Then tramp starts latest with "
    )
    assert any("leaned 20 deg forward: never" in text for text in paragraphs(turned))
    same = Tramp((synthetic(back), still, synthetic(back, relaxation="after_length"), late))
    assert same.turns() == ()
    assert turning(same) == ""
    assert title(same).startswith("Tramp starts latest")


def onsets_at(places, onsets, relaxation):
    """A map on which tramp starts at given slopes: damping falls straight through nothing there."""
    rows = [tuple(0.2 * (slope - onset) for slope in SLOPES) for onset in onsets]
    points = [synthetic([row]).points[0] for row in rows]
    return replace(synthetic(rows[:1], relaxation=relaxation), places=np.asarray(places), points=points, ran={})


def valley(places, centre, depth=0.3, half=0.15):
    """Latest at one place, earlier by so much a little beside it: what a coarse map steps over."""
    return [0.2 - depth * max(0.0, 1.0 - abs(place - centre) / half) for place in places]


def test_a_valley_between_two_places_counts_however_few_are_mapped():
    """Each way its own valley, narrow and apart: no place is good both ways. Three places miss both, and would say that all are alike."""
    fine = np.linspace(-0.6, 0.6, FINE)
    asked = np.linspace(-0.6, 0.6, 3)
    both_ways = (("at_once", -0.3), ("after_length", 0.3))
    coarse, decided = (
        [onsets_at(places, valley(places, centre), way) for way, centre in both_ways] for places in (asked, fine)
    )
    assert Tramp(tuple(coarse)).turns() == ()
    turned = Tramp(tuple(coarse), tuple(decided))
    assert turned.turns() == ("upper",)
    assert not turned.close()


def test_what_half_of_the_places_would_decide_otherwise_is_too_close_to_call():
    """A valley as wide as one place of FINE is seen by all of them and by none of every second one."""
    fine = np.linspace(-0.6, 0.6, FINE)
    narrow = [
        onsets_at(fine, valley(fine, fine[at], half=0.06), way) for at, way in ((3, "at_once"), (11, "after_length"))
    ]
    found = Tramp(tuple(one.only(range(0, FINE, 4)) for one in narrow), tuple(narrow))
    assert found.turns() == ("upper",)
    assert found.close()
    assert "too close to call" in turning(found)


@pytest.mark.long
def test_whether_the_advice_turns_does_not_hang_on_how_many_places_are_mapped(monkeypatch):
    """Of the demo it does turn, by seventeen places; five alone would step over the best of them and say that it does not."""
    monkeypatch.setattr("sim.study.tramp.map._confirmed", lambda *given: {})
    scenario = load_scenario(ROOT / "scenarios" / "lean_against_wind_up.yaml")
    vehicle = next(one for one in scenario.setups.values() if one.rear.dampers)
    surface = scenario.run.pulls_away_on
    slopes = np.linspace(0.6, 0.55 * slopes_of(surface, vehicle, "rear")[0], 9)
    said = {}
    for steps in (3, 5, 9):
        leans, ahead = (np.linspace(-end, end, steps) for end in (np.pi / 4, 0.18))
        found = tramp("two", vehicle, "rear", surface, leans, ahead, slopes)
        assert [len(one.points) for one in found.maps] == [len(one.places) for one in found.maps]
        assert abs(len(found.maps[0].points) - steps) <= 1
        said[steps] = (found.turns(), turning(found))
    assert said[3] == said[5] == said[9]
    assert said[5][0] == ("both",)


@pytest.mark.long
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


def test_what_is_flagged_or_left_out_is_on_the_page():
    flag = Flag("damper_end", 1.0, "front damper 'main'", "front damper 'main' hit its end.")
    found = both(
        [LATE, LATE, EARLY, NEVER, LATE], flags=(flag,), left_out={4: Misfit("rear damper 'main' is too short.", 0.004)}
    )
    assert found.maps[0].flags == (flag,)
    page = " ".join(text.get_text() for text in figure(found).texts)
    assert "FLAGGED" in page
    assert "hit its end" in page
    assert "is too short" in page
    assert "that run is flagged" in page
    assert np.isnan(found.maps[0].onset(4))


def lines_of(values):
    """The lines at 0.2 on a grid (m, n) of whole numbers, as the drawing library has them."""
    pieces = Figure().subplots().contour(values, levels=[0.2]).allsegs[0]
    return [is_speck(piece, *(np.arange(float(size)) for size in values.shape[::-1])) for piece in pieces]


def test_a_line_around_one_point_alone_is_a_speck():
    """At the side of the map too; around three, across a corner or the whole map it is none."""
    flat = np.full((6, 7), 0.1)
    one, edge, three, corner = (flat.copy() for _ in range(4))
    one[2, 3] = edge[0, 3] = three[2, 3] = three[2, 4] = three[2, 5] = corner[0, 0] = 0.3
    assert lines_of(one) == lines_of(0.4 - one) == lines_of(edge) == lines_of(edge.T) == [True]
    assert lines_of(three) == lines_of(corner) == [False]
    assert lines_of(np.tile(np.linspace(0.0, 0.4, 7), (6, 1))) == [False]


def test_a_map_with_a_speck_is_drawn_without_its_line():
    rows = np.full((5, len(SLOPES)), 0.15)
    rows[0], rows[2, 1] = 0.05, 0.25
    maps = tuple(synthetic([tuple(row) for row in rows], move=move) for move in ("upper", "both"))
    drawn = {
        level
        for panel in figure(Tramp(maps)).axes
        for contours in panel.collections
        for level, pieces in zip(getattr(contours, "levels", ()), getattr(contours, "allsegs", ()), strict=True)
        if any(len(piece) for piece in pieces)
    }
    assert drawn == {0.1}


def test_of_what_was_hardly_tried_nobody_says_that_it_hardly_matters():
    """Four of five places of both mounts do not fit: that it changes nothing at the one that does says nothing of the others."""
    gone = {i: Misfit("rear damper 'main' is solid 9.0 mm before its bump stop.", 0.001 * (5 + i)) for i in range(4)}
    both_ = synthetic([LATE] * 5, move="both", left_out=gone)
    for upper in ([LATE] * 5, [LATE, LATE, EARLY, LATE, LATE]):
        for standing in (None, 0):
            found = Tramp((replace(synthetic(upper), standing=standing), both_))
            said = title(found)
            assert "both mounts not tried, 4 of 5 places do not fit" in said.replace("Both", "both")
            assert "where both mounts are hardly matters" not in " ".join([said, *paragraphs(found)]).lower()
            assert "where the dampers are hardly matters" not in said.lower()
    assert any("4 of 5 places do not fit. At worst rear damper" in text for text in paragraphs(found))
    known = Tramp((synthetic([LATE] * 5), synthetic([LATE] * 5, move="both", left_out={0: gone[0]})))
    assert "where the dampers are hardly matters" in title(known)


def test_a_place_that_an_estimate_alone_leaves_out_is_mapped_and_says_what_to_measure():
    unsure = {
        0: Misfit("rear damper 'main' is solid 3.0 mm before its bump stop.", 0.003, ("the height of the bump stop",))
    }
    maps = synthetic([LATE] * 5), synthetic([LATE] * 5, move="both")
    found = Tramp(tuple(replace(one, unsure=unsure, standing=0) for one in maps))
    assert title(found).startswith(
        "As it stands a damper does not fit, as far as it is estimated, by 3.0 mm (0.12 in): measure the height of the bump stop first. "
        "As it stands it hops "
    )
    page = figure(found)
    assert "a damper would not fit there, by an estimate" in " ".join(text.get_text() for text in page.texts)
    # Dots in both maps, and a sample of them in the key.
    dotted = [axes for axes in page.axes if any(patch.get_hatch() == ".." for patch in axes.collections)]
    assert len(dotted) == 3
