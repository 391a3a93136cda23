"""Words for frequencies, damping and travel: right at each border of the table, and every range shown. Common practice, no source."""

import csv
from dataclasses import replace
from math import exp, hypot, inf, log, nan, nextafter
from pathlib import Path

import numpy as np
import pytest
import yaml

import sim
from sim.cli import main
from sim.describe.doubt import NO_SOURCE
from sim.describe.good import GOOD, GOOD_LOADED, between, placed
from sim.describe.runs import Launch
from sim.describe.shown import shown_in
from sim.linear.placing import loaded_share, placings, wound_up
from sim.linear.standing import stand
from tests.published.textbook import car
from tests.synthetic import seated_truck

EVERY = [
    pytest.param(good, id=f"{name}{kind}")
    for kind, table in (("", GOOD), (" loaded", GOOD_LOADED))
    for name, good in table.items()
]

TRUCK = "scenarios/vehicles/hut_supply_truck.yaml"


@pytest.mark.parametrize("good", EVERY)
def test_a_table_that_can_be_read(good):
    assert len(good.words) == len(good.edges) + 1
    assert list(good.edges) == sorted(set(good.edges))
    # The usual range begins and ends where a word does, or at nothing.
    assert good.usual[1] in good.edges
    assert good.usual[0] in (*good.edges, 0.0)
    assert NO_SOURCE in good.source


@pytest.mark.parametrize("good", EVERY)
def test_words_change_at_the_edges_and_ends_are_usual(good):
    """Just below, at, just above each edge, by plain comparison; at the ends of the usual range it is still usual."""
    low, high = good.usual
    for place, edge in enumerate(good.edges):
        below, above = good.words[place], good.words[place + 1]
        assert good.word(nextafter(edge, -inf)) == below
        assert good.word(nextafter(edge, inf)) == above
        # At the edge itself the word nearer to the usual range.
        assert good.word(edge) == (above if edge <= low else below)
    for end in good.usual:
        assert placed_as(good, end).is_usual
    # Past an end by more than the digits that are shown tell: no tape knows the rest.
    assert placed_as(good, nextafter(high, inf)).is_usual
    step = {"length": 1.2e-3, "angle": 0.0011, "percent": 0.0051}.get(good.quantity, 0.6 * 10.0 ** -good.decimals[0])
    if good.quantity == "length":
        step = 1.3e-3 + 1e-9
    assert not placed_as(good, high + 1.1 * step).is_usual
    if low > 0.0:
        assert not placed_as(good, low - 1.1 * step).is_usual


def placed_as(good, value):
    one = placed("body_frequency", 1.0, "front")
    return replace(one, good=good, value=value)


def test_sentences():
    """The trade's example, and both systems of units (1 in = 25.4 mm, NIST SP 811)."""
    assert placed("body_frequency", 1.62, "front").sentence == "front ride frequency 1.6 Hz: firm, usual 1.0 to 2.3 Hz"
    assert (
        placed("body_frequency", 1.7, "rear", loaded=1.0).sentence
        == "rear ride frequency (loaded) 1.7 Hz: hard, usual 1.0 to 1.6 Hz"
    )
    assert placed("body_damping", 0.3, "rear").sentence == "rear damping ratio 0.30: as usual (0.20 to 0.40)"
    assert placed("bump_left", 0.0508, "rear").said == "51 mm (2.0 in): little, usual 75 to 150 mm (3.0 to 5.9 in)"
    with shown_in("inch"):
        assert placed("bump_left", 0.0508, "rear").said == "2.0 in: little, usual 3.0 to 5.9 in"
    assert placed("wind_up", 0.2, "rear").said == "11.5 deg: much, usual up to 10.0 deg"
    assert placed("motion_ratio", 0.5, "front", damper="main").label == "front damper 'main', motion ratio"
    assert placed("bump_left", nan, "front") is None
    assert placed("bump_left", inf, "front") is None


