"""`jounce endure`: files, figures, bad input, results that outlive a failure."""

import csv
import json
import os
import re
import shutil
import signal
import subprocess
import sys
import tempfile
from contextlib import suppress
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.cli import hours, main
from sim.cli.hours import Hours
from sim.describe.files.scenario import load_scenario
from sim.machine.spread import KILLED_MOST
from sim.show.report.endured import HistoryFile
from sim.study.endurance import noted
from sim.study.endurance.drive import endure
from sim.study.endurance.noted import known
from tests.linear.test_standing import by_hand
from tests.waiting import until

pytestmark = pytest.mark.long  # whole commands and studies, over and over: seconds each

ROOT = Path(__file__).parents[2]
TRACK = """kind: scenario
name: Short
vehicle: vehicles/hut_supply_truck.yaml
run:
  kind: track
  air: 20 °C
  stages:
    - {kind: drive, course: courses/corrugated_track.yaml, speed: 40 km/h, distance: 400 m}
    - {kind: stand, duration: 2 min}
setups:
  as it is:
  summary:
    front.dampers.main.count: 4
"""


@pytest.fixture
def demo(tmp_path, monkeypatch):
    shutil.copytree(ROOT / "scenarios", tmp_path / "scenarios")
    (tmp_path / "scenarios" / "short.yaml").write_text(TRACK, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    # Killed processes leave their temporary files: here, not among everybody's.
    (tmp_path / "temporary").mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "temporary"))
    monkeypatch.setenv("TMPDIR", str(tmp_path / "temporary"))
    return tmp_path / "scenarios" / "short.yaml"


