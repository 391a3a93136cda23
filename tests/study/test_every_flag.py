"""Every flag through every study: small trucks with one fault each; the word in the table, the sentence, the best, the exit code.

The faults are made by changes to the demo's truck. What no sound truck brings about in two seconds (a pitch of 29 degrees, an
energy balance that does not close, numbers without bound) is put into the list of checks for set-ups that carry a mark.
"""

import csv
import json
from contextlib import redirect_stderr, redirect_stdout
from io import StringIO
from pathlib import Path

import pytest
import yaml

import sim
import sim.integrate.flags as flags_module
from sim.cli import main
from sim.describe.shown import show
from sim.errors import LiftedError
from sim.integrate.status import IN_WORDS, Flag
from sim.linear.standing_flags import standing_flags
from sim.lower.lowering import lower
from sim.lower.rest import rest
from sim.study.fit import fits
from sim.study.flagged import faults
from sim.study.tuning.ready import tuning_of
from sim.study.tuning.session import Session
from sim.study.tuning.studies import Single, helping

pytestmark = pytest.mark.long  # whole commands and studies, over and over: seconds each

ROOT = Path(__file__).parents[2]
TRUCK = str(ROOT / "scenarios" / "vehicles" / "hut_supply_truck.yaml")

GASLESS = {
    "kind": "valves",
    "piston": {
        "diameter": "40 mm", "bleed": {"count": 2, "diameter": "1.6 mm"},
        "compression": [{"ports": {"count": 2, "diameter": "2.8 mm"}, "seat_diameter": "24 mm", "preload": "1 N", "rate": "4 N/mm"}],
        "rebound": [{"ports": {"count": 2, "diameter": "2.0 mm"}, "seat_diameter": "24 mm", "preload": "1 N", "rate": "4 N/mm"}],
    },
    "rod_diameter": "11 mm", "tube": {"kind": "monotube", "gas_pressure": "1 bar", "gas_volume": "60 cm^3"},
}  # fmt: skip
STONES = {"mass": "400 kg", "place": {"behind_front_axle": "2.9 m", "above_ground": "1.1 m"}}

TRUCKS = {
    "sound": {},
    "damper_end": {"front.dampers.main.length_extended": "585 mm"},
    "cavitation": {"front.dampers.main.valving": GASLESS, "front.dampers.main.gas_force": "none"},
    "coil_bind": {"front.springs.coil.solid_length": "375 mm"},
    "stop_full": {"front.stop.gap": "20 mm", "front.stop.squeeze": "2 mm"},
    "on_stops": {"rear.stop.gap": "10 mm", "loads.stones": STONES},
    "jounce_range": {"rear.guide.fixed_half_length": "210 mm"},
    "no_strap": {"rear.dampers.main.length_extended": "600 mm", "rear.strap": "none"},
}
"""One fault each; the first has none."""

WORDS = {
    "damper_end": "front damper 'main' met its extended end",
    "cavitation": "front damper 'main' drew gas bubbles into its oil",
    "coil_bind": "front spring 'coil' went solid",
    "stop_full": "front bump stops squeezed flat",
    "on_stops": "rear axle stands on its bump stops",
    "jounce_range": "rear axle left the range of its guide",
    "no_strap": "rear damper 'main' met its extended end",
    "pitch_range": "body pitched further than the model holds",
    "numerical": "energy balance does not close",
    "not_finite": "the run blew up",
    "hot": "front damper 'main' has too hot oil",
    "cold": "front damper 'main' has too cold oil",
}
"""What a table says of each."""

SENTENCES = {
    "damper_end": "front damper 'main' was pulled to its extended end",
    "cavitation": "front damper 'main' draws gas bubbles into its oil",
    "coil_bind": "front spring 'coil' went solid",
    "stop_full": "The front bump stops were squeezed flat",
    "on_stops": "The truck stands on its rear bump stops",
    "jounce_range": "The rear axle left its guide's range",
    "no_strap": "The axle is without a limit strap",
}
"""What is said of each at length."""

MARKED = {
    kind: {"rear.dampers.main.rod_mass": f"{0.91 + 0.01 * n} kg"}
    for n, kind in enumerate(("pitch_range", "numerical", "not_finite"))
}
"""Set-ups whose flag the tests put in, by the mass of a rod."""

