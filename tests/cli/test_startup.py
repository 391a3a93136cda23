"""What a command does not need it does not import; and a package that cannot be written to still keeps what it compiled."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

pytestmark = pytest.mark.long  # whole commands and studies, over and over: seconds each

ROOT = Path(__file__).parents[2]
SCENARIO = str(ROOT / "scenarios" / "push_on_the_bumper.yaml")

BRAKED = str(ROOT / "scenarios" / "brake_from_speed.yaml")
AS_KNOWN = str(ROOT / "scenarios" / "vehicles" / "hut_supply_truck_as_known.yaml")

TELL = """
import io, sys
from contextlib import redirect_stdout
from sim.cli import main
with redirect_stdout(io.StringIO()):
    try:
        sys.argv[0] = "jounce"
        main()
    except SystemExit:
        pass
print("\\n".join(sorted(sys.modules)))
"""

DRAWING = {"matplotlib", "PIL"}
MANY = {"joblib", "pymoo", "dask", "distributed", "sim.many", "multiprocessing.pool", "concurrent.futures.process"}
OWN = {"sim.show.plots", "sim.show.report", "sim.measure"}


def imported(*arguments):
    """Return the modules that a command has imported when it is done."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    done = subprocess.run(
        [sys.executable, "-c", TELL, *arguments], cwd=ROOT, env=environment, capture_output=True, text=True, check=True
    )
    return set(done.stdout.split())


@pytest.mark.parametrize(
    ("arguments", "not_needed"),
    [
        (
            ["--help"],
            {"numpy", "numba", "scipy", "pydantic", "pint", "yaml", "rich", "importlib.metadata"}
            | DRAWING
            | MANY
            | OWN,
        ),
        (["tune", "--help"], {"numpy", "numba", "scipy", "pydantic", "pint", "yaml", "rich"} | DRAWING | MANY | OWN),
        (["schema", "vehicle"], {"numba", "scipy", "pint", "rich"} | DRAWING | MANY | OWN),
        (["check", SCENARIO], {"numba", "scipy", "pint", "rich"} | DRAWING | MANY | OWN),
        (["check", BRAKED], {"numba", "scipy", "pint", "rich"} | DRAWING | MANY | OWN),
        (["stand", SCENARIO], {"numba", "scipy", "pint"} | DRAWING | MANY),
        # With numbers in doubt, too, whose draws need no library that takes a while to load.
        (["stand", AS_KNOWN], {"numba", "scipy", "pint", "joblib", "pymoo", "dask", "distributed"} | DRAWING),
        (["sheet", SCENARIO, "--outputs", "OUT"], {"numba", "scipy", "pint"} | MANY),
        (
            ["simulate", SCENARIO, "--no-plots", "--outputs", "OUT"],
            {"pint", "sim.show.plots"} | DRAWING | MANY,
        ),
    ],
)
def test_not_imported(arguments, not_needed, tmp_path):
    found = imported(*(str(tmp_path / "out") if word == "OUT" else word for word in arguments))
    assert not found & not_needed
    assert "sim.cli" in found


def test_usual_commands_draw_without_the_unit_library(tmp_path):
    found = imported("simulate", SCENARIO, "--outputs", str(tmp_path / "out"))
    assert "matplotlib" in found
    assert not found & ({"pint", "matplotlib.pyplot"} | MANY)


@pytest.mark.hours  # it compiles a run from nothing
@pytest.mark.skipif(os.name != "posix", reason="permissions of folders")
def test_read_only_package_and_no_home(tmp_path):
    """It compiles once, says so, keeps it where it can write, and leaves the package as it is: on a machine for which no machine code comes along."""
    package = tmp_path / "installed"
    shutil.copytree(ROOT / "sim", package / "sim", ignore=shutil.ignore_patterns("__pycache__", "shipped"))
    shutil.copytree(ROOT / "scenarios", tmp_path / "scenarios")
    before = sorted(package.rglob("*"))
    for path in [*before, package]:
        path.chmod(0o555 if path.is_dir() else 0o444)
    temporary = tmp_path / "temporary"
    temporary.mkdir()
    environment = {key: value for key, value in os.environ.items() if key not in ("NUMBA_CACHE_DIR", "XDG_CACHE_HOME")}
    environment |= {
        "PYTHONPATH": str(package),
        "HOME": os.devnull,
        "TMPDIR": str(temporary),
        "PYTHONDONTWRITEBYTECODE": "1",
    }

    def run():
        return subprocess.run(
            [sys.executable, "-m", "sim", "simulate", "scenarios/push_on_the_bumper.yaml", "--no-plots"], cwd=tmp_path,
            env=environment, capture_output=True, text=True, check=True,
        )  # fmt: skip

    try:
        first = run()
        assert "compiling" in first.stderr
        assert "Wrote" in first.stderr
        kept = list(temporary.rglob("*.nbc"))
        assert kept
        # For one set of types each: what was made ahead is what is used.
        assert all(path.name.endswith(".1.nbc") for path in kept)
        # What has just been compiled, and the same read back: not a digit of a result may tell which it was.
        made = {path: path.read_bytes() for path in tmp_path.glob("outputs/*/*.csv")}
        assert made
        assert "compiling" not in run().stderr
        assert {path: path.read_bytes() for path in made} == made
        assert list(temporary.rglob("*.nbc")) == kept
        assert sorted(package.rglob("*")) == before
    finally:
        for path in [package, *before]:
            path.chmod(0o755 if path.is_dir() else 0o644)


@pytest.mark.parametrize(
    "file",
    [
        pytest.param("two_or_four.yaml", marks=pytest.mark.long),  # the same functions, for other set-ups
        pytest.param("brake_from_speed.yaml", marks=pytest.mark.long),
        "what_tube_size.yaml",
    ],
)
def test_plain_text_of_the_physics_stands_as_the_compiled_does(file):
    """A command that leaves the compiler out says the same of every set-up, to the last digit shown."""
    told = []
    for arguments, compiler in (("words", True), ("", False)):  # given arguments, the process is somebody else's
        script = f"""
import sys
from sim.cli import main
words = ["stand", {str(ROOT / "scenarios" / file)!r}]
sys.argv = ["jounce", *words]
assert main({arguments}) == 0
assert ("llvmlite" in sys.modules) == {compiler}  # what compiled code is read with
"""
        done = subprocess.run(
            [sys.executable, "-c", script], cwd=ROOT,
            # What comes compiled with the package is left out too: else both would run it.
            env={**os.environ, "PYTHONPATH": str(ROOT), "JOUNCE_PLAIN": "0" if compiler else "1"},
            capture_output=True, text=True, check=True,
        )  # fmt: skip
        told.append(done.stdout)
    assert told[0] == told[1] != ""
