"""Estimates of leaf packs, dampers, stops and bushes against handbook values: each within its stated spread.

Where fewer than three values are at hand those are tested all the same, and the estimate says how many they are.
"""

import numpy as np
import pytest

from sim.describe.estimates import bump_stop, fore_and_aft, leaf_friction, limit_strap, valving, wind_up
from sim.describe.estimates.completing import completed
from sim.describe.estimates.damper_length import DEAD, STROKE
from sim.describe.estimates.estimate import Where
from sim.describe.estimates.truck import GRAVITY, Truck
from sim.describe.estimates.wind_up import leaf_rate
from tests.describe.estimates.published_values import (
    BELTS,
    DAMPER_SIZES,
    DEFLECTIONS,
    DRY_STEEL,
    GRADUATED,
    HELD,
    INCH,
    LB,
    LEAF_RATES,
    OFF_ROAD_BUMP,
    OPENING_SPEEDS,
    PACKS,
    RATE_OF_LEAVES,
    RATED_REBOUND,
    ROD_OVER_BORE,
    RUBBER_RATIOS,
    SEAL_LIMIT,
    SPLITS,
    SQUEEZED_TO,
    TUBE_OVER_BORE,
)

PACK = "front.springs.pack."


def found_on(**truck):
    return {one.path: one for one in completed({"weighed": {}, **truck})[1]}


def pack_of(**pack):
    """Return the estimates of a front leaf pack, by their last step."""
    found = found_on(front={"springs": {"pack": pack}})
    return {path.removeprefix(PACK): one for path, one in found.items() if path.startswith(PACK)}


def holds(one, value):
    """Tell whether a value lies within the spread of an estimate."""
    return value == pytest.approx(one.value, abs=one.half * (1 + 1e-9))


def carried_by(kilograms):
    """Return a truck each of whose front springs carries so much."""
    return {
        "weighed": {"front": f"{2 * kilograms + 200!r} kg", "front_unsprung": "200 kg"},
        "front": {"springs": {"pack": {"kind": "leaf_pack"}}, "dampers": "none"},
    }


@pytest.mark.parametrize("give", DEFLECTIONS)
def test_rate_of_a_leaf_pack_by_what_it_gives_under_its_load(give):
    rate = completed_rate(carried_by(500.0))
    assert holds(rate, 500.0 * GRAVITY / give)


def completed_rate(truck):
    return {one.path: one for one in completed(truck)[1]}[PACK + "rate"]


@pytest.mark.parametrize(("end", "name", "pounds", "rate"), LEAF_RATES)
def test_rate_of_a_leaf_pack_of_a_light_military_truck(end, name, pounds, rate):
    """260 lb/in under 525 lbf is 2.2 Hz, 190 under 800 is 1.5 Hz."""
    assert holds(completed_rate(carried_by(pounds * LB)), rate * LB * GRAVITY / INCH)


@pytest.mark.parametrize(("end", "name", "pounds", "rate"), LEAF_RATES)
def test_rate_of_a_leaf_pack_by_its_leaves(end, name, pounds, rate):
    """As a shop has it: eye to eye, width and thickness of its leaves, and how many; what is held and how far off that is are estimated."""
    pack = GRADUATED[name]
    length, width = next((length, width) for called, length, width in PACKS if called == name)
    written = {
        "leaves": pack.leaves, "leaf_width": f"{width!r} m", "leaf_thickness": f"{pack.thickness!r} m", "length": f"{length!r} m",
    }  # fmt: skip
    full, estimates = completed({"weighed": {}, "front": {"springs": {"pack": written}}})
    worth = leaf_rate(Truck(full), "front", "pack")
    found = {one.path: one for one in estimates}
    held = found[PACK + "clamped"]
    off = (found[PACK + "rate_factor"].half ** 2 + (3 * held.half / (length - held.value)) ** 2) ** 0.5
    assert rate * LB * GRAVITY / INCH == pytest.approx(worth, rel=off)
    # And by hand: 2 E b t³ (2 (n - 1) + 3) / (12 l³), l half of what bends with 2.5 in held.
    half = 0.5 * (length - 2.5 * INCH)
    by_hand = 2 * 207e9 * width * pack.thickness**3 * (2 * (pack.leaves - 1) + 3) / (12 * half**3)
    assert by_hand == pytest.approx(rate * LB * GRAVITY / INCH, rel=0.06)