def test_without_a_tube_it_is_said_first_that_fading_is_not_known_and_what_to_write(demo, capsys):
    text = TRACK.replace("  summary:\n    front.dampers.main.count: 4\n", "")
    text = text.replace(
        "  as it is:\n", "  as it is:\n    front.dampers.main.tube: none\n    rear.dampers.main.tube: none\n"
    )
    demo.write_text(text, encoding="utf-8")
    assert main(["endure", str(demo)]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert (
        "How hot the dampers get, and whether they fade, is not known: none has a tube in the file; give each set one"
        in said
    )
    # What is proposed is what a file takes.
    tube = re.search(r"front\.dampers\.main\.tube: \{.*?\}", said)[0]
    demo.write_text(text.replace("front.dampers.main.tube: none", tube), encoding="utf-8")
    assert main(["endure", str(demo)]) == 0
    assert "is not known" not in capsys.readouterr().out


def edited(path, old, new):
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def test_how_hot_and_how_far_from_the_limit_is_said_before_the_table(demo, capsys):
    """The least and the most of the hottest oil in the histories; 120 °C is the limit of both tubes (the file gives none)."""
    assert main(["endure", "scenarios/short.yaml"]) == 0
    head = " ".join(capsys.readouterr().out.partition("work of")[0].split())
    with Path("outputs/short_endured/summary.csv").open(encoding="utf-8", newline="") as file:
        rows = {row["name"]: row for row in csv.DictReader(file)}
    hottest = [float(rows["front_main_oil_hottest"][name]) for name in ("as it is", "summary")]
    said = re.search(r"the front dampers’ oil reaches (\d+) °C", head)
    assert float(said[1]) == pytest.approx(min(hottest), abs=0.51)
    # Of the damper that is closest to its limit, whichever axle it is on.
    least = [
        min(120.0 - float(rows[f"{end}_main_oil_hottest"][name]) for end in ("front", "rear"))
        for name in ("as it is", "summary")
    ]
    said = re.search(r"the hottest oil of this track is (\d+) °C \(\d+ °F\) below its limit", head)
    assert float(said[1]) == pytest.approx(max(least), abs=0.51)
    # Whether they fade is what is asked; of either axle the damper with the least left.
    left = [
        min(float(rows[f"{end}_main_force_left"][name]) for end in ("front", "rear"))
        for name in ("as it is", "summary")
    ]
    said = re.search(r"the damper that fades most has (\d+) % of the force on its sheet left when hottest", head)
    assert float(said[1]) == pytest.approx(max(left), abs=0.51)


@pytest.mark.parametrize("workers", ["1", "2"])
def test_files_and_figures(demo, capsys, workers):
    assert main(["endure", "scenarios/short.yaml", "--workers", workers, "--json"]) == 0
    out, err = capsys.readouterr()
    assert "heat.png" in err
    folder = Path("outputs/short_endured")
    pictures = {f"{name}.{kind}" for name in ("heat", "settled", "travel") for kind in ("png", "svg")}
    tables = {"as_it_is.csv", "summary_.csv", "summary.csv", "travel_counts.csv", "level_crossings.csv"}
    assert {p.name for p in folder.iterdir()} == pictures | tables | {"record.json", "report.html"}
    answer = json.loads(out)
    assert any("of the force on its sheet left when hottest" in one for one in answer["verdict"])
    found = answer["setups"]
    figures = {key: one["value"] for key, one in found["as it is"]["measures"].items()}
    assert found["summary"]["measures"]["front_main_power"]["value"] < figures["front_main_power"]
    with (folder / "as_it_is.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert float(rows[0]["front main oil [°C]"]) == 20.0
    assert float(rows[-1]["time [s]"]) == pytest.approx(36.0 + 120.0)
    # What it has really gone: bumps push back, and who drives lets it fall behind the nominal 400 m by less than a hundredth.
    assert 0.396 < float(rows[-1]["distance [km]"]) < 0.4
    assert figures["distance_driven"] == pytest.approx(1e3 * float(rows[-1]["distance [km]"]), abs=0.06)
    hottest = max(float(row["front main oil [°C]"]) for row in rows)
    assert figures["front_main_oil_hottest"] - 273.15 == pytest.approx(hottest, abs=0.006)
    with (folder / "summary.csv").open(encoding="utf-8", newline="") as file:
        written = {row["name"]: row for row in csv.DictReader(file)}
    oil, heat = by_hand(0.032, 0.054, 0.330, 0.014)
    assert (written["front_main_oil_mass"]["unit"], written["front_main_heat_capacity"]["unit"]) == ("kg", "kJ/°C")
    assert float(written["front_main_oil_mass"]["as it is"]) == pytest.approx(oil, rel=1e-5)
    assert 1e3 * float(written["front_main_heat_capacity"]["as it is"]) == pytest.approx(heat, rel=1e-5)
    with (folder / "travel_counts.csv").open(encoding="utf-8", newline="") as file:
        counts = list(csv.reader(file))
    assert counts[0][:3] == ["travel from [mm]", "to [mm]", "as it is: front [cycles]"]
    with (folder / "level_crossings.csv").open(encoding="utf-8", newline="") as file:
        crossings = {float(row[0]): int(row[1]) for row in list(csv.reader(file))[1:] if int(row[1])}
    # Every movement that ends beyond a level has crossed it: the farther from the middle, the fewer.
    outwards = [count for level, count in crossings.items() if level >= max(crossings, key=lambda one: crossings[one])]
    assert max(outwards) > 10
    assert max(crossings) <= 1e3 * figures["front_bump_most"] < max(crossings) + 5.0
    assert -min(crossings) <= 1e3 * figures["front_droop_most"] < 5.0 - min(crossings)
    large = sum(float(row[2]) for row in counts[1:] if float(row[0]) >= 20.0)
    assert large == pytest.approx(figures["front_large_cycles"])
    record = json.loads((folder / "record.json").read_text(encoding="utf-8"))
    assert set(record["sources"]) == {"short.yaml", "vehicles/hut_supply_truck.yaml", "courses/corrugated_track.yaml"}
    assert max(record["heat left open, share"].values()) < 1e-6


def test_table(demo, capsys):
    assert main(["endure", "scenarios/short.yaml", "--setup", "as it is", "--workers", "1"]) == 0
    out = capsys.readouterr().out
    assert "Front 'main': hottest oil [°C (°F)]" in out
    assert "Front 'main': oil in one [kg (lb)]" in out
    assert "summary" not in out


def test_flagged(demo, capsys):
    edited(demo, "air: 20 °C", "air: -40 °C")
    assert main(["endure", "scenarios/short.yaml", "--setup", "as it is", "--workers", "1"]) == 3
    assert "begins at -40 °C (-40 °F)" in " ".join(capsys.readouterr().out.split())


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("distance: 400 m", "distance: 400 m, duration: 5 s", ["short.yaml:8:", "one of the two"]),
        ("distance: 400 m", "distance: 400", ["needs a unit"]),
        (", distance: 400 m", "", ["either `distance` or `duration`"]),
        ("kind: stand", "kind: stnd", ["the kind 'stnd' is not known", "did you mean 'stand'?"]),
        ("duration: 2 min", "duration: 200 h", ["at most 48"]),
        ("corrugated_track.yaml", "corugated_track.yaml", ["short.yaml:8:", "did you mean"]),
        ("courses/corrugated_track.yaml", "vehicles/hut_supply_truck.yaml", ["a course file is wanted"]),
        ("air: 20 °C", "air: 20", ["run.air", "20 °C"]),
        ("air: 20 °C", "air: 2000 °C", ["run.air", "between -100 °C and 500 °C"]),
        ("speed: 40 km/h", "speeed: 40 km/h", ["'speeed' is not known here", "did you mean 'speed'?"]),
        ("stages:", "altitude: 90 km\n  stages:", ["run.altitude", "must not be more than 6 km"]),
        ("count: 4", "tube.bore: 60 mm", ["no room for oil"]),
        ("count: 4", "tube.oil: {viscosity_40: 3 cSt}", ["are they crossed"]),
        ("count: 4", "tube.bor: 30 mm", ["did you mean 'bore'?"]),
    ],
)
def test_bad_input(demo, capsys, old, new, said):
    edited(demo, old, new)
    assert main(["endure", "scenarios/short.yaml"]) == 2
    err = capsys.readouterr().err
    assert "Traceback" not in err
    for text in said:
        assert text in err
    assert not Path("outputs").exists()