COURSE = {
    "kind": "course", "name": "one hump",
    "items": [{"kind": "flat", "length": "3 m"}, {"kind": "circular_hump", "height": "150 mm", "chord": "2.4 m"},
              {"kind": "flat", "length": "6 m"}],
}  # fmt: skip
HUMP = {"kind": "course", "speed": "25 km/h", "course": COURSE}
LAUNCH = {
    "kind": "launch", "surface": {"name": "firm rock", "friction": 0.85, "sliding": 0.62, "peak_at": "13 %"}, "watch": "0.8 s",
    "course": COURSE,
}  # fmt: skip
TRACK = {
    "kind": "track",
    "air": "20 °C",
    "stages": [{"kind": "drive", "course": COURSE, "speed": "25 km/h", "duration": "8 s"}],
}


def marked(seen):
    """Return the flag of a set-up that carries a mark."""
    mass = seen.setup.vehicle.rear.dampers["main"].rod_mass
    for kind, changes in MARKED.items():
        if mass == pytest.approx(float(changes["rear.dampers.main.rod_mass"].split()[0])):
            yield Flag(kind, None, "body", f"put in by a test: {kind}.")


def scenario_file(folder, name, run, setups, **more):
    path = folder / f"{name}.yaml"
    data = {"kind": "scenario", "name": name, "vehicle": TRUCK, "run": run, "setups": setups}
    path.write_text(yaml.safe_dump(data | more, sort_keys=False), encoding="utf-8")
    return path


def told(capsys, *arguments):
    code = main([str(a) for a in arguments])
    out, err = capsys.readouterr()
    assert "Traceback" not in out + err
    # Tables fold where a line is full.
    return code, " ".join(out.split()), " ".join(err.split())


def aside(*arguments):
    """Return exit code, standard output as one line, and standard error of a command, for a fixture."""
    out, err = StringIO(), StringIO()
    with redirect_stdout(out), redirect_stderr(err):
        code = main([str(a) for a in arguments])
    return code, " ".join(out.getvalue().split()), err.getvalue()


def rows_of(path):
    return list(csv.DictReader(path.read_text(encoding="utf-8").splitlines()))


def picture(path):
    """Return the text of a picture as one line."""
    text = path.read_text(encoding="utf-8")
    return " ".join(part.split("</text>")[0].split(">")[-1] for part in text.split("<text")[1:]).replace("\xa0", " ")


RATE = ("front.springs.coil.rate", "36 N/mm", "37 N/mm", 2)
FRICTION = ("rear.dampers.main.seal_friction", "30 N", "31 N", 2)
MEASURE = ("--measure", "acceleration_rms_driver")
REAL = [kind for kind in TRUCKS if kind != "sound"]


@pytest.mark.parametrize("kind", [*REAL, *MARKED])
def test_a_sweep_of_one_input(kind, tmp_path, capsys, monkeypatch):
    monkeypatch.setattr(flags_module, "CHECKS", (*flags_module.CHECKS, marked))
    setups = {"sound": {}, "faulty": (TRUCKS | MARKED)[kind]}
    path = scenario_file(tmp_path, "one", HUMP, setups)
    code, out, _ = told(capsys, "sweep", path, "--vary", *RATE, *MEASURE, "--workers", 1, "--outputs", tmp_path / "out")
    assert code == 3
    folder = tmp_path / "out" / "one_by_rate"
    rows = rows_of(folder / "swept.csv")
    lost = kind in ("jounce_range", "pitch_range", "not_finite")
    for row in rows:
        assert row["sound: flagged"] == ""
        # A run that by itself closes its balance is not at fault: blocks keep none, so the ends alone know.
        assert WORDS[kind] in row["faulty: flagged"]
        value = next(text for head, text in row.items() if head.startswith("faulty: ") and "flagged" not in head)
        assert (value == "") == lost
    assert (
        f"FLAGGED faulty, 2 of 2 points, {'worst' if kind not in ('cavitation', 'jounce_range', *MARKED) else 'first'} at"
        in out
    )
    assert (SENTENCES | dict.fromkeys(MARKED, "put in by a test"))[kind] in out
    if not lost:
        assert "flagged, faulty: every point; at the best: " in out
        assert "faulty FLAGGED" in out
    assert "sound FLAGGED" not in out
    page = picture(folder / "swept.svg")
    # Where the input moves nothing that a person notices no best is named at all.
    assert "best with “sound” at" in page or "hardly matters" in page
    assert "best with “faulty” at" not in page
    assert "FLAGGED: 2 faulty: 2 of 2 points" in page
    assert "sound (flagged)" not in page
    assert "Squares: flagged" in page
    record = json.loads((folder / "record.json").read_text(encoding="utf-8"))
    assert any(text.startswith("faulty, 2 of 2 points") for text in record["flags"])


