"""Cells that a spreadsheet would run: OWASP, "CSV Injection" (its examples are used here)."""

import csv
import io
import shutil
from pathlib import Path

import pytest

from sim.cli import main
from sim.show.report.table_csv import Table, harmless

ROOT = Path(__file__).parents[3]


@pytest.mark.parametrize(
    "text",
    ["=1+2", '=1+2";=1+2', "=1+2'\" ;,=1+2", "@SUM(1+1)*cmd|' /C calc'!A0", "+cmd|' /C calc'!A0", "-cmd|' /C calc'!A0",
     "-2+3+cmd|' /C calc'!A0", "\t=1", "\r=1", "+5 % softer, front", "-1 =cmd"],
)  # fmt: skip
def test_text_that_begins_as_a_formula_does_is_made_harmless(text):
    shown = text.replace("\t", " ").replace("\r", " ")
    assert harmless(text) == f"'{shown}"
    stream = io.StringIO(newline="")
    Table(stream).writerow([text, 1])
    assert next(csv.reader(io.StringIO(stream.getvalue(), newline=""))) == [f"'{shown}", "1"]


@pytest.mark.parametrize(
    "cell",
    ["-0.5", "+3", "-1e-07", "-12.0 mm (-0.47 in)", "+3 %", "-", "", "two = four", "a@b", -0.5, "-inf", "0.5", None],
)
def test_numbers_and_other_text_stay_as_they_are(cell):
    assert harmless(cell) == cell


def test_a_row_stays_one_line():
    stream = io.StringIO(newline="")
    Table(stream).writerow(["a\nb\r\nc\0d", "e"])
    assert stream.getvalue() == "a b c d,e\n"


def test_set_ups_and_parts_named_like_formulas(tmp_path, monkeypatch, capsys):
    """Every CSV that a comparison writes."""
    shutil.copytree(ROOT / "scenarios", tmp_path / "scenarios")
    monkeypatch.chdir(tmp_path)
    path = Path("scenarios/push_on_the_bumper.yaml")
    text = path.read_text(encoding="utf-8")
    names = ['=HYPERLINK("http://x")', "@SUM(1+1)"]
    path.write_text(text[: text.index("setups:")] + f"setups:\n  '{names[0]}':\n  '{names[1]}':\n", encoding="utf-8")
    assert main(["compare", str(path), "--no-plots"]) == 0
    cells = [
        cell
        for file in Path("outputs/push_on_the_bumper").glob("*.csv")
        for row in csv.reader(io.StringIO(file.read_text(encoding="utf-8"), newline=""))
        for cell in row
    ]
    assert {f"'{name}" for name in names} <= set(cells)
    assert not [
        cell for cell in cells if cell.startswith(("=", "@", "+", "\t")) or (cell[:1] == "-" and not is_number(cell))
    ]


def is_number(cell):
    try:
        float(cell)
    except ValueError:
        return False
    return True
