"""Hours of track on the page: their boxes, the run that they make, and what is known of it before it is driven."""

from collections.abc import Iterable, Mapping
from copy import deepcopy
from dataclasses import dataclass
from pathlib import Path
from typing import Any, cast

from sim.describe.estimates.truck import read_si
from sim.describe.files.reader import Document
from sim.describe.files.round_trip import scalar
from sim.describe.files.runs import run_at
from sim.describe.parts.vehicle import Vehicle
from sim.describe.runs import Track
from sim.describe.shown import show_short
from sim.describe.to_measure import listed
from sim.errors import InputError, JounceError, Problem
from sim.show.pages.local.at_boxes import problem_words
from sim.show.pages.local.courses import Courses
from sim.show.pages.local.launching import is_launch
from sim.show.report.estimated import at_central_values

KIND, DRIVE, STAND = "track", "drive", "stand"

NO_REST = "none"
"""What stands in the box of a rest that there is not; left empty it is the same."""


@dataclass(frozen=True)
class Box:
    """A number of a track that is typed in.

    Attributes
    ----------
    key : str
        In what the page sends.
    label : str
    taken : dict of str to str
        What is taken where it is left empty, by system of units.
    how : str
        What it is, and what is allowed.
    """

    key: str
    label: str
    taken: Mapping[str, str]
    how: str


FAR, AIR, ALTITUDE, REST = "far", "air", "altitude", "rest"

BOXES = (
    Box(FAR, "Distance", {"metric": "50 km", "inch": "30 mi"}, "How far it is driven, over the course chosen above again and again, at the speed beside it. A time is taken too: 3 h. Up to 48 hours in all."),
    Box(AIR, "Outside temperature", {"metric": "20 °C", "inch": "68 °F"}, "Of the air, in the shade. The dampers begin as warm as that."),
    Box(ALTITUDE, "Altitude above the sea", {"metric": "0 m", "inch": "0 ft"}, "Thin air cools less. -500 to 6000 m (-1640 to 19685 ft)."),
    Box(REST, "Rest at the end", {"metric": NO_REST, "inch": NO_REST}, "Parked so long after the drive, 30 min for example: how far the dampers cool."),
)  # fmt: skip
"""In the order in which they are asked."""

QUESTION = "Will they fade over hours?"
"""What a scenario that the page writes asks."""

EXAMPLE = "tube: {construction: twin_tube, bore: 35 mm, outside_diameter: 60 mm, length: 330 mm, rod: 15 mm}"
"""A tube as a truck's file has it; its sizes are an example."""


def is_hours(asked: Mapping[str, Any]) -> bool:
    """Return whether what the page asks for is hours of track."""
    return isinstance(asked.get("hours"), Mapping)


def first_drive(run: Mapping[str, Any]) -> int | None:
    """Return the number of the stage of a file's track whose course, speed and distance the page shows; None if it has no drive."""
    return next((number for number, one in enumerate(_stages(run)) if one.get("kind") == DRIVE), None)


def drive_of(run: Mapping[str, Any]) -> dict[str, Any]:
    """Return that stage; empty if there is none."""
    number = first_drive(run)
    return _stages(run)[number] if number is not None else {}


def as_typed(run: Mapping[str, Any]) -> dict[str, str]:
    """Return a file's track as the boxes of the page have it: its first drive, and the stand at its end."""
    stages, drive = _stages(run), drive_of(run)
    rest = stages[-1].get("duration") if _rests(stages) else None
    found = {
        FAR: drive.get("distance") or drive.get("duration"),
        AIR: run.get(AIR),
        ALTITUDE: run.get(ALTITUDE),
        REST: rest,
    }
    return {key: "" if value is None else str(value) for key, value in found.items()}


def run_as_written(
    asked: Mapping[str, Any], courses: Courses, folder: Path, before: Mapping[str, Any]
) -> dict[str, Any]:
    """Return the run that the page asks for as a scenario in a folder writes it.

    Parameters
    ----------
    asked : mapping
        course and speed; hours: its boxes (`BOXES`) as texts.
    courses : Courses
    folder : Path
    before : mapping
        Run of the file that was opened, seen from the folder; empty without one. What the page does not show of it is kept: other
        stages, the air of one, the temperature at the start.
    """
    return _run(asked, before, courses.written(str(asked.get("course")), folder))


def _run(asked: Mapping[str, Any], before: Mapping[str, Any], course: Any) -> dict[str, Any]:
    typed = {box.key: " ".join(str(asked["hours"].get(box.key) or "").split()) for box in BOXES}
    run: dict[str, Any] = {"kind": KIND}
    if before.get("kind") == KIND:
        run = {**deepcopy({key: value for key, value in before.items() if key != "stages"})}
    for key in (AIR, ALTITUDE):
        run.pop(key, None)
        if typed[key]:
            run[key] = scalar(typed[key])
    stages = deepcopy(_stages(before))
    number = first_drive(before)
    if number is None:
        number = 0
        stages.insert(0, {"kind": DRIVE})
    drive = stages[number]
    drive |= {"course": course, "speed": scalar(str(asked.get("speed") or ""))}
    far = typed[FAR] or BOXES[0].taken["metric"]
    lasts = read_si(far, "time") is not None
    drive.pop("distance" if lasts else "duration", None)
    drive["duration" if lasts else "distance"] = scalar(far)
    if typed[REST] and typed[REST] != NO_REST:
        if not _rests(stages):
            stages.append({"kind": STAND})
        stages[-1]["duration"] = scalar(typed[REST])
    elif _rests(stages):
        del stages[-1]
    return {**run, "stages": stages}