@pytest.mark.long  # a sweep for each fault; those of one input are tried every day
@pytest.mark.parametrize("kind", REAL)
def test_a_map_of_two_inputs(kind, tmp_path, capsys):
    path = scenario_file(tmp_path, "two", HUMP, {"sound": {}, "faulty": TRUCKS[kind]})
    options = (*MEASURE, "--workers", 1, "--outputs", tmp_path / "out")
    code, out, _ = told(capsys, "sweep", path, "--vary", *RATE, "--vary", *FRICTION, *options)
    assert code == 3
    assert "FLAGGED faulty, 4 of 4 points" in out
    folder = tmp_path / "out" / "two_by_rate_seal_friction"
    assert all(
        WORDS[kind] in row["faulty: flagged"] and not row["sound: flagged"] for row in rows_of(folder / "swept.csv")
    )
    page = (folder / "swept.svg").read_text(encoding="utf-8")
    assert "Hatched: flagged" in picture(folder / "swept.svg")
    assert "<pattern" in page  # which is how a picture's hatching is written


def test_the_best_is_sound_and_a_better_one_at_fault_is_named_with_it(tmp_path, capsys):
    """A damper that is too short holds the axle off its strap: the shortest leaves most, and tears its mount. It is not the best."""
    path = scenario_file(tmp_path, "short", HUMP, {"as it is": {}})
    vary = ("front.dampers.main.length_extended", "585 mm", "720 mm", 4)
    options = ("--measure", "front_left_to_strap", "--workers", 1, "--outputs", tmp_path / "out")
    code, out, _ = told(capsys, "sweep", path, "--vary", *vary, *options)
    assert code == 3
    rows = rows_of(tmp_path / "out" / "short_by_length_extended" / "swept.csv")
    left = [float(next(text for head, text in row.items() if head.startswith("as it is: Front"))) for row in rows]
    at_fault = [bool(row["as it is: flagged"]) for row in rows]
    assert at_fault[0]
    assert not at_fault[-1]
    assert left[0] > max(value for value, fault in zip(left, at_fault, strict=True) if not fault)
    assert "as it is FLAGGED" not in out
    assert "flagged, as it is: better still but flagged: " in out
    assert "at 585 mm (23 in) (front damper 'main' met its extended end" in out
    page = picture(tmp_path / "out" / "short_by_length_extended" / "swept.svg")
    assert "(better still but flagged at 585 mm" in page
    assert f"{at_fault.count(True)} of 4 points" in out


@pytest.mark.long  # a search for each fault
@pytest.mark.parametrize("kind", REAL)
def test_a_tuning_whose_start_no_move_mends_is_refused(kind, tmp_path, capsys):
    tune = {
        "start": "faulty", "move": {"rear": {"kind": "scale", "path": "rear.dampers.main.valving", "low": 0.98, "high": 1.02}},
        "goal": {"acceleration_rms_driver": 1}, "generations": 1, "hold": {"draws": 16},
    }  # fmt: skip
    path = scenario_file(tmp_path, "mend", HUMP, {"sound": {}, "faulty": TRUCKS[kind]}, tune=tune)
    code, out, err = told(capsys, "tune", path, "--workers", 1, "--no-plots", "--outputs", tmp_path / "out")
    if kind == "jounce_range":  # a start from which nothing can be measured
        assert code == 2
        assert SENTENCES[kind] in err
        return
    assert code == 3
    assert out.startswith("FLAGGED: the set-up below, in case 'as the scenario drives it': ")
    assert "NO GOAL REACHABLE" in out
    assert "Stopped by: No run is flagged" in out
    assert out.count(WORDS[kind]) >= 3  # what was found, the start, and what is in the way
    assert "FLAGGED case 'as the scenario drives it', " in out
    assert SENTENCES[kind] in out
    assert "FLAGGED" not in err
    rows = {row["what"]: row for row in rows_of(tmp_path / "out" / "mend_tuned" / "tuned.csv")}
    told_of = rows["as the scenario drives it: flagged"]
    assert WORDS[kind] in told_of["now"]
    assert WORDS[kind] in told_of["tuned"]


