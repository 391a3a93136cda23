"""Pulling away on the page: kinds of ground to choose from, the boxes of a launch, and the run that they make."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sim.describe.files.round_trip import scalar
from sim.errors import JounceError, Problem
from sim.show.pages.local.at_boxes import problem_words
from sim.show.pages.local.courses import Courses, named

KIND = "launch"
EVEN = ""
"""What a launch goes over where no course is chosen."""


@dataclass(frozen=True)
class Box:
    """A number of a launch that is typed in.

    Attributes
    ----------
    key : str
        In what the page sends.
    place : tuple of str
        In a scenario's run.
    label : str
    taken : str
        What is taken where it is left empty; empty: it is needed.
    how : str
        What it is, and what is allowed.
    """

    key: str
    place: tuple[str, ...]
    label: str
    taken: str
    how: str


BOXES = (
    Box("climb", ("climb",), "Uphill", "0 deg", "Slope of the hill, as an angle or as a road sign has it: 8 deg or 14 %; downhill: a minus. Up to 34 deg. On a slope it begins on its brakes."),
    Box("friction", ("surface", "friction"), "Grip: most", "", "Greatest force along the road over the load, before the tyre slides. More than 0.02, up to 2: dry rock 0.8 to 1, gravel 0.6, wet grass 0.3 to 0.4 (common practice, no source)."),
    Box("sliding", ("surface", "sliding"), "Grip: spinning", "", "The same with the wheel spinning on the spot; less than the most."),
    Box("peak_at", ("surface", "peak_at"), "Slip at most grip", "15 %", "How much faster than the road the tread goes there. 1 to 90 %."),
    Box("throttle", ("throttle",), "Throttle", "100 %", "How far the foot goes down. More than 0, up to 100 %."),
    Box("throttle_rise", ("throttle_rise",), "Throttle down in", "0.3 s", "Time until it is where it stays. Up to 10 s."),
    Box("throttle_off_after", ("throttle_off_after",), "Foot off after", "it stays down", "Time after which the foot leaves the throttle, and the engine's drag brakes."),
    Box("brakes_off", ("brakes_off",), "Brakes let go in", "0.2 s", "Up to 10 s."),
    Box("watch", ("watch",), "Watched for", "6 s", "How long the run is. More than 0.5 s, up to 120 s."),
    Box("to_speed", ("to_speed",), "Time wanted to", "no speed", "Speed to which time and distance are wanted."),
)  # fmt: skip
"""In the order in which they are asked."""

ROCK = {"ground": "firm rock", "friction": "0.85", "sliding": "0.62", "peak_at": "13 %"}
GRAVEL = {"ground": "gravel", "friction": "0.62", "sliding": "0.5", "peak_at": "14 %"}
GRASS = {"ground": "wet grass", "friction": "0.35", "sliding": "0.32", "peak_at": "15 %"}
BEGUN = {"throttle_rise": "0.25 s", "watch": "4 s"}

LAUNCHES: dict[str, dict[str, str]] = {
    "Pull away: level, firm rock": {**ROCK, **BEGUN},
    "Pull away: up 8 deg (14 %), firm rock": {**ROCK, **BEGUN, "climb": "8 deg"},
    "Pull away: level, gravel": {**GRAVEL, **BEGUN},
    "Pull away: over washboard, gravel": {**GRAVEL, **BEGUN, "over": "Washboard", "watch": "6 s"},
    "Pull away: level, wet grass, little grip": {**GRASS, **BEGUN},
}
"""Launches by name, as their boxes have them. Friction of rock and gravel is that of our scenarios, of grass common practice, no source."""


def is_launch(asked: Mapping[str, Any]) -> bool:
    """Return whether what the page asks for is a launch."""
    return isinstance(asked.get("launch"), Mapping)


def run_of(asked: Mapping[str, Any], courses: Courses) -> dict[str, Any]:
    """Return the run that the page asks for, over a course or a launch, its course read.

    Raises
    ------
    JounceError
        If there is no such course, or its file is at fault.
    """
    if not is_launch(asked):
        return {
            "kind": "course", "course": courses.course(str(asked.get("course"))), "speed": asked.get("speed") or None,
        }  # fmt: skip
    run, over = _boxes(asked["launch"])
    if over:
        run["course"] = courses.course(over) if isinstance(over, str) else over
    return run


def run_as_written(asked: Mapping[str, Any], courses: Courses, folder: Path) -> dict[str, Any]:
    """Return the same as a scenario in a folder writes it."""
    if not is_launch(asked):
        return {
            "kind": "course", "course": courses.written(str(asked.get("course")), folder), "speed": str(asked.get("speed")),
        }  # fmt: skip
    run, over = _boxes(asked["launch"])
    if over:
        run["course"] = courses.written(over, folder) if isinstance(over, str) else over
    return run


def _boxes(launch: Mapping[str, Any]) -> tuple[dict[str, Any], Any]:
    """Return a launch as a file has it, without its course; and what it goes over: a course's name, a course, or nothing."""
    surface: dict[str, Any] = {"name": str(launch["ground"])} if launch.get("ground") else {}
    run: dict[str, Any] = {"kind": KIND, "surface": surface}
    for box in BOXES:
        text = " ".join(str(launch.get(box.key) or "").split())
        if text:
            inside = run if len(box.place) == 1 else surface
            inside[box.place[-1]] = scalar(text)
    return run, launch.get("over") or EVEN


