"""Sweeps that a scenario file asks for, inputs that move together, and what must be said beside them."""

import json
import shutil
from pathlib import Path

import numpy as np
import pytest

import sim
from sim.cli import main
from sim.describe.runs.changed import changed_run
from sim.integrate.simulation import simulate
from sim.measure import measures_for
from sim.study.sweep.axes import asked_axes, axis, caveats, check_paths, paths
from sim.study.sweep.sweep import sweep

ROOT = Path(__file__).parents[2]
SCENARIO = """kind: scenario
name: Hump
vehicle: {vehicle}
run:
  kind: course
  speed: 20 km/h
  settle: 0.5 s
  course: {{items: [{{kind: flat, length: 4 m}}, {{kind: circular_hump, height: 80 mm, chord: 3 m}}, {{kind: flat, length: 4 m}}]}}
setups:
  as it is:
sweep:
  vary:
    {vary}
  measures: {measures}
"""
SPEEDS = "run.speed: {first: 10 km/h, last: 30 km/h, points: 3, called: driving speed}"


def written(folder, vary=SPEEDS, measures="[front_left_to_stop]"):
    vehicle = ROOT / "scenarios" / "vehicles" / "hut_supply_truck.yaml"
    path = folder / "hump.yaml"
    path.write_text(SCENARIO.format(vehicle=vehicle, vary=vary, measures=measures), encoding="utf-8")
    return path


def test_the_files_own_sweep_is_run(tmp_path, capsys):
    assert main(["sweep", str(written(tmp_path)), "--outputs", str(tmp_path / "out"), "--workers", "1"]) == 0
    assert "Front bump travel left" in capsys.readouterr().out
    folder = tmp_path / "out" / "hump_by_driving_speed"
    rows = (folder / "swept.csv").read_text(encoding="utf-8").splitlines()
    assert rows[0].startswith("driving speed [km/h],")
    assert [row.split(",")[0] for row in rows[1:]] == ["10", "20", "30"]
    scenario = sim.load(tmp_path / "hump.yaml")
    run = simulate(scenario.setups["as it is"], scenario.run)
    wanted = next(m for m in measures_for(run) if m.name == "front_left_to_stop").of(run)
    assert float(rows[2].split(",")[1]) == pytest.approx(1e3 * wanted, rel=1e-5)


def test_told_otherwise_the_file_is_not_asked(tmp_path, capsys):
    given = ["--vary", "run.speed", "15 km/h", "25 km/h", "2", "--measure", "pitch_nose_up"]
    assert main(["sweep", str(written(tmp_path)), *given, "--outputs", str(tmp_path / "out"), "--workers", "1"]) == 0
    assert "Pitch: most nose-up" in capsys.readouterr().out
    assert (tmp_path / "out" / "hump_by_speed").is_dir()


def test_rear_stops_that_are_hit_are_named_though_nobody_asked(tmp_path, capsys):
    """Of what a sweep shows by default nothing is of the rear's travel; the points it names are those of runs by themselves."""
    speeds = "run.speed: {first: 10 km/h, last: 50 km/h, points: 3}"
    file = written(tmp_path, speeds, "[]")
    file.write_text(file.read_text(encoding="utf-8").replace("height: 80 mm", "height: 200 mm"), encoding="utf-8")
    main(["sweep", str(file), "--outputs", str(tmp_path / "out"), "--workers", "1"])
    said = [line for line in capsys.readouterr().err.splitlines() if line.startswith("NOTICE: hits rear stops")]
    scenario = sim.load(file)
    left = {}
    for speed in ("10 km/h", "30 km/h", "50 km/h"):
        run = simulate(scenario.setups["as it is"], changed_run(scenario.run, "speed", speed))
        left[speed] = next(m for m in measures_for(run) if m.name == "rear_left_to_stop").of(run)
    hit = [speed for speed, room in left.items() if room < 0.0]
    assert 0 < len(hit) < 3, left
    assert len(said) == 1
    mph = {speed: f"{speed} ({float(speed.split()[0]) / 1.609344:.1f} mph)" for speed in left}
    assert said[0].startswith(f"NOTICE: hits rear stops at {mph[hit[0]]} with 'as it is'")
    assert f"hardest at {mph[min(left, key=left.get)]}: rear bump travel left -" in said[0]
    (page,) = (tmp_path / "out").glob("*/report.html")
    assert "Hits rear stops at" in page.read_text(encoding="utf-8")
    # Asked for other measures by name, nobody is told of this one.
    main(["sweep", str(written(tmp_path, speeds)), "--outputs", str(tmp_path / "out"), "--workers", "1"])
    assert "hits rear stops" not in capsys.readouterr().err


def test_inputs_with_commas_move_together(tmp_path, capsys):
    scenario = sim.load(written(tmp_path))
    both = axis("front.tyre.rate, rear.tyre.rate", "200 N/mm", "300 N/mm", "2")
    swept = sweep(scenario, [both], ["pitch_nose_up"], tmp_path / "notes", workers=1, precision="double")
    for place, rate in enumerate(("200 N/mm", "300 N/mm")):
        truck = scenario.setups["as it is"].changed({"front.tyre.rate": rate, "rear.tyre.rate": rate})
        run = simulate(truck, scenario.run).coarse  # at half the step
        wanted = next(m for m in measures_for(run) if m.name == "pitch_nose_up").of(run)
        assert swept.values["as it is"]["pitch_nose_up"][place] == pytest.approx(wanted, rel=1e-12)
    assert paths(both.path) == ("front.tyre.rate", "rear.tyre.rate")
    vary = '"front.tyre.rate, rear.tyre.rate": {first: 200 N/mm, last: 300 N/mm, points: 2}'
    file = written(tmp_path, vary)
    assert main(["sweep", str(file), "--outputs", str(tmp_path / "out"), "--workers", "1"]) == 0
    assert "changes grip" in capsys.readouterr().err
    record = next((tmp_path / "out").glob("*/record.json"))
    assert "changes grip" in json.loads(record.read_text(encoding="utf-8"))["assumes"]


