"""What moving the mounts changes: shares, what counts, and words; on made-up outcomes whose answer is known."""

from dataclasses import replace
from math import nan, radians
from pathlib import Path

import numpy as np
import pytest

from sim.cli.lean import _change_rows
from sim.describe.files.scenario import load_scenario
from sim.errors import RunError
from sim.integrate.status import Flag
from sim.show.plots.leans import figure
from sim.show.plots.leans_told import answered, in_picture, paragraphs, title, turning
from sim.show.plots.page import TITLE
from sim.show.plots.title_lines import statements
from sim.study.deciding import FINE
from sim.study.lean import Leaned, Leans, Moved, Tried
from sim.study.lean_runs import lean_through, places_of
from sim.study.mounts import Misfit

ROOT = Path(__file__).parents[2]
FLAG = Flag("damper_end", 1.0, "rear damper 'main'", "rear damper 'main' hit its collapsed end.")


def tried(at, peak_deg, flags=(), left_out=""):
    return Tried(at, {"peak": radians(peak_deg), "swings": 3.0, "decay": 1.0}, tuple(flags), left_out)


def moved(places, peaks, stands_at=None):
    return Moved(
        tuple(t if isinstance(t, Tried) else tried(at, t) for at, t in zip(places, peaks, strict=True)), stands_at
    )


LEANS, PLACES, APART = (radians(-45.0), 0.0, radians(45.0)), (-0.18, 0.0, 0.18), (0.0, 0.18)


def leaned(stands=12.0, upper=(12, 12, 12), lower=(12, 12, 12), both=(12, 12, 12), staggered=(12, 12)):
    return Leaned(
        tried(nan, stands),
        {"upper": moved(LEANS, upper, 0.3), "lower": moved(PLACES, lower, 0.06), "both": moved(PLACES, both, 0.06),
         "staggered": moved(APART, staggered)},
    )  # fmt: skip


def leans(after=None, **setups):
    roads = {"at_once": {"Rock": setups}}
    if after is not None:
        roads["after_length"] = {"Rock": after}
    return Leans("Rock", "rear", "at_once", roads)


def test_shares_are_of_all_that_was_tried():
    """8 to 18 deg between all: 3 deg of the lower mounts are 30 %, 0.5 deg of lean 5 %, which hardly matters."""
    found = leans(soft=leaned(12.0, upper=(11.5, 12, 12), lower=(9, 10, 12)), stiff=leaned(8.0, *[(8, 8, 8)] * 3, (8, 8)),
                  loose=leaned(18.0, *[(18, 18, 18)] * 3, (18, 18)))  # fmt: skip
    assert found.spread("at_once", "Rock") == pytest.approx(radians(10.0))
    assert found.between_setups("at_once", "Rock") == pytest.approx(radians(10.0))
    lower, upper = (found.change("at_once", "Rock", "soft", move) for move in ("lower", "upper"))
    assert lower.share == pytest.approx(0.3)
    assert lower.matters
    assert lower.best.at == -0.18
    assert upper.share == pytest.approx(0.05)
    assert not upper.matters


def test_the_title_never_leans_dampers_for_little():
    """One degree of eighteen is no reason to lean them 45 degrees; the side of the axle is named with what it is worth."""
    soft = leaned(18.0, upper=(17, 18, 18), lower=(13, 18, 18), both=(18, 18, 18), staggered=(18, 18))
    found = leans(soft=soft, stiff=leaned(5.0, *[(5, 5, 5)] * 3, (5, 5)))
    said = title(found)
    assert "lean alone hardly matters" in said.lower()
    assert "45 deg" not in said
    assert "lower mounts 180 mm (7.1 in) behind the axle: wind-up 13.0 deg, not 18.0 deg as it stands" in said
    assert "“soft”" in said
    nothing = title(leans(soft=leaned(12.0), stiff=leaned(8.0, *[(8, 8, 8)] * 3, (8, 8))))
    assert "lean alone hardly matters" in nothing.lower()
    assert "where the lower mounts are hardly matters either" in nothing
    much = title(leans(one=leaned(12.0, upper=(9, 12, 13))))
    assert (
        "Lean alone changes 4.0 deg of 4.0 deg between all set-ups, the axle winds up least leaned 45 deg back" in much
    )