def test_what_reads_as_an_end_of_the_usual_is_usual():
    """65.85 mm beside 66, 2.34 Hz beside 2.3: it is judged by the digits that are shown, and they agree with the word."""
    for value, text in (
        (2.34, "2.3 Hz: firm, usual 1.0 to 2.3 Hz"),
        (0.96, "1.0 Hz: comfortable, usual 1.0 to 2.3 Hz"),
        (2.36, "2.4 Hz: hard, usual 1.0 to 2.3 Hz"),
        (0.94, "0.9 Hz: soft, usual 1.0 to 2.3 Hz"),
    ):
        assert placed("body_frequency", value, "rear").said == text
    assert placed("droop_left", 0.07497, "front").said == "75 mm (3.0 in): as usual (75 to 225 mm (3.0 to 8.9 in))"
    # 74.8 mm is 2.94 in, and 75 mm 2.95 in: the same to a tape, 2.9 and 3.0 in to a tenth.
    assert placed("droop_left", 0.0748, "front").said == "75 mm (2.9 in): as usual (75 to 225 mm (3.0 to 8.9 in))"
    # 0.36 of the way from 75 to 50 mm.
    part = placed("bump_left", 0.06585, "front", loaded=0.36)
    assert part.good.usual[0] == pytest.approx(0.066)
    assert part.is_usual
    assert part.word == "as usual"
    assert placed("droop_left", 0.0735, "front").word == "little"


def hop_ends(mass, rate):
    """How low and how high a hop of sqrt(k/m) may be, as shares of it: with a quarter off the mass it is 1.155 times as quick."""
    least = exp(-0.5 * hypot(log(1.0 + mass), log(1.0 - rate)))
    return least, exp(0.5 * hypot(log(1.0 - mass), log(1.0 + rate)))


def test_what_is_not_in_doubt_is_not_to_be_measured():
    """However near an end it lies, and however it is rounded, a figure that rests on no estimate asks for no tape."""
    for value in np.linspace(0.070, 0.076, 61):
        assert not placed("droop_left", float(value), "rear").may_be
        assert "measure" not in placed("droop_left", float(value), "rear").sentence


def test_figures_that_read_alike_are_as_sure():
    """6.76 and 6.84 Hz are both 6.8 Hz; times 1.18 that is 8.02 Hz, and the usual begins at 8.0 Hz."""
    for value, most, word in (
        (6.76, 1.18, "may be slow"),
        (6.84, 1.18, "may be slow"),
        (6.84, 1.17, "slow"),
        (6.76, 1.17, "slow"),
    ):
        said = placed("hop_frequency", value, "front", doubt=(0.85, most, "the mass of the axle")).said
        assert said.startswith(f"6.8 Hz: {word},"), said


def test_wind_up_of_the_front_axle_says_that_its_brakes_alone_are_counted():
    """It need not be driven; the rear one is counted as it pulls."""
    assert placed("wind_up", 0.1, "front").label == (
        "front steady wind-up at the limit of grip (0.8, load shifted, its brakes alone)"
    )
    assert placed("wind_up", 0.1, "rear").label == "rear steady wind-up at the limit of grip (0.8, load shifted)"


def test_what_is_out_of_the_usual_by_its_middle_value_alone_says_may_be_and_what_to_measure():
    """A hop of sqrt(k/m): 7.1 Hz of an axle of 300 kg, 75 more or less, on 287 N/mm, 57 more or less, may be 8.4 Hz."""
    ends = hop_ends(75.0 / 300.0, 57.0 / 287.0)
    may = placed("hop_frequency", 7.1, "front", doubt=(*ends, "the mass of the axle"))
    assert may.said == "7.1 Hz: may be slow, as estimated: measure the mass of the axle, usual 8.0 to 12.0 Hz"
    sure = placed("hop_frequency", 6.5, "front", doubt=(*ends, "the mass of the axle"))
    assert sure.said == "6.5 Hz: slow, usual 8.0 to 12.0 Hz"
    truck = sim.vehicle_from(
        {
            "weighed": {"front": "1510 kg", "rear": "1240 kg"},
            "wheelbase": "2650 mm",
            "front": {"tyre": {"size": "255/85R16", "pressure": "2.4 bar"}},
        }
    )
    (hop,) = [one for one in placings(stand(truck)) if (one.kind, one.axle) == ("hop_frequency", "front")]
    mass, rate = (
        next(e for e in truck.estimates if e.path == f"front.{path}") for path in ("housing.mass", "tyre.rate")
    )
    assert (hop.least, hop.most) == pytest.approx(hop_ends(mass.half / mass.value, rate.half / rate.value))


