"""Estimates against vehicles and handbooks: each within its stated spread, or inside the range that a handbook gives.

F: read in the source or a public copy of it. M: from memory. What has no such value is common practice and says so in its file.
"""

from math import pi
from pathlib import Path

import pytest

from sim.describe.estimates import (
    ESTIMATES,
    centre_of_gravity,
    damper_gas,
    housing_mass,
    people,
    pitch_inertia,
    tyre_damping,
    tyre_rate,
    wheelbase,
)
from sim.describe.estimates.completing import completed
from sim.describe.estimates.estimate import Where
from sim.describe.estimates.truck import GRAVITY, Truck
from sim.describe.estimates.tyre_size import tyre_size
from sim.describe.estimates.valving import RATIOS, SLOPE_OFF
from sim.describe.estimates.weights import axle_load
from sim.describe.estimates.wind_up import leaf_rate
from sim.describe.files.vehicles import vehicle_from
from sim.linear.standing import stand
from tests.describe.estimates.published_values import (
    CARS,
    COILS,
    CONTACTS,
    DAMPER_SIZES,
    DEFLECTIONS,
    GRADUATED,
    HELD,
    LB,
    LEAF_RATES,
    MEASURED_BY_LENGTH,
    MEASURED_BY_WHEELBASE,
    MONOTUBES,
    PACKS,
    PERSONS,
    RATE_OF_LEAVES,
    SPLITS,
    TWIN_TUBES,
    WIDTHS,
)


def found_on(path, **truck):
    """Return one estimate of a truck that is weighed, by its path."""
    return {one.path: one for one in completed({"weighed": {}, **truck})[1]}[path]


def truck_of(**body):
    return Truck({"weighed": {}, **body})


@pytest.mark.parametrize(("name", "mass", "length", "inertia"), MEASURED_BY_LENGTH)
def test_pitch_inertia_by_length(name, mass, length, inertia):
    truck = truck_of(
        wheelbase="3 m",
        overall_length=f"{length} m",
        body={"mass": f"{mass} kg", "centre_of_gravity": {"behind_front_axle": "1.4 m"}},
    )
    worth = pitch_inertia.value(truck, Where())
    assert worth.value == pytest.approx(inertia, abs=worth.half)


@pytest.mark.parametrize(("name", "mass", "wheelbase", "inertia"), MEASURED_BY_WHEELBASE)
def test_pitch_inertia_by_wheelbase(name, mass, wheelbase, inertia):
    truck = truck_of(
        wheelbase=f"{wheelbase} m",
        body={"mass": f"{mass} kg", "centre_of_gravity": {"behind_front_axle": f"{wheelbase / 2} m"}},
    )
    worth = pitch_inertia.value(truck, Where())
    assert worth.value == pytest.approx(inertia, abs=worth.half)


@pytest.mark.parametrize("car", CARS.values(), ids=CARS)
def test_pitch_inertia_of_a_sprung_mass_by_wheelbase(car):
    truck = truck_of(
        wheelbase=f"{car.behind + car.ahead!r} m",
        body={"mass": f"{car.sprung} kg", "centre_of_gravity": {"behind_front_axle": f"{car.behind} m"}},
    )
    worth = pitch_inertia.value(truck, Where())
    assert worth.value == pytest.approx(car.pitch_inertia, abs=worth.half)


@pytest.mark.parametrize("car", CARS.values(), ids=CARS)
def test_wheelbase_that_nobody_has_taped(car):
    worth = wheelbase.value(Truck({"weighed": {}}), Where())
    assert car.behind + car.ahead == pytest.approx(worth.value, abs=worth.half)


@pytest.mark.parametrize("car", CARS.values(), ids=CARS)
def test_a_word_for_the_valving_covers_what_cars_have(car):
    """Damping ratios of 0.27 to 0.40 of an end of the body: each lies within the spread of *stock* or *firm*."""
    for mass, rate, damping in car.ends():
        ratio = damping / (2.0 * (rate * mass) ** 0.5)
        assert any(ratio == pytest.approx(RATIOS[word], rel=SLOPE_OFF["rebound"]) for word in ("stock", "firm"))


@pytest.mark.parametrize("height", [0.69, 0.70, 0.662, 0.736])
def test_height_of_the_centre_of_gravity(height):
    """Pickup 0.69 m, sport-utility 0.70 m; means of light trucks by decade 0.662 to 0.736 m (NHTSA, F at second hand), on tyres of 0.36 m (M)."""
    assert pytest.approx(height, abs=centre_of_gravity.OFF) == 0.36 - 0.02 + centre_of_gravity.ABOVE_AXLES


