"""Scenarios of the page: set-ups that a file brings, and the file that is written of those that were tried."""

import os
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from sim.describe.files.reader import read
from sim.describe.files.round_trip import edited
from sim.errors import InputError, JounceError, Problem
from sim.show.pages.local import hours_of_track
from sim.show.pages.local.courses import Courses, called
from sim.show.pages.local.launching import KIND, as_typed, run_as_written
from sim.show.pages.local.paper import COPY, Paper, as_boxes, as_changes, file_stem, written_new
from sim.show.pages.local.varied import in_folder, in_form, opened_with, section
from sim.show.pages.local.working import works_of
from sim.show.pages.local.written_over import checked_text, is_of, over, saved_over

MOST_FILES, MOST_BYTES = 200, 400_000
"""Files that are looked at for scenarios, and the largest one: the list is put together each time that the page is opened."""

FRESH = """\
# Set-ups that were tried on one truck: jounce compare shows them side by side.
kind: scenario
"""

FRESH_HOURS = FRESH.replace("jounce compare shows them side by side", "jounce endure drives them over hours of track")


@dataclass(frozen=True)
class Opened:
    """What the page was opened on.

    Attributes
    ----------
    vehicle : Path or None
        The truck's file; None for a new one.
    folder : Path
        Where new files go.
    trial : dict
        Set-ups, course and speed to begin with, as the page asks for them; empty for a truck alone.
    units : "typed", "metric" or "inch"
        In which units numbers are shown at first; typed: in those in which the truck is written.
    scenario : Path or None
        The scenario's file.
    varied : dict
        Its parts that say what varies, as the file has them.
    works : list of dict
        Commands that it can be given to (`working.works_of`).
    mark : str
        Of the scenario's file when it was opened.
    track : dict
        Its run as the file has it, where that is hours of track.
    course : str or dict or None
        What it drives over at the speed that the page shows, as the file writes it.
    """

    vehicle: Path | None
    folder: Path
    trial: dict[str, Any] = field(default_factory=dict)
    units: str = "typed"
    scenario: Path | None = None
    varied: dict[str, Any] = field(default_factory=dict)
    works: list[dict[str, str]] = field(default_factory=list)
    mark: str = ""
    track: dict[str, Any] = field(default_factory=dict)
    course: Any = None

    def known(self) -> dict[str, str]:
        """Return the mark of the scenario that was opened by its file's name, if it is saved to that file again: one that was saved here."""
        own = self.scenario
        if own is None or self.vehicle is None or own.parent != self.vehicle.parent.resolve():
            return {}
        return {own.name: self.mark} if own.name == f"{file_stem(str(self.trial.get('name', '')))}.yaml" else {}


def opened(path: Path | None, folder: Path) -> Opened:
    """Return what a file opens: a truck, or a scenario's truck with its set-ups.

    Raises
    ------
    InputError
        If it is neither.
    """
    if path is None:
        return Opened(None, folder)
    mark = Paper(path, path.parent).mark()
    document = read(path)
    kind = document.data.get("kind")
    if kind == "vehicle":
        return Opened(path, path.parent)
    if kind != "scenario":
        raise InputError(
            Problem(
                "this is neither a vehicle nor a scenario file", document.name, suggestion="jounce open VEHICLE.yaml"
            )
        )
    run, setups = document.data.get("run"), document.data.get("setups")
    trial: dict[str, Any] = {"name": str(document.data.get("name", ""))}
    if isinstance(setups, dict):
        trial["setups"] = [{"name": str(name), "changes": as_boxes(changes or {})} for name, changes in setups.items()]
    track = run if isinstance(run, dict) and run.get("kind") == hours_of_track.KIND else {}
    drive = run if isinstance(run, dict) and run.get("kind") == "course" else hours_of_track.drive_of(track)
    if drive:
        trial["speed"] = str(drive.get("speed", ""))
    if (course := drive.get("course")) is not None:
        trial["course"] = called(course)
    if track:
        trial["hours"] = hours_of_track.as_typed(track)
    if isinstance(run, dict) and run.get("kind") == KIND:
        trial["launch"] = as_typed(run)
    vehicle = path.parent / str(document.data.get("vehicle", ""))
    varied = opened_with(document.data)
    if (form := in_form(varied)) is not None:
        trial["vary"] = form
    works = works_of(document.data)
    return Opened(
        vehicle, path.parent, trial, scenario=path.resolve(), varied=varied, works=works, mark=mark, track=track, course=course,
    )  # fmt: skip


def saved(truck: Path | None) -> list[str]:
    """Return names of the scenario files of a truck beside it and in the folder above, of those that can be read."""
    if truck is None:
        return []
    return [Path(os.path.relpath(path, truck.parent)).as_posix() for path in _beside(truck) if _is_of(path, truck)]