@pytest.mark.parametrize("held", HELD)
def test_what_the_u_bolts_hold(held):
    assert holds(pack_of(leaf_thickness="9 mm")["clamped"], held)


@pytest.mark.parametrize("pack", GRADUATED.values(), ids=GRADUATED)
def test_a_number_of_leaves_that_nobody_has_counted(pack):
    """Rates go as 2 n_G + 3 n_F: what a count that nobody made is off by, the rate's own factor has to hold."""
    found = pack_of(leaf_thickness="9 mm")
    estimated = 2 * found["leaves"].value + found["full_length_leaves"].value
    assert holds(found["rate_factor"], (2 * pack.leaves + (pack.full_length or 1)) / estimated)


@pytest.mark.parametrize("pack", [one for one in GRADUATED.values() if one.full_length])
def test_leaves_of_full_length_that_nobody_has_counted(pack):
    found = pack_of(leaf_thickness="9 mm", leaves=pack.leaves)
    estimated = 2 * pack.leaves + found["full_length_leaves"].value
    assert holds(found["rate_factor"], (2 * pack.leaves + pack.full_length) / estimated)


def test_a_thickness_that_is_estimated_makes_up_for_leaves_that_nobody_has_counted():
    """The thickness is that of a usual ride then, whatever the number of leaves, and has the doubt of that ride alone."""
    assert pack_of(leaf_width="60 mm")["rate_factor"].half == pytest.approx((0.1**2 + (1 / 19) ** 2) ** 0.5)
    assert pack_of(leaf_thickness="9 mm")["rate_factor"].half > 0.4


@pytest.mark.parametrize("factor", RATE_OF_LEAVES)
def test_rate_of_a_pack_over_that_of_its_leaves(factor):
    assert holds(pack_of(leaf_thickness="9 mm", leaves=7, full_length_leaves=1)["rate_factor"], factor)


@pytest.mark.parametrize("pack", GRADUATED.values(), ids=GRADUATED)
def test_friction_of_a_leaf_pack_of_dry_steel(pack):
    """By the work of its tips: while the eye gives dδ an even bend turns the leaves at x by 2 x dδ / l², and each tip slips by t times that.

    Each tip presses with what the eye carries, so that friction is µ t Σ 2 x / l² of it, x = i l/n: µ t (n - 1) / l.
    """
    slip = sum(pack.thickness * 2 * (i * pack.half / pack.leaves) / pack.half**2 for i in range(1, pack.leaves))
    assert slip == pytest.approx(pack.thickness * (pack.leaves - 1) / pack.half)
    found = {one.path: one for one in completed(carried_by(500.0))[1]}[PACK + "friction"]
    assert holds(found, DRY_STEEL * slip * 500.0 * GRAVITY)
    assert found.value == pytest.approx(leaf_friction.MANY * 500.0 * GRAVITY)


def lengths_of(**damper):
    path = "front.dampers.main.length_"
    found = found_on(front={"dampers": {"main": damper}})
    return {side: found.get(path + side) for side in ("collapsed", "extended")}


@pytest.mark.parametrize(("bore", "ends", "least", "most"), DAMPER_SIZES)
def test_lengths_of_a_damper(bore, ends, least, most):
    for stroke in (least, most):
        short, long = ends + stroke, ends + 2 * stroke
        assert holds(lengths_of(length_extended=f"{long} mm")["collapsed"], 1e-3 * short)
        assert holds(lengths_of(length_collapsed=f"{short} mm")["extended"], 1e-3 * long)


@pytest.mark.parametrize(("bore", "ends", "least", "most"), DAMPER_SIZES)
def test_a_damper_of_which_nothing_is_known(bore, ends, least, most):
    """All strokes at a bore of 30 mm; at 40 mm those of 150 to 250 mm, as shorter ones are cars' and longer ones are asked for."""
    assert pytest.approx(0.347) == DEAD + STROKE
    for stroke in (max(least, 150), min(most, 280 if bore == 30 else 250)):
        assert holds(lengths_of()["collapsed"], 1e-3 * (ends + stroke))


