"""Surveyed profiles: interpolation against SciPy, units, and every complaint."""

import pickle

import numpy as np
import pytest
from pydantic import ValidationError
from scipy.interpolate import PchipInterpolator

from sim.roads.course import Course

DISTANCE = [100.0, 100.4, 101.1, 101.5, 102.6, 103.0]
HEIGHT = [250.0, 262.0, 262.0, 240.0, 281.0, 270.0]
GOOD = "distance [m],height [mm]\n" + "".join(f"{d},{h}\n" for d, h in zip(DISTANCE, HEIGHT, strict=True))


def course(folder, text: "str | bytes" = GOOD, name: str = "hut track.csv") -> Course:
    data = text if isinstance(text, bytes) else text.encode()
    (folder / name).write_bytes(data)
    return asked(folder, name)


def asked(folder, name: str) -> Course:
    items = [{"kind": "survey", "file": name}]
    data = {"kind": "course", "name": "surveyed", "items": items}
    return Course.model_validate(data, context={"folder": folder})


def test_keeps_the_shape_of_the_points_as_scipy_does(tmp_path):
    road = course(tmp_path)
    x, z = np.array(DISTANCE) - 100.0, (np.array(HEIGHT) - 250.0) / 1000.0
    inside = np.linspace(0.0, 3.0, 500)
    assert road.length_m == pytest.approx(3.0)
    assert np.allclose(road.height(inside), PchipInterpolator(x, z)(inside), rtol=0, atol=1e-13)


def test_makes_no_new_highs_or_lows(tmp_path):
    places = np.concatenate([np.linspace(-1.0, 4.0, 5_000), np.array(DISTANCE) - 100.0])
    heights = course(tmp_path).height(places)
    assert heights.max() == pytest.approx(0.031, abs=1e-12)
    assert heights.min() == pytest.approx(-0.010, abs=1e-12)


def test_carries_its_end_height_on(tmp_path):
    course(tmp_path)
    items = [{"kind": "survey", "file": "hut track.csv"}, {"kind": "flat", "length": "2 m"}]
    data = {"kind": "course", "name": "surveyed", "items": items}
    road = Course.model_validate(data, context={"folder": tmp_path})
    assert road.height(np.array([4.0]))[0] == pytest.approx(0.020, abs=1e-12)


@pytest.mark.parametrize(
    "header",
    [
        "Distance [m], Height [mm]",
        "# a comment\n\nheight [mm],note,distance [m]",
        "\ufeffdistance [m],height [mm]",
        "distance [ft],height [in]",
    ],
)
def test_understands_headers(tmp_path, header):
    flipped = header.startswith("#")
    foot, inch = (0.3048, 25.4) if "ft" in header else (1.0, 1.0)
    rows = [
        f"{h / inch},x,{d / foot}" if flipped else f"{d / foot},{h / inch}"
        for d, h in zip(DISTANCE, HEIGHT, strict=True)
    ]
    road = course(tmp_path, "\r\n".join([header, *rows]))
    x = np.linspace(0.0, 3.0, 100)
    assert np.allclose(road.height(x), course(tmp_path).height(x), rtol=0.0, atol=1e-12)


HEADER = "distance [m],height [mm]\n"
BAD = {
    "empty": ("", "is empty"),
    "header only": (HEADER, "holds 0 points: at least 4"),
    "few": (HEADER + "0,0\n1,0\n2,0\n", "holds 3 points"),
    "no unit": ("distance,height\n" + "0,0\n", "line 1: the column 'distance' has no unit"),
    "wrong unit": ("distance [m],height [kg]\n0,0\n", "line 1: 'kg' of the column 'height'"),
    "odd unit": ("distance [m],height [%&/]\n0,0\n", "is not a unit of length"),
    "no column": ("distance [m],level [mm]\n0,0\n", "line 1: no column 'height'"),
    "twice": ("distance [m],height [mm],height [m]\n0,0,0\n", "two columns are named 'height'"),
    "semicolons": ("distance [m];height [mm]\n0;0\n", "line 1: only one column: put commas"),
    "word": (HEADER + "0,0\n1,high\n", "line 3: the height 'high' is not a number"),
    "unit in cell": (HEADER + "0,0\n1 m,0\n", "line 3: the distance '1 m' is not a number"),
    "missing": (HEADER + "0,0\n1\n", "line 3: no height"),
    "blank": (HEADER + "0,0\n,5\n", "line 3: no distance"),
    "nan": (HEADER + "0,0\n1,nan\n", "line 3: the height 'nan' is not finite"),
    "huge": (HEADER + "0,0\n1,1e999\n", "line 3: the height '1e999' is not finite"),
    "order": (HEADER + "0,0\n2,0\n1,0\n3,0\n", "line 4: the distance 1 m does not come after 2 m"),
    "same": (HEADER + "0,0\n1,0\n# x\n1,0\n3,0\n", "line 5: .* sort the lines"),
    "long": (HEADER + "0,0\n1,0\n2,0\n30000,0\n", "at most 20000 m"),
    "steep": (HEADER + "0,0\n1,0\n2,6000\n3,0\n", "line 4: a slope of 6 m per m from line 3"),
    "binary": (b"\x89PNG\xff\xfe", "is not text"),
    "null": (HEADER + "0,0\n1,\0\n", "is not text"),
    "quote": (HEADER + '0,"0\n', "line 2: no|holds 1 points"),
}


@pytest.mark.parametrize(("text", "words"), BAD.values(), ids=BAD)
def test_complains_with_file_line_and_cure(tmp_path, text, words):
    with pytest.raises(ValidationError, match=rf"hut track\.csv.*{words}") as caught:
        course(tmp_path, text)
    assert str(tmp_path) not in str(caught.value)


@pytest.mark.parametrize("name", ["nowhere.csv", "a/b.csv"])
def test_a_missing_file_is_said_to_be_missing(tmp_path, name):
    with pytest.raises(ValidationError, match="does not exist"):
        asked(tmp_path, name)


def test_a_folder_or_an_impossible_name_is_refused(tmp_path):
    with pytest.raises(ValidationError, match="cannot be read"):
        asked(tmp_path, ".")
    with pytest.raises(ValidationError, match="null character"):
        asked(tmp_path, "a\0b")
    with pytest.raises(ValidationError, match="cannot be read"):
        asked(tmp_path, "x" * 400)


def test_two_readings_are_equal_and_can_be_sent_to_another_process(tmp_path):
    road = course(tmp_path)
    assert road == course(tmp_path)
    x = np.linspace(0.0, 3.0, 50)
    assert np.array_equal(pickle.loads(pickle.dumps(road)).height(x), road.height(x))
