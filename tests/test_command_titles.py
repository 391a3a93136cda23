"""What the titles of dyno, convert, stand, sheet and sweep say of shipped scenarios, against their CSV or table, by a few lines of their own."""

import math
import re

import pytest

from tests.synthetic import SCENARIOS
from tests.titles import NUMBER, QUICK, SLOW, asking, first_number, near, scenario


@pytest.fixture(scope="module")
def answered(tmp_path_factory):
    """Return what answers a command, each run once."""
    return asking(tmp_path_factory)


# --- dyno and convert ------------------------------------------------------------------------------


@QUICK
def test_dyno(answered):
    found = answered(
        "dyno", str(SCENARIOS / "dampers" / "front_returned.csv"), "--against", scenario("two_or_four"), "--setup", "two front",
        "--damper", "front.main",
    )  # fmt: skip
    rows = found.table("comparison")
    said = re.search(rf"(\d+) of (\d+) points outside, {NUMBER} % in (\w+) at {NUMBER} m/s", found.title("dyno"))
    outside = [row for row in rows if abs(float(row["error [N]"])) > float(row["allowed [N]"])]
    assert (int(said[1]), int(said[2])) == (len(outside), len(rows))
    assert {row["result"] for row in outside} == {"fail"}
    (row,) = [one for one in rows if one["direction"] == said[4] and float(one["speed [m/s]"]) == float(said[5])]
    share = 100.0 * (float(row["measured [N]"]) / float(row["ordered [N]"]) - 1.0)
    assert near(said[3], share)
    assert abs(share) == max(
        abs(100.0 * (float(one["measured [N]"]) / float(one["ordered [N]"]) - 1.0)) for one in outside
    )


CONVERTED = {
    "four_each_how": ("two front", "four on new brackets"),
    "lean_them_in": ("leaned 30 deg", None),
}


@QUICK
@pytest.mark.parametrize("name", CONVERTED)
def test_convert(answered, name):
    given, wanted = CONVERTED[name]
    found = answered("convert", scenario(name), "--from", given, *(["--to", wanted] if wanted else []))
    rows = found.table("each")
    said = re.search(
        r"each (front|rear)(?: '(\w+)')? damper of .*? gives (\d+) N .*? at 0.26 m/s .*?, not (\d+) N",
        found.title("each"),
    )
    own = [row for row in rows if row["damper set"].startswith(said[1]) and first_number(row["its speed"]) == 0.26]
    # One force for "each damper" only where the axle has one set; else the set is named.
    assert said[2] or len({row["damper set"] for row in own}) == 1, found.title("each")
    (row,) = [row for row in own if not said[2] or row["damper set"] == f"{said[1]} {said[2]}"]
    assert first_number(row["rebound"]) == float(said[3])
    gas = re.search(
        rf"With “(.*?)” the gas of the (front|rear) '(\w+)' dampers lifts the body by {NUMBER} mm", found.title("gas")
    )
    rises = {
        (row["set-up"], row["damper set"]): first_number(row[f"body rises, {row['damper set'].split()[0]}"])
        for row in found.table("gas")
    }
    assert rises[gas[1], f"{gas[2]} {gas[3]}"] == float(gas[4]) == max(rises.values())
    through = re.search(
        rf"The (front|rear) '(\w+)' damper's motion ratio runs from {NUMBER} to {NUMBER} .*? leans up to (\d+) deg",
        found.title("travel"),
    )
    spans, leans = {}, {}
    for row in found.table("travel"):
        spans.setdefault(row["damper set"], []).append(float(row["motion ratio"]))
        leans.setdefault(row["damper set"], []).append(first_number(row["lean, whole"]))
    key = f"{through[1]} {through[2]}"
    assert near(through[3], min(spans[key]))
    assert near(through[4], max(spans[key]))
    assert near(through[5], max(leans[key]))
    widths = {one: max(values) - min(values) for one, values in spans.items()}
    # Of the axle whose dampers the file changes.
    assert widths[key] == pytest.approx(max(w for one, w in widths.items() if one.startswith(through[1])), abs=2e-3)
    up = re.search(
        rf"Tube up changes the (front|rear) axle's hop by {NUMBER} % and its mass by {NUMBER} kg .*?: (hardly|small)",
        found.title("end_up"),
    )
    ends = {(row["damper set"].split()[0], row["tube"][:2]): row for row in found.table("end_up")}
    down, turned = ends[up[1], "do"], ends[up[1], "up"]
    hop = 100.0 * (first_number(turned["hop"]) / first_number(down["hop"]) - 1.0)
    assert float(up[2]) == pytest.approx(hop, abs=0.2)  # hop is printed to a hundredth of a hertz
    mass = first_number(turned["axle's mass"]) - first_number(down["axle's mass"])
    assert float(up[3]) == pytest.approx(mass, abs=1.0)
    assert (up[4] == "hardly") == (abs(float(up[2])) < 1.0)


