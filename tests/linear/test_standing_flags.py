"""What is said of dampers at rest that hold a hanging axle, or are solid before their bump stop: by statics on an upright front axle."""

import re
from pathlib import Path

import pytest

import sim
from sim.cli import main
from sim.integrate.simulation import simulate
from sim.kernel import layout as at
from sim.linear.standing import stand
from sim.linear.standing_flags import standing_flags
from sim.lower.lowering import lower
from sim.lower.rest import rest

ROOT = Path(__file__).parents[2]
SCENARIO = ROOT / "scenarios" / "two_or_four.yaml"
COILS = 2 * 36e3
"""Rate of the truck's two front coils, which stand upright [N/m]."""
MARGIN = 0.0127
"""Room that the trade leaves at a damper's end [m]: half an inch; common practice, no source."""


def upright(**changes):
    """Return a truck whose front axle goes straight up and down with upright dampers without gas, and has no strap."""
    given = {
        "front.guide": {"kind": "straight"}, "front.strap": "none", "front.dampers.main.gas_force": "none",
        "front.dampers.main.body": {"behind_front_axle": "0 mm", "above_ground": "0.97 m"},
        "front.dampers.main.axle": {"ahead": "0 mm", "above": "20 mm"}, "front.dampers.main.lean_inward": "0 mm",
        "front.dampers.main.length_extended": "640 mm",
    }  # fmt: skip
    return sim.load(SCENARIO).setups["two front"].changed(given | changes)


def flags_of(truck):
    setup = lower(truck)
    stands = rest(setup)
    return setup, stands, {flag.kind: flag.sentence for flag in standing_flags(setup, stands)}


def millimetres(sentence, before, after=" mm"):
    return float(sentence.split(before)[1].split(after)[0])


def eye_to_eye(setup, stands):
    """Return the length [m] of the front damper as the truck stands: mount to mount, upright."""
    line = next(one for one in setup.lines if one.axle == "front" and one.role == "damper")
    return line.line.body_up - line.line.axle_up - setup.axles["front"].seat_up - float(stands.state[at.JOUNCE])


def test_loose_coils_are_held_by_a_strap_or_by_clamps_and_by_no_longer_damper_alone():
    """Clamped coils carry the axle's weight by pulling: from ride they fall by all of the wheels' load over their rate."""
    setup, stands, said = flags_of(upright())
    sentence = said["no_strap"]
    # Half an inch before the damper is fully out, which comes before the coil is free.
    ride = eye_to_eye(setup, stands)
    assert millimetres(sentence, "Fit a limit strap that is taut where the damper is ") == pytest.approx(
        1e3 * (0.640 - MARGIN), abs=0.06
    )
    assert millimetres(sentence, "or before, which leaves ") == pytest.approx(1e3 * (0.640 - MARGIN - ride), abs=0.06)
    assert "of droop, or clamp the coils to both seats" in sentence
    assert "A longer damper alone is no cure" in sentence
    hangs = eye_to_eye(setup, stands) + stands.tyre_load[0] / COILS
    assert millimetres(sentence, "with a damper at least ") == pytest.approx(1e3 * (hangs + MARGIN - 0.640), abs=0.06)
    _, _, said = flags_of(upright(**{"front.dampers.main.length_extended": "900 mm"}))
    assert "longer" not in said.get("no_strap", "").replace("A longer damper alone is no cure", "")


def test_where_springs_can_pull_a_longer_damper_helps_and_its_length_is_said():
    setup, stands, said = flags_of(upright(**{"front.springs.coil.held_both_ways": True}))
    hangs = eye_to_eye(setup, stands) + stands.tyre_load[0] / COILS
    assert millimetres(said["no_strap"], "or a damper at least ") == pytest.approx(
        1e3 * (hangs + MARGIN - 0.640), abs=0.06
    )
    assert "no cure" not in said["no_strap"]
    assert "clamp" not in said["no_strap"]


@pytest.mark.parametrize("held", [False, True])
def test_a_damper_that_is_too_long_is_never_to_be_longer(held):
    """Its collapsed length is more than it has at the squeezed stop, which on a straight guide is ride less gap and squeeze."""
    truck = upright(**{"front.springs.coil.held_both_ways": held})
    setup, stands, _ = flags_of(truck)
    ride, stop = eye_to_eye(setup, stands), truck.front.stop
    solid = ride - (stop.gap + stop.squeeze - float(stands.state[at.JOUNCE])) + 0.010
    _, _, said = flags_of(truck.changed({"front.dampers.main.length_collapsed": f"{1e3 * solid:.3f} mm"}))
    assert "A longer damper is no cure: this one is too long already" in said["no_strap"]
    assert "longer extended" not in said["no_strap"]
    _, _, said = flags_of(truck.changed({"front.dampers.main.length_collapsed": f"{1e3 * (solid - 0.020):.3f} mm"}))
    assert "too long already" not in said["no_strap"]