def test_a_place_where_swings_grow_is_not_praised_for_its_wind_up():
    """As it stands they die away; leaned 45 deg back it winds up least, and they grow there."""
    grows = replace(tried(LEANS[0], 6.0), values={"peak": radians(6.0), "swings": 3.0, "decay": -0.5})
    row = leaned(12.0, upper=(grows, 10, 12))
    found = leans(one=row, stiff=leaned(5.0, *[(5, 5, 5)] * 3, (5, 5)))
    assert found.change("at_once", "Rock", "one", "upper").best.at == 0.0
    assert "45 deg" not in title(found)
    # Where they grow as it stands too, the place is no worse for it.
    as_bad = replace(row.stands, values=row.stands.values | {"decay": -1.0})
    found = leans(one=replace(row, stands=as_bad))
    assert found.change("at_once", "Rock", "one", "upper").best is grows


def test_flagged_places_are_never_the_best_unsaid():
    one = leaned(12.0, lower=(tried(-0.18, 5.0, [FLAG]), 10.0, 14.0))
    found = leans(one=one)
    change = found.change("at_once", "Rock", "one", "lower")
    assert change.best.at == 0.0
    assert change.flagged_better.at == -0.18
    assert found.spread("at_once", "Rock") == pytest.approx(radians(4.0))
    assert "(flagged places left aside)" in title(found)
    named = "less still but flagged 180 mm (7.1 in) behind the axle: rear damper 'main' met its stroke's end"
    assert any(named in text for text in paragraphs(found))
    assert found.runs["one"].flags == (FLAG,)
    page = " ".join(text.get_text() for text in figure(found).texts)
    assert "FLAGGED" in page
    assert "(flagged)" in page


def test_nothing_that_counts_is_said():
    moves = leaned().moves
    every = {move: Moved(tuple(tried(t.at, 9.0, [FLAG]) for t in row.tried), None) for move, row in moves.items()}
    found = leans(one=Leaned(tried(nan, 9.0, [FLAG]), every))
    assert found.change("at_once", "Rock", "one", "upper") is None
    assert "no place that was tried counts" in title(found).lower()


def test_a_place_that_does_not_fit_is_left_out_and_hatched():
    found = leans(one=leaned(12.0, lower=(gone(-0.18), 10.0, 14.0)))
    assert found.change("at_once", "Rock", "one", "lower").best.at == 0.0
    figure(found)
    none = Moved((), None, "damper set 'main' has 1 damper; one ahead and one behind needs an even count.")
    one = leaned(12.0)
    figure(leans(one=Leaned(one.stands, one.moves | {"staggered": none})))


GONE, OPEN = (
    Misfit("rear damper 'main' is solid 9.0 mm before its bump stop is fully squeezed.", 0.009, measure)
    for measure in ((), ("the height of the bump stop",))
)


def gone(at):
    """A place that no damper fits by what was measured."""
    return Tried(at, dict.fromkeys(("peak", "swings", "decay"), nan), left_out=GONE.reason, misfit=GONE)


def test_of_what_was_hardly_tried_nobody_says_that_it_hardly_matters():
    """Two of three places do not fit: that the third changes nothing says nothing of them. What matters at few places matters."""
    found = leans(one=leaned(12.0, upper=(9, 12, 12), both=(gone(-0.18), 12.0, gone(0.18))))
    assert not found.roads["at_once"]["Rock"]["one"].moves["both"].known
    said = " ".join([title(found), *paragraphs(found)])
    assert "not tried, as most places do not fit: both mounts" in title(found)
    assert "both mounts hardly" not in said
    assert "2 of 3 places do not fit (180 mm (7.1 in) behind the axle and 180 mm (7.1 in) ahead of the axle)" in said
    one = leaned(12.0, upper=(9, 12, 12), both=(gone(-0.18), 12.0, gone(0.18)))
    says = {row[3]: row for row in _change_rows(leans(one=one))}
    assert says["both mounts"][-4].startswith("not tried: 2 of 3 places do not fit, by up to 9.0 mm")
    assert says["both mounts"][4:10] == [""] * 6  # no share of what nobody tried
    much = leaned(12.0, both=(gone(-0.18), 8.0, gone(0.18)))
    row = {row[3]: row for row in _change_rows(leans(one=much))}["both mounts"]
    assert row[-4] == "matters; 2 of 3 places do not fit, by up to 9.0 mm (0.35 in)"