def test_wrong_command_for_a_run(demo, capsys):
    assert main(["endure", "scenarios/two_or_four.yaml"]) == 2
    assert "jounce compare" in capsys.readouterr().err
    assert main(["compare", "scenarios/short.yaml"]) == 2
    assert "jounce endure" in capsys.readouterr().err
    assert main(["endure", "scenarios/short.yaml", "--setup", "as it was"]) == 2
    assert "did you mean 'as it is'?" in capsys.readouterr().err
    assert not Path("outputs").exists()


def test_check_knows_tracks(demo, capsys):
    assert main(["check", "scenarios/short.yaml"]) == 0
    edited(demo, "front.dampers.main.count: 4", "front.dampers.main.length_collapsed: 600 mm")
    assert main(["check", "scenarios/short.yaml"]) == 2


@pytest.mark.parametrize("workers", ["1", "2"])
def test_a_set_up_that_cannot_stand_is_said_and_old_results_stay(demo, capsys, workers):
    assert main(["endure", "scenarios/short.yaml", "--workers", "1", "--setup", "as it is"]) == 0
    before = {p.name: p.read_bytes() for p in Path("outputs/short_endured").iterdir()}
    edited(demo, "front.dampers.main.count: 4", "front.dampers.main.length_collapsed: 600 mm")
    assert main(["endure", "scenarios/short.yaml", "--workers", workers]) == 2
    assert "set-up 'summary'" in capsys.readouterr().err
    assert {p.name: p.read_bytes() for p in Path("outputs/short_endured").iterdir()} == before
    # What is through need not be driven again, once the other one is put right.
    assert [p.name for p in Path("outputs").iterdir() if p.suffix != ".through"] == ["short_endured"]


@dataclass(frozen=True)
class Deadly(Hours):
    """Other processes than the caller's are killed in the middle of a drive, as often as there are files `kill*`."""

    caller: int = field(default_factory=os.getpid)

    def solved(self, part):
        keep = HistoryFile.add

        def add(file, moment):
            keep(file, moment)
            if os.getpid() != self.caller and moment.time_s > 15.0:
                # Two may reach for the same file at once: who comes second takes none.
                with suppress(IndexError, FileNotFoundError):
                    sorted(self.paths[part].parents[2].glob("kill*"))[0].unlink()
                    os.kill(os.getpid(), signal.SIGKILL)

        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(HistoryFile, "add", add)
            return super().solved(part)


@pytest.mark.hours  # processes of their own, some of them begun thrice
@pytest.mark.parametrize(
    "kills", [pytest.param(1, marks=pytest.mark.hours), 2, pytest.param(5, marks=pytest.mark.hours)]
)
def test_a_worker_killed_half_way_loses_nothing(demo, capsys, monkeypatch, kills):
    """Processes killed in the middle of a drive, those that were begun in their place too: the same files."""
    demo.write_text(TRACK + "  one more:\n    front.dampers.main.count: 3\n", encoding="utf-8")
    assert main(["endure", "scenarios/short.yaml", "--workers", "1", "--json"]) == 0
    wanted = capsys.readouterr().out
    before = {p.name: p.read_bytes() for p in Path("outputs/short_endured").iterdir()}
    shutil.rmtree("outputs")
    for number in range(kills):
        Path(f"kill{number}").touch()
    monkeypatch.setattr(hours, "Hours", Deadly)
    assert main(["endure", "scenarios/short.yaml", "--workers", "3", "--json"]) == 0
    out, err = capsys.readouterr()
    # Two may be killed before the first death is noticed, and die as one.
    assert 1 <= err.count("A process was killed") <= min(kills, KILLED_MOST)
    found, expected = json.loads(out), json.loads(wanted)
    # What was asked and what was said is repeated; all else is the same.
    found["asked"]["workers"] = expected["asked"]["workers"]
    found["notices"] = [text for text in found["notices"] if "A process was killed" not in text]
    assert found == expected
    assert {p.name: p.read_bytes() for p in Path("outputs/short_endured").iterdir()} == before