def test_only_tyres_have_a_caveat():
    assert caveats([axis("run.speed", "1 km/h", "2 km/h", "2")]) == ()
    assert len(caveats([axis("rear.tyre.rate", "1 N/mm", "2 N/mm", "2")])) == 1


@pytest.mark.parametrize(
    ("vary", "measures", "said"),
    [
        ("run.sped: {first: 10 km/h, last: 30 km/h, points: 3}", "[]", "there is no 'sped'"),
        (
            "run.speed: {first: 10, last: 30 km/h, points: 3}",
            "[]",
            "sweep.vary.run.speed: write both ends in one unit",
        ),
        ("run.speed: {first: 10 km/h, last: 30 km/h, points: 1}", "[]", "must not be less than 2"),
        ("run.speed: {first: 10 km/h, last: 30 km/h}", "[]", "the key 'points' is missing"),
        ("front.tyre.rat: {first: 10 N/mm, last: 30 N/mm, points: 2}", "[]", "front.tyre.rat"),
        ("run.speed: {first: 10 km/h, last: 30 km/h, points: 2, steps: 3}", "[]", "the key 'steps' is not known"),
    ],
)
def test_bad_input_is_told_by_check_and_by_sweep(vary, measures, said, tmp_path, capsys):
    file = written(tmp_path, vary, measures)
    for command in (["check", str(file)], ["sweep", str(file), "--outputs", str(tmp_path / "out")]):
        assert main(command) == 2
        error = capsys.readouterr().err
        assert said in error, error
        assert "Traceback" not in error
    assert not (tmp_path / "out").exists()


def test_an_unknown_measure_is_told(tmp_path, capsys):
    assert (
        main(["sweep", str(written(tmp_path, measures="[front_left_to_stp]")), "--outputs", str(tmp_path / "out")]) == 2
    )
    assert "front_left_to_stop" in capsys.readouterr().err


def test_a_scenario_without_one_asks_what_is_to_be_moved(capsys):
    assert main(["sweep", str(ROOT / "scenarios" / "two_or_four.yaml")]) == 2
    assert "what is to be moved?" in capsys.readouterr().err


@pytest.mark.parametrize("file", sorted((ROOT / "scenarios").glob("*.yaml")), ids=lambda path: path.stem)
def test_what_scenarios_ask_for_is_there(file):
    """Every path leads somewhere and every measure is one of its runs."""
    scenario = sim.load(file)
    check_paths(scenario, asked_axes(scenario))
    if scenario.sweep:
        run = simulate(next(iter(scenario.setups.values())), scenario.run)
        assert set(scenario.sweep.measures) <= {m.name for m in measures_for(run)}


def test_a_surveyed_road_in_a_sweep_is_what_its_file_has_now(tmp_path):
    """Its repeat can be moved, its reading not; another file of the same name is another sweep."""
    from sim.errors import InputError
    from sim.study.sweep.sweep import _key

    shutil.copy(ROOT / "scenarios" / "courses" / "stream_crossing.csv", tmp_path / "stream_crossing.csv")
    vehicle = ROOT / "scenarios" / "vehicles" / "hut_supply_truck.yaml"
    (tmp_path / "drive.yaml").write_text(
        f"kind: scenario\nname: Crossing\nvehicle: {vehicle}\nrun:\n  kind: course\n  speed: 15 km/h\n  course: {{items: "
        "[{kind: flat, length: 4 m}, {kind: survey, file: stream_crossing.csv, trend: remove}, {kind: flat, length: 6 m}]}\n"
        "setups:\n  as it is:\n",
        encoding="utf-8",
    )
    scenario = sim.load(tmp_path / "drive.yaml")
    twice = changed_run(scenario.run, "course.items.1.repeat", 2)
    assert twice.course.length_m == pytest.approx(scenario.run.course.length_m + 24.0)
    assert np.isfinite(twice.course.height(np.linspace(0.0, 50.0, 100))).all()
    with pytest.raises(InputError, match="a surveyed profile is as its file has it"):
        changed_run(scenario.run, "course.items.1.trend", "keep")
    speeds = [axis("run.speed", "10 km/h", "20 km/h", "2")]
    before = _key(scenario, speeds, ["pitch_nose_up"])
    text = (tmp_path / "stream_crossing.csv").read_text(encoding="utf-8")
    (tmp_path / "stream_crossing.csv").write_text(text.replace("2,0;", "2,0;1", 1), encoding="utf-8")
    assert _key(sim.load(tmp_path / "drive.yaml"), speeds, ["pitch_nose_up"]) != before


def test_a_number_without_a_unit_says_what_it_is_of():
    """Best at 4 is no place: of dampers, of turns, or of a factor."""
    assert axis("front.dampers.main.count", "1", "4", "4").words(4.0) == "count 4"
    assert axis("front.springs.coil.active_coils", "6", "10", "9").words(6.5) == "active coils 6.5"
    assert axis("run.speed", "10 km/h", "60 km/h", "6").words(30.0) == "30 km/h (18.6 mph)"