def test_where_no_damper_fits_as_it_stands_that_is_said_first_and_is_not_the_best():
    """As it stands it winds up least, but there a damper does not fit: the best is a place that fits."""
    one = leaned(9.0, upper=(11, 10, 12))
    fits = leans(one=one)
    assert fits.change("at_once", "Rock", "one", "upper").best is one.stands
    firm = replace(one, stands=replace(one.stands, misfit=GONE))
    change = leans(one=firm).change("at_once", "Rock", "one", "upper")
    assert change.best.at == 0.0
    said = title(leans(one=firm))
    assert said.startswith(
        "Which way and how far to lean the rear dampers? As they stand a damper does not fit, by 9.0 mm (0.35 in). Lean"
    )
    assert "winds up least as they stand" not in said
    unsure = replace(one, stands=replace(one.stands, misfit=OPEN))
    said = title(leans(one=unsure))
    assert (
        "As they stand a damper does not fit, as far as it is estimated, by 9.0 mm (0.35 in): measure the height of the bump stop first."
        in said
    )
    assert "the axle winds up least as they stand (would not fit, by an estimate)" in said
    assert "does not fit, as far as it is" in " ".join(text.get_text() for text in figure(leans(one=unsure)).texts)


def test_a_place_that_an_estimate_alone_leaves_out_is_tried_and_says_so():
    guessed = Tried(-0.18, {"peak": radians(8.0), "swings": 3.0, "decay": 1.0}, misfit=OPEN)
    found = leans(one=leaned(12.0, lower=(guessed, 12.0, 12.0)))
    assert found.change("at_once", "Rock", "one", "lower").best is guessed
    assert "lower mounts 180 mm (7.1 in) behind the axle (would not fit, by an estimate): wind-up 8.0 deg" in title(
        found
    )
    assert any(
        text == "Lower mounts: 1 of 3 places does not fit, as far as it is estimated, by 9.0 mm (0.35 in): measure the height of the bump stop "
        "first. It was tried all the same." for text in paragraphs(found)
    )  # fmt: skip
    dotted = [axes for axes in figure(found).axes if any(patch.get_hatch() == ".." for patch in axes.collections)]
    assert len(dotted) == 2  # of the swing and of its decay


def test_why_it_hardly_matters():
    """Half a degree is what anybody notices, a tenth of all what is worth brackets; the lesser of swings that die sooner is said."""
    small = leaned(12.0, *[(12, 12, 12)] * 2, (11.6, 12, 12))
    rows = {row[3]: row for row in _change_rows(leans(one=small))}
    assert rows["both mounts"][-4] == "hardly matters (under 0.5 deg)"  # though it is all of the spread
    assert rows["both mounts"][9] == "100"
    share = leans(one=leaned(12.0, upper=(11, 12, 12)), other=leaned(25.0, *[(25, 25, 25)] * 3, (25, 25)))
    assert {row[3]: row for row in _change_rows(share) if row[2] == "one"}["upper mounts (lean alone)"][
        -4
    ] == "hardly matters (under a tenth of all)"
    quick = Tried(-0.18, {"peak": radians(11.6), "swings": 3.0, "decay": 2.0})
    row = {row[3]: row for row in _change_rows(leans(one=leaned(12.0, both=(quick, 12, 12))))}["both mounts"]
    assert row[-4] == "hardly matters (under 0.5 deg), but its swings die out sooner"


def test_a_mark_at_the_edge_of_a_panel_is_drawn_whole():
    """The last place alone counts beside gaps: its mark is at the panel's edge, where a clipped one loses its right half."""
    page = figure(leans(one=leaned(12.0, lower=(*map(gone, PLACES[:2]), 14.0))))
    at_edge = [
        mark for axes in page.axes for mark in axes.lines
        if mark.get_linestyle() == "None" and len(mark.get_xdata()) == 1 and mark.get_xdata()[0] == axes.get_xlim()[1]
    ]  # fmt: skip
    assert len(at_edge) == 2  # of its swing and of its decay
    assert not any(mark.get_clip_on() for mark in at_edge)


def test_the_advice_turns_where_no_place_is_good_both_ways():
    behind, ahead = leaned(12.0, lower=(8, 11, 13)), leaned(12.0, lower=(13, 11, 8))
    found = leans(after={"one": ahead}, one=behind)
    assert found.turns() == [("Rock", "one", "lower")]
    assert (
        "For lower mounts the best place depends on how the tyre's grip builds up (on “Rock”): both are shown."
        in turning(found)
    )
    # 11 deg either way in the middle, 3 above the best of 8; nothing says what alone would hold either way.
    assert turning(found).endswith(
        "Whichever it is, lower mounts at the axle leave 3.0 deg at most above the best place."
    )
    said = title(found)
    assert "The best place depends on how grip builds up: lower mounts 180 mm (7.1 in) behind the axle if it follows load at once " \
        "(wind-up 8.0 deg, now 12.0 deg), 180 mm (7.1 in) ahead of the axle if only as the tyre rolls on " \
        "(8.0 deg, now 12.0 deg); lean alone hardly matters either way (0.0 deg at most)" in said  # fmt: skip
    assert "If grip" not in said
    page = " ".join(text.get_text() for text in figure(found).texts)
    assert "grip follows load once the tyre has rolled on a little" in page
    same = leans(after={"one": behind}, one=behind)
    assert same.turns() == []
    assert turning(same) == ""
    assert "If grip" not in title(same)
    flat = leans(after={"one": leaned(12.0, upper=(12, 12, 15))}, one=behind)  # there any lower mount is as good
    assert flat.turns() == []