STEEL, OIL = 7850.0, 870.0  # kg/m³, any handbook


def mass_of_twin_tube(bore, ends, stroke, over, rod):
    """Return what a twin-tube's two halves weigh [kg], tubes as thin walls of 2 mm: reserve tube, inner tube, oil in and 0.6 between them, ends."""
    outside, wall, length = over * bore, 0.002, stroke + ends - 0.055
    tubes = STEEL * np.pi * wall * (outside - wall + bore + wall) * length
    oil = (
        OIL * np.pi / 4 * (bore**2 - 0.5 * rod**2 + 0.6 * ((outside - 2 * wall) ** 2 - (bore + 2 * wall) ** 2)) * length
    )
    piston = STEEL * np.pi / 4 * bore**2 * 0.015  # and as much for what guides the rod
    cover = STEEL * np.pi * (outside + 0.006) * 0.001 * stroke
    tube = tubes + oil + STEEL * np.pi / 4 * outside**2 * 2 * wall + piston + 0.2
    return tube, STEEL * np.pi / 4 * rod**2 * length + piston + cover + 0.2


@pytest.mark.parametrize("over", TUBE_OVER_BORE)
@pytest.mark.parametrize("share", ROD_OVER_BORE)
@pytest.mark.parametrize(("bore", "ends", "least", "most"), DAMPER_SIZES)
def test_mass_of_a_damper_of_which_only_the_lengths_are_known(bore, ends, least, most, share, over):
    """All of 30 mm, and of 40 mm with strokes of 150 to 280 mm, as shorter ones are cars'."""
    for stroke in (1e-3 * max(least, 150), 1e-3 * most):
        short = 1e-3 * ends + stroke
        own = {"length_collapsed": f"{short!r} m", "length_extended": f"{short + stroke!r} m"}
        found = found_on(front={"dampers": {"main": own}})
        halves = mass_of_twin_tube(1e-3 * bore, 1e-3 * ends, stroke, over, share * 1e-3 * bore)
        for half, mass in zip(("tube", "rod"), halves, strict=True):
            assert holds(found[f"front.dampers.main.{half}_mass"], mass)


@pytest.mark.parametrize("bore", [0.036, 0.040, 0.046, 0.050])
def test_mass_of_a_monotube_of_which_only_the_lengths_are_known(bore):
    """One wall of 2 mm, three quarters of it full of oil, a rod of 0.30 to 0.35 of its bore (Wang, Automobile Design, M)."""
    lengths = {"length_collapsed": "380 mm", "length_extended": "600 mm"}
    found = found_on(front={"dampers": {"main": {"construction": "monotube", **lengths}}})
    for share in (0.30, 0.35):
        rod, length = share * bore, 0.380 - 0.055
        piston = STEEL * np.pi / 4 * bore**2 * 0.015
        tube = STEEL * np.pi * 0.002 * (bore + 0.002) * length + STEEL * np.pi / 4 * (bore + 0.004) ** 2 * 0.004
        oil = OIL * np.pi / 4 * (0.75 * bore**2 - 0.5 * rod**2) * length
        assert holds(found["front.dampers.main.tube_mass"], tube + oil + piston + 0.2)
        assert holds(found["front.dampers.main.rod_mass"], STEEL * np.pi / 4 * rod**2 * length + piston + 0.2)


def test_mass_of_a_damper_whose_tube_is_known():
    tube = {
        "construction": "twin_tube",
        "bore": "40 mm",
        "outside_diameter": "58 mm",
        "length": "310 mm",
        "rod": "18 mm",
    }
    lengths = {"length_collapsed": "365 mm", "length_extended": "585 mm"}
    found = found_on(front={"dampers": {"main": {"tube": tube, **lengths}}})
    halves = mass_of_twin_tube(0.040, 0.145, 0.220, 58 / 40, 0.018)
    for half, mass in zip(("tube", "rod"), halves, strict=True):
        one = found[f"front.dampers.main.{half}_mass"]
        assert one.value == pytest.approx(mass, rel=1e-9)
        assert one.half == pytest.approx(0.2 * mass)


