"""Pages that are made must be what is made."""

import runpy
from pathlib import Path

import sim
from sim.plot_names import NAMES
from sim.plots import PLOTS

ROOT = Path(__file__).parents[1]


def test_files_page_is_current():
    page = runpy.run_path(str(ROOT / "docs" / "make_files_page.py"))["page"]()
    assert (ROOT / "docs" / "files.md").read_text(encoding="utf-8") == page, "run docs/make_files_page.py"


def test_plot_names_for_files_are_the_plots():
    assert set(NAMES) == set(PLOTS)


def test_public_names_are_sorted_and_there():
    assert list(sim.__all__) == sorted(sim.__all__)
    for name in sim.__all__:
        assert getattr(sim, name).__module__.startswith("sim.")


def test_links_of_the_readme_lead_somewhere():
    import re

    for target in re.findall(r"\]\(([^)#]+)\)", (ROOT / "README.md").read_text(encoding="utf-8")):
        assert (ROOT / target).exists(), target
