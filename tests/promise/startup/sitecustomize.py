"""Lays new files into the package, each with its one line in a list, for a process that is started with this folder on its path.

Nothing of the package is written to: a module of the package that is new is read from `tests/promise/new`, and the file of a
list is read with one name more.
"""

import sys
from importlib.abc import MetaPathFinder
from importlib.machinery import SourceFileLoader
from importlib.util import spec_from_file_location
from pathlib import Path

ROOT = Path(__file__).parents[3]
NEW = ROOT / "tests" / "promise" / "new"

FILES = {
    "sim.describe.parts.dampers.parabolic": "parabolic",
    "sim.describe.parts.guides.pillar": "pillar",
    "sim.describe.parts.springs.air_bag": "air_bag",
    "sim.describe.roads.saw_tooth": "saw_tooth",
    "sim.describe.runs.there_and_on": "there_and_on",
    "sim.measure.load_swing": "load_swing",
    "sim.show.plots.swing_words": "swing_words",
    "sim.cli.weigh": "weigh",
}
"""What is new: its place in the package, and its file here."""

LINES = {
    "sim.describe.parts.dampers.laws": ("LAWS: tuple[type[DamperLaw], ...] = (\n", "Parabolic", "sim.describe.parts.dampers.parabolic"),
    "sim.describe.parts.guides": ("GUIDES: tuple[type[GuideDescription], ...] = (\n", "Pillar", "sim.describe.parts.guides.pillar"),
    "sim.describe.parts.springs": ("SPRINGS: tuple[type[SpringDescription], ...] = (\n", "AirBag", "sim.describe.parts.springs.air_bag"),
    "sim.describe.roads": ("SHAPES: tuple[type[Laid], ...] = (\n", "SawTooth", "sim.describe.roads.saw_tooth"),
    "sim.describe.runs": ("RUNS: tuple[type[RunDescription], ...] = (\n", "ThereAndOn", "sim.describe.runs.there_and_on"),
    "sim.measure": ("MEASURES: tuple[Family, ...] = (\n", "load_swing.measures", "sim.measure"),
    "sim.describe.plot_names": ("PLOTS: dict[str, When] = {\n", '"swing_words": "always"', ""),
    "sim.cli": ("COMMANDS: dict[str, str] = {\n", '"weigh": "say what a vehicle weighs"', ""),
}  # fmt: skip
"""The lists: after which line a new one stands, the line, and the module from which its name is imported."""


def edited(name: str, text: str) -> str:
    """Return the text of a list's file with one name more."""
    after, line, home = LINES[name]
    before, opening, rest = text.partition(after)
    if not opening:
        raise ImportError(f"{name}: the list no longer begins with {after!r}; put its new beginning here")
    named = line.partition(".")[0]
    imported = f"from {home} import {named}\n" if home else ""
    return before + imported + opening + f"    {line},\n" + rest


class Edited(SourceFileLoader):
    """Reads a list's file with one name more, and never its compiled twin."""

    def get_code(self, fullname):
        path = self.get_filename(fullname)
        text = Path(path).read_text(encoding="utf-8")
        return compile(edited(fullname, text), path, "exec", dont_inherit=True)


class Finder(MetaPathFinder):
    """Finds the new files and the edited lists."""

    def find_spec(self, fullname, path=None, target=None):
        if fullname in FILES:
            return spec_from_file_location(fullname, NEW / f"{FILES[fullname]}.py")
        if fullname in LINES:
            stem = ROOT.joinpath(*fullname.split("."))
            file = stem / "__init__.py" if stem.is_dir() else stem.with_suffix(".py")
            folders = [str(stem)] if stem.is_dir() else None
            return spec_from_file_location(
                fullname, file, loader=Edited(fullname, str(file)), submodule_search_locations=folders
            )
        return None


sys.meta_path.insert(0, Finder())
