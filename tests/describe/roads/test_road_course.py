"""Courses: order, heights carried on, repeats, gaps and guards."""

from typing import Any

import numpy as np
import pytest
from pydantic import ValidationError

from sim.describe.roads.course import Course


def course(*items: dict[str, Any]) -> Course:
    return Course.model_validate({"kind": "course", "name": "test", "items": list(items)})


def flat(length: str) -> dict[str, Any]:
    return {"kind": "flat", "length": length}


STEP = {"kind": "step", "height": "100 mm"}
PLANK = {"kind": "plank", "height": "50 mm", "width": "200 mm"}


def test_a_step_up_stays_up_under_what_follows():
    road = course(flat("2 m"), STEP, flat("1 m"), PLANK, flat("3 m"))
    places = np.array([-5.0, 1.9, 2.1, 3.1, 3.3, 6.2, 99.0])
    assert np.allclose(road.height(places), [0.0, 0.0, 0.1, 0.15, 0.1, 0.1, 0.1])
    assert road.length_m == pytest.approx(6.2)


def test_is_the_sum_of_its_shapes():
    items = [flat("1 m"), PLANK, {"kind": "ditch", "depth": "200 mm", "width": "2 m"}, STEP]
    road = course(*items, flat("1 m"))
    x = np.linspace(-1.0, 6.0, 3_017)
    starts = np.array([0.0, 1.0, 1.2, 3.2])
    alone = sum(item.height_at(x - start) for item, start in zip(road.items[:-1], starts, strict=True))
    assert np.allclose(road.height(x), alone, rtol=0.0, atol=1e-12)


def test_repeats_with_gaps_are_the_same_as_written_out():
    short = course({**PLANK, "repeat": 4, "gap": "1.3 m"}, {**STEP, "repeat": 2, "gap": "500 mm"})
    long = course(*[PLANK, flat("1.3 m")] * 4, *[STEP, flat("500 mm")] * 2)
    x = np.linspace(-1.0, long.length_m + 1.0, 5_003)
    assert short.length_m == pytest.approx(long.length_m, abs=1e-12)
    assert np.allclose(short.height(x), long.height(x), rtol=0.0, atol=1e-12)
    assert np.allclose(short.edges(), long.edges(), rtol=0.0, atol=1e-12)


def test_edges_are_placed_and_level_road_has_none():
    road = course(flat("2 m"), PLANK, flat("1 m"), STEP, flat("10 m"))
    assert np.allclose(road.edges(), [2.0, 2.2, 3.2])
    assert road.flat_after_m == pytest.approx(3.2)
    assert course(flat("3 m")).edges() == ()
    assert course(flat("3 m")).flat_after_m == 0.0


def test_edges_in_one_place_are_one():
    assert np.allclose(course(PLANK, PLANK).edges(), [0.0, 0.2, 0.4])


def test_takes_any_shape_of_array():
    road = course(PLANK, flat("1 m"))
    grid = np.linspace(0.0, 1.0, 12).reshape(3, 4)
    assert np.array_equal(road.height(grid).ravel(), road.height(grid.ravel()))


def test_equal_descriptions_are_equal_also_after_use():
    first, second = course(PLANK), course(PLANK)
    assert first.length_m > 0.0
    assert first == second


def test_schema_describes_every_field_of_every_shape():
    shapes = Course.model_json_schema()["$defs"]
    assert len(shapes) >= 13
    for name, one in shapes.items():
        for field, said in one["properties"].items():
            assert field == "kind" or said.get("description"), (name, field)


@pytest.mark.parametrize(
    ("items", "words"),
    [
        ([], "it has no items"),
        ([STEP], "add a flat item"),
        ([flat("15 km"), flat("6 km")], "at most 20000 m"),
        ([{**PLANK, "repeat": 10_000, "gap": "3 m"}], "at most 20000 m"),
        ([{**STEP, "repeat": 10_000}] * 11 + [flat("1 m")], "at most 100000"),
        ([{"kind": "moat"}], "moat"),
        ([{"length": "3 m"}], "kind"),
        (["flat"], "items"),
    ],
)
def test_refuses_what_cannot_be_laid(items, words):
    with pytest.raises(ValidationError, match=words):
        course(*items)