def test_a_tuning_goes_round_what_is_flagged(tmp_path):
    """Softer valving has less force, until the stops are squeezed flat: the search gives the softest up, though it has tried it."""
    stiff = {"kind": "knee", "compression": {"low": "3 kN s/m", "knee": "0.12 m/s", "high": "1.5 kN s/m"},
             "rebound": {"low": "8 kN s/m", "knee": "0.12 m/s", "high": "3 kN s/m"}}  # fmt: skip
    tune = {
        "start": "sound", "goal": {"front_main_compression_force": 1}, "generations": 2, "hold": {"draws": 16},
        "trade_off": ["front_main_compression_force", "acceleration_rms_driver"],
        "move": {"force": {"kind": "scale", "path": "front.dampers.main.valving", "low": 0.3, "high": 1.2}},
    }  # fmt: skip
    setups = {"sound": {"front.dampers.main.valving": stiff, "front.stop.squeeze": "24 mm"}}
    path = scenario_file(tmp_path, "round", HUMP, setups, tune=tune)
    session = Session(tuning_of(sim.load(path)), tmp_path / "notes", workers=1)
    answer = session.answer(studies=False)
    known = [tried for trial, tried in session.search.trying.known.items() if trial.values]
    goal = answer.judge.scored("front_main_compression_force", known)
    at_fault = [bool(tried.flagged) for tried in known]
    assert any(at_fault)
    assert not all(at_fault)
    assert all(tried.flagged in ("", WORDS["stop_full"]) for tried in known)
    assert answer.reached
    assert not answer.best.flagged
    assert answer.judge.scored("front_main_compression_force", [answer.best])[0] > goal.min()
    assert answer.front
    assert not any(tried.flagged for _, tried in answer.front)
    assert [bool(broken) for broken in answer.judge.broken(known)[:, -1]] == at_fault


BRAKE = {"kind": "brake", "surface": LAUNCH["surface"], "speed": "30 km/h", "watch": "0.8 s", "course": COURSE}


def test_a_single_change_that_helps_most_is_sound_or_named_as_flagged():
    sound, hurt, more = (
        Single(None, 1.0, gain, gain, gain, faults) for gain, faults in ((0.02, ""), (0.01, "x"), (0.05, "x"))
    )
    assert helping([more, sound, hurt]) == (sound, more)
    assert helping([sound, hurt]) == (sound, None)
    assert helping([more, hurt]) == (None, more)
    assert helping([Single(None, 1.0, 0.001, 0.0, 0.0)]) == (None, None)


DRIVEN = {
    "damper_end": ({"front.dampers.main.length_collapsed": "566 mm"}, "front damper 'main' met its collapsed end",
                   "front damper 'main' hit its collapsed end"),
    "coil_bind": (TRUCKS["coil_bind"], WORDS["coil_bind"], SENTENCES["coil_bind"]),
    "stop_full": ({"front.stop.gap": "8 mm", "front.stop.squeeze": "2 mm"}, WORDS["stop_full"], SENTENCES["stop_full"]),
    "on_stops": (TRUCKS["on_stops"], WORDS["on_stops"], SENTENCES["on_stops"]),
    "cavitation": (TRUCKS["cavitation"], WORDS["cavitation"], SENTENCES["cavitation"]),
}  # fmt: skip
"""What a stop on the brakes brings about: changes, words of a cell, sentence."""


