"""What the titles of commands other than compare say of shipped scenarios, against their CSV or table, by a few lines of their own."""

import csv
import html
import io
import math
import re
from contextlib import redirect_stdout

import pytest
import yaml

from sim.cli import main
from tests.synthetic import SCENARIOS

QUICK = SLOW = pytest.mark.hours
NUMBER = r"([-+]?[\d.]+)"


class Answered:
    """A command's folder and what it printed."""

    def __init__(self, folder, text):
        self.folder, self.text = folder, text

    def title(self, page):
        """Return the bold lines at the top of a page."""
        text = (self.folder / f"{page}.svg").read_text(encoding="utf-8")
        lines = re.findall(r'<text style="font-weight: 700; font-size: 14px[^>]*>([^<]*)</text>', text)
        return html.unescape(" ".join(lines)).replace("\u00a0", " ").replace("−", "-")

    def table(self, name):
        """Return the rows of a CSV by their heads."""
        return list(csv.DictReader((self.folder / f"{name}.csv").read_text(encoding="utf-8").splitlines()))


def first_number(text):
    """Return the number that a cell begins with."""
    return float(re.match(NUMBER, text)[1])


def near(said, value):
    """Return whether a number that is said is a value to its digits, half a digit more where the table is rounded too."""
    decimals = len(said.partition(".")[2])
    return abs(float(said) - value) <= 0.51 * 10.0**-decimals + 0.0051 * abs(value)


@pytest.fixture(scope="module")
def answered(tmp_path_factory):
    """Return what answers a command, each run once."""
    known = {}

    def ask(*words, folder="outputs"):
        if words not in known:
            place = tmp_path_factory.mktemp("asked")
            out = io.StringIO()
            with redirect_stdout(out):
                assert main([*words, f"--{folder}", str(place)]) in (0, 3)
            inside = [one for one in place.iterdir() if one.is_dir()]
            known[words] = Answered(inside[0] if folder == "outputs" else place, out.getvalue())
        return known[words]

    return ask


def scenario(name):
    return str(SCENARIOS / f"{name}.yaml")


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
        every = re.match(rf"with every set-up at {NUMBER}.*?, {NUMBER} m/s²(?: to {NUMBER} m/s²)?", text)
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
    for place in re.findall(rf"\({NUMBER} [^()]*(?:\([^()]*\))? is as good\)", said[2]):
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


# --- frequency response, leans, tramp, hours ----------------------------------------------------------


@SLOW
def test_shake(answered):
    found = answered("shake", scenario("two_or_four"))
    rows = [
        row for row in found.table("shaken") if row["model"] == "full"
    ]  # the points, which stops and lift-off are in
    title = found.title("shaken")
    said = re.findall(
        rf"[Ww]ith “([^”]*)” (?:and \d+ others? )?(?:the (front|rear) tyre load swings by up to )?{NUMBER} %", title
    )
    end = said[0][1]
    most = {}
    for key in rows[0]:
        if key and key.endswith(f": {end} tyre load [-]"):
            most[key.partition(": ")[0]] = 100.0 * max(float(row[key]) for row in rows if row[key])
    for who, _, number in said:
        assert float(number) == pytest.approx(most[who], rel=0.02), title
    assert said[0][0] == min(most, key=most.get)
    assert said[-1][0] == max(most, key=most.get)


@SLOW
def test_lean(answered):
    found = answered("lean", scenario("lean_against_wind_up"))
    rows = [row for row in found.table("lean_changes") if row["grip follows load"] == "at_once" and row["change [deg]"]]
    title = found.title("leans")
    alone = re.search(rf"Lean alone changes {NUMBER} deg of {NUMBER} deg", title)
    if alone:
        own = [float(row["change [deg]"]) for row in rows if "lean alone" in row["moved"]]
        assert near(alone[1], max(own))
    does = re.search(
        rf"(both mounts|lower mounts?|one ahead, one behind) (.*?): pinion swing {NUMBER} deg, not {NUMBER} deg as it stands with “(.*?)”",
        title,
    )
    (row,) = [one for one in rows if one["moved"].startswith(does[1]) and one["set-up"] == does[5]]
    assert near(does[3], float(row["pinion swings least [deg]"]))
    assert row["where"] == does[2]
    stands = [one for one in found.table("leans") if one["set-up"] == does[5] and one["moved"] == "as it stands"]
    assert near(does[4], float(stands[0]["Pinion swings up by [deg]"]))


STARTS = rf"from (?:short of |past )?the grip's peak \(slope {NUMBER}\) on"


