"""Sweeps: every point as a run by itself, whatever the number of workers; going on after a stop; bad input."""

import os
import signal
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import sim
import sim.study.sweep.points as module
from sim.cli import main
from sim.describe.runs import Course
from sim.describe.runs.changed import changed_run
from sim.errors import InputError
from sim.integrate.simulation import simulate
from sim.measure import measures_for
from sim.study.sweep.axes import axis
from sim.study.sweep.ends import best_place, confirmed, doubt, recorded
from sim.study.sweep.sweep import sweep
from tests.waiting import FOR_EVER_S, until, written

ROOT = Path(__file__).parents[2]
SCENARIO = ROOT / "scenarios" / "push_on_the_bumper.yaml"


def measured(run, name):
    return next(m for m in measures_for(run) if m.name == name).of(run)


def some_measures(scenario):
    run = simulate(next(iter(scenario.setups.values())), scenario.run)
    return [m.name for m in measures_for(run) if np.isfinite(m.of(run))][:2]


def test_points_are_runs_of_their_own(tmp_path):
    scenario = sim.load(SCENARIO)
    names = some_measures(scenario)
    coil = axis("front.springs.coil.rate", "30 N/mm", "42 N/mm", "3")
    double = sweep(scenario, [coil], names, tmp_path / "double", workers=1, precision="double")
    single = sweep(scenario, [coil], names, tmp_path / "single", workers=1)
    for setup, vehicle in scenario.setups.items():
        for place, rate in enumerate((30, 36, 42)):
            run = simulate(
                vehicle.changed({"front.springs.coil.rate": f"{rate} N/mm"}), scenario.run
            ).coarse  # at half the step
            for name in names:
                assert double.values[setup][name][place] == pytest.approx(measured(run, name), nan_ok=True)
                assert single.values[setup][name][place] == pytest.approx(measured(run, name), rel=1e-4, nan_ok=True)
                assert single.values[setup][name][place] != double.values[setup][name][place]


def test_one_worker_or_two(tmp_path):
    scenario = sim.load(SCENARIO)
    names = some_measures(scenario)
    axes = [axis("front.springs.coil.rate", "30 N/mm", "42 N/mm", "2"), axis("front.dampers.main.count", "2", "4", "3")]
    one = sweep(scenario, axes, names, tmp_path / "one", workers=1)
    two = sweep(scenario, axes, names, tmp_path / "two", workers=2)
    for setup in one.values:
        for name in names:
            assert one.values[setup][name].shape == (2, 3)
            assert np.array_equal(one.values[setup][name], two.values[setup][name], equal_nan=True)


def test_best_and_worst_are_run_again_in_double(tmp_path):
    """What is told is what a run by itself gives; the error beside it holds that of step and of single precision."""
    scenario = sim.load(SCENARIO)
    names = some_measures(scenario)
    coil = axis("front.springs.coil.rate", "30 N/mm", "42 N/mm", "5")
    known = {m.name: m for m in measures_for(simulate(next(iter(scenario.setups.values())), scenario.run))}
    measures = [known[name] for name in names]
    swept = sweep(scenario, [coil], names, tmp_path / "notes", workers=1, coarse=True)
    told, ends = confirmed(scenario, swept, measures, best_place)
    assert {name for _, name, _ in ends} == {m.name for m in measures if m.better}
    for (setup, name, worst), value in ends.items():
        place = best_place(told.values[setup][name], known[name], worst)
        vehicle = scenario.setups[setup].changed({"front.springs.coil.rate": coil.written(float(coil.numbers[place]))})
        run = simulate(vehicle, scenario.run)
        assert value.value == pytest.approx(measured(run, name), rel=1e-9)
        assert told.values[setup][name][place] == value.value
        assert value.error >= abs(measured(run, name) - swept.values[setup][name][place]) * (1 - 1e-6)
        assert value.error >= abs(measured(run, name) - measured(run.coarse, name)) * (1 - 1e-6)
        assert not value.flagged
        assert "%" in doubt(ends, setup, known[name])
        assert recorded(ends)[setup][name]["worst" if worst else "best"]["value"] == value.value
    assert doubt({}, "none", measures[0]) == "-"