@pytest.fixture(scope="module")
def leaned(tmp_path_factory):
    """Return what is written and said of every truck that brakes, its rear dampers moved."""
    folder = tmp_path_factory.mktemp("leaned")
    path = scenario_file(
        folder, "lean", BRAKE, {"sound": {}} | {kind: changes for kind, (changes, _, _) in DRIVEN.items()}
    )
    return *aside("lean", path, "--steps", "3", "--outputs", folder / "out"), folder / "out" / "lean_leaned"


@pytest.mark.hours  # some ten launches for each fault
@pytest.mark.parametrize("kind", DRIVEN)
def test_leaning(kind, leaned):
    code, out, err, folder = leaned
    _, words, sentence = DRIVEN[kind]
    assert code == 3
    assert f"FLAGGED {kind}: {sentence}" in out
    assert "FLAGGED sound" not in out
    assert "FLAGGED" not in err
    rows = [row for row in rows_of(folder / "leans.csv") if row["set-up"] == kind and not row["left out"]]
    assert rows
    assert all(words in row["flags"] for row in rows)
    changes = [row for row in rows_of(folder / "lean_changes.csv") if row["set-up"] == kind]
    for row in changes:
        assert row["where"] == ""
        assert row["says"].startswith("FLAGGED wherever it fits: ")
        assert words in row["says"]
    assert "FLAGGED wherever it fits" in out
    record = json.loads((folder / "record.json").read_text(encoding="utf-8"))
    assert kind in {flag["kind"] for flag in record["flags"][kind]}
    page = picture(folder / "leans.svg")
    assert f"{kind} (flagged)" in page
    assert "sound (flagged)" not in page


@pytest.mark.long  # maps of two grips
def test_tramp(tmp_path, capsys, monkeypatch):
    """A crawl from a small kick seldom reaches an end: every kind is put into every run."""
    put = [
        Flag(kind, 0.4, part_of(words), f"put in by a test: {kind}.")
        for kind, words in WORDS.items()
        if kind != "no_strap"
    ]
    monkeypatch.setattr("sim.study.tramp.map.trace_flags", lambda *given: tuple(put))
    path = scenario_file(tmp_path, "crawl", LAUNCH, {"sound": {}})
    code, out, err = told(capsys, "tramp", path, "--steps", 3, "--outputs", tmp_path / "out")
    assert code == 3
    folder = tmp_path / "out" / "crawl_tramp"
    ran = [row["run: flags"] for row in rows_of(folder / "tramp.csv") if row["run tramps"]]
    assert ran
    starts = [row["runs"] for row in rows_of(folder / "tramp_starts.csv")]
    page = picture(folder / "tramp.svg")
    for flag in put:
        assert all(flag.words in cell for cell in ran)
        assert any(f"flagged: {flag.words}" in cell or flag.words in cell for cell in starts)
        assert flag.sentence in out
        assert flag.sentence not in err
        assert flag.words in out
    assert "FLAGGED, as every place that was run" in out
    assert "that run is flagged" in page


def part_of(words):
    """Return the part that a fault is of, by its words."""
    known = ("front damper 'main'", "front spring 'coil'", "front bump stops", "rear axle")
    return next((part for part in known if words.startswith(part)), "body")


@pytest.fixture(scope="module")
def shaken(tmp_path_factory):
    """Return what is written and said of every truck on a sine road."""
    folder = tmp_path_factory.mktemp("shaken")
    # A shaking road is not so rough as a hump: it takes soft dampers and no stops to leave a guide's range.
    loose = {"rear.dampers.main.valving": {"kind": "straight", "compression": "200 N s/m", "rebound": "200 N s/m"}, "rear.stop": "none",
             "rear.strap": "none"}  # fmt: skip
    path = scenario_file(folder, "shake", HUMP, TRUCKS | {"jounce_range": TRUCKS["jounce_range"] | loose})
    return *aside("shake", path, "--road", "0.3 m/s", "--outputs", folder / "out"), folder / "out" / "shake_shaken"


@pytest.mark.hours  # a response for each fault
@pytest.mark.parametrize("kind", REAL)
def test_shaking(kind, shaken):
    code, out, err, folder = shaken
    assert code == 3
    assert "FLAGGED" not in err
    lines = [line for line in out.split("FLAGGED ") if line.startswith(f"{kind}: at ")]
    assert any(SENTENCES[kind] in line and " Hz: " in line for line in lines)
    rows = rows_of(folder / "shaken.csv")
    assert any(WORDS[kind] in row[f"{kind}: flagged"] for row in rows if row["model"] == "full")
    assert not any(row["sound: flagged"] for row in rows)
    assert f"{kind} (flagged)" in picture(folder / "shaken.svg")


