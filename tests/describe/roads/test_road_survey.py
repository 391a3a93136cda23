"""Surveyed profiles: interpolation against SciPy, units, and every complaint."""

import pickle

import numpy as np
import pytest
from pydantic import ValidationError
from scipy.interpolate import PchipInterpolator

from sim.describe.roads.course import Course
from sim.describe.roads.survey_columns import columns_of

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
        "Station (m),Elevation (mm)",
        "x_m,z_mm",
        "chainage in metres,level mm",
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
    "no column": ("distance [m],colour [mm]\n0,0\n", "line 1: no column 'height'"),
    "twice": ("distance [m],height [mm],height [m]\n0,0,0\n", "two columns are named 'height'"),
    "one column": ("height\n0\n", "line 1: only one column: put commas"),
    "decimal commas": (HEADER + "0,5,12,3\n", "line 2: 4 columns, the header has 2: .*semicolons"),
    "no header": ("0,0,0\n1,0,0\n", "line 1: 3 columns and no header"),
    "no header or unit": (
        "0,0\n1,0\n",
        "line 1: the column 'distance' has no unit: in which .* distance_unit: m beside",
    ),
    "thousands": ("distance [m];height [mm]\n0;0\n1;1.234,5\n", "line 3: the height '1.234,5' is not a number"),
    "two signs": ("distance [m];height [mm]\n0;0,5\n1;1.5\n2;0\n3;0\n", "line 2: the height '0,5' is not a number"),
    "gap at the end": (HEADER + "0,0\n1,0\n2,0\n3,0\n4,\n", "line 6: no height at its end"),
    "gap at the start": (HEADER + "0,-\n1,0\n2,0\n3,0\n4,0\n", "line 2: no height at its start"),
    "long gap": (
        HEADER + "0,0\n0.1,0\n0.2,0\n0.3,0\n2,0\n",
        "line 5: a gap of 1.70 m \\(5.6 ft\\) follows, longer than the 1.00 m",
    ),
    "word": (HEADER + "0,0\n1,high\n", "line 3: the height 'high' is not a number"),
    "unit in cell": (HEADER + "0,0\n1 m,0\n", "line 3: the distance '1 m' is not a number"),
    "missing": (HEADER + "0,0\n1\n", "line 3: no height"),
    "blank": (HEADER + "0,0\n,5\n", "line 3: no distance"),
    "nan": (HEADER + "0,0\nnan,1\n", "line 3: the distance 'nan' is not finite"),
    "huge": (HEADER + "0,0\n1,1e999\n", "line 3: the height '1e999' is not finite"),
    "order": (HEADER + "0,0\n2,0\n1,0\n3,0\n", "line 4: the distance 1 m does not come after 2 m"),
    "same": (HEADER + "0,0\n1,0\n# x\n1,0\n3,0\n", "line 5: .* sort the lines"),
    "long": (HEADER + "0,0\n1,0\n2,0\n30000,0\n", "at most 20000 m"),
    "steep": (HEADER + "0,0\n1,0\n2,6000\n3,0\n", "line 4: a slope of 600 % from line 3"),
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


def written(folder, x, z, name="hut track.csv", **more) -> Course:
    rows = "".join(f"{d:.6f},{'' if np.isnan(h) else format(1e3 * h, '.6f')}\n" for d, h in zip(x, z, strict=True))
    (folder / name).write_text(HEADER + rows, encoding="utf-8")
    items = [{"kind": "survey", "file": name, **more}]
    return Course.model_validate({"kind": "course", "name": "surveyed", "items": items}, context={"folder": folder})


def ground(seed: int = 3, spacing: float = 0.1, length: float = 40.0):
    """Heights [m] of a rough road (class D), every so many metres."""
    from sim.describe.roads.random_road import RandomRoad

    road = RandomRoad.model_validate({"kind": "random", "iso_class": "D", "length": f"{length} m", "seed": seed})
    x = np.arange(0.0, length + spacing / 2, spacing)
    return x, road.height_at(x)


@pytest.mark.parametrize(
    ("between", "comma", "name"),
    [
        (";", True, "semicolons"),
        (";", False, "semicolons"),
        ("\t", True, "tabs"),
        ("\t", False, "tabs"),
        (" ", True, "spaces"),
    ],
)
def test_any_way_of_parting_columns_and_decimals_is_one_road(tmp_path, between, comma, name):
    rows = [f"{d:.2f}{between}{h:.1f}" for d, h in zip(DISTANCE, HEIGHT, strict=True)]
    text = "\n".join([between.join(("distance_m", "height_mm")), *rows])
    road = course(tmp_path, text.replace(".", ",") if comma else text)
    x = np.linspace(0.0, 3.0, 100)
    assert np.array_equal(road.height(x), course(tmp_path).height(x))
    told = asked_text(tmp_path, text.replace(".", ",") if comma else text)
    assert f"apart by {name}, decimal {'comma' if comma else 'point'}" in told


def asked_text(folder, text: str) -> str:
    return " | ".join(course(folder, text).notices)