@pytest.mark.parametrize("ratio", SPLITS)
@pytest.mark.parametrize("part", ["low", "high"])
def test_split_of_a_valving(ratio, part):
    found = found_on()
    sides = {side: found[f"front.dampers.main.valving.{side}.{part}"] for side in valving.SIDES}
    whole = sum(one.value for one in sides.values())
    assert holds(sides["rebound"], whole * ratio / (1 + ratio))
    assert holds(sides["compression"], whole / (1 + ratio))


@pytest.mark.parametrize("word", ["stock", "firm"])
@pytest.mark.parametrize("load", [1100, 1300, 1500, 1800])
def test_rebound_at_half_a_metre_a_second(load, word):
    """Below the knee, past it and where it lies, all in one: the slopes as far off as a force of the words may be, `SLOPE_OFF`."""
    found = found_on(weighed={"front": f"{load} kg"}, front={"dampers": {"main": {"valving": word}}})
    low, knee, high = (found[f"front.dampers.main.valving.rebound.{key}"].value for key in ("low", "knee", "high"))
    force, (least, most) = low * knee + high * (0.52 - knee), RATED_REBOUND
    off = valving.SLOPE_OFF["rebound"]
    assert least / (1 + off) <= force <= most / (1 - off)
    assert low * 0.52 > force


def test_past_the_knee_its_own_doubt_is_in_the_spread():
    found = found_on()
    for side, off in (("rebound", 0.25), ("compression", 0.40)):
        low, high = (found[f"front.dampers.main.valving.{side}.{key}"] for key in ("low", "high"))
        assert low.half / low.value == pytest.approx(off)
        assert high.half / high.value == pytest.approx((off**2 + 0.4**2) ** 0.5)
        assert high.value == pytest.approx(0.5 * low.value)


@pytest.mark.parametrize("speed", [*OPENING_SPEEDS, 0.13])
def test_speed_of_the_knee(speed):
    for side in valving.SIDES:
        assert holds(found_on()[f"front.dampers.main.valving.{side}.knee"], speed)


def test_friction_of_a_seal():
    found = found_on()["front.dampers.main.seal_friction"]
    assert holds(found, SEAL_LIMIT)
    assert found.half < found.value


@pytest.mark.parametrize("left", SQUEEZED_TO)
def test_squeeze_of_a_bump_stop(left):
    assert holds(found_on(front={"stop": {"height": "60 mm"}})["front.stop.squeeze"], (1 - left) * 0.060)


def test_bump_travel_without_dampers_to_judge_by():
    """Gap and squeeze together are inside of the range of off-road vehicles, which have it at full load."""
    found = found_on(front={"dampers": "none"})
    assert found["front.stop.gap"].value == bump_stop.GAP
    least, most = OFF_ROAD_BUMP
    assert least < found["front.stop.gap"].value + found["front.stop.squeeze"].value < most


@pytest.mark.parametrize("ratio", RUBBER_RATIOS)
def test_damping_of_bushes(ratio):
    found = found_on(front={"springs": {"coil": {}}})
    for path, own in (("fore_and_aft.damping", fore_and_aft.RATIO), ("guide.wind_up.damping", wind_up.RATIO)):
        one = found["front." + path]
        assert own == 0.05
        assert holds(one, ratio / own * one.value)


@pytest.mark.parametrize(("stretch", "breaks"), BELTS)
def test_a_strap_stretches_less_than_webbing_may(stretch, breaks):
    """Straight down to a fifth of what breaks it, as slings are rated: 10, 12 and 13 %, limits that an inch a foot has to stay within."""
    assert stretch * 0.2 * breaks / 2500.0 > limit_strap.A_FOOT


def test_words_of_the_rules_are_those_of_their_numbers():
    """A usual pack and a usual gap are said in numbers that are those of the rule, and how many sources they have."""
    assert pack_of(leaf_thickness="9 mm")["leaves"].of == "a usual pack of nine"
    assert pack_of(leaf_thickness="9 mm")["leaves"].value == 9
    assert found_on()["front.dampers.main.valving.rebound.knee"].source.startswith("one value, ")
    assert found_on(front={"stop": {"height": "60 mm"}})["front.stop.squeeze"].source.startswith("one source, ")
    assert bump_stop.gap(Truck({"front": {"stop": {}, "dampers": {}}}), Where("front")).value == bump_stop.GAP
