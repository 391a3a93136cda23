"""A course of typed or pasted points: read as a surveyor's file is, and nothing is left behind where it is none."""

import numpy as np
import pytest

from sim.errors import JounceError
from sim.show.pages.local.course_of_points import kept_course
from sim.show.pages.local.courses import Courses, named
from sim.show.pages.local.paper import TakenError

SHED = "0 0\n1 15\n2 40\n3 0\n4 -10\n5 0\n"


def heights(folder, stem, *along_m):
    course = Courses(folder).course(named(stem))
    # 6 m of flat lie before the first point.
    return list(course.height(6.0 + np.array(along_m)))


@pytest.mark.parametrize(
    ("points", "units", "foot", "unit"),
    [
        (SHED, "m", 1.0, 1e-3),
        (SHED.replace(" ", "\t"), "m", 1.0, 1e-3),
        (SHED, "ft", 0.3048, 0.0254),
        ("distance [m],height [mm]\n" + SHED.replace(" ", ","), "ft", 1.0, 1e-3),
        # A decimal comma, as a tape is read in many countries: with a blank, a tab or a semicolon between, and with a comma and a blank.
        (SHED.replace(" ", ",0 "), "m", 1.0, 1e-3),
        (SHED.replace(" ", ",0\t"), "m", 1.0, 1e-3),
        (SHED.replace(" ", ",0;"), "m", 1.0, 1e-3),
        (SHED.replace(" ", ",0, "), "m", 1.0, 1e-3),
    ],
)
def test_points_become_a_course_of_their_heights(tmp_path, points, units, foot, unit):
    stem = kept_course(tmp_path, {"name": "Behind the shed", "points": points, "units": units})
    assert stem == "behind_the_shed"
    assert sorted(path.name for path in (tmp_path / "courses").iterdir()) == [
        "behind_the_shed.csv",
        "behind_the_shed.yaml",
    ]
    assert "Behind the shed" in Courses(tmp_path).names
    assert heights(tmp_path, stem, 1 * foot, 2 * foot) == pytest.approx([15 * unit, 40 * unit], abs=1e-6)
    with pytest.raises(TakenError):
        kept_course(tmp_path, {"name": "Behind the shed", "points": points})


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"points": SHED}, "a name"), ({"name": "x"}, "no points"), ({"name": "x", "points": "0 0\n1 2"}, "points"),
        ({"name": "x", "points": "0 a\n1 2\n2 2\n3 4"}, "no column"), ({"name": "x", "points": "0 0\n0 1\n0 2\n0 3"}, "does not come after"),
    ],
)  # fmt: skip
def test_what_is_no_course_is_said_and_leaves_nothing_behind(tmp_path, asked, said):
    with pytest.raises(JounceError, match=said) as error:
        kept_course(tmp_path, asked)
    assert "/tmp" not in str(error.value)
    assert list(tmp_path.iterdir()) == []


def test_what_is_wrong_is_said_of_the_lines_that_were_typed(tmp_path):
    with pytest.raises(JounceError) as caught:
        kept_course(tmp_path, {"name": "Ditch at the gate", "points": "0 0\n1 15\n3.5 6 0\n4 0\n5 0"})
    assert str(caught.value).startswith("Points, line 3:")
    # Nobody wrote a header: none is spoken of.
    with pytest.raises(JounceError, match="two numbers on each line") as caught:
        kept_course(tmp_path, {"name": "Ditch at the gate", "points": "0 0\n2,0 30 1\n4,0 -60\n6,0 10\n7 0"})
    assert "line 0" not in str(caught.value)
    assert "csv" not in str(caught.value)


def test_a_course_file_that_reads_like_a_course_of_the_page_is_told_apart():
    assert named("washboard_hump_dip") == "Washboard hump dip (from your file)"
    assert named("hut_track") == "Hut track"
