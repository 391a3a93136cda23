"""Runs and comparisons as Python people see them: one line, a table in a notebook, a data frame."""

import subprocess
import sys
from functools import cache
from html.parser import HTMLParser
from pathlib import Path

import numpy as np
import pytest

import jounce
import sim
from sim.show.report.series_csv import columns as csv_columns

ROOT = Path(__file__).parents[2]
SCENARIOS = ROOT / "scenarios"


@cache
def comparison():
    return sim.compare(sim.load(SCENARIOS / "push_on_the_bumper.yaml"))


def run():
    return next(own for own in comparison().runs.values() if own.rear.dampers)


def test_a_line_says_what_it_is():
    said = repr(run())
    assert run().setup in said
    assert "outputs" in said
    assert len(said) < 200
    said = repr(comparison())
    assert all(name in said for name in comparison().runs)
    assert len(said) < 500


class Text(HTMLParser):
    def __init__(self, text):
        super().__init__()
        self.cells, self.tags = [], []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)

    def handle_data(self, data):
        self.cells.append(data)


def test_a_notebook_shows_extremes_of_a_run():
    text = Text(run()._repr_html_())
    assert f"{1e3 * run().front.jounce_m.max():.1f} mm" in " ".join(text.cells)
    assert text.tags.count("tr") > 5


def test_a_notebook_shows_the_measures_of_a_comparison_and_escapes_names():
    from dataclasses import replace

    made = comparison()
    odd = replace(made, runs={"<b>&": run()}, values={"<b>&": next(iter(made.values.values()))})
    text = Text(odd._repr_html_())
    assert "<b>&" in text.cells
    assert "b" not in text.tags
    assert "Front bump stop hits" in text.cells


def test_a_data_frame_holds_the_channels_of_the_csv():
    pandas = pytest.importorskip("pandas")
    table = run().to_dataframe()
    assert isinstance(table, pandas.DataFrame)
    assert table.index.name == "time_s"
    np.testing.assert_array_equal(table["front.jounce_m"], run().front.jounce_m)
    np.testing.assert_array_equal(table["rear.dampers.main.force_n"], run().rear.dampers["main"].force_n)
    # As many channels of the same numbers as the file has, by their values, but those that a run on the spot does not write.
    for name, values in csv_columns(run()).items():
        scale = {"[mm]": 1e-3, "[deg]": np.pi / 180}.get(name[name.rindex("[") :], 1.0)
        if "time" not in name:
            assert any(np.allclose(scale * values, column, atol=1e-9) for column in table.to_numpy().T), name
    assert table.columns.is_unique


def test_measures_as_a_data_frame():
    pytest.importorskip("pandas")
    table = comparison().to_dataframe()
    assert list(table.columns) == list(comparison().runs)
    for setup, values in comparison().values.items():
        for name, value in values.items():
            assert table.loc[name, setup] == pytest.approx(value.value, nan_ok=True)


def test_without_pandas_it_says_what_is_missing(monkeypatch):
    monkeypatch.setitem(sys.modules, "pandas", None)
    for made in (run(), comparison()):
        with pytest.raises(ImportError, match="pip install pandas"):
            made.to_dataframe()


def test_both_names_are_one_package():
    assert jounce.load is sim.load
    assert jounce.__version__ == sim.__version__
    assert set(sim.__all__) <= set(dir(jounce))
    with pytest.raises(AttributeError):
        jounce.no_such_thing  # noqa: B018


@pytest.mark.parametrize("module", ["jounce", "sim"])
def test_the_module_is_the_command(module, child, tmp_path):
    process = child([sys.executable, "-m", module, "--version"], cwd=ROOT, stdout=subprocess.PIPE, text=True)
    assert process.communicate()[0].startswith("jounce ")


def test_a_file_of_that_name_beside_it_does_not_take_over(child, tmp_path):
    (tmp_path / "sim.py").write_text("raise SystemExit('taken over')\n", encoding="utf-8")
    import os

    process = child(
        [sys.executable, "-m", "jounce", "--version"], cwd=tmp_path, env=os.environ | {"PYTHONPATH": str(ROOT)},
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
    )  # fmt: skip
    out, err = process.communicate()
    assert out.startswith("jounce "), err
    process = child(
        [sys.executable, "-c", "import jounce; jounce.load"], cwd=tmp_path, env=os.environ | {"PYTHONPATH": str(ROOT)},
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
    )  # fmt: skip
    assert process.wait() != 0
