"""What is said beside bands: what to measure next, what decides the rest, what was lost; and how many of the same damper there are."""

import re
from dataclasses import replace
from io import StringIO

import pytest

from sim.describe.doubtful import doubtful, estimates_of
from sim.linear.placing import placings
from sim.linear.standing import stand
from sim.measure.band import Band
from sim.measure.same_dampers import Counted, counted
from sim.measure.verdict import verdict
from sim.show.pages.report.doubt import doubt as doubt_in_words
from sim.show.report.doubt import measure_next, printed, sentences
from sim.show.report.verdict_table import damped, more_of_the_same
from sim.study.doubt.study import Doubted, Influence
from sim.study.doubt.unknowns import unknowns
from tests.describe.test_to_measure import MEASURED, truck
from tests.measure.verdicts import RIDE, compared


def doubted(shares, lost=None, setups=("two", "four")):
    of = unknowns({"two": truck({key: MEASURED[key] for key in ("length_extended", "length_collapsed")})}, None)
    first = {one: shares.get(one.path, 0.0) for one in of}
    assert {one.path for one, share in first.items() if share} == set(shares)
    band = Band(1.0, 2.0)
    return Doubted(
        of, (), setups[0], 512, lost or {}, {}, {setups[0]: {"x": band}}, {name: {"x": band} for name in setups[1:]},
        {name: {"x": Influence(first, first, 1.0)} for name in setups[1:]},
    )  # fmt: skip


def test_every_estimate_with_a_spread_is_drawn():
    vehicle = truck({key: MEASURED[key] for key in ("length_extended", "length_collapsed")})
    spread = {one.path for one in estimates_of([vehicle]) if one.half > 0.0}
    assert {"front.stop.gap", "front.dampers.main.body.above_ground"} <= spread
    assert spread == {one.path for one in unknowns({"a": vehicle}, None)} == {one.path for one in doubtful(vehicle)}


def test_numbers_of_one_measurement_are_added_up_and_the_rest_is_said():
    said = measure_next(
        doubted(
            {
                "front.dampers.main.valving.rebound.low": 0.15, "front.dampers.main.valving.compression.low": 0.11,
                "front.dampers.main.body.above_ground": 0.20, "front.stop.gap": 0.12, "body.mass": 0.07, "front.tyre.rate": 0.05,
            }
        ),
        ["x"],
    )  # fmt: skip
    assert said[0].startswith("Have the front damper 'main' tested: it decides 26 % of the doubt")
    assert said[1].startswith("Measure the front damper 'main' eye to eye at ride: it decides 20 %")
    assert said[2].startswith("Measure the gap of the front bump stops: it decides 12 %")
    others = re.match(
        r"(\d+) other measurements decide 12 % together; the largest of them: weigh the truck 7 %", said[3]
    )
    assert int(others[1]) > 2
    assert said[4] == "30 % is decided by numbers that act together, and by none alone."
    assert len(said) == 5


def test_a_page_calls_next_only_what_can_be_measured(monkeypatch):
    """That numbers act together is no measurement."""
    monkeypatch.setattr("sim.show.pages.report.doubt.deciding", lambda comparison: ["x"])
    found = doubt_in_words(compared({"four": {}}), doubted({"front.stop.gap": 0.4, "body.mass": 0.3}))
    assert [text.startswith("Measure next. ") for text in found.following] == [True, True, False]
    assert found.following[2].startswith("30 % is decided by numbers that act together")


def test_what_draws_lose_is_said_once_for_all_set_ups():
    lost = {name: {f"rate {number} is too low": 2} for number, name in enumerate(("two", "four", "none"))}
    said = [
        text
        for text in sentences(doubted({"body.mass": 1.0}, lost, ("two", "four", "none")), ["x"])
        if "could not be run" in text
    ]
    assert said == ["2 of 512 tries of every set-up could not be run, such as one for which: rate 0 is too low"]