# --- stand and sheet -------------------------------------------------------------------------------


def columns(text):
    """Return the tables of `stand` by set-up: a row's label to its cell; later tables of further set-ups too."""
    found = {}
    for block in text.split("\n\n"):
        lines = [line for line in block.splitlines() if line.strip()]
        if not lines or "sprung mass: the body" not in block:
            continue
        heads = [one for one in re.split(r"\s{2,}", lines[0].strip()) if one]
        for line in lines[1:]:
            cells = re.split(r"\s{3,}", line.strip())
            for head, cell in zip(heads, cells[-len(heads) :] if len(cells) > len(heads) else [], strict=False):
                found.setdefault(head, []).append((cells[0], cell))
    return found


@QUICK
def test_stand(answered):
    found = answered("stand", scenario("why_does_it_pitch"), "--all", folder="picture")
    for setup, stem in (("empty bed", "empty_bed"), ("full load", "full_load")):
        rows = columns(found.text)[setup]
        front, rear = (first_number(cell) for label, cell in rows if label.startswith("load on the ground"))
        said = re.search(
            rf": (\d+) % of its weight on the front axle, (?:stands as measured|its (front|rear) end stands {NUMBER} mm)",
            found.title(stem),
        )
        assert near(said[1], 100.0 * front / (front + rear))
        moved = [first_number(cell) for label, cell in rows if label.startswith("frame up from the measured height")]
        way = -1.0 if " lower than measured" in found.title(stem) else 1.0
        assert near(said[3], way * moved[said[2] == "rear"]) if said[2] else max(map(abs, moved)) < 0.5
        modes = [re.match(rf"(.*?): {NUMBER} Hz, damping ratio {NUMBER}", f"{label}: {cell}") for label, cell in rows]
        modes = [one for one in modes if one]
        # exp(-ratio x 2 pi frequency x t), any vibration text: the slowest is the least product
        slowest = min(modes, key=lambda one: float(one[2]) * float(one[3]))
        title = re.search(
            rf": (.*?) at {NUMBER} Hz dies away slowest, by half in {NUMBER} s \(damping ratio {NUMBER}\)",
            found.title(f"{stem}_modes"),
        )
        assert (title[1], title[2], title[4]) == (slowest[1], slowest[2], slowest[3])
        assert float(title[3]) == pytest.approx(
            math.log(2.0) / (2.0 * math.pi * float(title[2]) * float(title[4])), rel=0.03
        )


@QUICK
def test_sheet(answered):
    found = answered("sheet", scenario("stroke_left"))
    said = re.search(
        rf"least is left by the (front|rear) '(\w+)' damper with (?:“(.*?)”|every set-up), {NUMBER} mm",
        found.title("margins"),
    )
    rows = [line for line in found.text.splitlines() if re.search(r" (yes|no|not known)\s*$", line)]
    left = {line: [float(one) for one in re.findall(rf"{NUMBER} mm", line)[1:]] for line in rows}
    assert min(min(values) for values in left.values()) == float(said[4])
    assert any(
        f"{said[1]} {said[2]}" in line and line.startswith(said[3] or "") and float(said[4]) in values
        for line, values in left.items()
    )


# --- sweeps ------------------------------------------------------------------------------------------


def numbers(row, key):
    return float(row[key]) if row[key] not in ("", "not reached") else math.nan