def test_goes_on_where_it_was_stopped(demo, capsys, monkeypatch):
    """Stopped in the third set-up: the two before are not driven again, and all files are those of a run without a stop."""
    demo.write_text(TRACK + "  one more:\n    front.dampers.main.count: 3\n", encoding="utf-8")
    asked = ["endure", "scenarios/short.yaml", "--workers", "1", "--json"]
    assert main(asked) == 0
    wanted = capsys.readouterr().out
    before = {p.name: p.read_bytes() for p in Path("outputs/short_endured").iterdir()}
    shutil.rmtree("outputs")
    driven, solved = [], Hours.solved

    def stops(self, part):
        driven.append(part)
        if len(driven) == 3:
            raise KeyboardInterrupt
        return solved(self, part)

    monkeypatch.setattr(Hours, "solved", stops)
    assert main(asked) == 130
    assert main([*asked, "--units", "inch", "--setup", "as it is"]) == 0  # another question: its notes are others
    assert driven == ["as it is", "summary", "one more", "as it is"]
    driven.clear()
    capsys.readouterr()
    assert main(asked) == 0
    assert driven == ["one more"]
    assert capsys.readouterr().out == wanted
    assert {p.name: p.read_bytes() for p in Path("outputs/short_endured").iterdir()} == before
    assert not list(Path("outputs").glob("*.through"))


NOISE = st.recursive(
    st.none() | st.booleans() | st.floats() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=6,
)


@given(
    row=NOISE,
    at=st.sampled_from(
        ["", "setup", "vehicle", "history", "sets", "points", "axles", "dampers", "counts", "flags", "open"]
    ),
)
def test_notes_of_others_are_driven_again(row, at):
    """Whatever stands in a note, with checksums that are right: it is left out, not believed and not a traceback."""
    scenario, entry = noted_track()
    whole = json.loads(json.dumps(entry))
    found, history = known([whole], scenario)["as it is"]
    assert history == "the history"
    assert json.dumps(noted.entry("as it is", found, history)) == json.dumps(entry)
    spoilt = {**whole, at: row} if at else row
    for run, text in known([spoilt], scenario).values():
        assert isinstance(text, str)
        assert run.sets.keys() == found.sets.keys()


@cache
def noted_track():
    """Return a track of seconds, and what is noted of its set-up."""
    with tempfile.TemporaryDirectory() as place:
        shutil.copytree(ROOT / "scenarios", Path(place) / "scenarios")
        path = Path(place) / "scenarios" / "short.yaml"
        path.write_text(TRACK.replace("400 m", "120 m").replace("2 min", "20 s"), encoding="utf-8")
        scenario = load_scenario(path)
        return scenario, noted.entry("as it is", endure(scenario.setups["as it is"], scenario.run), "the history")


@pytest.mark.hours  # two processes of their own; tests.fuzz.kills does it at random moments
def test_killed_half_way(demo, child):
    """Killed without warning: what was there is untouched, and the next run replaces it and clears up after both."""
    assert main(["endure", "scenarios/short.yaml", "--workers", "1", "--setup", "as it is"]) == 0
    before = {p.name: p.read_bytes() for p in Path("outputs/short_endured").iterdir()}
    edited(demo, "distance: 400 m", "distance: 900 km")
    process = child(
        [sys.executable, "-m", "sim", "endure", str(demo), "--workers", "1"], env={**os.environ, "PYTHONPATH": str(ROOT)},
        stderr=subprocess.DEVNULL,
    )  # fmt: skip
    streams = Path("outputs")
    until(lambda: any(p.stat().st_size > 1000 for p in streams.glob(".short_endured.new-*/as_it_is.csv")), process)
    process.send_signal(signal.SIGKILL)
    process.wait()
    assert {p.name: p.read_bytes() for p in Path("outputs/short_endured").iterdir()} == before
    assert list(Path("temporary").glob("jounce-*"))
    edited(demo, "distance: 900 km", "distance: 200 m")
    assert main(["endure", "scenarios/short.yaml", "--workers", "1", "--setup", "as it is"]) == 0
    assert (Path("outputs/short_endured") / "as_it_is.csv").read_bytes() != before["as_it_is.csv"]
    # What the killed one had noted of its hours waits for the same question.
    assert [path.name for path in streams.iterdir() if path.suffix not in (".through", ".lock")] == ["short_endured"]
    assert not list(Path("temporary").glob("jounce-*"))
