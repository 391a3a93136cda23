"""What is said of maps of tramp: always, never or from where on, what turns the advice, what was left out; on maps whose answer is known."""

import re
from dataclasses import replace
from math import inf, nan

import numpy as np
import pytest
from matplotlib.figure import Figure

from sim.integrate.status import Flag
from sim.show.plots.contour_numbers import is_speck
from sim.show.plots.page import TITLE
from sim.show.plots.tramp_stability import figure
from sim.show.plots.tramp_told import held, in_picture, paragraphs, title, turning
from sim.study.deciding import FINE
from sim.study.mounts import Misfit
from sim.study.tramp.records import Other, Point, Ran, Tramp, TrampMap

SLOPES = np.array([0.6, 0.2, -0.2])
LEANS = np.radians([-40.0, -20.0, 0.0, 20.0, 40.0])


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
        "Tramp starts latest with the dampers leaned 20 deg forward: never; it starts first with the dampers leaned 20 deg back: always"
    )
    said = title(both([LATE, LATE, EARLY, NEVER, LATE]))
    assert (
        "leaned 20 deg forward: never; it starts first with the dampers upright: while the tyres still grip (slope 0.40)"
        in said
    )
    said = title(both([LATE, ALWAYS, EARLY, LATE, LATE]))
    assert (
        "latest with the dampers leaned 40 deg back: as the tyres reach their most grip (slope 0.00); it starts first with the dampers leaned 20 deg back: always"
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
    # The title must not say that nothing grows while the table names what does.
    assert title(apart) == (
        "With “fitted” the axle never hops (tramp) anywhere on this map; rear fore-and-aft give grows by itself in places, without the pinion"
    )


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
    assert turning(turned).startswith("On your truck the advice depends on how the tyre's grip builds up")
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


def test_the_picture_has_its_finding_in_three_lines_and_the_rest_beneath():
    """How it is as it stands comes first; what the driver can do, and which motion it is, if there is no room, beneath it."""
    for rows in (
        [LATE, ALWAYS, EARLY, NEVER, LATE],
        [LATE, LATE, EARLY, LATE, LATE],
        [NEVER] * 5,
        [EARLY, MIDDLE, UP_TO, LATE, LATE],
    ):
        for standing in (None, 0, 2):
            found = Tramp((replace(synthetic(rows), standing=standing), synthetic([NEVER] * 5, move="both")))
            page = figure(found)
            lines = [text.get_text() for text in page.texts if text.get_fontsize() == TITLE]
            assert 1 <= len(lines) <= 3
            head, beneath = in_picture(found)
            assert " ".join(lines).replace("\u00a0", " ") == head
            whole = title(found)
            seen = f"{head} {beneath}"
            # Every size and every place of the whole is in one of them.
            for word in re.findall(r"\(slope [^)]*\)|leaned \d+ deg \w+|never|always|throttle|wind-up", whole):
                assert word in seen, (word, seen)
            assert beneath == "" or beneath.endswith(".")


def test_it_is_said_in_which_state_places_are_mapped():
    """1.5 m/s are 5.4 km/h and 3.36 mph (NIST SP 811): neither hill nor course of the launch has a part in it."""
    assert held().startswith("Every place is held at 5.4 km/h (3.4 mph) on level ground")
    assert "hill and course are left out" in held()
