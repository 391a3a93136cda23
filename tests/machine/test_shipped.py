"""Machine code that comes with the package: made from these sources, whole, used only where it suits, and the answer of the compiler's."""

import os
import shutil
import subprocess
import sys
import tomllib
from hashlib import sha256
from pathlib import Path

import numpy as np
import pytest

import sim
from sim.cli import main
from sim.integrate import ahead
from sim.integrate.simulation import simulate
from sim.kernel.filters import sum_of_second_orders
from sim.kernel.integrate import run_single
from sim.machine import cache, jit, native, shipped

ROOT = Path(__file__).parents[2]
AGAIN = "python -m sim.cli.make_shipped (Linux on x86-64)"
SCENARIO = ROOT / "scenarios" / "two_or_four.yaml"

here_it_runs = pytest.mark.skipif(not shipped.suits(), reason="this is no machine for which machine code is shipped")


def made_from():
    return shipped._made_from()


def test_it_is_made_from_the_sources_of_the_house():
    assert made_from()["sources"] == jit.text_hash(), f"the kernel was changed: make its machine code again by {AGAIN}"
    for module, text in made_from()["files"].items():
        assert text == native.hash_of(sys.modules[module].__file__), f"{module} was changed: make it again by {AGAIN}"


def test_files_are_what_was_made_and_travel_with_the_package():
    files = set(shipped.FOLDER.iterdir())
    assert {path.name for path in files} == {*made_from()["objects"], shipped.MANIFEST}
    for name, mark in made_from()["objects"].items():
        assert sha256((shipped.FOLDER / name).read_bytes()).hexdigest() == mark
    with (ROOT / "pyproject.toml").open("rb") as file:
        patterns = tomllib.load(file)["tool"]["setuptools"]["package-data"]["sim"]
    assert files <= {path for pattern in patterns for path in (ROOT / "sim").glob(pattern)}


@here_it_runs
@pytest.mark.parametrize(
    "asked", [
        ["compare", str(SCENARIO), "--no-plots"], ["compare", str(ROOT / "scenarios" / "brake_from_speed.yaml"), "--no-plots"],
        ["sweep", str(ROOT / "scenarios" / "push_on_the_bumper.yaml"), "--vary", "front.tyre.rate", "250 N/mm", "300 N/mm", "2", "--workers", "1",
         "--measure", "ride_wk_driver", "--measure", "front_tyre_load_variation", "--measure", "acceleration_rms_driver"],
    ],
    ids=["a course", "a stop", "a sweep"],
)  # fmt: skip
@pytest.mark.long  # commands of their own, with nothing kept
def test_the_first_command_on_a_machine_compiles_nothing(asked, tmp_path):
    """Neither is anything kept by the compiler, nor is a person asked to wait for it."""
    environment = {key: value for key, value in os.environ.items() if not key.startswith(("NUMBA_", "JOUNCE_PLAIN"))}
    done = subprocess.run(
        [sys.executable, "-m", "sim", *asked, "--outputs", str(tmp_path / "out")], cwd=ROOT, check=False,
        env={**environment, "NUMBA_CACHE_DIR": str(tmp_path / "kept")}, capture_output=True, text=True,
    )  # fmt: skip
    assert done.returncode in (0, 3), done.stderr
    assert "compiling" not in done.stderr
    assert not list(tmp_path.rglob("*.nbc"))


@here_it_runs
@pytest.mark.hours  # with all draws of its doubt, a third of a minute
def test_neither_does_that_of_a_truck_whose_numbers_are_estimated(tmp_path):
    """An estimate is a number with its doubt, which the compiler took for a kind of its own and compiled for: in every process."""
    truck = tmp_path / "truck.yaml"
    assert (
        main(["new", str(truck), "--front", "2450 lb", "--rear", "1780 lb", "--wheelbase", "92 in", "--tyre", "33 in"])
        == 0
    )
    code = (
        "import sys; from sim.cli import main; done = main(sys.argv[1:]); "
        "raise SystemExit(99 if any(name.partition('.')[0] == 'numba' for name in sys.modules) else done)"
    )
    environment = {key: value for key, value in os.environ.items() if not key.startswith(("NUMBA_", "JOUNCE_PLAIN"))}
    done = subprocess.run(
        [sys.executable, "-c", code, "simulate", str(tmp_path / "truck_first.yaml"), "--no-plots", "--outputs", str(tmp_path / "out")],
        cwd=ROOT, check=False, env={**environment, "NUMBA_CACHE_DIR": str(tmp_path / "kept")}, capture_output=True, text=True,
    )  # fmt: skip
    assert done.returncode in (0, 3), done.stderr  # 99: the compiler was loaded
    assert not list(tmp_path.rglob("*.nbc"))