@pytest.mark.parametrize(("changes", "longer"), [
    ({"front.dampers.main.length_extended": "585 mm"}, True),
    ({"front.dampers.main.length_extended": "585 mm", "front.dampers.main.length_collapsed": "540 mm"}, False),
    ({"front.dampers.main.length_extended": "585 mm", "front.strap": "none"}, False),
    ({"rear.dampers.main.length_extended": "615 mm", "rear.strap": "none"}, True),
])  # fmt: skip
def test_a_run_that_pulls_a_damper_out_advises_a_longer_one_only_where_that_helps(changes, longer):
    """Front coils are loose; the leaf packs behind can hold their axle."""
    scenario = sim.load(SCENARIO)
    run = simulate(scenario.setups["two front"].changed(changes), scenario.run)
    (flag,) = [flag for flag in run.flags if flag.kind == "damper_end" and flag.end == "extended"]
    assert (" longer extended" in flag.sentence) == longer
    assert ("A longer damper" in flag.sentence) != longer
    assert "Fit a " in flag.sentence
    assert "strap" in flag.sentence


def test_a_run_and_a_truck_at_rest_have_one_cure_for_one_fault():
    """Word for word but for the length, which a run knows by how far it went and rest by the travel, both with half an inch left."""
    setup = sim.load(SCENARIO).setups["two front"]
    run_of = sim.load(SCENARIO).run

    def bare(sentence):
        sentence = sentence.replace(", which leaves room with the housing wound up by 5 deg", "")
        return re.sub(
            r"at least [\d.]+ mm \([\d.]+ in\)|taut (where .*? of droop|before the end of the damper)", "…", sentence
        )

    for changes, end, fault in (
        ({"front.dampers.main.length_collapsed": "540 mm"}, "collapsed", "solid_first"),
        ({"front.dampers.main.length_extended": "585 mm", "front.strap": "none"}, "extended", "no_strap"),
    ):
        _, _, said = flags_of(setup.changed(changes))
        (flag,) = [
            one for one in simulate(setup.changed(changes), run_of).flags if one.kind == "damper_end" and one.end == end
        ]
        cure = bare(flag.sentence[flag.sentence.index("Fit a ") :])
        at_rest = bare(said[fault])
        clamped = re.sub(r", or clamp the coils to both seats.*?(?=[.] A )", "", at_rest)
        assert cure.lower() in clamped.lower(), (cure, at_rest)
        if end == "collapsed":
            by = flag.past_m + 0.0127
            assert millimetres(flag.sentence, "Fit a damper at least ") == pytest.approx(1e3 * by, abs=0.06)


def solid_at(truck, bump):
    """Return a truck whose front damper is solid after so much bump [m] from where it stands: on an upright axle a mm is a mm."""
    setup, stands, _ = flags_of(truck)
    return truck.changed({"front.dampers.main.length_collapsed": f"{1e3 * (eye_to_eye(setup, stands) - bump):.4f} mm"})


def test_a_damper_that_is_solid_before_the_stop_is_touched_is_flagged_and_shortens_the_travel_left():
    """Solid 30 mm up, as far as the axle gets; the stop would be fully squeezed at gap + squeeze less what the truck stands up."""
    truck = upright()
    _, stands, said = flags_of(truck)
    assert "solid_first" not in said
    jounce = float(stands.state[at.JOUNCE])
    gap, squeeze = truck.front.stop.gap - jounce, truck.front.stop.squeeze
    assert gap > 0.030
    short = solid_at(truck, 0.030)
    _, _, said = flags_of(short)
    sentence = said["solid_first"]
    assert millimetres(sentence, "is solid ") == pytest.approx(1e3 * (gap + squeeze - 0.030), abs=0.06)
    assert millimetres(sentence, "of the ") == pytest.approx(1e3 * gap, abs=0.06)
    assert millimetres(sentence, "the axle can use ") == pytest.approx(30.0, abs=0.06)
    # The housing of a straight guide does not wind up: what is missing, and half an inch.
    assert millimetres(sentence, "a damper at least ") == pytest.approx(
        1e3 * (gap + squeeze - 0.030 + MARGIN), abs=0.06
    )
    for cure in ("shorter collapsed", "set a mount", "touches earlier (a smaller gap)"):
        assert cure in sentence
    front = stand(short).axles["front"]
    assert front.travel_left_up == pytest.approx(0.030, abs=1e-6)
    assert front.bump_ends == "damper 'main' is solid first"
    assert stand(truck).axles["front"].travel_left_up == pytest.approx(gap, abs=1e-9)


def test_a_damper_that_is_solid_within_the_squeeze_is_flagged_and_leaves_the_travel_to_the_stop():
    truck = upright()
    _, stands, _ = flags_of(truck)
    gap = truck.front.stop.gap - float(stands.state[at.JOUNCE])
    for within, flagged in ((0.005, True), (truck.front.stop.squeeze + 0.001, False)):
        one = solid_at(truck, gap + within)
        _, _, said = flags_of(one)
        assert ("solid_first" in said) == flagged
        assert "the axle can use" not in said.get("solid_first", "")
        front = stand(one).axles["front"]
        assert (front.travel_left_up, front.bump_ends) == (pytest.approx(gap), "")


