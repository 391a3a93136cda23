"""What a command does not need it does not import; and a package that cannot be written to still keeps what it compiled."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
SCENARIO = str(ROOT / "scenarios" / "push_on_the_bumper.yaml")

TELL = """
import io, sys
from contextlib import redirect_stdout
from sim.cli import main
with redirect_stdout(io.StringIO()):
    try:
        main(sys.argv[1:])
    except SystemExit:
        pass
print("\\n".join(sorted(sys.modules)))
"""

DRAWING = {"matplotlib", "PIL"}
MANY = {"joblib", "pymoo", "dask", "distributed", "sim.many", "multiprocessing.pool", "concurrent.futures.process"}
OWN = {"sim.plots", "sim.report", "sim.measures"}


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
        (["check", SCENARIO], {"pint", "rich"} | DRAWING | MANY | OWN),
        (["simulate", SCENARIO, "--no-plots", "--outputs", "OUT"], {"pint", "sim.plots"} | DRAWING | MANY),
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


@pytest.mark.skipif(os.name != "posix", reason="permissions of folders")
def test_read_only_package_and_no_home(tmp_path):
    """It compiles once, says so, keeps it where it can write, and leaves the package as it is."""
    package = tmp_path / "installed"
    shutil.copytree(ROOT / "sim", package / "sim", ignore=shutil.ignore_patterns("__pycache__"))
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

    def check():
        return subprocess.run(
            [sys.executable, "-m", "sim", "check", "scenarios/push_on_the_bumper.yaml"], cwd=tmp_path, env=environment,
            capture_output=True, text=True, check=True,
        )  # fmt: skip

    try:
        first = check()
        assert "compiling" in first.stderr
        assert "All is well" in first.stdout
        kept = list(temporary.rglob("*.nbc"))
        assert kept
        assert "compiling" not in check().stderr
        assert list(temporary.rglob("*.nbc")) == kept
        assert sorted(package.rglob("*")) == before
    finally:
        for path in [package, *before]:
            path.chmod(0o755 if path.is_dir() else 0o644)
