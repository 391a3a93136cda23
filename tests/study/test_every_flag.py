"""Every flag through every study: small trucks with one fault each; the word in the table, the sentence, the best, the exit code.

The faults are made by changes to the demo's truck. What no sound truck brings about in two seconds (a pitch of 29 degrees, an
energy balance that does not close, numbers without bound) is put into the list of checks for set-ups that carry a mark.
"""

import json
from dataclasses import replace

import pytest

import sim
import sim.integrate.flags as flags_module
from sim.integrate.status import IN_WORDS, Flag
from sim.study.flagged import faults
from sim.study.tuning.ready import tuning_of
from sim.study.tuning.session import Session
from sim.study.tuning.studies import Single, helping
from tests.study.faulty import (
    COURSE,
    HUMP,
    LAUNCH,
    MARKED,
    MEASURE,
    RATE,
    SENTENCES,
    TRACK,
    TRUCKS,
    WORDS,
    aside,
    marked,
    picture,
    rows_of,
    scenario_file,
    told,
)

pytestmark = pytest.mark.long  # whole commands and studies, over and over: seconds each

FRICTION = ("rear.dampers.main.seal_friction", "30 N", "31 N", 2)
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
    assert ", better still but flagged at 585 mm" in page
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


@pytest.mark.hours  # maps of two grips
def test_tramp(tmp_path, capsys, monkeypatch):
    """A crawl from a small kick seldom reaches an end: every kind is put into every run."""
    put = [
        Flag(kind, 0.4, part_of(words), f"put in by a test: {kind}.")
        for kind, words in WORDS.items()
        # Straps that the pull alone makes taut are there to be met: tests/study/test_tramp.py.
        if kind not in ("no_strap", "on_straps")
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
        # It has travel left at rest, and is said to be on its stops by its pull.
        pulling = flag.kind == "on_stops"
        words = replace(flag, part="rear axle, pulling,").words if pulling else flag.words
        assert all(words in cell for cell in ran)
        assert any(f"flagged: {words}" in cell or words in cell for cell in starts)
        assert (flag.sentence in out) == (not pulling)
        assert flag.sentence not in err
        assert words in out
    assert "the truck is pressed onto its rear bump stops" in out
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


def test_faults_are_counted_with_the_place_where_they_are_worst():
    short, far = (Flag("stop_full", None, "front bump stops", "flat", past) for past in (0.001, 0.004))
    (found,) = faults({1: [short], 2: [far], 3: []})
    assert (found.count, found.where, found.flag) == (2, 2, far)


def test_every_kind_has_its_words():
    for kind, words in WORDS.items():
        if kind != "no_strap":  # at rest it has words of its own
            assert Flag(kind, None, part_of(words), "", end="extended").words == words
    assert set(WORDS) | {"no_strap", "solid_first", "wheels_up", "not_run"} == set(IN_WORDS)
