"""Scenarios that `jounce new` writes beside a truck's file: a first question about it, and what is planned for it."""

import shutil
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from sim.errors import OutputError


def put(path: Path, text: str) -> None:
    """Write a file of the user's, whole or not at all."""
    from sim.show.report.write import replaced

    try:
        replaced(path, text)
    except OSError as error:
        raise OutputError(f"{path}: cannot be written: {error.strerror or error}") from None


COURSES = "courses"
TRACK = f"{COURSES}/hut_track.yaml"
"""The demo's track over which a first scenario drives."""

FIRST = """\
# A first question for {name}: the dampers as they are, against others, over the demo's track.
# Words for a valving stand for damping ratios (docs/measure/dampers.md); write a curve in their place once you have one.
{others}kind: scenario
name: {first}
question: {question}
vehicle: {vehicle}
run: {{kind: course, course: {course}, speed: {speed}}}
setups:
  as it is:
{words}"""

SETUP = """\
  {word}:
    front.dampers.main.valving: {word}
    rear.dampers.main.valving: {word}
"""

OTHERS = {
    "soft": ("stock", "firm"),
    "stock": ("soft", "firm"),
    "firm": ("stock", "heavy"),
    "heavy": ("stock", "firm"),
    "worn": ("stock", "firm"),
}
"""By the word that a truck's dampers have already, the two that they are set against: a set-up that is the truck itself says nothing."""

QUESTIONS = {
    "soft": "As soft as it is, or firmer?",
    "heavy": "As heavy as it is, or softer?",
    "worn": "Worn as they are, or new ones, stock or firm?",
}


def first_scenario(path: Path, mapping: Mapping[str, Any]) -> Path:
    """Write a first scenario beside a vehicle's file, and the courses that it may drive over; what is there stays as it is."""
    from sim.describe.files.writer import as_yaml

    scenario = path.with_name(f"{path.stem}_first.yaml")
    courses = _courses(path)
    if not scenario.exists():
        name, own = _called(mapping), _valved(mapping)

        def word(text: str) -> str:
            return as_yaml([text])[2:].strip()

        put(
            scenario,
            FIRST.format(
                name=name, first=word(f"{name}: a first look"), vehicle=word(path.name), course=TRACK, speed=_speed(mapping),
                question=QUESTIONS.get(own, "Softer, as it is, or firmer?"),
                words="".join(SETUP.format(word=other) for other in OTHERS[own]), others="".join(f"# {line}\n" for line in _other_courses(courses)),
            ),
        )  # fmt: skip
    return scenario


def _valved(mapping: Mapping[str, Any]) -> str:
    """Return the word that the dampers of both axles have; *stock* where they have none, or not the same."""
    words = set()
    for axle in ("front", "rear"):
        part: Any = mapping
        for key in (axle, "dampers", "main", "valving"):
            part = part.get(key) if isinstance(part, Mapping) else None
        words.add(part if isinstance(part, str) else "stock")
    (own, *more) = sorted(words)
    return own if not more and own in OTHERS else "stock"


def _courses(path: Path) -> list[Path]:
    """Copy the demo's courses, and the surveys that they name, beside a vehicle's file; return them, those that were there too."""
    from sim.describe.files.demo import demo_folder

    into = path.parent / COURSES
    sources = [one for one in sorted((demo_folder() / COURSES).iterdir()) if one.suffix in (".yaml", ".csv")]
    for source in sources:
        if (into / source.name).exists():
            continue
        try:
            into.mkdir(exist_ok=True)
            shutil.copyfile(source, into / source.name)
        except OSError as error:
            raise OutputError(
                f"{into / source.name}: the course cannot be written: {error.strerror or error}. {path} is there."
            ) from None
    return [into / source.name for source in sources]


def _other_courses(courses: list[Path]) -> list[str]:
    """Return lines that name the courses beside the first one."""
    others = [f"{COURSES}/{one.name}" for one in courses if one.suffix == ".yaml" and one.name != Path(TRACK).name]
    if not others:
        return []
    return [
        "Other courses for its run: " + ", ".join(others) + ";",
        "jounce road COURSE shows one, and a file of your own lies beside them.",
    ]


def _called(mapping: Mapping[str, Any]) -> str:
    return " ".join(str(mapping["name"]).split())


def _speed(mapping: Mapping[str, Any]) -> str:
    from sim.describe.estimates.truck import Truck, shown_in_inches

    return "12 mph" if shown_in_inches(Truck(mapping).inches) else "20 km/h"


def planned_scenario(path: Path, mapping: Mapping[str, Any], changes: Mapping[str, Mapping[str, Any]]) -> list[Path]:
    """Write a scenario of what is planned beside a vehicle's file, under a name that is free; nothing where nothing is planned."""
    from sim.cli.planned import scenario_text

    if not changes:
        return []
    plans, number = path.with_name(f"{path.stem}_planned.yaml"), 1
    while plans.exists():
        number += 1
        plans = path.with_name(f"{path.stem}_planned_{number}.yaml")
    run = {"kind": "course", "course": TRACK, "speed": _speed(mapping)}
    put(plans, scenario_text(_called(mapping), path.name, run, changes))
    return [plans]
