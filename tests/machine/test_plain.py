"""All that is only there to save time can be left out, at one switch: what comes out is the same."""

import csv
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

ROOT = Path(__file__).parents[2]
WITHOUT_COMPILER = (
    "tests/kernel/test_curves.py", "tests/kernel/test_stepping.py", "tests/kernel/test_lagrange.py",
    "tests/derivation/test_driven_against_kernel.py",
)  # fmt: skip
"""Tests of the kernel that ask for some thousand evaluations at most."""


def child(arguments, **environment):
    return subprocess.run(
        [sys.executable, *arguments], cwd=ROOT, capture_output=True, text=True, check=False,
        env={**os.environ, "PYTHONPATH": str(ROOT), **environment},
    )  # fmt: skip


@pytest.mark.hours  # those tests once more
def test_the_kernel_is_right_without_its_compiler():
    """As plain Python: a wrong index or a name that the compiler took for another would show."""
    done = child(["-m", "pytest", "-q", "-n", "0", "-p", "no:cacheprovider", *WITHOUT_COMPILER], NUMBA_DISABLE_JIT="1")
    assert done.returncode == 0, done.stdout[-2000:] + done.stderr[-2000:]
    assert done.stdout.split()[0].count(".") > 20


def compared(folder, **environment):
    done = child(
        ["-m", "sim", "compare", "scenarios/push_on_the_bumper.yaml", "--no-plots", "--outputs", str(folder)],
        **environment,
    )
    assert done.returncode in (0, 3), done.stderr
    return {file.name: file.read_text() for file in sorted(folder.rglob("*.csv"))}


def number(cell):
    try:
        return np.isfinite(float(cell))
    except ValueError:
        return False


@pytest.mark.hours  # it compiles a run from nothing, and slowly
def test_a_comparison_is_the_same_without_what_saves_time(tmp_path):
    """Text for text, but for the last digit and a billionth of what is largest: sums may be contracted otherwise."""
    usual, plain = compared(tmp_path / "usual", JOUNCE_PLAIN=""), compared(tmp_path / "plain", JOUNCE_PLAIN="1")
    assert usual.keys() == plain.keys()
    tables = {"summary.csv", "verdict.csv", "usual.csv"}
    for name in sorted(tables):
        for one, other in zip(*(csv.reader(text[name].splitlines()) for text in (usual, plain)), strict=True):
            largest = max((abs(float(cell)) for cell in one if number(cell)), default=0.0)
            for cell, same in zip(one, other, strict=True):
                if cell != same:
                    assert float(same) == pytest.approx(float(cell), rel=2e-6, abs=1e-9 * largest)
    for name in usual.keys() - tables:
        one, other = (np.genfromtxt(text[name].splitlines(), delimiter=",", skip_header=1) for text in (usual, plain))
        assert one.shape == other.shape
        for column, same in zip(one.T, other.T, strict=True):
            # Histories have seven digits: one of the last is a millionth of the smallest such number.
            assert same == pytest.approx(column, rel=1e-6, abs=1e-9 * max(np.nanmax(np.abs(column)), 1e-9), nan_ok=True)


def test_switch_is_read_from_the_environment():
    tell = "from sim import machine; from sim.machine import jit; print(machine.PLAIN, jit.CACHE_FOLDER.name[-6:] == '-plain')"
    for value, said in (("1", "True True"), ("0", "False False"), ("", "False False")):
        assert child(["-c", tell], JOUNCE_PLAIN=value).stdout.strip() == said