def test_a_sweep_that_is_off_is_told(tmp_path):
    """A figure that the run by itself does not give is flagged, and the run's own is what is told."""
    scenario = sim.load(SCENARIO)
    known = {m.name: m for m in measures_for(simulate(next(iter(scenario.setups.values())), scenario.run))}
    measure = next(m for m in known.values() if m.better and m.quantity == "percent")
    coil = axis("front.springs.coil.rate", "30 N/mm", "42 N/mm", "2")
    swept = sweep(scenario, [coil], [measure.name], tmp_path / "notes", workers=1)
    setup = next(iter(swept.values))
    off = {s: {n: row * (1.01 if s == setup else 1.0) for n, row in rows.items()} for s, rows in swept.values.items()}
    told, ends = confirmed(scenario, replace(swept, values=off), [measure], best_place)
    assert ends[setup, measure.name, False].flagged
    assert "too large to trust" in doubt(ends, setup, measure)
    assert np.nanmax(told.values[setup][measure.name]) == pytest.approx(
        np.nanmax(swept.values[setup][measure.name]), rel=1e-3
    )


def test_goes_on_where_it_stopped(tmp_path, monkeypatch):
    scenario = sim.load(SCENARIO)
    names = some_measures(scenario)
    coil = axis("front.springs.coil.rate", "30 N/mm", "42 N/mm", "17")  # 51 points, in parts of sixteen
    whole = sweep(scenario, [coil], names, tmp_path / "notes", workers=1)
    lines = (tmp_path / "notes").read_text(encoding="utf-8").splitlines(keepends=True)
    (tmp_path / "notes").write_text(
        "".join(lines[:21]) + lines[21][:17], encoding="utf-8"
    )  # killed in the middle of a line, which is in the second part
    ran = []
    plain = module.Points.solved
    monkeypatch.setattr(module.Points, "solved", lambda own, part: ran.append(part) or plain(own, part))
    again = sweep(scenario, [coil], names, tmp_path / "notes", workers=1)
    assert [len(part) for part in ran] == [16, 16, 3]
    for setup in whole.values:
        for name in names:
            assert np.array_equal(whole.values[setup][name], again.values[setup][name], equal_nan=True)
    ran.clear()
    other = axis("front.springs.coil.rate", "30 N/mm", "41 N/mm", "5")  # another sweep does not take its points
    sweep(scenario, [other], names, tmp_path / "notes", workers=1)
    assert sum(map(len, ran)) == 5 * len(scenario.setups)


HALTED = f"""
import sys, time
import sim.study.sweep.points as module
from sim.cli import main

plain, parts = module.Points.solved, []

def solved(own, part):
    parts.append(part)
    if len(parts) > 2:
        time.sleep({FOR_EVER_S})
    return plain(own, part)

module.Points.solved = solved
sys.exit(main())
"""
"""The command, whose processes each do two parts of sixteen and then stay in their third."""