@pytest.mark.parametrize(
    ("name", "load", "wheel", "low", "high"),
    [
        # Barton and Fieldhouse, Automotive Chassis Engineering, sec. 3.11: 180 kg rear axle, body of 1280 kg (F), half of it on either axle
        ("a car's rear axle", 820, 31, 180, 180),
        ("light truck, live rear axle", 950, 31, 150, 250),  # M
        ("light truck, live front axle", 1000, 31, 150, 220),  # M
        ("heavy truck, drive axle: 2300 lb under 17,000 lb", 17000 * LB, 31, 2300 * LB, 2300 * LB),  # UMTRI, M
    ],
)
def test_mass_of_an_axle(name, load, wheel, low, high):
    mass = housing_mass.AT_A_TONNE * (load / 1e3) ** housing_mass.POWER + 2.0 * (wheel - housing_mass.REFERENCE_WHEEL)
    assert low - housing_mass.OFF * mass <= mass <= high + housing_mass.OFF * mass


@pytest.mark.parametrize(
    ("size", "pressure_bar", "low", "high"),
    [
        # Light-truck tyres 250 to 400 kN/m, car tyres 150 to 250 kN/m at rated pressure (M); 192 kN/m (Barton and Fieldhouse, F), a car's
        ("235/85R16", 4.5, 250e3, 400e3), ("7.50R16", 3.5, 250e3, 400e3), ("33x12.50R15", 2.4, 250e3, 400e3),
        ("195/65R15", 2.2, 150e3, 250e3), ("175/65R14", 2.2, 150e3, 250e3), ("185/65R15", 2.0, 192e3, 192e3),
    ],
)  # fmt: skip
def test_tyre_rate(size, pressure_bar, low, high):
    rate = tyre_rate.rate_of(tyre_size(size), pressure_bar * 1e5)
    assert low - tyre_rate.OFF * rate <= rate <= high + tyre_rate.OFF * rate


def test_tyre_rate_grows_nearly_as_pressure():
    """Roughly linear in pressure (M), with what the tyre carries empty."""
    low, high = (tyre_rate.rate_of(tyre_size("235/85R16"), bar * 1e5) for bar in (2.0, 4.0))
    assert 1.6 < high / low < 2.0


def test_a_pressure_that_is_only_known_of_the_other_axle_is_taken_with_its_spread():
    """Trucks are pumped up alike until somebody says otherwise (common practice, no source)."""
    size = {"size": "235/85R16"}
    truck = Truck({"weighed": {}, "front": {"tyre": size | {"pressure": "1.8 bar"}}, "rear": {"tyre": size}})
    front, rear = (tyre_rate.value(truck, Where(axle)) for axle in ("front", "rear"))
    assert rear.value == front.value < tyre_rate.rate_of(tyre_size("235/85R16"), 2.2e5)
    assert rear.half > front.half
    assert "front tyres' pressure" in rear.of
    assert "usual" not in front.of


@pytest.mark.parametrize(
    ("size", "diameter_mm"),
    [
        # by their own arithmetic (ISO 4000-1): rim and twice the wall
        ("235/85R16", 16 * 25.4 + 2 * 0.85 * 235), ("LT265/75R16", 16 * 25.4 + 2 * 0.75 * 265), ("205/80-16", 16 * 25.4 + 2 * 0.8 * 205),
        ("33x12.50R15", 33 * 25.4), ("31x10.5R15LT", 31 * 25.4), ("37 x 13.50 R 17", 37 * 25.4), ("195/65 R15 91H", 15 * 25.4 + 2 * 0.65 * 195),
        # catalogues, M
        ("7.50-16", 802), ("7.50R16", 802), ("6.00-16", 721), ("205R16", 743), ("9.00-16", 889),
    ],
)  # fmt: skip
def test_diameter_by_size(size, diameter_mm):
    assert 1e3 * tyre_size(size).diameter == pytest.approx(diameter_mm, rel=0.02)


@pytest.mark.parametrize(
    "text", ["", "33", "big", "235/85", "999/99R99", "R16", "33x12", "-235/85R16", "1e9/85R16", "235/0R16"]
)
def test_what_is_no_size_is_none(text):
    assert tyre_size(text) is None