def test_of_the_first_set_up_it_is_said_what_holds_where_another_one_is_spoken_of():
    """The first gains 3 deg behind the axle whichever way grip builds up; the other one gains 5, on the other side each way."""
    mine = leaned(12.0, lower=(9, 11, 12))
    behind, ahead = leaned(12.0, lower=(7, 11, 12)), leaned(12.0, lower=(12, 11, 7))
    found = leans(after={"mine": mine, "other": ahead}, mine=mine, other=behind)
    assert found.turns() == [("Rock", "other", "lower")]
    said = answered(found)[1]
    assert "so it is with “other”; with “mine” lower mounts 180 mm (7.1 in) behind the axle are good either way " \
        "(wind-up 9.0 deg and 9.0 deg, now 12.0 deg and 12.0 deg)" in said  # fmt: skip
    still = leaned(12.0)
    flat = leans(after={"mine": still, "other": ahead}, mine=still, other=behind)
    assert "; with “mine” it hardly matters where they are (0.0 deg at most)" in answered(flat)[1]
    # Where it turns with the first as well, or the first is spoken of, nothing is added.
    both = leans(after={"other": ahead, "mine": mine}, other=behind, mine=mine)
    assert "with “mine”" not in answered(both)[1]


def valley(places, centre, half=0.06):
    """Least swing at one place, 5 deg more a little beside it: what a coarse study steps over."""
    return [10.0 - 5.0 * max(0.0, 1.0 - abs(place - centre) / half) for place in places]


def with_valleys(places, *centres, half=0.06):
    """One set-up whose lower mounts have a valley for each way that grip can follow load."""
    ways = [
        Leaned(tried(nan, 10.0), {**leaned().moves, "lower": moved(places, valley(places, centre, half))})
        for centre in centres
    ]
    return leans(after={"one": ways[1]}, one=ways[0])


def test_a_valley_between_two_places_counts_however_few_are_asked_for():
    """Each way its own valley, narrow and apart: no place is good both ways. Three places miss both, and would say that all are alike."""
    fine, asked = np.linspace(-0.18, 0.18, FINE), np.linspace(-0.18, 0.18, 3)
    coarse, decided = (with_valleys(places, -0.09, 0.09) for places in (asked, fine))
    assert coarse.turns() == []
    found = replace(coarse, fine=decided.roads)
    assert found.turns() == [("Rock", "one", "lower")]
    assert not found.close()
    assert (
        turning(found)
        == "For lower mounts the best place depends on how the tyre's grip builds up (on “Rock”): both are shown."
    )


def sloping(*peaks):
    return Leaned(tried(nan, 40.0), {**leaned().moves, "lower": moved((-0.18, 0.18), peaks)})


def test_a_good_place_between_two_counts_too():
    """Straight from 8 deg at one end to 12 at the other, and the other way round: 2 deg are lost in the middle, where a tenth of the spread is 3.2."""
    assert leans(after={"one": sloping(12, 8)}, one=sloping(8, 12)).turns() == []
    steeper = leans(after={"one": sloping(16, 8)}, one=sloping(8, 16))
    assert steeper.turns() == [("Rock", "one", "lower")]


def test_what_turns_with_a_set_up_that_gains_less_leaves_the_finding_its_condition():
    """Lower mounts take 4 deg off the first whichever way; of the second 2 deg, and there the best side turns."""
    behind, ahead = (leaned(8.0, (8, 8, 8), lower, (8, 8, 8), (8, 8)) for lower in ((7, 8, 9), (9, 8, 7)))
    much = leaned(12.0, lower=(8, 12, 12))
    found = leans(after={"much": much, "little": ahead}, much=much, little=behind)
    assert found.turns() == [("Rock", "little", "lower")]
    said = title(found)
    assert "If grip follows load at once, lean alone hardly matters" in said
    assert "wind-up 8.0 deg, not 12.0 deg as it stands with “much”" in said
    assert (
        "(on “Rock”; with “little”): both are shown. Whichever it is, lower mounts at the axle with “little” leave 1.0 deg"
        in turning(found)
    )