def test_every_range_is_shown_by_stand_and_written_by_compare(capsys, tmp_path):
    taped = tmp_path / "taped.yaml"
    places = {
        f"{axle}_wing": {"edge": {"behind_front_axle": at, "above_ground": "1 m"}}
        for axle, at in (("front", "0 m"), ("rear", "2.95 m"))
    }
    asked = yaml.safe_load(Path("scenarios/will_it_bottom.yaml").read_text(encoding="utf-8"))
    asked["vehicle"] = str(Path(TRUCK).absolute())
    asked["setups"] = {"taped": {"outline": places}}
    taped.write_text(yaml.safe_dump(asked), encoding="utf-8")
    assert main(["stand", str(taped), "--no-doubt", "--all"]) == 0
    shown = " ".join(capsys.readouterr().out.split())
    for name, good in GOOD.items():
        assert good.called("front", "main") in shown, name
        assert between(good) in shown, name
    assert main(["compare", str(taped), "--no-plots", "--no-doubt", "--outputs", str(tmp_path)]) == 0
    said = " ".join(capsys.readouterr().out.split())
    with next(tmp_path.rglob("usual.csv")).open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert {row["what"] for row in rows} >= {
        good.called(axle, "main") for good in GOOD.values() for axle in ("front", "rear")
    }
    for row in rows:
        value, low, high = float(row["value"]), float(row["usual from"]), float(row["usual to"])
        assert row["usual"] == ("yes" if low <= value <= high else "no")
        # What is not usual is said with the comparison, in the set-up's own line.
        if row["usual"] == "no":
            assert row["what"] in said
            assert row["called"] in said


def test_a_loaded_axle_is_known_by_levers():
    """600 kg over the rear axle are on that axle alone; over the front one, on that."""
    truck = sim.load(TRUCK)
    place = {"above_ground": "1 m"}
    over = {
        end: {"mass": "600 kg", "place": {**place, "behind_front_axle": at}}
        for end, at in (("rear", "2.95 m"), ("front", "0 m"))
    }
    for end, other in (("rear", "front"), ("front", "rear")):
        loaded = stand(truck.changed({"loads.cargo": over[end]}))
        assert loaded_share(loaded, end) == 1.0
        assert loaded_share(loaded, other) == 0.0
        words = {(one.kind, one.axle): one for one in placings(loaded)}
        assert words["bump_left", end].good == GOOD_LOADED["bump_left"]
        assert words["bump_left", other].good == GOOD["bump_left"]
    assert not any(loaded_share(stand(truck), end) for end in ("front", "rear"))


def test_between_empty_and_loaded_no_word_turns_at_a_kilogram():
    """Half of the share that makes a loaded axle: ranges half way, 62.5 mm of bump for 75 empty and 50 loaded, 1.4 Hz for 1.5 and 1.3."""
    half = placed("bump_left", 0.0630, "front", loaded=0.5)
    assert half.good.usual == pytest.approx((0.0625, 0.15))
    assert half.word == "as usual"
    assert placed("bump_left", 0.0620, "front", loaded=0.5).sentence.startswith(
        "front bump travel left (part loaded) 62"
    )
    assert placed("body_frequency", 1.41, "rear", loaded=0.5).word == "firm"
    assert placed("body_frequency", 1.39, "rear", loaded=0.5).word == "comfortable"
    assert placed("hop_damping", 0.3, "rear", loaded=0.5).sentence == placed("hop_damping", 0.3, "rear").sentence
    # The more load, the less travel is asked for, and never by a jump.
    words = [placed("bump_left", 0.0615, "front", loaded=share / 20).is_usual for share in range(21)]
    assert words == sorted(words)


def test_wind_up_at_the_limit_of_grip():
    """By hand: N = N0 / (1 - mu h / L) on the axle that pulls (statics), mu N r over the housing's spring of 27 kN m/rad, r with what the tyre then gives."""
    truck = sim.load(TRUCK)
    standing = stand(truck)
    for axle, rate in (("rear", 27e3), ("front", truck.front.guide.wind_up.rate)):
        own = standing.axles[axle]
        (one,) = (p for p in placings(standing) if (p.kind, p.axle) == ("wind_up", axle))
        load = own.load / (1.0 - 0.8 * standing.whole_height / 2.95)
        radius = own.centre_height - (load - own.load) / own.tyre_rate
        assert one.value == pytest.approx(0.8 * load * radius / rate, rel=1e-9)
        # a quarter more than without what shifts
        assert one.value > 1.2 * 0.8 * own.load * own.centre_height / rate
    # the truck stands upon one axle where h / L is 1 / mu, and no axle bears more than the truck weighs
    steep = truck.changed(
        {"body.centre_of_gravity.above_ground": "4 m", "front.dampers": "none", "rear.dampers": "none"}
    )
    whole = sum(axle.load for axle in stand(steep).axles.values())
    assert wound_up(stand(steep), "rear", 0.8) < 0.8 * whole * 0.42 / 27e3