@SLOW
def test_tramp(answered):
    found = answered("tramp", scenario("lean_against_wind_up"))
    title = found.title("tramp")
    said = re.search(
        rf"starts latest with both mounts (.*?): {STARTS}; first with them (.*?): {STARTS}",
        title,
    )
    stands = re.search(rf"\b[Aa]s it stands it tramps {STARTS}\. ", title)
    (own,) = {
        row["tramp starts"]
        for row in found.table("tramp_starts")
        if row["place in words"].endswith(", as it stands")
        and (row["moved"], row["grip follows load"]) == ("upper", "at_once")
    }
    assert re.fullmatch(STARTS, own)[1] == stands[1]
    starts = {}
    for row in found.table("tramp_starts"):
        if row["moved"] == "both" and row["grip follows load"] == "at_once":
            onset = re.search(STARTS, row["tramp starts"])
            starts[row["place in words"]] = {"never": -math.inf, "always": math.inf}.get(
                row["tramp starts"], float(onset[1]) if onset else math.nan
            )
    # Slip slopes fall as a tyre slides: the later tramp starts, the further down.
    assert starts[said[1]] == float(said[2]) == min(starts.values())
    assert starts[said[3]] == float(said[4]) == max(starts.values())


@SLOW
@pytest.mark.parametrize("name", ["two_or_four_heat", "what_tube_size"])
def test_endure(answered, name):
    found = answered("endure", scenario(name))
    page = next(one.stem for one in sorted(found.folder.glob("*.svg")) if "oil reaches" in found.title(one.stem))
    title = found.title(page)
    end = re.search(r"the (front|rear) dampers’ oil reaches", title)[1]
    hottest = {}
    for path in found.folder.glob("*.csv"):
        rows = found.table(path.stem)
        key = next((one for one in rows[0] if one and one.startswith(end) and one.endswith("oil [°C]")), None)
        if key and "time [s]" in rows[0]:
            hottest[path.stem] = max(float(row[key]) for row in rows if row[key])
    said = rf"(?:[Ww]ith|not flagged:) “([^”]*)”,?(?: \(flagged\))? (?:and \d+ others? )?(?:the \w+ dampers’ oil reaches )?{NUMBER} °C"
    told = re.findall(said, title)
    assert len(told) >= 2, title
    for who, number in told:
        stem = re.sub(r"\W+", "_", who.rstrip("…")).strip("_").lower()
        (own,) = [one for one in hottest if one.startswith(stem)]
        assert float(number) == pytest.approx(hottest[own], abs=1.0), title
    first = float(re.search(rf"oil reaches {NUMBER} °C", title)[1])
    assert first == pytest.approx(min(hottest.values()), abs=1.0)


@SLOW
@pytest.mark.parametrize("name", ["two_or_four_heat", "what_tube_size"])
def test_endure_on_limits(answered, name):
    """The page of settled oil: by how much the damper that is closest to its hot limit stays below it, or is above it."""
    found = answered("endure", scenario(name))
    rows = [row for row in found.table("summary") if row["name"].endswith("_below_limit")]
    setups = list(rows[0])[3:]
    least = {one: min(float(row[one]) for row in rows if row[one]) for one in setups}
    check_said(found.title("settled"), rf"{NUMBER} °C(?: \([\d.]+ °F\))? (below|above) ", least, most=True, digits=0.51)


@SLOW
def test_endure_on_travel(answered):
    """Cycles of a travel and more, of the axles that are named, for each kilometre: counted from the classes in the CSV, the way from the history."""
    found = answered("endure", scenario("two_or_four_heat"))
    rows = found.table("travel_counts")
    rates, title = {}, found.title("travel")
    one, least = re.search(rf"the (front |rear )?ax(?:le|es) moves? {NUMBER} mm", title).groups()
    ends = (one.strip(),) if one else ("front", "rear")
    for setup in dict.fromkeys(key.rpartition(": ")[0] for key in rows[0] if key.endswith("[cycles]")):
        stem = re.sub(r"\W+", "_", setup).strip("_").lower()
        driven = float(found.table(stem)[-1]["distance [km]"])
        large = [row for row in rows if float(row["travel from [mm]"]) >= float(least) - 1e-6]
        rates[setup] = sum(float(row[f"{setup}: {end} [cycles]"]) for row in large for end in ends) / driven
    # Two digits are said of a rate: 140 stands for 135 to 145.
    check_said(title, rf"{NUMBER}(?: times a kilometre|$|;)()", rates, most=False, digits=0.051)


def check_said(title, figure, of, most, digits):
    """Check the figures that a title says of set-ups: best first, then the worst; or one for all.

    A figure ends with a word that turns its sign ("above"); `digits` is how far it may be off, below 0.1 as a share.
    """
    parts = re.split(r"; (?:with|best of those not flagged:) ", title)
    values = []
    for part in parts:
        said = re.search(figure, part)
        assert said, (part, title)
        value = float(said[1]) * (-1.0 if said[2] == "above" else 1.0)
        values.append(value)
        names = [one.rstrip("…") for one in re.findall("“(.*?)”", part)]
        chosen = [one for one in of if any(one.startswith(name) for name in names)] or list(of)
        if "every set-up but" in part:
            chosen = [one for one in of if one not in chosen]
        for one in chosen:
            assert abs(of[one] - value) <= (digits if digits > 0.1 else digits * abs(of[one])), (one, of, title)
    best, worst = (max, min) if most else (min, max)
    for value, end in zip(values, (best(of.values()), worst(of.values())), strict=False):
        assert abs(value - end) <= (digits if digits > 0.1 else digits * abs(end)), title