def test_which_processes_ran_it_changes_nothing():
    """A launch watched for a tenth of a second: one process and two give the same figures, and the same error if a set-up cannot run."""
    scenario = load_scenario(ROOT / "scenarios" / "rear_lean_on_rock.yaml")
    one = dict(list(scenario.setups.items())[:1])
    short = replace(scenario, run=scenario.run.model_copy(update={"watch": 0.1}), setups=one)
    lean, ahead = np.linspace(-0.5, 0.5, 3), np.linspace(-0.09, 0.09, 3)
    told = []
    alone, both = (lean_through([short], "rear", lean, ahead, told.append, workers) for workers in (1, 2))
    assert repr(alone) == repr(both)
    # as it stands and four ways, twice over for grip
    assert len(told) == 2 * 10
    assert told[9].endswith("10 of 10")
    bare = replace(
        short, setups={name: vehicle.model_copy(update={"driveline": None}) for name, vehicle in short.setups.items()}
    )
    said = set()
    for workers in (1, 2):
        with pytest.raises(RunError) as error:
            lean_through([bare], "rear", lean, ahead, workers=workers)
        said.add(str(error.value))
    assert len(said) == 1
    assert f"set-up '{next(iter(one))}'" in said.pop()


def test_what_half_of_the_places_would_decide_otherwise_is_too_close_to_call():
    """A valley as wide as one place of FINE is seen by all of them and by none of every second one."""
    fine = np.linspace(-0.18, 0.18, FINE)
    decided = with_valleys(fine, fine[3], fine[11], half=0.02)
    found = replace(with_valleys(fine[::4], fine[3], fine[11], half=0.02), fine=decided.roads)
    assert found.turns() == [("Rock", "one", "lower")]
    assert found.close()
    assert "too close to call" in turning(found)


def test_where_nothing_changes_nothing_turns():
    still = [Leaned(tried(nan, 8.0), {m: moved((0.0, 0.1), (8, 8)) for m in leaned().moves}) for _ in range(2)]
    assert leans(after={"one": still[1]}, one=still[0]).turns() == []


@pytest.mark.hours
def test_whether_the_advice_turns_does_not_hang_on_how_many_places_are_asked_for():
    """Of the demo's brake run five places alone would say that it does; seventeen find a place that is good both ways."""
    scenario = load_scenario(ROOT / "scenarios" / "brake_from_speed.yaml")
    said = {}
    for steps in (3, 5):
        lean, ahead = (np.linspace(-end, end, steps) for end in (np.pi / 4, 0.18))
        found = lean_through([scenario], "rear", lean, ahead)
        row = found.roads["at_once"]["Brake from speed"]["as fitted"]
        assert [len(row.moves[move].tried) for move in ("upper", "lower")] == [steps, steps]
        assert [t.at for t in row.moves["lower"].tried] == pytest.approx(list(ahead))
        said[steps] = (found.turns(), turning(found))
    assert said[3] == said[5]


def test_places_of_a_move():
    lean, ahead = np.linspace(-1.0, 1.0, 5), np.linspace(-0.2, 0.2, 5)
    assert places_of("upper", lean, ahead) is lean
    assert places_of("lower", lean, ahead) is ahead
    assert places_of("staggered", lean, ahead) == pytest.approx([0.0, 0.1, 0.2])


@pytest.mark.parametrize(
    "name", ["one", "as fitted, leaned forward; on the long brackets of the old frame (both of them)"]
)
def test_the_picture_has_its_finding_and_size_in_three_lines_and_the_rest_beneath(name):
    """Whatever turns and however long the set-ups' names are: no statement is cut, and none is lost."""
    behind, ahead = leaned(12.0, upper=(9, 12, 12), lower=(8, 11, 13)), leaned(12.0, lower=(13, 11, 8))
    other = leaned(20.0, *[(20, 20, 20)] * 3, (20, 20))
    for after, setups in (
        ({name: ahead}, {name: behind}), ({name: ahead, "other": other}, {name: behind, "other": other}), (None, {name: behind, "other": other}),
    ):  # fmt: skip
        found = leans(after=after, **setups)
        page = figure(found)
        title_lines = [text.get_text() for text in page.texts if text.get_fontsize() == TITLE]
        assert 1 <= len(title_lines) <= 3
        # A long name is shortened within its quotes; no line is cut.
        assert not any("…" in line.replace("…”", "”") for line in title_lines)
        head, beneath = in_picture(found)
        assert " ".join(title_lines).replace("\u00a0", " ") == head
        assert "wind-up" in head or "lean alone" in head.lower()
        seen = " ".join(text.get_text() for text in page.texts).replace("\u00a0", " ").lower()
        for part in statements(answered(found)[1]):
            assert part.removesuffix(";").removesuffix(".").lower() in seen
        assert answered(found)[0].lower() in seen
