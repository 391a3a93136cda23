"""Pages that are made must be what is made."""

import argparse
import importlib
import re
import runpy
import shlex
from importlib import import_module
from pathlib import Path

import pytest
import yaml

import sim
from sim.cli import COMMANDS
from sim.cli.shared import shared
from sim.describe.plot_names import NAMES
from sim.describe.runs.needed import EXAMPLES, PAGE
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


PAGES = (ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted((ROOT / "docs").rglob("*.md")))
"""What people read; each page by itself."""


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(ROOT)))
def test_links_lead_to_a_file(page):
    for target in re.findall(r"\]\(([^)#\s]+)(?:#[^)]*)?\)", page.read_text(encoding="utf-8")):
        if "://" not in target:
            assert (page.parent / target).exists(), target


def test_every_page_is_in_the_index():
    for folder in (ROOT / "docs", ROOT / "docs" / "decisions"):
        index = (folder / "README.md").read_text(encoding="utf-8")
        for page in folder.glob("*.md"):
            assert page.name == "README.md" or f"]({page.name})" in index, page.name


def commands(page: Path) -> list[str]:
    """Return what a page has people type after `jounce`: code in its lines, and lines of its shell blocks."""
    text = page.read_text(encoding="utf-8")
    blocks = re.findall(r"```sh\n(.*?)```", text, re.DOTALL)
    lines = [line.partition("#")[0] for block in blocks for line in block.splitlines()]
    spans = re.findall(r"`([^`\n]+)`", re.sub(r"```.*?```", "", text, flags=re.DOTALL))
    found = (re.search(r"(?:^|/)jounce\s+(.*)", typed.strip()) for typed in (*lines, *spans))
    return [match[1] for match in found if match]


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(ROOT)))
def test_commands_are_as_the_command_line_has_them(page):
    for typed in commands(page):
        words = shlex.split(typed.partition(" > ")[0])  # what is written into a file is the same command
        if words[0].isupper() or words[0].startswith("-") or words[0] == "…":
            continue
        assert words[0] in COMMANDS, typed
        if any(word.isupper() or "…" in word for word in words) or all(word.startswith("-") for word in words[1:]):
            continue  # a form to be filled in
        parser = argparse.ArgumentParser(exit_on_error=False)
        importlib.import_module(f"sim.cli.{words[0]}").arguments(parser)
        shared(parser)
        parser.parse_args(words[1:])
        for file in words[1:]:
            if file.endswith((".yaml", ".csv")) and "my_" not in file and "tuned" not in file:
                assert (ROOT / file).exists(), typed


def test_the_examples_of_your_truck_can_be_pasted(tmp_path):
    """A truck as measured, and a scenario that puts loads aboard: 165 lb and 660 lb by 0.45359237 kg to the pound."""
    from sim.linear.standing import stand

    text = (ROOT / "docs" / "your-truck.md").read_text(encoding="utf-8")
    truck, scenario = re.findall(r"```yaml\n(.*?)```", text, re.DOTALL)
    (tmp_path / "my_truck.yaml").write_text(truck, encoding="utf-8")
    (tmp_path / "my_loads.yaml").write_text(scenario, encoding="utf-8")
    setups = sim.load(tmp_path / "my_loads.yaml").setups
    weights = [sum(axle.load for axle in stand(setup).axles.values()) / 9.80665 for setup in setups.values()]
    assert weights[0] == pytest.approx(4230 * 0.45359237, rel=1e-3)
    assert weights[1] - weights[0] == pytest.approx(165 * 0.45359237, rel=1e-3)
    assert weights[2] - weights[1] == pytest.approx(660 * 0.45359237, rel=1e-3)


def laid_over(below, above):
    """One mapping with another's keys in it, as somebody puts lines below those that the file has."""
    both = isinstance(below, dict) and isinstance(above, dict)
    return (
        {key: laid_over(below.get(key), above.get(key, below.get(key))) for key in {**below, **above}}
        if both
        else above
    )


LAUNCH = """kind: scenario
name: Away
vehicle: my_truck.yaml
run: {kind: launch, climb: 5 deg, surface: {name: rock, friction: 0.85, sliding: 0.62, peak_at: 13 %}}
setups: {as it is: }
"""


def test_what_a_launch_needs_is_said_at_once_and_can_be_pasted(tmp_path, capsys):
    """The truck of docs/your-truck.md cannot be launched; with the block of docs/launches-and-stops.md, or the message's own lines, it can."""
    from sim.cli import main

    truck, launched = (
        yaml.safe_load(
            re.search(r"```yaml\n(.*?)```", (ROOT / "docs" / page).read_text(encoding="utf-8"), re.DOTALL)[1]
        )
        for page in ("your-truck.md", "launches-and-stops.md")
    )
    (tmp_path / "away.yaml").write_text(LAUNCH, encoding="utf-8")

    def checked(data, command="check"):
        (tmp_path / "my_truck.yaml").write_text(yaml.safe_dump(data), encoding="utf-8")
        code = main([command, str(tmp_path / "away.yaml")])
        return code, capsys.readouterr().err

    code, said = checked(truck)
    assert code == 2
    for key in (
        "driveline",
        "rear.shafts",
        *(f"{axle}.{key}" for axle in ("front", "rear") for key in ("tyre.spin_inertia", "tyre.slip", "brakes")),
    ):
        assert key in said
    heading = re.search(r'docs/launches-and-stops.md, "(.*?)"', said)[1]
    assert f"## {heading}\n" in (ROOT / "docs" / "launches-and-stops.md").read_text(encoding="utf-8")
    lines = yaml.safe_load("\n".join(re.findall(r"^(?:driveline|front|rear): \{.*\}$", said, re.MULTILINE)))
    assert lines == launched
    assert checked(laid_over(truck, launched))[0] == 0
    # Of a part that is there nothing is said.
    _, said = checked(laid_over(truck, {key: launched[key] for key in ("front", "driveline")}))
    assert "needs the vehicle's rear.shafts, rear.tyre.spin_inertia, rear.tyre.slip; its" in said
    for key in ("needs the vehicle's driveline (engine, gear, drive), rear.shafts", PAGE):
        assert key in checked(truck, "tramp")[1]


def test_lines_to_copy_are_the_hut_trucks():
    hut = yaml.safe_load((ROOT / "scenarios" / "vehicles" / "hut_supply_truck.yaml").read_text(encoding="utf-8"))
    for path, text in EXAMPLES.items():
        there = hut
        for step in path.split("."):
            there = there[step]
        example = yaml.safe_load(text)
        if path == "driveline":  # its greatest torque in place of the curve
            assert example["engine"].pop("torque") == max(
                (point["torque"] for point in there["engine"]["torque"]), key=lambda one: float(one.split()[0])
            )
        assert (
            example == {key: laid(there[key], example[key]) for key in example}
            if isinstance(example, dict)
            else example == there
        )


def laid(there, example):
    return {key: there[key] for key in example} if isinstance(example, dict) else there


def test_the_readme_answers_with_every_demo_scenario():
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    for scenario in (ROOT / "scenarios").glob("*.yaml"):
        assert f"scenarios/{scenario.name}" in readme, scenario.name
