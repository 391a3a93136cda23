"""Numbers put in without reading parts anew: the same set-up and the same records as by reading them, and refused where that refuses."""

from collections.abc import Mapping

import pytest
from pydantic import BaseModel

import sim
from sim.describe.direct import Direct
from sim.describe.parts.vehicle import Vehicle
from sim.describe.replaced import only_laws_differ, value_at, with_values
from sim.describe.valved import Valved
from sim.errors import InputError, JounceError
from sim.lower.lowering import lower


def numbers_of(part, place=()):
    """Return the paths of all numbers of a part."""
    if isinstance(part, bool):
        return []
    if isinstance(part, int | float):
        return [".".join(place)]
    if isinstance(part, BaseModel):
        inside = {name: getattr(part, name) for name in type(part).model_fields}
    elif isinstance(part, Mapping):
        inside = part
    else:
        inside = dict(enumerate(part)) if isinstance(part, tuple) else {}
    return [path for key, one in inside.items() for path in numbers_of(one, (*place, str(key)))]


def records_of(vehicle):
    """Return what a set-up is lowered to, its numbers all."""
    setup = lower(vehicle)
    place = setup.place.cg_behind_front_axle, setup.place.cg_above_ground
    return setup.body, setup.axles, setup.paths, setup.lines, setup.points, setup.height, place


def answer(work):
    """Return what comes of it, or how it is refused."""
    try:
        return work()
    except JounceError as error:
        return str(error)


SCENARIOS = ("two_or_four", "soft_or_stiff_leaves", "lean_against_wind_up", "which_tyre_pressure", "will_they_fade")


@pytest.mark.parametrize("name", SCENARIOS)
def test_every_number_of_every_truck_is_put_in_as_it_would_be_read(name):
    vehicle = list(sim.load(f"scenarios/{name}.yaml").setups.values())[-1]
    paths, direct = numbers_of(vehicle), 0
    for path in paths:
        here = value_at(vehicle, path)
        # One more of what is counted; else little enough that its part stays sensible.
        moved = here + 1 if isinstance(here, int) else 1.01 * here + (0.0 if here else 1e-3)
        way = Direct(vehicle, [path])
        read = answer(lambda path=path, moved=moved: with_values(vehicle, {path: moved}))
        assert answer(lambda way=way, moved=moved: way.at([moved])) == read, path
        made = way._made([moved])
        if made is not None:
            direct += 1
            assert made == read, path
            assert made.reference is read.reference
            lowered = answer(lambda made=made: records_of(made)), answer(lambda read=read: records_of(read))
            assert lowered[0] == lowered[1], path
    assert len(paths) > 100
    assert direct > 0.8 * len(paths)


def test_what_reading_refuses_is_refused_in_the_same_words():
    truck = sim.load("scenarios/two_or_four.yaml").setups["two front"]
    good = {"front.dampers.main.length_extended": 0.70, "front.tyre.rate": 2.5e5, "body.mass": 1600.0}
    way = Direct(truck, list(good))
    assert way.at(list(good.values())) == with_values(truck, good)
    for path, number, said in (
        ("front.tyre.rate", -1.0, "more than 0"), ("body.mass", 1e12, "too large"), ("body.mass", float("nan"), "finite"),
        ("front.dampers.main.length_extended", 0.3, "are they crossed"),  # with the other length, of which it knows by itself nothing
    ):  # fmt: skip
        wrong = good | {path: number}
        with pytest.raises(InputError) as read:
            with_values(truck, wrong)
        with pytest.raises(InputError) as put:
            way.at(list(wrong.values()))
        assert str(put.value) == str(read.value)
        assert said in str(put.value)
    # and after a refusal it goes on
    assert way.at(list(good.values())) == with_values(truck, good)
    for path in ("front.tire.rate", "front.dampers.man.count", "front.tyre"):
        with pytest.raises(InputError):
            Direct(truck, [path]).at([1.0])