ONLY_WHAT_IS_SHIPPED = """
import sys
from sim import cli
cli._own_process(compiles=False)
done = cli.main(sys.argv[1:])
from sim.kernel.integrate import run_single
assert "numba" not in sys.modules
assert any(run_single._entries.values())
raise SystemExit(done)
"""


@here_it_runs
def test_a_command_that_never_compiles_runs_what_comes_compiled(tmp_path):
    done = subprocess.run(
        [sys.executable, "-c", ONLY_WHAT_IS_SHIPPED, "stand", str(SCENARIO)], cwd=ROOT, check=False, capture_output=True, text=True,
        env={key: value for key, value in os.environ.items() if not key.startswith(("NUMBA_", "JOUNCE_PLAIN"))},
    )  # fmt: skip
    assert done.returncode in (0, 3), done.stderr


@here_it_runs
@pytest.mark.long  # it compiles
def test_its_run_is_that_of_the_compiler(monkeypatch):
    """To rounding: the compiler of this machine may fuse other sums."""
    scenario = sim.load(SCENARIO)
    vehicle = scenario.setups["two front"]
    monkeypatch.setattr(run_single, "_entries", {})
    with_shipped = simulate(vehicle, scenario.run)
    assert any(run_single._entries.values())
    nothing_shipped(monkeypatch, run_single, sum_of_second_orders)
    monkeypatch.setattr(jit, "CACHE_FOLDER", None)
    monkeypatch.setattr(run_single, "_folder", None)
    compiled = simulate(vehicle, scenario.run)
    assert not any(run_single._entries.values())
    for name in ("bounce_m", "pitch_nose_up_rad"):
        ours, theirs = getattr(with_shipped, name), getattr(compiled, name)
        assert np.abs(ours - theirs).max() <= 1e-9 * np.ptp(theirs)


def nothing_shipped(monkeypatch, *functions):
    monkeypatch.setattr(shipped, "suits", lambda: False)
    for function in functions:
        monkeypatch.setattr(function, "_entries", {})


def given():
    """What `sum_of_second_orders` takes, by types alone."""
    one, three = np.zeros((1, 1)), np.zeros((1, 3))
    return one, three, three, np.zeros((2, 1, 1)), one.copy()


def looked_up(sources=None):
    words = native.words(given())
    return shipped.entry(sum_of_second_orders.py_func, words, sources or jit.text_hash())


@here_it_runs
def test_it_is_not_used_for_other_sources():
    assert looked_up() is not None
    assert looked_up("0123456789abcdef") is None


@here_it_runs
def test_it_is_not_used_where_a_person_has_set_the_compiler(monkeypatch):
    """Bounds that are checked, another processor: what was asked for is compiled."""
    shipped.suits.cache_clear()
    monkeypatch.setenv("NUMBA_BOUNDSCHECK", "1")
    try:
        assert looked_up() is None
    finally:
        monkeypatch.undo()
        shipped.suits.cache_clear()


@here_it_runs
def test_it_is_not_used_on_a_processor_without_its_instructions(monkeypatch):
    monkeypatch.setattr(shipped, "NEEDED", (*shipped.NEEDED, "an instruction of the future"))
    shipped.suits.cache_clear()
    try:
        assert looked_up() is None
    finally:
        shipped.suits.cache_clear()


@here_it_runs
def test_a_damaged_file_is_said_and_compiled_anew(tmp_path, monkeypatch):
    folder = tmp_path / "shipped"
    shutil.copytree(shipped.FOLDER, folder)
    file = folder / shipped.name_of(sum_of_second_orders.py_func, native.words(given()))
    raw = bytearray(file.read_bytes())
    raw[len(raw) // 2] ^= 1
    file.write_bytes(bytes(raw))
    monkeypatch.setattr(shipped, "FOLDER", folder)
    monkeypatch.setattr(sum_of_second_orders, "_entries", {})
    cache.said.cache_clear()
    with pytest.warns(RuntimeWarning, match="came with jounce is damaged: it is compiled anew"):
        ahead._roads_and_filters()
