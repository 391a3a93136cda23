"""Courses that the page offers: short ones of its own, and those of the files beside the truck's."""

import os
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from sim.describe.files.courses import load_course
from sim.describe.files.reader import Document
from sim.describe.files.runs import run_at
from sim.describe.roads.course import Course
from sim.errors import JounceError
from sim.show.pages.local.varied import in_folder

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


IN_FILE = "Course written in the scenario"
"""What a course is called that a scenario writes out and gives no name."""


def called(written: Any) -> str:
    """Return what the page calls a course as a scenario writes it: a file, or one that is written out."""
    if isinstance(written, str):
        return named(Path(written).stem)
    own = written if isinstance(written, Mapping) else {}
    name = str(own.get("name") or IN_FILE)
    # One that this page has written is the one that it offers.
    return f"{name} (from your file)" if name in OWN and own.get("items") != OWN[name] else name


def read_course(written: Any, folder: Path) -> Course:
    """Return a course that a scenario in a folder writes out.

    Raises
    ------
    JounceError
        If it is at fault.
    """
    whole = {"run": {"kind": "course", "speed": SPEED, "course": written}}
    return run_at(Document(whole, folder / "scenario"), folder, []).courses[0]


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
        self.opened: tuple[Any, Path] | None = None
        """The course of the scenario that the page was opened on, as its file writes it, and that file's folder: it may be none of the others."""
        self.look()

    def look(self) -> None:
        """Look which course files there are: one may have been written meanwhile."""
        self._files: dict[str, Path] = {}
        for place in (self.folder / "courses", self.folder.parent / "courses"):
            for path in sorted(place.glob("*.yaml")) if place.is_dir() else ():
                self._files.setdefault(named(path.stem), path)
        self._inside: dict[str, Any] = {}
        if self.opened is not None:
            written, folder = self.opened
            name = called(written)
            if isinstance(written, str):
                self._files.setdefault(name, folder / written)
            elif name not in OWN:
                self._inside[name] = written

    def open(self, written: Any, folder: Path) -> None:
        """Offer the course of a scenario that is opened too, as its file writes it; None: there is none."""
        self.opened = None if written is None else (written, folder)
        self._known.clear()
        self.look()

    @property
    def names(self) -> list[str]:
        """Names to choose from."""
        return [*OWN, *(name for name in self._files if name not in OWN), *self._inside]

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
            elif name in self._inside:
                self._known[name] = read_course(self._inside[name], self.opened[1])  # type: ignore[index]
            elif name in self._files:
                self._known[name] = load_course(self._files[name])
            else:
                raise JounceError(f"There is no course '{name}'.")
        return self._known[name]

    def written(self, name: str, folder: Path) -> Any:
        """Return a course as a scenario in a folder writes it: its file's place from there, or itself."""
        if name in self._inside:
            return in_folder(self._inside[name], self.opened[1], folder)  # type: ignore[index]
        if name not in self._files or name in OWN:
            return {"kind": "course", "name": name, "items": OWN[name]}
        # As seen from the scenario, one folder up at most: `../courses/hut_track.yaml`.
        return Path(os.path.relpath(self._files[name].resolve(), folder.resolve())).as_posix()