def edits_of(was: Mapping[str, Any], now: Mapping[str, Any]) -> dict[tuple[str, ...], Any]:
    """Return what to write so that a file's track becomes another, value by value: remarks beside what stays are kept."""
    found: dict[tuple[str, ...], Any] = {}
    for key in (AIR, ALTITUDE):
        if was.get(key) != now.get(key):
            found["run", key] = now.get(key)
    before, after = _stages(was), _stages(now)
    if [one.get("kind") for one in before][: len(after)] != [one.get("kind") for one in after][: len(before)]:
        return {**found, ("run", "stages"): now["stages"]}
    for number, (old, new) in enumerate(zip(before, after, strict=False)):
        place = "run", "stages", str(number)
        found |= {(*place, key): new.get(key) for key in (*new, *old) if old.get(key) != new.get(key)}
    for number, one in enumerate(after[len(before) :], len(before)):
        found["run", "stages", str(number)] = one
    # From the end: what is taken out of a list moves what follows it.
    for number in reversed(range(len(after), len(before))):
        found["run", "stages", str(number)] = None
    return found


def _stages(run: Mapping[str, Any]) -> list[dict[str, Any]]:
    stages = run.get("stages")
    return [one for one in stages if isinstance(one, dict)] if isinstance(stages, list) else []


def _rests(stages: list[dict[str, Any]]) -> bool:
    return len(stages) > 1 and stages[-1].get("kind") == STAND


def told(
    asked: Mapping[str, Any], courses: Courses, before: Mapping[str, Any], folder: Path, setups: Mapping[str, Vehicle]
) -> dict[str, Any]:
    """Return what the page says of hours of track before they are driven.

    Parameters
    ----------
    asked : mapping
        As `run_as_written` takes it.
    courses : Courses
    before : mapping
        Run of the file that was opened.
    folder : Path
        From which that names its courses.
    setups : mapping of str to Vehicle
        Those that can be read, by name.

    Returns
    -------
    dict
        problems: rows of box (empty where it is of none) and message; words: sentences on what is driven; heat: sentences on dampers
        of which it is not known how hot they get, and what to do about it.
    """
    if is_launch(asked):
        where = "Hours of track are driven over a course: choose one under “Course, or pulling away”."
        return {"problems": [{"box": "", "message": where}], "words": [], "heat": []}
    try:
        written = Document({"run": _run(asked, before, courses.course(str(asked.get("course"))))}, folder / "x")
        # For the type checker: that is the kind which is written there.
        run = cast("Track", run_at(written, folder, []))
    except InputError as error:
        number = first_drive(before) or 0
        return {"problems": [_at_box(one, number) for one in error.problems], "words": [], "heat": []}
    except JounceError as error:
        return {"problems": [{"box": "", "message": str(error)}], "words": [], "heat": []}
    guessed = at_central_values(setups.values(), run)
    return {
        "problems": [],
        "words": [_words(run), *([guessed.partition(" `")[0]] if guessed else [])],
        "heat": heat_words(setups),
    }


def _at_box(problem: Problem, drive: int) -> dict[str, str]:
    """Return a problem with the box that it is of; empty where it is of none."""
    words = problem_words(problem)
    said = "; ".join(filter(None, (words["message"], words["suggestion"])))
    where = problem.where
    if where in ("run", f"run.stages.{drive}.distance", f"run.stages.{drive}.duration"):
        return {"box": FAR, "message": said}
    if where in ("run.air", "run.altitude"):
        return {"box": where.rpartition(".")[2], "message": said}
    if where.endswith(".duration"):
        return {"box": REST, "message": said}
    return {"box": "", "message": f"Speed: {said}" if where.endswith(".speed") else said}


def _words(run: Track) -> str:
    """Return what is driven: each stage, then how far and how long in all."""
    said = [
        f"{_way(one.seconds * one.speed)} over {one.words}" if one.course is not None else one.words
        for one in run.stages
    ]
    hours = run.seconds / 3600.0
    lasts = f"{hours:.1f} hours" if hours >= 1.0 else f"{run.seconds / 60.0:.0f} min"
    return f"{'; then '.join(said)}. In all {_way(run.metres)} in {lasts}, with each set-up."


def _way(metres: float) -> str:
    decimals = 0 if metres >= WHOLE_M else 1
    return show_short(metres, "travelled", (decimals, decimals))


WHOLE_M = 20e3
"""From here on a distance is said in whole kilometres [m]."""


def heat_words(setups: Mapping[str, Vehicle]) -> list[str]:
    """Return of which dampers it is not known how hot they get, as their file says nothing of their tube, and what to write; empty where all have one."""
    lacking: dict[str, list[str]] = {}
    sets = 0
    for name, vehicle in setups.items():
        for axle, part in vehicle.axles:
            for key, damper in part.dampers.items():
                sets += 1
                if damper.tube is None:
                    lacking.setdefault(f"{axle}.dampers.{key}", []).append(name)
    if not lacking:
        return []
    said = [f"{path}{_of(names, setups)}" for path, names in lacking.items()]
    none = sum(map(len, lacking.values())) == sets
    first = (
        "How hot the dampers get, and whether they fade, is not known: none has a tube in the truck's file."
        if none
        else f"Not known is how hot these get, as they have no tube in the truck's file: {listed(said)}."
    )
    return [
        first,
        f"Measure with a caliper, and write beneath {' and beneath '.join(lacking)} of the truck's file: {EXAMPLE} (or monotube), with your sizes. "
        + ("Without it only work and travel are counted." if none else "The others are worked out all the same."),
    ]


def _of(names: list[str], setups: Iterable[str]) -> str:
    return "" if len(names) == len(list(setups)) else f" (in {listed([f'“{name}”' for name in names])})"
