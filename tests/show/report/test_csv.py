import csv
import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import trapezoid

from sim.show.report import series_csv, summary_csv
from tests.show.plots.cases import BOTTOMED, case
from tests.synthetic import still_run, synthetic_comparison, synthetic_run


def rows_of(path):
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.reader(file))


@pytest.fixture(scope="module")
def series(tmp_path_factory):
    run = synthetic_run("four dampers")
    path = tmp_path_factory.mktemp("series") / "four.csv"
    series_csv.write(run, path)
    return run, rows_of(path)


def test_one_row_a_sample_and_one_column_a_header(series):
    run, rows = series
    assert len(rows) == run.time_s.size + 1
    assert {len(row) for row in rows} == {len(rows[0])}
    assert len(set(rows[0])) == len(rows[0])


def test_every_header_has_its_unit(series):
    _, rows = series
    assert all(header.endswith("]") and " [" in header for header in rows[0])
    assert "tyre load front [N]" in rows[0]


# header -> channel of the run and how many of the unit an SI unit has; 1 m is 1000 mm, 1 rad is 180/pi deg
CHANNELS = {
    "time [s]": (lambda run: run.time_s, 1.0),
    "distance [m]": (lambda run: run.time_s * run.speed_m_per_s, 1.0),
    "bounce up [mm]": (lambda run: run.bounce_m, 1000.0),
    "pitch nose up [deg]": (lambda run: run.pitch_nose_up_rad, 180.0 / math.pi),
    "acceleration up driver [m/s2]": (lambda run: run.acceleration_m_per_s2["driver"], 1.0),
    "axle travel rear bump + [mm]": (lambda run: run.rear.jounce_m, 1000.0),
    "tyre load front [N]": (lambda run: run.front.tyre_load_n, 1.0),
    "wind-up rear pinion up [deg]": (lambda run: run.rear.wind_up_rad, 180.0 / math.pi),
    "damper front second length [mm]": (lambda run: run.front.dampers["second"].length_m, 1000.0),
    "damper rear main speed compression + [m/s]": (lambda run: run.rear.dampers["main"].speed_m_per_s, 1.0),
    "damper rear main force of one compression + [N]": (lambda run: run.rear.dampers["main"].force_n, 1.0),
}


@pytest.mark.parametrize("header", CHANNELS)
def test_values_come_back(series, header):
    run, rows = series
    of, factor = CHANNELS[header]
    column = np.array([float(row[rows[0].index(header)]) for row in rows[1:]])
    assert column == pytest.approx(of(run) * factor, rel=5e-7, abs=1e-30)


def test_no_channel_is_left_out(series):
    """Front and rear have the same channels, and each array of an axle is in the file."""
    run, rows = series
    arrays = [name for name, value in vars(run.front).items() if isinstance(value, np.ndarray)]
    for axle in ("front", "rear"):
        assert sum(f" {axle}" in header and "damper" not in header for header in rows[0]) == len(arrays)
        assert sum(header.startswith(f"damper {axle} ") for header in rows[0]) == 3 * 2


def test_names_with_commas_quotes_and_line_ends(tmp_path):
    run = synthetic_run("odd", sets=('a, "b"\nc',), duration_s=1.0)
    series_csv.write(run, tmp_path / "odd.csv")
    rows = rows_of(tmp_path / "odd.csv")
    assert (
        'damper front a, "b" c length [mm]' in rows[0]
    )  # a line end in a name is a blank: programs read those differently
    assert {len(row) for row in rows} == {len(rows[0])}


def test_run_that_broke_down_is_written_as_far_as_it_went(tmp_path):
    run = case("nan in one").runs["bare springs"]
    series_csv.write(run, tmp_path / "broke.csv")
    rows = rows_of(tmp_path / "broke.csv")
    assert len(rows) == 1 + 1510
    assert math.isnan(float(rows[-1][rows[0].index("bounce up [mm]")]))


def test_one_sample(tmp_path):
    series_csv.write(still_run(np.zeros(1)), tmp_path / "one.csv")
    assert len(rows_of(tmp_path / "one.csv")) == 2


@pytest.mark.benchmark(group="csv")
def test_speed_of_series(benchmark, tmp_path):
    benchmark(series_csv.write, synthetic_run("four dampers"), tmp_path / "x.csv")


# --- summary ------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def summary(tmp_path_factory):
    comparison = synthetic_comparison(3)
    path = tmp_path_factory.mktemp("summary") / "summary.csv"
    summary_csv.write(comparison, path)
    with path.open(encoding="utf-8", newline="") as file:
        return comparison, {row["measure"]: row for row in csv.DictReader(file)}


def test_every_measure_and_every_setup(summary):
    comparison, rows = summary
    assert list(rows) == [measure.label for measure in comparison.measures]
    for setup in comparison.runs:
        assert {setup, f"{setup}: numerical error", f"{setup}: trusted"} <= set(next(iter(rows.values())))


def test_values_in_their_unit(summary):
    """Share of time off the ground, counted here; left to the stop, in mm."""
    comparison, rows = summary
    for setup, run in comparison.runs.items():
        off = trapezoid((run.rear.tyre_load_n <= 0.0).astype(float), run.time_s) / run.time_s[-1]
        row = rows["Rear tyres: time off the ground"]
        assert row["unit"] == "%"
        assert float(row[setup]) == pytest.approx(100.0 * off, rel=1e-5)
        left = run.front.jounce_at_stop_m - run.front.jounce_m.max()
        row = rows["Front bump travel left"]
        assert (row["unit"], row["better"]) == ("mm", "more")
        assert float(row[setup]) == pytest.approx(1000.0 * left, rel=1e-5)


def test_what_does_not_apply_is_empty_and_what_is_not_reached_is_said(summary):
    _, rows = summary
    assert rows["Front damper 'main': mean power"]["bare springs"] == ""
    assert float(rows["Front damper 'main': mean power"]["two dampers"]) > 0.0
    assert rows["Bounce: settling time"]["bare springs"] == "not reached"


def test_doubtful_values_and_flags_are_marked(tmp_path):
    comparison = synthetic_comparison(2)
    values = {setup: dict(row) for setup, row in comparison.values.items()}
    values["two dampers"]["pitch_nose_up"] = replace(values["two dampers"]["pitch_nose_up"], flagged=True)
    runs = comparison.runs | {"bare springs": replace(comparison.runs["bare springs"], flags=(BOTTOMED,))}
    summary_csv.write(replace(comparison, runs=runs, values=values), tmp_path / "s.csv")
    rows = rows_of(tmp_path / "s.csv")
    head = rows[0]
    row = next(row for row in rows if row[0] == "Pitch: most nose-up")
    assert row[head.index("two dampers: trusted")] == "no"
    assert row[head.index("bare springs: trusted")] == "yes"
    told = [row[0] for row in rows if row[0].startswith("FLAGGED")]
    assert told == [f"FLAGGED bare springs: {BOTTOMED.sentence}"]