@pytest.mark.parametrize("rate_mass", [(192e3, 45.4), (250e3, 100.0), (300e3, 130.0)])
def test_tyre_damping(rate_mass):
    """0.02 to 0.05 of the wheel-hop mode, 50 to 500 N s/m (M)."""
    rate, mass = rate_mass
    damping = 2.0 * tyre_damping.RATIO * (rate * mass) ** 0.5
    assert 50.0 < damping < 500.0
    for ratio in (0.02, 0.05):
        other = 2.0 * ratio * (rate * mass) ** 0.5
        assert damping == pytest.approx(other, abs=tyre_damping.OFF * damping * 1.12)


def gas_of(**damper):
    return damper_gas.value(Truck({"front": {"dampers": {"main": damper}}}), Where("front", "main"))


@pytest.mark.parametrize("push", MONOTUBES)
def test_gas_push_of_a_monotube(push):
    worth = gas_of(construction="monotube")
    assert worth.value == pytest.approx(push, abs=worth.half)
    assert worth.value == pytest.approx(14e5 * pi / 4 * 0.016**2)


@pytest.mark.parametrize("push", TWIN_TUBES)
def test_gas_push_of_a_twin_tube(push):
    worth = gas_of(construction="twin_tube")
    assert worth.value == pytest.approx(push, abs=worth.half)


@pytest.mark.parametrize("push", [0.0, min(MONOTUBES), *TWIN_TUBES])
def test_gas_push_of_a_damper_of_which_nobody_says_how_it_is_built(push):
    """None, low pressure, and the softest of the monotubes: those of high pressure push more, as its reach says, and are to be named."""
    worth = gas_of()
    assert worth.value == pytest.approx(push, abs=worth.half)
    assert worth.half <= worth.value  # gas never pulls
    assert max(MONOTUBES) == pytest.approx(270.0, abs=5.0)
    assert "up to 270 N" in damper_gas.RULES[0].reach


@pytest.mark.parametrize(("name", "length", "width"), PACKS)
def test_length_and_half_of_a_leaf_pack(name, length, width):
    half = found_on("rear.guide.fixed_half_length")
    assert half.value == pytest.approx(0.5 * length, abs=half.half)
    whole = found_on("rear.springs.pack.length", rear={"springs": {"pack": {"leaf_thickness": "9 mm"}}})
    assert whole.value == pytest.approx(length, abs=whole.half)


@pytest.mark.parametrize("width", WIDTHS)
def test_width_of_a_leaf(width):
    found = found_on("front.springs.pack.leaf_width", front={"springs": {"pack": {"leaf_thickness": "9 mm"}}})
    assert found.value == pytest.approx(width, abs=found.half)


@pytest.mark.parametrize(("name", "load", "tyre", "length"), CONTACTS)
def test_length_of_the_contact_patch(name, load, tyre, length):
    axle = f"{2 * load / GRAVITY!r} kg"
    found = found_on("front.tyre.contact_length", weighed={"front": axle, "rear": axle}, front={"tyre": tyre})
    assert found.value == pytest.approx(length, abs=found.half)


def test_the_contact_patch_is_the_chord_of_half_of_the_give():
    """G. Rill, Road Vehicle Dynamics, 2011, ch. 3 (M): side walls and belt give alike, so that L = √(8 R d/2) of a tyre that gives d."""
    load, radius, rate = 5000.0, 0.35, 500e3
    axle, tyre = f"{2 * load / GRAVITY!r} kg", {"radius": f"{radius} m", "rate": f"{rate} N/m"}
    found = found_on("front.tyre.contact_length", weighed={"front": axle, "rear": axle}, front={"tyre": tyre})
    assert found.value == pytest.approx(
        (8 * radius * 0.5 * load / rate) ** 0.5, rel=0.01
    )  # less the square of a give of 1/35 R


@pytest.mark.parametrize(("name", "mass", "length", "inertia"), MEASURED_BY_LENGTH)
def test_weight_of_a_truck_of_which_nothing_was_weighed(name, mass, length, inertia):
    loads = [axle_load(Truck({"weighed": {}}), axle) for axle in ("front", "rear")]
    assert sum(one.value for one in loads) == pytest.approx(mass, abs=sum(one.half for one in loads))


