"""Pages that are made must be what is made."""

import re
import runpy
from importlib import import_module
from pathlib import Path

import sim
from sim.describe.plot_names import NAMES
from sim.show.plots import PLOTS

ROOT = Path(__file__).parents[1]


def test_files_page_is_current():
    page = runpy.run_path(str(ROOT / "docs" / "make_files_page.py"))["page"]()
    assert (ROOT / "docs" / "files.md").read_text(encoding="utf-8") == page, "run docs/make_files_page.py"


def test_every_published_check_stands_on_the_validation_page():
    page = (ROOT / "docs" / "validation.md").read_text(encoding="utf-8")
    for file in (ROOT / "tests" / "published").glob("test_*.py"):
        for name in re.findall(r"^def test_(\w+)", file.read_text(encoding="utf-8"), re.MULTILINE):
            assert f"### {name.replace('_', ' ')}" in page or name in ONLY_TRUE_OR_FALSE, (
                f"make docs/validation.md again: {name}"
            )


ONLY_TRUE_OR_FALSE = {
    "coulomb_friction_holds_within_f_over_k", "flat_has_no_height", "same_seed_same_road", "short_profiles_are_refused", "words",
    "default_lies_in_the_ranges_of_damper_oils", "thins_and_lightens_with_every_kelvin", "what_is_no_oil_is_refused",
    "turning_points_of_a_signal_in_pieces",
}  # fmt: skip
"""Checks that compare no two numbers, so that there is nothing to show."""


def test_plot_names_for_files_are_the_plots():
    assert tuple(PLOTS) == NAMES
    for name, figure in PLOTS.items():  # the file, its NAME and its line in the list agree
        assert name == import_module(figure.__module__).NAME


def test_public_names_are_sorted_and_there():
    assert list(sim.__all__) == sorted(sim.__all__)
    for name in sim.__all__:
        assert getattr(sim, name).__module__.startswith("sim.")


def test_links_of_the_readme_lead_somewhere():
    for target in re.findall(r"\]\(([^)#]+)\)", (ROOT / "README.md").read_text(encoding="utf-8")):
        assert (ROOT / target).exists(), target