def test_parts_off_the_paths_are_the_same_objects():
    truck = sim.load("scenarios/two_or_four.yaml").setups["two front"]
    way = Direct(truck, ["front.dampers.main.valving.compression.low", "rear.tyre.rate"])
    one, other = way.at([1500.0, 2.4e5]), way.at([1600.0, 2.4e5])
    for made in (one, other):
        assert made.body is truck.body
        assert made.front.springs["coil"] is truck.front.springs["coil"]
        assert made.rear.guide is truck.rear.guide
        assert made.reference is truck.reference
    assert other.front.dampers["main"].valving.compression.low == 1600.0
    assert truck.front.dampers["main"].valving.compression.low != 1600.0


LOW = "front.dampers.main.valving.compression.low"


def test_laws_alone_are_not_put_together_and_are_the_same_laws():
    truck = sim.load("scenarios/two_or_four.yaml").setups["two front"]
    paths = [LOW, "front.dampers.main.valving.rebound.knee", "rear.dampers.main.valving.rebound.low"]
    way = Direct(truck, paths)
    assert isinstance(way.valved([900.0, 0.1, 3000.0]), Vehicle)  # the first one is compared with what reading makes
    for numbers in ([950.0, 0.1, 3000.0], [950.0, 0.2, 3100.0], [700.0, 0.2, 3000.0]):
        made, read = way.valved(numbers), with_values(truck, dict(zip(paths, numbers, strict=True)))
        assert isinstance(made, Valved)
        assert made.known is truck
        assert made.vehicle == read
        assert only_laws_differ(truck, made.vehicle)
        for (axle, name), one in made.sets.items():
            assert one == getattr(read, axle).dampers[name]
            assert one.knots() == getattr(read, axle).dampers[name].knots()


def test_laws_are_refused_as_they_are_when_read():
    truck = sim.load("scenarios/two_or_four.yaml").setups["two front"]
    way = Direct(truck, [LOW])
    way.valved([900.0])
    for wrong in (-1.0, float("nan"), float("inf"), 1e12):
        with pytest.raises(InputError) as read:
            with_values(truck, {LOW: wrong})
        with pytest.raises(InputError) as put:
            way.valved([wrong])
        assert str(put.value) == str(read.value)
    made = way.valved([910.0])
    assert isinstance(made, Valved)


@pytest.mark.parametrize(
    "path", ["front.dampers.main.count", "front.dampers.main.gas_force", "front.tyre.rate", "body.mass", "wheelbase"]
)
def test_what_moves_more_than_a_law_is_put_together(path):
    truck = sim.load("scenarios/two_or_four.yaml").setups["two front"]
    here = value_at(truck, path)
    for way, numbers in ((Direct(truck, [path]), [here]), (Direct(truck, [LOW, path]), [800.0, here])):
        for _ in range(2):
            assert isinstance(way.valved(numbers), Vehicle)


def test_a_law_that_brings_its_gas_is_put_together_where_that_moves():
    truck = sim.load("scenarios/one_drilled_washer.yaml").setups
    setup = next(one for one in truck.values() if any(d.valving.gas for d in one.front.dampers.values()))
    name = next(key for key, d in setup.front.dampers.items() if d.valving.gas)
    path = f"front.dampers.{name}.valving.tube.gas_pressure"
    way = Direct(setup, [path])
    here = value_at(setup, path)
    way.valved([here])
    pushed = way.valved([1.5 * here])
    assert isinstance(pushed, Vehicle)
    assert pushed == with_values(setup, {path: 1.5 * here})
    assert pushed.front.dampers[name].push != setup.front.dampers[name].push


def test_parts_of_equal_numbers_are_no_part_of_two_trucks():
    """What has a memory of its own, as a truck of the one it was measured as, is made for each who asks."""
    truck = sim.load("scenarios/two_or_four.yaml").setups["two front"]
    way = Direct(truck, ["wheelbase"])
    one, other = (way.at([truck.wheelbase]) for _ in range(2))
    assert one == other
    assert way.at([truck.wheelbase]) is not other


def test_checks_that_look_at_no_part_look_at_none():
    """They pass over a truck that has nothing but its own keys."""
    for name in Vehicle.LOOKS_AT_NO_PART:
        check = Vehicle.__pydantic_decorators__.model_validators[name].func
        bare = Vehicle.model_construct(kind="vehicle", name="bare", wheelbase=2.0, points={})
        assert check(bare) is bare