def _beside(truck: Path) -> list[Path]:
    return [
        path
        for place in (truck.parent, truck.parent.parent)
        for path in sorted(place.glob("*.yaml"))
        if not COPY.search(path.stem)
    ][:MOST_FILES]


def _is_of(path: Path, truck: Path) -> bool:
    try:
        # A file of thousands of lines, or one that is none of ours, is none that somebody saved here.
        if path.stat().st_size > MOST_BYTES or "scenario" not in path.read_text(encoding="utf-8"):
            return False
    except (OSError, UnicodeDecodeError):
        return False
    return is_of(path, truck)


def reopened(name: str, truck: Path | None, before: Opened) -> Opened:
    """Return what the page is opened on once somebody chose one of the truck's scenarios; empty: the truck alone.

    Raises
    ------
    JounceError
        If it is none of them.
    """
    if truck is not None and not name:
        return Opened(truck, before.folder, units=before.units)
    if truck is None or name not in saved(truck):
        raise JounceError(f"There is no scenario '{name}' of this truck.")
    chosen = opened(truck.parent / name, before.folder)
    return replace(chosen, vehicle=truck, folder=before.folder, units=before.units)


def written(
    paper: Paper, courses: Courses, load: Mapping[str, Any], asked: Mapping[str, Any], opened: Opened | None = None
) -> dict[str, Any]:
    """Write a scenario of what was tried, into a new file or over one of this truck that the page knows.

    Parameters
    ----------
    paper : Paper
        The truck's file.
    courses : Courses
    load : mapping
        Changes that put the load aboard that all set-ups carry; empty without one.
    asked : mapping
        name, question, course, speed, launch as `Trials.run` takes them; hours: boxes of hours of track (`hours_of_track.BOXES`), for a run of those; setups: rows of name and changes; vary: what varies
        (`varied.section`), if anything does; known: marks of the scenarios that the page has opened or saved, by the file's name.
    opened : Opened, optional
        What the page was opened on: what its scenario says beside what the page shows is kept.

    Returns
    -------
    dict
        file: its name; works: the commands that it can be given to; mark: of its new state; copy: name of the copy of what was there, if
        anything was.

    Raises
    ------
    TakenError
        If its name is taken by a file that is no scenario of this truck.
    ThereError, ChangedOutsideError
        If there is a scenario of that name that the page does not know, or not as it is now.
    JounceError
        If the truck has no file yet, or there is nothing to write.
    """
    if paper.path is None:
        raise JounceError("Save the truck first: a scenario names the truck's file.")
    name = str(asked.get("name") or "").strip()
    rows = [row for row in asked.get("setups") or [] if isinstance(row, dict)]
    if not name or not rows:
        raise JounceError("Give the scenario a name and at least one set-up.")
    folder = paper.path.parent
    setups: dict[str, Any] = {}
    for row in rows:
        changes = as_changes(row.get("changes") or {})
        if str(row["name"]) in setups:
            raise JounceError(f"Two set-ups are called '{row['name']}'; give one of them another name.")
        setups[str(row["name"])] = {**load, **changes} or None
    whose = opened if opened is not None and opened.track else None
    if of_hours := hours_of_track.is_hours(asked):
        was = in_folder(whose.track, whose.folder, folder) if whose is not None else {}
        run = hours_of_track.run_as_written(asked, courses, folder, was)
    else:
        run = run_as_written(asked, courses, folder)
    edits: dict[tuple[str, ...], Any] = {
        ("name",): name, ("question",): str(asked.get("question") or ("" if not of_hours or whose is not None else hours_of_track.QUESTION)), ("vehicle",): paper.path.name, ("run",): run, ("setups",): setups,
    }  # fmt: skip
    if not edits[("question",)]:
        del edits[("question",)]
    before = in_folder(opened.varied, opened.folder, folder) if opened is not None else {}
    vary = section(asked.get("vary"), before)
    edits |= {(key,): value for key, value in vary.items()}
    path, copy = folder / f"{file_stem(name)}.yaml", ""
    if path.exists():
        known = asked.get("known")
        mark, copy = saved_over(path, paper.path, known if isinstance(known, dict) else {}, edits)
    else:
        text = edited(FRESH_HOURS if of_hours else FRESH, edits)
        if of_hours and whose is not None and whose.scenario is not None:
            # What the page does not show of the one that was opened, and the remarks in it, go along.
            own = Paper(whose.scenario, whose.folder)
            text = edited(own.text(), over(own.document().data, edits, folder, paper.path), whose.scenario.name)
        if vary or of_hours:
            checked_text(folder, text)
        mark = Paper(written_new(folder, name, text), folder).mark()
    return {"file": path.name, "works": works_of({**vary, "run": run, "setups": setups}), "mark": mark, "copy": copy}