def test_droop_left_ends_where_a_damper_is_fully_out():
    setup, stands, _ = flags_of(upright())
    front = stand(upright()).axles["front"]
    assert front.droop_left == pytest.approx(0.640 - eye_to_eye(setup, stands), abs=1e-6)
    assert front.droop_ends == "damper 'main' is fully out first"


def test_check_and_stand_say_so(tmp_path, capsys):
    path = tmp_path / "solid.yaml"
    text = f"kind: scenario\nname: solid\nvehicle: {ROOT}/scenarios/vehicles/hut_supply_truck.yaml\nrun: {{kind: drop, height: 20 mm}}\n"
    path.write_text(text + "setups:\n  long: {front.dampers.main.length_collapsed: 540 mm}\n", encoding="utf-8")
    for command in ("check", "stand"):
        assert main([command, str(path)]) == 3
        out = " ".join(capsys.readouterr().out.split())
        assert "front damper 'main' is solid" in out
    assert "bump ends" in out
    assert "damper 'main' is solid first" in out
    # A conversion says of the same end once that the damper does not fit.
    assert main(["convert", str(path), "--outputs", str(tmp_path)]) == 3
    assert capsys.readouterr().out.count("FLAGGED  long: front damper 'main' is solid") == 1


def test_a_stop_that_touches_earlier_cures_a_damper_that_is_solid_first_and_one_that_gives_more_does_not():
    """Squeezed at gap + squeeze: 10 mm too far for the damper, so a gap 11 mm smaller is enough, and more squeeze is worse by itself."""
    truck = upright()
    _, stands, _ = flags_of(truck)
    stop = truck.front.stop
    short = solid_at(truck, stop.gap + stop.squeeze - float(stands.state[at.JOUNCE]) - 0.010)
    _, _, said = flags_of(short)
    assert "a bump stop that touches earlier (a smaller gap)" in said["solid_first"]
    _, _, said = flags_of(short.changed({"front.stop.gap": f"{1e3 * (stop.gap - 0.011):.3f} mm"}))
    assert "solid_first" not in said
    _, _, said = flags_of(short.changed({"front.stop.squeeze": f"{1e3 * (stop.squeeze + 0.012):.3f} mm"}))
    assert millimetres(said["solid_first"], "is solid ") == pytest.approx(22.0, abs=0.06)


def test_a_stop_squeezed_flat_is_cured_by_one_that_gives_more_or_is_stiffer_and_not_by_a_smaller_gap():
    """The energy of a hump is the same: a stop that meets it earlier takes more of it, the springs less."""
    scenario = sim.load(SCENARIO)

    def flat(**changes):
        stop = {"front.stop.gap": "40 mm", "front.stop.squeeze": "20 mm"}
        stop |= {f"front.stop.{key}": value for key, value in changes.items()}
        run = simulate(scenario.setups["two front"].changed(stop), scenario.run)
        return next((flag for flag in run.flags if flag.kind == "stop_full"), None)

    before = flat()
    assert "a bump stop that is stiffer or gives further" in before.sentence
    assert "taller" not in before.sentence
    assert "smaller gap" not in before.sentence
    assert flat(squeeze="32 mm") is None
    assert flat(rate_first="100 N/mm", rate_full="1 kN/mm").past_m < before.past_m < flat(gap="10 mm").past_m


def test_no_advice_is_a_taller_stop():
    """A taller stop in the same place gives more and touches earlier: what helps of the two is said."""
    scenario = sim.load(SCENARIO)
    faults = {"front.dampers.main.length_collapsed": "540 mm"}, {"front.springs.coil.solid_length": "375 mm"}
    for changes in faults:
        run = simulate(scenario.setups["two front"].changed(changes), scenario.run)
        (flag,) = [flag for flag in run.flags if flag.kind in ("damper_end", "coil_bind")]
        assert "a bump stop that touches earlier (a smaller gap)" in flag.sentence


@pytest.mark.parametrize(("squeeze", "solid"), [("60 mm", False), ("1 mm", True)])
def test_a_truck_that_stands_on_its_stops_is_cured_by_load_and_springs(squeeze, solid):
    """Standing still, damping and speed do nothing, and no stop is to be both lower and taller."""
    stones = {"mass": "700 kg", "place": {"behind_front_axle": "2.9 m", "above_ground": "1.1 m"}}
    changes = {
        "rear.stop.gap": "10 mm",
        "rear.stop.squeeze": squeeze,
        "rear.stop.rate_full": "70 N/mm",
        "loads.stones": stones,
    }
    _, _, said = flags_of(sim.load(SCENARIO).setups["two front"].changed(changes))
    assert ("stop_full" in said) == solid
    for kind in ("on_stops", "stop_full") if solid else ("on_stops",):
        assert "Take load off, or fit stiffer or longer springs" in said[kind]
        for word in ("damping", "speed", "taller", "lower the", "smaller gap"):
            assert word not in said[kind]
        assert ("a larger gap" in said[kind]) == (not solid)
