"""The site of pages, public names and scenarios: everything is in it, and no link leads nowhere (mkdocs, strict)."""

import runpy
import subprocess
import sys
from pathlib import Path

import pytest

import sim

ROOT = Path(__file__).parents[1]


@pytest.fixture(scope="module")
def site():
    return runpy.run_path(str(ROOT / "docs" / "build_site.py"))


def test_every_scenario_is_in_the_gallery(site):
    commands = " ".join(row["command"] for row in site["rows"]())
    assert [path.name for path in (ROOT / "scenarios").glob("*.yaml") if path.name not in commands] == []


@pytest.mark.parametrize("name", sim.__all__)
def test_every_public_name_is_described(name):
    assert getattr(sim, name).__doc__


@pytest.mark.long  # it builds every page
def test_no_link_leads_nowhere(tmp_path):
    pytest.importorskip("mkdocs", reason="the site is built by mkdocs, of the extra `docs`")
    done = subprocess.run(
        [sys.executable, str(ROOT / "docs" / "build_site.py"), "--only", "none", "--into", str(tmp_path)],
        capture_output=True, text=True,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    page = (tmp_path / "site" / "api.html").read_text(encoding="utf-8")
    assert all(f"{name}" in page for name in sim.__all__)