@pytest.mark.long  # tracks for each fault
@pytest.mark.parametrize("kind", [*REAL, "hot", "cold"])
def test_hours_of_track(kind, tmp_path, capsys):
    limits = {"hot": {"front.dampers.main.tube.hot_limit": "20 °C", "front.dampers.main.tube.cold_limit": "-40 °C"},
              "cold": {"front.dampers.main.tube.cold_limit": "25 °C"}}  # fmt: skip
    path = scenario_file(tmp_path, "hours", TRACK, {"sound": {}, "faulty": (TRUCKS | limits)[kind]})
    code, out, _ = told(capsys, "endure", path, "--workers", 1, "--outputs", tmp_path / "out")
    assert code == 3
    assert "FLAGGED faulty: " in out
    assert "FLAGGED sound" not in out
    (row,) = [row for row in rows_of(tmp_path / "out" / "hours_endured" / "summary.csv") if row["name"] == "flagged"]
    assert WORDS[kind] in row["faulty"]
    assert row["sound"] == ""
    assert "faulty (flagged)" in picture(tmp_path / "out" / "hours_endured" / "heat.svg")


AT_REST = {
    "on_stops": (TRUCKS["on_stops"], "rear axle stands on its bump stops", SENTENCES["on_stops"]),
    "stop_full": ({"rear.stop.gap": "1 mm", "rear.stop.squeeze": "2 mm", "rear.stop.rate_full": "60 N/mm", "loads.stones": STONES},
                  "rear bump stops squeezed flat", "The rear bump stops were squeezed flat"),
    "coil_bind": ({"front.springs.coil.solid_length": "390 mm"}, "front spring 'coil' went solid", "front spring 'coil' went solid"),
    "no_strap": (TRUCKS["no_strap"], "rear damper 'main' holds the hanging axle, no strap does",
                 "rear damper 'main' is all that holds the hanging rear axle"),
}  # fmt: skip
"""What is wrong before anything moves: changes, words of a cell, sentence."""


@pytest.mark.long  # three commands for each fault
@pytest.mark.parametrize("kind", AT_REST)
def test_standing_checking_and_converting(kind, tmp_path, capsys):
    changes, words, sentence = AT_REST[kind]
    path = scenario_file(tmp_path, "rest", HUMP, {"sound": {}, "faulty": changes})
    code, out, _ = told(capsys, "stand", path)
    assert code == 3
    assert f"FLAGGED faulty: {sentence}" in out
    assert "FLAGGED sound" not in out
    code, out, _ = told(capsys, "check", path)
    assert code == 3
    assert f"FLAGGED set-up 'faulty': {sentence}" in out
    assert "All is well" not in out
    code, out, _ = told(capsys, "convert", path, "--from", "faulty", "--outputs", tmp_path / "out")
    assert code == 3
    assert f"FLAGGED faulty: {sentence}" in out
    folder = tmp_path / "out" / "rest_faulty_convert"
    side = words.split()[0]
    assert all(words in row["flagged"] for row in rows_of(folder / "each.csv") if row["damper set"].startswith(side))
    assert "each of “faulty” (flagged)" in picture(folder / "each.svg")
    code, out, _ = told(capsys, "convert", path, "--from", "sound", "--outputs", tmp_path / "sound")
    assert code == 0
    assert "FLAGGED" not in out


def test_a_curve_that_its_gas_does_not_carry_is_not_converted_unsaid(tmp_path, capsys):
    path = scenario_file(tmp_path, "gas", HUMP, {"faulty": TRUCKS["cavitation"]})
    code, out, _ = told(capsys, "convert", path, "--outputs", tmp_path / "out")
    assert code == 3
    assert "FLAGGED faulty: front damper 'main' draws gas bubbles into its oil from " in out