# --- tunings ------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def tuned(answered, tmp_path_factory):
    """Return a shipped tuning with its search cut short, and what it asks: titles must be true of any search."""
    asked = yaml.safe_load((SCENARIOS / "tune_for_the_track.yaml").read_text(encoding="utf-8"))
    asked["vehicle"] = str(SCENARIOS / asked["vehicle"])
    asked["run"]["course"] = str(SCENARIOS / asked["run"]["course"])
    asked["tune"] |= {"generations": 3, "hold": asked["tune"]["hold"] | {"draws": 16}}
    path = tmp_path_factory.mktemp("tuning") / "short.yaml"
    path.write_text(yaml.safe_dump(asked, sort_keys=False), encoding="utf-8")
    found = answered("tune", str(path))
    # Beside it lies a folder for each case.
    (folder,) = [one for one in found.folder.parent.iterdir() if (one / "trade_off.svg").exists()]
    return Answered(folder, found.text), asked["tune"]


@SLOW
def test_tune_on_the_trade_off(tuned):
    """Now, tuned and at best, of the first two measures: means of the cases that know them, and the least of the front."""
    found, asked = tuned
    said = re.findall(
        rf"(?:^|; )([^;]*?) {NUMBER} [^;]*? now, {NUMBER} [^;]*? tuned, {NUMBER} [^;]*? at best within the limits",
        # Of several cases that is said first.
        found.title("trade_off").removeprefix(f"Mean of {len(asked['over'])} cases: "),
    )
    assert len(said) == 2
    front, cases = found.table("trade_off"), found.table("tuned")
    assert asked["judge"] == "weighted"
    assert not any("weight" in case for case in asked["over"].values())
    for name, (_, now, then, best) in zip(asked["trade_off"], said, strict=False):
        rows = [row for row in cases if row["what"].endswith(f": {name}") and row["now"] not in ("", "nan")]
        for text, column in ((now, "now"), (then, "tuned")):
            assert float(text) == pytest.approx(sum(float(row[column]) for row in rows) / len(rows), rel=6e-3), name
        (column,) = [key for key in front[0] if key.startswith(f"{name} [")]
        assert float(best) == pytest.approx(min(float(row[column]) for row in front), rel=6e-3), name


@SLOW
def test_tune_on_single_changes(tuned):
    found, _ = tuned
    rows = [row for row in found.table("single_changes") if float(row["goal better by [%]"]) > 0.0]
    sound = [row for row in rows if not row["flagged"]]
    title = found.title("single_changes")
    if not sound:
        assert title.startswith(("Every single change that helps is flagged", "No single change")), title
        return
    best = max(sound, key=lambda row: float(row["goal better by [%]"]))
    mends = [row for row in found.table("single_changes") if row["keeps every limit"] == "yes" and not row["flagged"]]
    # Where the start breaks a limit, a change that keeps all of them comes before any gain.
    if "with which every limit is kept" in title:
        assert any(title.startswith(f"The single change that helps most: {row['move']} to ") for row in mends), title
        return
    head = (
        "The single change that helps most"
        if best["keeps every limit"] == "yes"
        else "No single change keeps every limit; the most helpful"
    )
    said = re.match(rf"{head}: (.*) to (.*?), goal {NUMBER} % better", title)
    assert said[1] == best["move"], title
    assert float(said[3]) == pytest.approx(float(best["goal better by [%]"]), rel=0.06), title
    assert ("less than anyone feels" in title) == (float(best["goal better by [%]"]) < 1.0), title


@SLOW
def test_tune_on_how_it_holds(tuned):
    """In how many of the ways in which dampers come out it is better: three sizes of scatter as often as is asked, hot and cold once."""
    found, asked = tuned
    said = re.search(
        r"is better than “(.*?)” in (\d+) of (\d+) ways .*; its limits hold in (\d+)", found.title("holding")
    )
    assert said[1] == asked["start"]
    assert int(said[3]) == 3 * asked["hold"]["draws"] + 2
    printed = " ".join(found.text.split())
    better = kept = 0
    for way, much, limits in re.findall(
        rf"With (scatter|hot|cold)[^:]*: better than '[^']*' in {NUMBER}% of tries, all limits kept in {NUMBER}%",
        printed,
    ):
        count = asked["hold"]["draws"] if way == "scatter" else 1
        better += round(float(much) * count / 100.0)
        kept += round(float(limits) * count / 100.0)
    assert (better, kept) == (int(said[2]), int(said[4])), printed
