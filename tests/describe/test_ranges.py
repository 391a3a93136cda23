"""Every number has a range that some truck or road may have; a set-up is held to the rules of a vehicle, after its changes."""

import shutil
from pathlib import Path
from typing import Annotated, get_args, get_origin

import pytest
from pydantic import BaseModel

import sim
from sim.cli import main
from sim.describe.files.schema import schemas
from sim.describe.parts.vehicle import Vehicle
from sim.describe.quantity import GRAIN, MOST, Quantity
from sim.describe.replaced import with_values
from sim.describe.roads.course import Course
from sim.describe.runs import AnyRun
from sim.errors import InputError, RunError
from sim.lower.lowering import lower
from sim.lower.rest import rest
from sim.study.sweep.axes import axis
from sim.study.sweep.sweep import sweep

ROOT = Path(__file__).parents[2]
SCENARIO = ROOT / "scenarios" / "two_or_four.yaml"

REFUSED = {
    "front.housing.mass: 69600 kg": "must not be more than 25000 kg",
    "front.dampers.main.count: 4711": "must not be more than 16",
    "front.tyre.count: 200": "must not be more than 8",
    "points.far: {behind_front_axle: 1 m, above_ground: 1e15 m}": "too large for any truck or road",
    "points.far: {behind_front_axle: 1 km, above_ground: 1 m}": "must not be more than 0.03 km",
    "loads.box: {mass: 1e9 kg, place: {behind_front_axle: 1 m, above_ground: 1 m}}": "wrong unit",
    "front.springs.coil.rate: 1e200 N/mm": "wrong unit",
    "front.springs.coil.rate: 1e-200 N/mm": "too small",
    "front.stop.gap: 1e-308 m": "too small",
    "front.tyre.rate: 12 N/mm": "more than half of their radius",
    "front.tyre.radius: 30 mm": "stands",
}
"""What stood, with no flag and exit code 0, but for the last."""


@pytest.fixture
def demo(tmp_path, monkeypatch):
    shutil.copytree(ROOT / "scenarios", tmp_path / "scenarios")
    monkeypatch.chdir(tmp_path)
    return tmp_path / "scenarios"


@pytest.mark.parametrize("change", REFUSED)
@pytest.mark.parametrize("command", ["check", "stand"])
def test_a_set_up_that_no_truck_is_is_refused_with_the_reason(demo, capsys, change, command):
    path = demo / "two_or_four.yaml"
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("  two front:\n", f"  two front:\n    {change}\n", 1), encoding="utf-8")
    assert main([command, str(path)]) == 2
    said = capsys.readouterr().err
    assert REFUSED[change] in said
    assert "two_or_four.yaml" in said or "'two front'" in said
    assert "Traceback" not in said


def test_the_same_tyre_is_refused_in_the_vehicle_and_in_a_set_up():
    vehicle = sim.load(SCENARIO).vehicle
    soft = vehicle.changed({"front.tyre.rate": "12 N/mm"})
    said = []
    for one in (soft, sim.vehicle_from(soft._written.document.data)):
        with pytest.raises(RunError, match="front tyres would give") as caught:
            rest(lower(one))
        said.append(str(caught.value).partition(";")[2])
    assert said[0] == said[1]


def test_an_axle_that_stands_high_enough_is_not_refused():
    """Just above the limit of half the radius: a heavy load on soft tyres is a truck still."""
    vehicle = sim.load(SCENARIO).vehicle
    radius, count = vehicle.front.tyre.radius, vehicle.front.tyre.count
    for share, stands in ((0.49, True), (0.51, False)):
        rate = rest(lower(vehicle)).tyre_load[0] / count / (share * radius)
        soft = vehicle.changed({"front.tyre.rate": f"{rate!r} N/m"})
        if stands:
            load = rest(lower(soft)).tyre_load[0]
            assert load / count / rate < 0.5 * radius
        else:
            with pytest.raises(RunError, match="more than half"):
                rest(lower(soft))


def test_a_sweep_into_nonsense_has_no_value_there(tmp_path):
    scenario = sim.load(ROOT / "scenarios" / "push_on_the_bumper.yaml")
    tyre = axis("front.tyre.rate", "12 N/mm", "265 N/mm", "2")
    swept = sweep(scenario, [tyre], ["front_body_settling_time"], tmp_path / "notes", workers=1)
    assert any("more than half of their radius" in text for text in swept.failed)


def test_a_search_is_held_to_the_same_ranges():
    """Its numbers are SI already."""
    vehicle = sim.load(SCENARIO).vehicle
    for path, value in (
        ("front.housing.mass", 69_600.0),
        ("front.springs.coil.rate", 1e200),
        ("front.dampers.main.count", 17),
    ):
        with pytest.raises(InputError):
            with_values(vehicle, {path: value})


def models(annotation, seen):
    if isinstance(annotation, type) and issubclass(annotation, BaseModel) and annotation not in seen:
        seen.append(annotation)
        for field in annotation.model_fields.values():
            models(field.annotation, seen)
    for part in get_args(annotation):
        models(part, seen)
    return seen


def parts_of(annotation):
    """Metadata of every number inside an annotation, each with its own."""
    if get_origin(annotation) is Annotated:
        yield annotation.__metadata__
    for part in get_args(annotation):
        yield from parts_of(part)


EVERY = [
    (f"{model.__name__}.{name}", Annotated[field.annotation, *field.metadata] if field.metadata else field.annotation)
    for model in models(AnyRun, models(Course, models(Vehicle, [])))
    for name, field in model.model_fields.items()
]


def test_every_quantity_has_a_largest_size():
    quantities = [
        one for _, annotation in EVERY for parts in parts_of(annotation) for one in parts if isinstance(one, Quantity)
    ]
    assert len(quantities) > 150
    assert {one.si for one in quantities} <= set(MOST)


def test_every_count_has_a_largest():
    """Whole numbers are not quantities, and so have no largest size but their own."""
    counts = [(name, annotation) for name, annotation in EVERY if int in (annotation, *get_args(annotation))]
    assert len(counts) > 8
    for name, annotation in counts:
        assert any(hasattr(one, "le") for parts in parts_of(annotation) for one in parts), name


@pytest.mark.parametrize(("size", "passes"), [(1.0, True), (1.01, False), (-1.0, True), (-1.01, False), (0.0, True),
                                              (1.01 * GRAIN, True), (0.99 * GRAIN, False)])  # fmt: skip
def test_sizes_are_checked_whatever_the_unit(size, passes):
    length = Quantity("length", "m", ("1 m",))
    if passes:
        length._sized(size * MOST["m"], "that")
    else:
        with pytest.raises(ValueError, match="for any truck or road"):
            length._sized(size * MOST["m"], "that")


def test_the_schema_states_the_ranges():
    made = schemas()["vehicle"]["$defs"]
    assert "at most 25000 kg" in made["Housing"]["properties"]["mass"]["description"]
    assert "at least -30, at most 30 m" in made["BodyPoint"]["properties"]["behind_front_axle"]["description"]
    assert "more than 0, at most 1e+13 N/m" in made["Tyre"]["properties"]["rate"]["description"]