@pytest.mark.parametrize("car", CARS.values(), ids=CARS)
def test_load_of_an_axle_by_that_of_the_other(car):
    whole, behind, length = car.sprung + 2.0 * car.unsprung, car.behind, car.behind + car.ahead
    loads = {
        "front": car.sprung * car.ahead / length + car.unsprung,
        "rear": car.sprung * behind / length + car.unsprung,
    }
    assert sum(loads.values()) == pytest.approx(whole)
    for axle, other in (("front", "rear"), ("rear", "front")):
        worth = axle_load(Truck({"weighed": {other: f"{loads[other]!r} kg"}}), axle)
        assert worth.value == pytest.approx(loads[axle], abs=worth.half)


def test_rate_of_a_pack_by_its_leaves():
    """Khurmi's exercise: 7 leaves, 2 of full length, 65 x 9 mm, (1100 - 2/3 80) mm, E 210 GPa: 185.1 N/mm (F inputs, recomputed)."""
    pack = {
        "leaves": 7,
        "full_length_leaves": 2,
        "leaf_width": "65 mm",
        "leaf_thickness": "9 mm",
        "length": f"{1100 - 160 / 3!r} mm",
    }
    rate = leaf_rate(Truck({"rear": {"springs": {"pack": pack}}}), "rear", "pack")
    assert rate * 210 / 207 == pytest.approx(185.1e3, rel=1e-3)


def test_wind_up_of_a_symmetric_pack():
    """k L²/4 a pack: 30 N/mm, 1.30 m give 12675 N m/rad each, 25350 for two (SAE leaf spring manual's form, M; recomputed)."""
    rear = {"springs": {"pack": {"rate": "30 N/mm"}}, "guide": {"fixed_half_length": "650 mm"}}
    estimates = {one.path: one for one in completed({"weighed": {}, "rear": rear})[1]}
    assert estimates["rear.guide.wind_up.rate"].value == pytest.approx(25350, rel=1e-9)
    assert estimates["rear.guide.wind_up.rate"].half == pytest.approx(0.3 * 25350)


def test_wind_up_is_known_no_better_than_what_it_is_computed_from():
    """By small changes: its rate goes as the pack's rate and as the square of its half, and doubts add as roots of squares."""
    given = found_on(
        "rear.guide.wind_up.rate",
        rear={"springs": {"pack": {"rate": "30 N/mm +- 3 N/mm"}}, "guide": {"fixed_half_length": "600 mm +- 30 mm"}},
    )
    assert given.half / given.value == pytest.approx((0.3**2 + 0.1**2 + (2 * 0.05) ** 2) ** 0.5)
    guessed = found_on("rear.guide.wind_up.rate")
    half, rate = (found_on(f"rear.{path}") for path in ("guide.fixed_half_length", "springs.pack.rate"))
    assert guessed.half / guessed.value == pytest.approx(
        (0.3**2 + (rate.half / rate.value) ** 2 + (2 * half.half / half.value) ** 2) ** 0.5, rel=0.01
    )


def test_stop_carries_twice_its_wheel_when_solid():
    full = vehicle_from({"weighed": {"front": "1000 kg", "rear": "900 kg"}, "wheelbase": "2.5 m"})
    stop = full.front.stop
    assert stop.force(stop.squeeze) == pytest.approx(2.0 * 500 * GRAVITY, rel=0.03)


def test_axle_loads_are_kept_whatever_is_estimated():
    """Moments and weights of all parts add up to the ticket, with dampers, people and loads of one's own aboard."""
    truck = {
        "weighed": {"front": "2450 lb", "rear": "1780 lb", "aboard": ["driver", "passenger"]}, "wheelbase": "92 in",
        "loads": {"tools": {"mass": "60 kg", "place": {"behind_front_axle": "2.2 m", "above_ground": "0.8 m"}}},
        "front": {"dampers": {"main": {"count": 4, "tube_end": "up", "construction": "monotube"}}},
        "rear": {"housing": {"centre_of_gravity": {"ahead": "60 mm", "above": "0 mm"}}},
    }  # fmt: skip
    standing = stand(vehicle_from(truck))
    for axle, pounds in (("front", 2450), ("rear", 1780)):
        assert standing.axles[axle].load == pytest.approx(pounds * LB * GRAVITY, rel=2e-5)


@pytest.mark.parametrize(("name", "mass", "rate"), COILS)
def test_rate_of_a_coil_by_its_ride(name, mass, rate):
    # What an axle carries above its springs, and so what its two coils have to.
    body = {
        "weighed": {"front": f"{2 * mass + 200!r} kg", "front_unsprung": "200 kg"},
        "front": {"springs": {"coil": {}}},
    }
    found = {one.path: one for one in completed(body)[1]}["front.springs.coil.rate"]
    assert found.value == pytest.approx(rate, abs=found.half)
    assert found.half <= 0.4 * found.value * (1 + 1e-9)


