"""What is handed over: as source all that git has, so that the tests run from it; as a wheel the whole package with the demo.

By PEP 517, PEP 427 (a wheel is an archive of what goes into site-packages) and the source distribution format of the Python packaging user
guide: `NAME-VERSION/` with pyproject.toml and PKG-INFO.
"""

import os
import shutil
import subprocess
import sys
import tarfile
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]


@pytest.fixture(scope="module")
def copied(tmp_path_factory):
    """Return a copy of what git has, as it is now, and the names of its files."""
    if not (ROOT / ".git").exists() or shutil.which("git") is None:
        pytest.skip("no git here to compare with: these tests are run from the sdist itself")
    listed = ["git", "-C", str(ROOT), "ls-files", "-z", "--cached", "--others", "--exclude-standard"]
    done = subprocess.run(listed, capture_output=True, check=True)
    names = {name for name in done.stdout.decode().split("\0") if name and (ROOT / name).is_file()}
    folder = tmp_path_factory.mktemp("source")
    for name in names:
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(ROOT / name, folder / name)
    return folder, names


def build(kind, folder, into):
    """Build an sdist or a wheel of a folder by the project's own build system."""
    pytest.importorskip("setuptools", minversion="77", reason="the licence as an SPDX expression needs setuptools 77")
    script = f"from setuptools.build_meta import build_{kind}; print(build_{kind}({str(into)!r}))"
    subprocess.run([sys.executable, "-c", script], cwd=folder, check=True, capture_output=True)


def test_the_sdist_has_what_git_has(copied, tmp_path):
    folder, names = copied
    build("sdist", folder, tmp_path)
    (archive,) = tmp_path.glob("*.tar.gz")
    with tarfile.open(archive) as tar:
        packed = {member.name.partition("/")[2] for member in tar if member.isfile()}
        about = next(member for member in tar if member.name.count("/") == 1 and member.name.endswith("/PKG-INFO"))
        described = tar.extractfile(about).read().decode()
    of_the_build = {name for name in packed if name in ("PKG-INFO", "setup.cfg") or name.startswith("jounce.egg-info/")}
    assert packed - of_the_build == names
    # PEP 639: an expression of SPDX, and no classifier of a licence beside it.
    assert "\nLicense-Expression: MIT\n" in described
    assert "License ::" not in described


@pytest.mark.long  # it copies the package once more
def test_the_wheel_has_the_whole_package_and_the_demo_and_runs_by_itself(copied, tmp_path):
    folder, names = copied
    build("wheel", folder, tmp_path)
    (wheel,) = tmp_path.glob("*.whl")
    with zipfile.ZipFile(wheel) as archive:
        packed = {name for name in archive.namelist() if ".dist-info/" not in name}
        archive.extractall(tmp_path / "installed")
    package = {name for name in names if name.startswith(("sim/", "jounce/"))}
    demo = {name.replace("scenarios/", "sim/demo/", 1) for name in names if name.startswith("scenarios/")}
    assert packed == package | demo
    # From a folder with a file that could be taken for the package, and with nothing but the wheel.
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    (elsewhere / "sim.py").write_text("raise SystemExit('a file of the folder was run')")
    environment = {**os.environ, "PYTHONPATH": str(tmp_path / "installed")}
    for command in (["new", "--demo", "mine"], ["check", "mine/two_or_four.yaml"]):
        done = subprocess.run(
            [sys.executable, "-m", "jounce", *command], cwd=elsewhere, env=environment, capture_output=True, text=True
        )
        assert done.returncode == 0, done.stderr
    assert (elsewhere / "mine" / "courses" / "hut_track.yaml").is_file()