@pytest.mark.long  # two commands, each with two processes
def test_a_killed_command_goes_on(tmp_path, child):
    arguments = [
        "sweep", str(SCENARIO), "--vary", "front.springs.coil.rate", "30 N/mm", "42 N/mm", "60",
        "--workers", "2", "--outputs", str(tmp_path),
    ]  # fmt: skip
    running = child([sys.executable, "-c", HALTED, *arguments], cwd=ROOT)
    known = ".push_on_the_bumper_by_rate.*.points"
    until(lambda: any(written(notes).count("\n") > 20 for notes in tmp_path.glob(known)), running)
    notes = next(tmp_path.glob(known))
    os.killpg(running.pid, signal.SIGKILL)
    running.wait()
    before = written(notes).count("\n")
    assert 20 < before < 181
    done = subprocess.run(
        [sys.executable, "-m", "sim", *arguments], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    folder = tmp_path / "push_on_the_bumper_by_rate"
    assert {p.name for p in folder.iterdir()} == {"swept.png", "swept.svg", "swept.csv", "record.json", "report.html"}
    rows = (folder / "swept.csv").read_text(encoding="utf-8").splitlines()
    assert len(rows) == 61
    assert rows[0].startswith("front.springs.coil.rate [N/mm],")
    assert [path.name for path in tmp_path.iterdir()] == [folder.name]


def test_run_is_changed_afresh():
    """A changed course is laid out anew; what is wrong in it is said."""
    run = sim.load(ROOT / "scenarios" / "two_or_four.yaml").run
    assert isinstance(run, Course)
    before = run.course.length_m
    changed = changed_run(run, "course.items.1.count", 20)
    assert changed.course.length_m == pytest.approx(before + 4 * 0.75)
    assert run.course.length_m == pytest.approx(before)
    assert changed_run(run, "speed", "50 km/h").speed == pytest.approx(50 / 3.6)
    for path, value, words in (
        ("speeds", "5 km/h", "there is no 'speeds'"), ("speed", "5 kg", "is not a speed"),
        ("course.items.99.count", 3, "from 0 to"), ("speed", 5.0, "needs a unit"),
    ):  # fmt: skip
        with pytest.raises(InputError, match=words):
            changed_run(run, path, value)


def test_points_that_cannot_be_run_are_told(tmp_path):
    """A coil too weak to carry the truck has no value and a reason; the others have theirs."""
    scenario = sim.load(SCENARIO)
    names = some_measures(scenario)
    low = axis("front.dampers.main.length_extended", "400 mm", "700 mm", "2")
    swept = sweep(scenario, [low], names, tmp_path / "notes", workers=1)
    with_dampers = [setup for setup, v in scenario.setups.items() if v.front.dampers]
    for setup in with_dampers:
        assert np.isnan(swept.values[setup][names[0]][0])
        assert np.isfinite(swept.values[setup][names[0]][1])
    assert any("outside its stroke" in text for text in swept.failed)


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (["--vary", "run.speed", "10", "20 km/h", "5"], "one unit"),
        (["--vary", "run.speed", "10 km/h", "20 km/h", "many"], "whole number from 2"),
        (["--vary", "run.sped", "10 km/h", "20 km/h", "5"], "there is no 'sped'"),
        (["--vary", "front.spring.coil.rate", "30 N/mm", "40 N/mm", "5"], "springs"),
        (["--vary", "run.speed", "10 km/h", "20 km/h", "5", "--measure", "ride_wk_drivr"], "ride_wk_driver"),
        (["--vary", "run.speed", "10 km/h", "20 km/h", "5", "--setup", "none"], "there is no set-up"),
        (["--vary", "run.speed", "1 km/h", "2 km/h", "9000"], "at most 20000"),
        (3 * ["--vary", "run.speed", "10 km/h", "20 km/h", "5"], "at most two"),
    ],
)
def test_bad_input(given, said, tmp_path, capsys):
    assert (
        main(["sweep", str(ROOT / "scenarios" / "two_or_four.yaml"), *given, "--outputs", str(tmp_path / "out")]) == 2
    )
    error = capsys.readouterr().err
    assert said in error
    assert "Traceback" not in error
    assert not (tmp_path / "out").exists()


def test_map(tmp_path, capsys):
    code = main([
        "sweep", str(SCENARIO), "--vary", "front.springs.coil.rate", "30 N/mm", "42 N/mm", "3",
        "--vary", "front.dampers.main.count", "2", "4", "3", "--measure", "bounce_overshoot", "--outputs", str(tmp_path),
    ])  # fmt: skip
    assert code == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "Bounce" in said
    # Where it is best is said "at 30 N/mm": of what stands beneath.
    assert "Front springs: rate" in said.partition("Moved: ")[2].partition(" from 30 N/mm")[0]
    assert "from 2 to 4 in 3 points." in said
    folder = tmp_path / "push_on_the_bumper_by_rate_count"
    assert (folder / "swept.png").stat().st_size > 10_000
    assert len((folder / "swept.csv").read_text(encoding="utf-8").splitlines()) == 10


def test_workers_run_the_scenario_that_was_given(tmp_path):
    """Set-ups changed in code, not in the file, are what the workers run; and other points than the file's."""
    scenario = sim.load(SCENARIO)
    name = next(iter(scenario.setups))
    heavier = {name: scenario.setups[name].changed({"front.springs.coil.rate": "60 N/mm"})}
    tyre = axis("front.tyre.rate", "250 N/mm", "280 N/mm", "2")
    names = some_measures(scenario)
    plain = sweep(replace(scenario, setups={name: scenario.setups[name]}), [tyre], names, tmp_path / "notes", workers=2)
    other = sweep(replace(scenario, setups=heavier), [tyre], names, tmp_path / "notes", workers=2)
    again = sweep(replace(scenario, setups=heavier), [tyre], names, tmp_path / "alone", workers=1)
    for measure in names:
        assert np.array_equal(other.values[name][measure], again.values[name][measure])
        assert not np.array_equal(other.values[name][measure], plain.values[name][measure])
