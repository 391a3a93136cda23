"""What is handed over as source: all that git has, so that the tests run from it, and nothing that git has not.

By PEP 517 and the source distribution format of the Python packaging user guide: `NAME-VERSION/` with pyproject.toml and PKG-INFO.
"""

import shutil
import subprocess
import sys
import tarfile
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


def test_the_sdist_has_what_git_has(copied, tmp_path):
    pytest.importorskip("setuptools", minversion="77", reason="the licence as an SPDX expression needs setuptools 77")
    folder, names = copied
    script = f"from setuptools.build_meta import build_sdist; print(build_sdist({str(tmp_path)!r}))"
    subprocess.run([sys.executable, "-c", script], cwd=folder, check=True, capture_output=True)
    (archive,) = tmp_path.glob("*.tar.gz")
    with tarfile.open(archive) as tar:
        packed = {member.name.partition("/")[2] for member in tar if member.isfile()}
        about = next(member for member in tar if member.name.count("/") == 1 and member.name.endswith("/PKG-INFO"))
        told = tar.extractfile(about).read().decode()
    of_the_build = {name for name in packed if name in ("PKG-INFO", "setup.cfg") or name.startswith("jounce.egg-info/")}
    assert packed - of_the_build == names
    # PEP 639: an expression of SPDX, and no classifier of a licence beside it.
    assert "\nLicense-Expression: MIT\n" in told
    assert "License ::" not in told
