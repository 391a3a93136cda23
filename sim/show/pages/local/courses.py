"""Courses that the page offers: short ones of its own, and those of the files beside the truck's."""

import os
import re
from pathlib import Path
from typing import Any

from sim.describe.files.courses import load_course
from sim.describe.roads.course import Course
from sim.errors import JounceError

OWN: dict[str, list[dict[str, Any]]] = {
    "Washboard, hump and dip": [
        {"kind": "flat", "length": "4 m"},
        {"kind": "washboard", "pitch": "0.6 m", "depth": "18 mm", "count": 20},
        {"kind": "flat", "length": "10 m"},
        {"kind": "circular_hump", "height": "80 mm", "chord": "3.6 m"},
        {"kind": "flat", "length": "14 m"},
        {"kind": "ditch", "depth": "200 mm", "width": "8 m"},
        {"kind": "flat", "length": "6 m"},
    ],
    "Washboard": [
        {"kind": "flat", "length": "4 m"},
        {"kind": "washboard", "pitch": "0.6 m", "depth": "20 mm", "count": 50},
        {"kind": "flat", "length": "6 m"},
    ],
    "One speed hump": [
        {"kind": "flat", "length": "6 m"},
        {"kind": "circular_hump", "height": "100 mm", "chord": "3.7 m"},
        {"kind": "flat", "length": "20 m"},
    ],
    "One long dip": [
        {"kind": "flat", "length": "6 m"},
        {"kind": "ditch", "depth": "300 mm", "width": "10 m"},
        {"kind": "flat", "length": "20 m"},
    ],
    "A log across the track": [
        {"kind": "flat", "length": "6 m"},
        {"kind": "fallen_log", "diameter": "150 mm"},
        {"kind": "flat", "length": "16 m"},
    ],
}
"""Courses by name, as a file writes them; invented."""

SPEEDS = {"A log across the track": "5 km/h", "One speed hump": "25 km/h"}
"""Speeds that a course begins with on the page; the others with `SPEED`."""

SPEED = "25 km/h"


def named(stem: str) -> str:
    """Return what a course file is called in the page: its name without its ending, told apart from a course of the page that reads alike."""
    name = stem.replace("_", " ").capitalize()
    alike = {_words(own): own for own in OWN}
    return f"{name} (from your file)" if _words(name) in alike and name not in OWN else name


def _words(name: str) -> frozenset[str]:
    return frozenset(re.findall(r"\w+", name.lower())) - {"and"}


class Courses:
    """What the page offers to drive over.

    Parameters
    ----------
    folder : Path
        Of the truck's file: its own courses and those of a folder `courses` in it or beside it are offered too.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._known: dict[str, Course] = {}
        self.look()

    def look(self) -> None:
        """Look which course files there are: one may have been written meanwhile."""
        self._files: dict[str, Path] = {}
        for place in (self.folder / "courses", self.folder.parent / "courses"):
            for path in sorted(place.glob("*.yaml")) if place.is_dir() else ():
                self._files.setdefault(named(path.stem), path)

    @property
    def names(self) -> list[str]:
        """Names to choose from."""
        return [*OWN, *(name for name in self._files if name not in OWN)]

    def course(self, name: str) -> Course:
        """Return the course of a name.

        Raises
        ------
        JounceError
            If there is none, or its file is at fault.
        """
        if name not in self._known:
            if name in OWN:
                self._known[name] = Course.model_validate({"kind": "course", "name": name, "items": OWN[name]})
            elif name in self._files:
                self._known[name] = load_course(self._files[name])
            else:
                raise JounceError(f"There is no course '{name}'.")
        return self._known[name]

    def written(self, name: str, folder: Path) -> Any:
        """Return a course as a scenario in a folder writes it: its file's place from there, or itself."""
        if name not in self._files or name in OWN:
            return {"kind": "course", "name": name, "items": OWN[name]}
        # As seen from the scenario, one folder up at most: `../courses/hut_track.yaml`.
        return Path(os.path.relpath(self._files[name].resolve(), folder.resolve())).as_posix()
