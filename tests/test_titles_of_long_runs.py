"""What the titles of shake, lean, tramp, endure and tune say of shipped scenarios, against their CSV or table, by a few lines of their own."""

import math
import re

import pytest
import yaml

from tests.synthetic import SCENARIOS
from tests.titles import NUMBER, SLOW, Answered, asking, near, scenario


@pytest.fixture(scope="module")
def answered(tmp_path_factory):
    """Return what answers a command, each run once."""
    return asking(tmp_path_factory)


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
    alone = re.search(rf"[Ll]ean alone changes {NUMBER} deg", found.words("leans"))
    if alone:
        own = [float(row["change [deg]"]) for row in rows if "lean alone" in row["moved"]]
        assert near(alone[1], max(own))
    # Where it turns on grip the title has the best place of either way; else that of the file's.
    every = found.table("lean_changes")
    both = rf"(both mounts|lower mounts?|one ahead, one behind) (.*?) if it follows load at once \(wind-up {NUMBER} deg(?:, now {NUMBER} deg)?\), (.*?) if only as the tyre rolls on \({NUMBER} deg(?:, now {NUMBER} deg)?\)"
    if turns := re.search(both, title):
        (who,) = re.findall(r"[Ss]o it is with “(.*?)”", found.words("leans"))
        places = {"at_once": turns.groups()[1:4], "after_length": turns.groups()[4:]}
        for way, (where, least, now) in places.items():
            (row,) = [
                one for one in every if one["grip follows load"] == way and one["moved"].startswith(turns[1]) and one["set-up"] == who
            ]  # fmt: skip
            assert near(least, float(row["axle winds up least [deg]"]))
            assert row["where"] == where
            stands = [
                one for one in found.table("leans") if one["grip follows load"] == way and one["set-up"] == who and one["moved"] == "as it stands"
            ]  # fmt: skip
            assert not now or near(now, float(stands[0]["Pinion winds up by [deg]"]))
        return
    does = re.search(
        rf"(both mounts|lower mounts?|one ahead, one behind) (.*?): wind-up {NUMBER} deg, not {NUMBER} deg as it stands with “(.*?)”",
        title,
    )
    (row,) = [one for one in rows if one["moved"].startswith(does[1]) and one["set-up"] == does[5]]
    assert near(does[3], float(row["axle winds up least [deg]"]))
    assert row["where"] == does[2]
    stands = [one for one in found.table("leans") if one["set-up"] == does[5] and one["moved"] == "as it stands"]
    assert near(does[4], float(stands[0]["Pinion winds up by [deg]"]))


STARTS = rf"(?:while the tyres still grip|as the tyres reach their most grip|once the tyres spin past their most grip) \(slope {NUMBER}\)"


@SLOW
def test_tramp(answered):
    found = answered("tramp", scenario("lean_against_wind_up"))
    title = found.title("tramp")
    # What the title's three lines have no room for stands beneath it.
    said = [
        *re.search(rf"starts latest with both mounts (.*?): {STARTS}", title).groups(),
        *re.search(rf"first with (?:them|both mounts) (.*?): {STARTS}", found.words("tramp")).groups(),
    ]
    stands = re.search(rf"\b[Aa]s it stands it hops {STARTS}[:.] ", title)
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
    assert starts[said[0]] == float(said[1]) == min(starts.values())
    assert starts[said[2]] == float(said[3]) == max(starts.values())


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
    if "keeps them all, goal" in title:
        head = "No single change keeps every limit and betters the goal: "
        assert any(title.startswith(f"{head}{row['move']} to ") for row in mends), title
        assert all(float(row["goal better by [%]"]) < 0.0 for row in mends), title
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
    for ways, much, limits in re.findall(
        rf"With ([^:]*): better than '[^']*' in {NUMBER} % of tries, all limits kept in {NUMBER} %", printed
    ):
        for way in re.findall("scatter|hot|cold", ways):
            count = asked["hold"]["draws"] if way == "scatter" else 1
            better += round(float(much) * count / 100.0)
            kept += round(float(limits) * count / 100.0)
    assert (better, kept) == (int(said[2]), int(said[4])), printed