@pytest.mark.parametrize("mass", PERSONS)
def test_mass_of_a_person(mass):
    worth = people.mass(Truck({}), Where("", "driver"))
    assert worth.value == pytest.approx(mass, abs=worth.half)


PUBLISHED = {
    "wheelbase": len(CARS), "{axle}.tyre.rate": 6, "{axle}.tyre.radius": 12, "{axle}.housing.mass": 4, "{axle}.tyre.damping": 3,
    "body.centre_of_gravity.above_ground": 4, "body.pitch_inertia": len(MEASURED_BY_LENGTH) + len(MEASURED_BY_WHEELBASE) + len(CARS),
    "{axle}.dampers.{name}.gas_force": len(MONOTUBES) + len(TWIN_TUBES), "{axle}.springs.{name}.rate": len(COILS) + len(DEFLECTIONS) + len(LEAF_RATES), "loads.{name}.mass": len(PERSONS),
    "{axle}.tyre.contact_length": len(CONTACTS) - 1, "{axle}.guide.fixed_half_length": len(PACKS), "{axle}.springs.{name}.length": len(PACKS),
    "{axle}.springs.{name}.leaf_width": len(WIDTHS), "{axle}.springs.{name}.leaves": len(GRADUATED), "{axle}.springs.{name}.clamped": len(HELD),
    "{axle}.springs.{name}.full_length_leaves": sum(one.full_length is not None for one in GRADUATED.values()),
    "{axle}.springs.{name}.rate_factor": len(RATE_OF_LEAVES) + len(LEAF_RATES), "{axle}.springs.{name}.friction": len(GRADUATED),
    "{axle}.dampers.{name}.length_collapsed": len(DAMPER_SIZES), "{axle}.dampers.{name}.length_extended": len(DAMPER_SIZES),
    "{axle}.dampers.{name}.valving.compression.low": len(SPLITS), "{axle}.dampers.{name}.valving.rebound.low": len(SPLITS),
}  # fmt: skip
"""Estimates that pass published vehicles or handbook values, above and in test_against_handbooks.py, and how many of them."""

BY_FORMULA = ("arithmetic", "Shigley", "Khurmi", "SAE leaf spring manual", "geometry")
"""Sources of a formula: what goes into it is measured or estimated by itself, and the formula is tested beside its part."""


@pytest.mark.parametrize("rule", ESTIMATES, ids=lambda rule: rule.path)
def test_what_is_checked_by_fewer_than_three_published_values_says_that_it_has_no_source(rule):
    """An estimate passes three of them, is a formula, or says that it is common practice, ours, or from memory without a source."""
    if rule.path in PUBLISHED:
        assert PUBLISHED[rule.path] >= 3
        return
    assert any(words in rule.source for words in (*BY_FORMULA, "no source", "ours, stated"))


PAGE = (Path(__file__).parents[3] / "docs" / "measure" / "README.md").read_text(encoding="utf-8")


def test_the_page_names_what_passes_published_values():
    table = PAGE.split("## What was compared with published values")[1]
    named = {path for path in PUBLISHED if f"`{path.replace('{axle}.', '').replace('{name}.', '')}`" in table}
    assert named == set(PUBLISHED)


BY_HANDBOOK_FORMULA = (
    "{axle}.stop.rate_full", "{axle}.fore_and_aft.rate", "{axle}.guide.wind_up.rate", "{axle}.housing.pitch_inertia",
    "{axle}.dampers.{name}.tube_mass", "{axle}.dampers.{name}.rod_mass",
)  # fmt: skip
"""Estimates worked out by a handbook's formula at sizes of ours: test_rubber.py, test_housing_inertia.py, test_against_handbooks.py."""


@pytest.mark.parametrize("path", BY_HANDBOOK_FORMULA)
def test_the_page_names_what_is_worked_out_at_sizes_of_ours(path):
    """None of them counts as a published value, and each says in its source that its sizes have none."""
    assert path not in PUBLISHED
    table = PAGE.split("**Worked out by a handbook's formula**")[1].split("**One or two values**")[0]
    assert f"`{path.replace('{axle}.', '').replace('{name}.', '')}`" in table
    on_arms = {one.path: one for one in completed({"weighed": {}, "front": {"springs": {"coil": {}}}})[1]}
    assert "common practice, no source" in on_arms[path.format(axle="front", name="main")].source