def test_wind_up_on_packs_over_and_under_the_axle():
    """By hand (docs/equations.md): about the seat, s above the centre, F (r + s) / (K - V s), V what the axle carries there."""
    for seat, block, up in (("70 mm", "50 mm", 0.12), ("-70 mm", "0 mm", -0.07)):
        truck = seated_truck(seat).changed({"rear.springs.pack.block": block})
        standing = stand(truck)
        own = standing.axles["rear"]
        load = own.load / (1.0 - 0.8 * standing.whole_height / 2.95)
        radius = own.centre_height - (load - own.load) / own.tyre_rate
        carried = load - own.unsprung_mass * 9.80665
        assert wound_up(standing, "rear", 0.8) == pytest.approx(
            0.8 * load * (radius + up) / (27e3 - carried * up), rel=1e-6
        )


def test_wind_up_by_the_closed_form_against_a_run():
    """A launch on the level, throttle opened slowly, leaves without friction: load on the tyres and wind-up at the moment of the greatest pull.

    A run turns the housing by the tyre's rolling radius, which is longer than the axle is high by two thirds of what the tyre gives: 4 % of it.
    """
    ends = {"length_extended": "1 m", "length_collapsed": "0.1 m"}
    truck = sim.load(TRUCK).changed(
        {
            "rear.springs.pack.friction": "0 N",
            "rear.stop.gap": "0.2 m",
            "rear.strap": "none",
            **{f"rear.dampers.main.{key}": value for key, value in ends.items()},
        }
    )
    gravel = {"name": "gravel", "friction": 0.8, "sliding": 0.7, "peak_at": "14 %"}
    run = sim.simulate(
        truck, Launch.model_validate({"kind": "launch", "surface": gravel, "throttle_rise": "4 s", "watch": "12 s"})
    )
    pull, load = run.drive.rear.traction_n, run.rear.tyre_load_n
    n = int(pull.argmax())
    grip = float(pull[n] / load[n])
    assert grip > 0.5
    standing = stand(truck)
    assert standing.axles["rear"].load / (1.0 - grip * standing.whole_height / 2.95) == pytest.approx(
        float(load[n]), rel=0.03
    )
    assert wound_up(standing, "rear", grip) == pytest.approx(float(run.rear.wind_up_rad[n]), rel=0.08)
    # without what shifts it is a quarter short
    assert grip * standing.axles["rear"].load * standing.axles["rear"].centre_height / 27e3 < 0.8 * float(
        run.rear.wind_up_rad[n]
    )


def test_bare_springs_are_not_called_badly_damped():
    bare = stand(sim.load(TRUCK).changed({"front.dampers": "none", "rear.dampers": "none"}))
    assert not any("damping" in one.kind or one.name for one in placings(bare))


@pytest.mark.parametrize(
    ("rear", "word"),
    [
        (10e3, "slower than the front"),
        # Under 400 and 600 kg: the square root of (rear / 600) / (18000 / 400) is 0.79, 1.19 and 1.60.
        (38.3e3, "as usual"),
        (69e3, "far from the front's"),
    ],
)
def test_a_rear_that_rides_far_from_the_front_is_said(rear, word):
    """The rear some 10 to 30 % quicker than the front lets a truck go flat over a bump (M. Olley, by T. D. Gillespie 1992, from memory)."""
    standing = stand(car(1000.0, 1500.0, 1.5, 1.0, 18e3, rear))
    ratio = next(one for one in placings(standing) if one.kind == "frequency_ratio")
    assert ratio.axle == "rear"
    assert ratio.value == pytest.approx(((rear / 600.0) / (18e3 / 400.0)) ** 0.5, rel=1e-3)
    assert ratio.word.startswith(word)
    assert ratio.is_usual == (word == "as usual")