def as_typed(run: Mapping[str, Any]) -> dict[str, Any]:
    """Return a file's launch as the page has it: its boxes, its ground's name, and what it goes over."""
    surface = run.get("surface")
    found: dict[str, Any] = {}
    for box in BOXES:
        inside = run if len(box.place) == 1 else surface
        if isinstance(inside, Mapping) and inside.get(box.place[-1]) is not None:
            found[box.key] = str(inside[box.place[-1]])
    if isinstance(surface, Mapping) and surface.get("name"):
        found["ground"] = str(surface["name"])
    if course := run.get("course"):
        # One that stands in the scenario itself goes to the page and comes back as it is.
        found["over"] = named(Path(course).stem) if isinstance(course, str) else course
    return found


OF_SURFACE = re.compile(
    r"a slip curve with a slope of \S+ and a peak of (\S+) .* ends between (\S+) and (\S+) when sliding"
)
"""Why a set-up refuses a ground whose grip falls as that of none of its tyres does, with the greatest grip and between which ends it can lie."""


def at_launch(problem: Problem) -> dict[str, str]:
    """Return a problem of a launch as the page shows it, with the box that it is of: `box`, empty where it is of none."""
    words = problem_words(problem)
    boxes = {".".join(("run", *one.place)): one for one in BOXES} | {"run.surface": BOXES[2]}
    own = boxes.get(problem.where)
    if own is None:
        return {**words, "box": ""}
    if "is missing" in problem.message:
        words["message"] = f"{own.label} is needed"
    elif "sliding friction must be less" in problem.message:
        words["message"] = (
            f"must be less than “{BOXES[1].label}”: {ROCK['sliding']} where that is {ROCK['friction']}, {GRAVEL['sliding']} where it is {GRAVEL['friction']}"
        )
    return {**words, "box": own.key}


def of_ground(outcomes: Iterable[object]) -> dict[str, str] | None:
    """Return what is wrong with the ground of a launch, at its box, where that is why set-ups cannot be run; None where it is not."""
    for one in outcomes:
        found = OF_SURFACE.search(str(one)) if isinstance(one, JounceError) else None
        if found:
            peak, low, high = found.groups()
            said = f"of these tyres {low} to {high} where the most is {peak}; or change the slip at most grip"
            return {**problem_words(Problem(said)), "box": "sliding"}
    return None
