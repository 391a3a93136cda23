"""The trucks in motion as a GIF or a film: what is drawn is where the run has it, at the pace that is said."""

import shutil
from pathlib import Path

import numpy as np
import pytest
from matplotlib.patches import Circle
from PIL import Image

import sim
from sim.cli import main
from sim.show.plots import moving

SCENARIOS = Path(__file__).parents[3] / "scenarios"


@pytest.fixture(scope="module")
def pushed():
    return sim.compare(sim.load(SCENARIOS / "push_on_the_bumper.yaml"))


def test_wheels_are_drawn_where_the_run_has_them(pushed):
    name, run = next(iter(pushed.runs.items()))
    figure, draw = moving._stage({name: run})
    heights = []
    for time in (0.0, 1.2, 2.08, 2.4):
        draw(time)
        wheels = [p for p in figure.axes[0].patches if isinstance(p, Circle) and p.radius > 0.2]
        assert len(wheels) == 2
        heights.append(sorted((wheel.center[0], wheel.center[1]) for wheel in wheels))
    for (rear, front), time in zip(heights, (0.0, 1.2, 2.08, 2.4), strict=True):
        row = round(time / 8e-3) * 8
        assert front[1] - heights[0][1][1] == pytest.approx(run.front.wheel_height_m[row], abs=1e-6)
        assert rear[1] - heights[0][0][1] == pytest.approx(run.rear.wheel_height_m[row], abs=1e-6)


def test_a_hill_is_drawn_as_steep_as_it_is():
    scenario = sim.load(SCENARIOS / "lean_against_wind_up.yaml")
    name, vehicle = next(iter(scenario.setups.items()))
    figure, draw = moving._stage({name: sim.simulate(vehicle, scenario.run, name)})
    draw(0.4)
    wheels = [p for p in figure.axes[0].patches if isinstance(p, Circle) and p.radius > 0.2]
    rear, front = sorted(wheels, key=lambda wheel: wheel.center[0])
    # As placed along the slope, and as seen: apart by the hill of 8 degrees, as its file has it.
    (x, z), (across, up) = (
        np.subtract(front.center, rear.center),
        np.subtract(*(wheel.get_transform().transform((0.0, 0.0)) for wheel in (front, rear))),
    )
    assert np.degrees(np.arctan2(up, across) - np.arctan2(z, x)) == pytest.approx(8.0, abs=1e-6)
    inside = figure.axes[0].get_window_extent()
    for wheel in wheels:
        assert inside.contains(*wheel.get_window_extent().min)
        assert inside.contains(*wheel.get_window_extent().max)
    assert any("8.0 deg (14 %)" in text.get_text() for text in figure.texts)


def test_a_gif_shows_the_moment_of_least_travel(pushed):
    first, last = moving.around(pushed.runs)
    assert last - first == pytest.approx(moving.GIF_S)
    left = {
        (name, end): (axle.jounce_at_stop_m - axle.jounce_m)
        for name, run in pushed.runs.items()
        for end, axle in run.axles
    }
    least = min(left, key=lambda key: left[key].min())
    when = pushed.runs[least[0]].time_s[np.argmin(left[least])]
    assert first <= when <= last


def test_a_gif_lasts_as_long_as_its_pace_says(pushed, tmp_path, monkeypatch):
    monkeypatch.setattr(moving, "GIF_S", 0.2)
    path = moving.written(pushed, tmp_path / "moving.gif")
    with Image.open(path) as picture:
        seconds = picture.n_frames * picture.info["duration"] / 1e3
    # One picture more than spaces between them.
    assert seconds == pytest.approx(0.2 / moving.PACE + 1.0 / moving.RATE[".gif"], abs=0.001)


def test_a_film_asked_for_without_its_program_is_said_before_anything_runs(tmp_path, monkeypatch, capsys):
    monkeypatch.setattr("sim.cli.showing.which", lambda name: None)
    command = ["compare", str(SCENARIOS / "push_on_the_bumper.yaml"), "--movie", "--outputs", str(tmp_path / "out")]
    assert main(command) == 2
    assert "--gif" in capsys.readouterr().err
    assert not (tmp_path / "out").exists()


@pytest.mark.skipif(shutil.which("ffmpeg") is None, reason="no ffmpeg on this system")
def test_a_film_is_written(pushed, tmp_path, monkeypatch):
    run = next(iter(pushed.runs.values()))
    monkeypatch.setattr(moving, "PACE", run.time_s[-1] / 1.0)
    path = moving.written(pushed, tmp_path / "moving.mp4")
    # "ftyp" begins a file of ISO/IEC 14496-12.
    assert path.read_bytes()[4:8] == b"ftyp"