def test_the_pull_on_a_damper_without_a_strap_is_the_weight_less_what_springs_still_carry():
    """By statics, on a straight guide with upright coils and dampers: what the coils carried less 2 k times the fall, and the axle."""
    upright = {
        "body": {"behind_front_axle": "0 mm", "above_ground": "0.97 m"},
        "axle": {"ahead": "0 mm", "above": "20 mm"},
    }
    truck = sim.load(ROOT / "scenarios" / "two_or_four.yaml").setups["two front"].changed(
        {"front.guide": {"kind": "straight"}, "front.strap": "none", "front.dampers.main.gas_force": "none",
         "front.dampers.main.body": upright["body"], "front.dampers.main.axle": upright["axle"],
         "front.dampers.main.lean_inward": "0 mm", "front.dampers.main.length_extended": "640 mm"}
    )  # fmt: skip
    setup = lower(truck)
    stands = rest(setup)
    (flag,) = standing_flags(setup, stands)
    assert flag.kind == "no_strap"
    pull = float(flag.sentence.split("pull with ")[1].split(" N")[0])
    ride = next(fit for fit in fits(truck) if fit.axle == "front").places["ride"].length
    assert pull == pytest.approx(stands.tyre_load[0] - 2 * 36e3 * (0.640 - ride), abs=1.0)
    # Where the coils hang loose before that, the axle's weight is left.
    long = lower(truck.changed({"front.dampers.main.length_extended": "780 mm"}))
    (flag,) = standing_flags(long, rest(long))
    assert float(flag.sentence.split("pull with ")[1].split(" N")[0]) == pytest.approx(
        long.axles["front"].mass * 9.80665, abs=1.0
    )


@pytest.mark.parametrize(("place", "name"), [("6 m", "front"), ("-4 m", "rear")])
def test_a_load_that_lifts_the_wheels(place, name, tmp_path, capsys):
    """1.5 t far behind or ahead: the weight of all lies beyond an axle, by moments about the front one."""
    load = {"loads.stones": {"mass": "1500 kg", "place": {"behind_front_axle": place, "above_ground": "1.1 m"}}}
    path = scenario_file(tmp_path, "lifted", HUMP, {"sound": {}, "faulty": load})
    sentence = f"The load lifts the {name} wheels"
    code, out, _ = told(capsys, "stand", path)
    assert code == 3
    assert f"FLAGGED faulty: {sentence}" in out
    code, _, err = told(capsys, "check", path)
    assert code == 2
    assert sentence in err
    code, out, _ = told(capsys, "sweep", path, "--vary", *RATE, *MEASURE, "--workers", 1, "--outputs", tmp_path / "out")
    assert code == 3
    assert f"FLAGGED faulty, 2 of 2 points, first at 36 N/mm (206 lb/in): {sentence}" in out
    rows = rows_of(tmp_path / "out" / "lifted_by_rate" / "swept.csv")
    assert all(row["faulty: flagged"] == f"{name} wheels in the air at rest" for row in rows)
    scenario = sim.load(path)
    with pytest.raises(LiftedError) as caught:
        rest(lower(scenario.setups["faulty"]))
    setup = lower(scenario.setups["faulty"])
    # Moments about the front axle, housings over their wheels.
    masses = [(setup.body.mass, setup.place.cg_behind_front_axle), (setup.axles["front"].mass, 0.0),
              (setup.axles["rear"].mass, scenario.vehicle.wheelbase)]  # fmt: skip
    behind = sum(m * x for m, x in masses) / sum(m for m, _ in masses)
    past = behind - scenario.vehicle.wheelbase if name == "front" else -behind
    assert show(past, "length") in str(caught.value)


def test_faults_are_counted_with_the_place_where_they_are_worst():
    short, far = (Flag("stop_full", None, "front bump stops", "flat", past) for past in (0.001, 0.004))
    (found,) = faults({1: [short], 2: [far], 3: []})
    assert (found.count, found.where, found.flag) == (2, 2, far)


def test_every_kind_has_its_words():
    for kind, words in WORDS.items():
        if kind != "no_strap":  # at rest it has words of its own
            assert Flag(kind, None, part_of(words), "", end="extended").words == words
    assert set(WORDS) | {"no_strap", "solid_first", "wheels_up", "not_run"} == set(IN_WORDS)