@QUICK
def test_sweep_of_stops(answered):
    found = answered("sweep", scenario("will_it_bottom"))
    rows = found.table("swept")
    moved = [float(next(iter(row.values()))) for row in rows]
    for setup, speed in re.findall(rf"“([^”]*)” from {NUMBER} km/h", found.title("swept")):
        left = [
            min(numbers(row, key) for key in row if key and key.startswith(f"{setup}: ") and "bump travel left" in key)
            for row in rows
        ]
        at = next(place for place, value in enumerate(left) if value < 0.0)
        share = left[at - 1] / (left[at - 1] - left[at])
        assert near(speed, moved[at - 1] + share * (moved[at] - moved[at - 1]))
    assert found.title("swept").count(" from ") == 3


@pytest.mark.parametrize(
    "name",
    [
        *(pytest.param(one, marks=SLOW) for one in ("which_speed", "which_tyre_pressure")),
        pytest.param("coil_for_the_engine", marks=QUICK),
    ],
)
def test_sweep(answered, name):
    found = answered("sweep", scenario(name))
    rows = found.table("swept")
    title = found.title("swept")
    said = re.match(r"(.*?) is best (.*); worst (.*)", title)
    assert said, title
    less = "travel left" not in said[1]
    best, worst = (min, max) if less else (max, min)
    columns = {}
    for key in rows[0]:
        if key and f": {said[1]} [" in key:
            setup = key.partition(": ")[0]
            flags = [one for one in rows[0] if one and one.startswith(f"{setup}: ") and "flag" in one.lower()]
            columns[setup] = {
                float(next(iter(row.values()))): numbers(row, key)
                for row in rows
                if not math.isnan(numbers(row, key)) and not any(row[one] for one in flags)
            }
    several = len(columns) > 1
    for text, end in ((said[2], best), (said[3], worst)):
        ends = {setup: end(values.items(), key=lambda one: one[1]) for setup, values in columns.items()}
        every = re.match(
            rf"with every set-up at {NUMBER}.*?, {NUMBER} m/s²(?: \([^()]* g\))?(?: to {NUMBER} m/s²)?", text
        )
        if every:
            assert [place for place, _ in ends.values()] == pytest.approx([float(every[1])] * len(ends)), title
            reach = [min(value for _, value in ends.values()), max(value for _, value in ends.values())]
            assert [float(every[2]), float(every[3] or every[2])] == pytest.approx(reach, rel=6e-3), title
        elif several:
            named = re.findall(rf"with “(.*?)” at {NUMBER} .*?, {NUMBER} m/s²", text)
            assert [one for one, *_ in named] == list(columns), title
            for setup, place, value in named:
                assert (float(place), float(value)) == pytest.approx(ends[setup], rel=6e-3), title
        else:
            # Of two inputs a row is a point: its value alone is looked up.
            assert float(re.match(rf"at .*?, {NUMBER} (?:mm|m/s²)", text)[1]) == pytest.approx(
                end(
                    value
                    for row in rows
                    if not math.isnan(value := numbers(row, next(k for k in row if k and f": {said[1]} [" in k)))
                ),
                rel=6e-3,
            ), title
    # Whatever is as good as the best is nearer to it than a tenth, which is the smallest noticed difference of a ride.
    for place in re.findall(rf", and as good at {NUMBER} ", said[2]):
        for setup, values in columns.items():
            if (
                several
                and "every set-up" not in said[2]
                and f"{place} km/h" not in said[2].partition(f"“{setup}”")[2].partition("with “")[0]
            ):
                continue
            assert values[float(place)] <= 1.1 * min(values.values()), title
    costs = re.search(rf", where (.*?) is worst, {NUMBER}", said[2])
    if costs:
        # What is worst where the first is best: no other point has more of it, or less of a travel left.
        (key,) = [one for one in rows[0] if one and f": {costs[1]} [".lower() in one.lower()]
        column = [value for one in rows if not math.isnan(value := numbers(one, key))]
        assert float(costs[2]) == pytest.approx((min if "travel left" in costs[1] else max)(column), rel=6e-3), title