def test_what_could_not_be_run_or_broke_is_said_before_the_bands():
    known = doubted({"body.mass": 1.0}, {"four": {"the truck cannot stand": 12}})
    known = replace(
        known, flagged={"two": {"rear bump stops squeezed flat": 3, "front damper 'main' met its extended end": 41}}
    )
    said = sentences(known, ["x"])
    assert said[0] == "12 of 512 tries of “four” could not be run, such as one for which: the truck cannot stand"
    assert said[1] == (
        "Tries of “two” that ran but broke something, of 512: front damper 'main' met its extended end in 41, "
        "rear bump stops squeezed flat in 3"
    )
    assert said[2].startswith("Bands hold 95 times in 100")


@pytest.mark.parametrize(("count", "words"), [(4, "twice"), (1, "half"), (3, "1.5 times")])
def test_more_of_the_same_damper_is_said_as_what_it_is(count, words):
    """Dampers stand side by side: their forces add up, so damping goes by their number."""
    two = truck(MEASURED)
    changed = two.changed({"front.dampers.main.count": count})
    assert counted({"two": two, "other": changed}, "two") == {"other": (Counted("front", count, 2),)}
    softer = changed.changed(
        {"front.dampers.main.valving": {"kind": "straight", "compression": "1 kN s/m", "rebound": "2 kN s/m"}}
    )
    assert counted({"two": two, "other": softer}, "two") == {}
    comparison = compared({"other": {}})
    comparison.scenario.setups = {"as it is": two, "other": changed}
    (said,) = more_of_the_same(verdict(comparison))
    assert said.startswith(
        f"“other”: {count} of the same dampers in front in place of 2 damp that axle {words} as much"
    )


def test_damping_ratio_of_body_and_hop_stands_for_each_axle():
    standing = stand(truck(MEASURED))
    comparison = compared({"other": {}}, speed_m_per_s=0.0)
    found = verdict(replace(comparison, damping={"as it is": 0.3}, placed={"as it is": placings(standing)}))
    said = damped(found)
    hops = {mode.name: mode.damping_ratio for mode in standing.modes}
    for axle in ("front", "rear"):
        assert f"body over the {axle} axle: “as it is” {standing.axles[axle].damping_ratio:.2f}" in said
        assert f"hop of the {axle} axle: “as it is” {hops[f'{axle} hop']:.2f}" in said


def test_a_ratio_with_every_set_up_is_not_said_where_one_has_no_dampers():
    """Bare springs have no choice of damping to place: the sentence must not count them in."""
    two = truck(MEASURED)
    bare = two.changed({"rear.dampers": "none"})
    placed = {"as it is": placings(stand(two)), "again": placings(stand(two)), "other": placings(stand(bare))}
    found = verdict(
        replace(
            compared({"again": {}, "other": {}}, speed_m_per_s=0.0), damping=dict.fromkeys(placed, 0.3), placed=placed
        )
    )
    said = damped(found)
    assert re.search(r"body over the rear axle: [\d.]+ with every set-up that has dampers there", said)
    assert re.search(r"body over the front axle: [\d. to]+ with every set-up;", said)


def test_the_screen_leaves_out_what_nobody_notices_and_says_a_far_end_in_words():
    """Of 1.2 s, 0 to 306 s more says that it may be far more; a change of 0.1 % of ride is nothing that anybody feels."""
    found = compared({"other": {"body_settling_time": 1.5}})
    (ride, *_), settling = RIDE, "body_settling_time"
    one = found.values["as it is"][settling].value
    whole = doubted({}, setups=("as it is", "other"))
    bands = {settling: Band(0.0, 306.0 * one), ride: Band(-0.0001, 0.0001)}
    whole = replace(whole, differences={"other": bands}, values={name: bands for name in ("as it is", "other")})
    for everything in (False, True):
        stream = StringIO()
        printed(found, whole, stream, everything)
        said = stream.getvalue()
        assert "0 to far more ?" in said
        assert ("Ride at driver: upward" in said) == everything
        assert ("Rows in which nobody would notice a difference are left out" in said) != everything
