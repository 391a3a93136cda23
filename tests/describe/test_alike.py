"""Parts and roads that are written alike are equal, whatever has been worked out of them meanwhile."""

import numpy as np
import pytest

from sim.describe.parts.dampers.measured import Measured
from sim.describe.parts.dampers.table import Table
from sim.describe.roads.course import Course

ROWS = [{"speed": "0.1 m/s", "force": "300 N"}, {"speed": "0.5 m/s", "force": "900 N"}]
ROUGH = {"kind": "random", "iso_class": "C", "length": "40 m", "seed": 3}


def table(force="900 N"):
    rows = [ROWS[0], ROWS[1] | {"force": force}]
    return Table.model_validate({"kind": "table", "compression": rows, "rebound": rows})


def course(seed=3):
    return Course.model_validate({"kind": "course", "name": "Rough", "items": [ROUGH | {"seed": seed}]})


def worked_out(part):
    """Have it work out what it keeps: a table its curve, a course where its shapes lie and a random one its waves."""
    if isinstance(part, Course):
        part.height(np.linspace(0.0, 40.0, 50))
        assert len(vars(part.items[0])) > len(type(part.items[0]).model_fields)
    else:
        part.force(np.array([0.2]))
    assert len(vars(part)) > len(type(part).model_fields)
    return part


@pytest.mark.parametrize(("one", "other"), [(table, lambda: table("901 N")), (course, lambda: course(4))])
def test_what_is_kept_is_no_part_of_what_is_written(one, other):
    parts = [worked_out(one()) for _ in range(2)]
    assert parts[0] == parts[1] == one()
    assert hash(parts[0]) == hash(parts[1]) == hash(one())
    assert parts[0] != worked_out(other())
    assert parts[0] != one
    assert len({*parts, one(), other()}) == 2


def test_a_curve_of_a_test_machine_read_twice_is_one(tmp_path):
    (tmp_path / "points.csv").write_text(
        "speed [m/s],force [N]\n-0.5,-900\n-0.1,-300\n0.1,300\n0.5,900\n", encoding="utf-8"
    )
    given = {"kind": "measured", "file": "points.csv", "positive": "compression"}
    one, other = (Measured.model_validate(given, context={"folders": [tmp_path]}) for _ in range(2))
    for each in (one, other):
        each.force(np.array([0.2]))
    assert one == other
    assert len({one, other}) == 1