def test_units_are_asked_for_and_taken_from_the_course(tmp_path):
    rows = "".join(f"{d},{h}\n" for d, h in zip(DISTANCE, HEIGHT, strict=True))
    (tmp_path / "bare.csv").write_text(rows, encoding="utf-8")
    item = {"kind": "survey", "file": "bare.csv", "distance_unit": "m", "height_unit": "mm"}
    road = Course.model_validate({"kind": "course", "name": "s", "items": [item]}, context={"folder": tmp_path})
    x = np.linspace(0.0, 3.0, 100)
    assert np.array_equal(road.height(x), course(tmp_path).height(x))
    assert "height in mm" in road.notices[0]
    with pytest.raises(ValidationError, match="the column 'height' is in mm, but the course says height_unit: in"):
        written(tmp_path, [0, 1, 2, 3], [0.0, 0, 0, 0], height_unit="in")
    with pytest.raises(ValidationError, match="not a unit of length"):
        Course.model_validate(
            {"kind": "course", "name": "s", "items": [item | {"height_unit": "kg"}]}, context={"folder": tmp_path}
        )


def test_spikes_are_taken_out_and_told_but_rough_ground_and_bumps_stay(tmp_path):
    x, z = ground()
    clean = written(tmp_path, x, z)
    assert not any("spike" in text for text in clean.notices)
    spiked = z.copy()
    spiked[[57, 222]] += [0.18, -0.25]
    road = written(tmp_path, x, spiked)
    assert any("2 spikes taken out (lines 59, 224)" in text for text in road.notices)
    away = np.abs(x[:, None] - x[[57, 222]]).min(axis=1) > 0.15
    assert np.allclose(road.height(x)[away], clean.height(x)[away], rtol=0.0, atol=1e-9)
    assert np.max(np.abs(road.height(x) - clean.height(x))) < 0.03  # what a curve through the neighbours misses
    kept = written(tmp_path, x, spiked, spikes="keep")
    assert np.max(np.abs(kept.height(x) - clean.height(x))) == pytest.approx(0.25, abs=1e-6)
    # A board of 60 mm two points wide, a washboard at eight points a pitch: real, and left as they are.
    flat = np.zeros(200)
    flat[100:102] = 0.06
    assert len(written(tmp_path, 0.1 * np.arange(200), flat).notices) == 1
    waves = 0.02 * (1 - np.cos(2 * np.pi * np.arange(200) / 8))
    assert len(written(tmp_path, 0.075 * np.arange(200), waves).notices) == 1


def test_many_spikes_are_a_noisy_survey(tmp_path):
    x, z = ground()
    z[20::20] += 0.3
    with pytest.raises(ValidationError, match=r"line 22: 19 of 401 points stand out like spikes .* spikes: keep"):
        written(tmp_path, x, z)


def test_gaps_are_bridged_within_a_limit_and_told(tmp_path):
    x, z = ground()
    holed = z.copy()
    holed[100:105] = np.nan
    holed[300] = np.nan
    road = written(tmp_path, x, holed)
    told = [text for text in road.notices if "gap" in text]
    assert told == [
        "hut track.csv: 2 gaps bridged by the curve through the points around, the longest 0.60 m (2.0 ft) after line 101; "
        "what lay in it is not known"
    ]
    seen = np.isfinite(holed)
    assert np.allclose(road.height(x)[seen], (z - z[0])[seen], rtol=0.0, atol=2e-9)
    # Lines left out are the same gap, and between its ends the bridge makes no new high or low.
    again = written(tmp_path, x[seen], z[seen])
    inside = np.linspace(x[99], x[105], 50)
    assert np.allclose(again.height(inside), road.height(inside), rtol=0.0, atol=1e-12)
    low, high = sorted((z[99] - z[0], z[105] - z[0]))
    assert np.all((road.height(inside) > low - 1e-9) & (road.height(inside) < high + 1e-9))
    holed[100:125] = np.nan
    with pytest.raises(ValidationError, match=r"line 101: a gap of 2.60 m .* longest_gap: 2.6 m"):
        written(tmp_path, x, holed)
    assert any("2.60 m" in text for text in written(tmp_path, x, holed, longest_gap="2.6 m").notices)


def test_a_grade_is_stated_or_taken_out(tmp_path):
    x, z = ground()
    kept = written(tmp_path, x, z + 0.03 * x)
    fit = np.polyfit(x, z + 0.03 * x, 1)[0]
    assert any(f"a mean grade of {100 * fit:.2f} % " in text and "trend: remove" in text for text in kept.notices)
    assert kept.height(x)[-1] == pytest.approx(z[-1] - z[0] + 0.03 * 40.0, abs=1e-8)
    level = written(tmp_path, x, z + 0.03 * x, trend="remove")
    assert np.polyfit(x, level.height(x), 1)[0] == pytest.approx(0.0, abs=1e-9)
    assert any("taken out" in text for text in level.notices)
    assert not any("grade" in text for text in written(tmp_path, x, 0 * x).notices)


def test_another_file_of_the_same_name_reads_as_another_road(tmp_path):
    x, z = ground()
    one = repr(written(tmp_path, x, z))
    assert one == repr(written(tmp_path, x, z))
    assert one != repr(written(tmp_path, x, 1.1 * z))


def test_a_header_of_blanks_without_end_is_refused_as_soon_as_any_other():
    """Two hundred thousand of them would keep the patterns at it for an hour."""
    with pytest.raises(ValueError, match=r"line 2: no column 'distance' in the header 'St .*,height"):
        columns_of([f"St{' ' * 200_000}x", f"height{' ' * 200_000}[mm]"], "line 2", None, None)
