"""The runs that a scenario writes, with the course files that they name."""

from functools import cache
from pathlib import Path
from typing import Any

from pydantic import TypeAdapter, ValidationError

from sim.describe.files.courses import load_course
from sim.describe.files.kinds import of_kind, pointed, with_value
from sim.describe.files.messages import doubts_in_range, problems_of
from sim.describe.files.reader import Document, Place, read
from sim.describe.runs import AnyRun
from sim.errors import InputError


def run_at(document: Document, folder: Path, sources: list[Path], place: Place = ("run",)) -> AnyRun:
    """Return the run that is written at a place of a document; files that it names are added to `sources`.

    Raises
    ------
    InputError
        With every problem found.
    """
    data = document.data
    for step in place:
        data = data[step]  # type: ignore[index]
    if isinstance(data, dict) and isinstance(data.get("stages"), list):
        # Courses stand in the data now; the marks stay those of the scenario's file.
        data = {**data, "stages": _stages(data["stages"], document, folder, sources, place)}
        document = Document(with_value(document.data, place, data), document.path, document.marks, document.key_marks)
    context = {"folder": folder}
    whole = document
    if isinstance(data, dict) and isinstance(data.get("course"), str):
        path = folder / data["course"]
        try:
            course = of_kind(read(path), "course", named=True)
        except InputError as error:
            raise InputError(pointed(error, document, (*place, "course"))) from None
        if path not in sources:
            sources.append(path)
        # A survey is read from the folder of the course file, whoever names that file.
        context = {"folder": path.parent}
        # Marks of the course file stand below the run's, so that an error in it points into that file.
        marks, keys = dict(document.marks), dict(document.key_marks)
        marks.update({(*place, "course", *inner): mark for inner, mark in course.marks.items()})
        keys.update({(*place, "course", *inner): mark for inner, mark in course.key_marks.items()})
        whole = Document(with_value(document.data, place, {**data, "course": course.data}), document.path, marks, keys)
    elif isinstance(data, dict) and isinstance(data.get("course"), dict):
        # a person who writes a course in place need not name it
        inline = {"kind": "course", "name": "course of this scenario", **data["course"]}
        whole = Document(
            with_value(document.data, place, {**data, "course": inline}),
            document.path,
            document.marks,
            document.key_marks,
        )
    written: Any = whole.data
    for step in place:
        written = written[step]
    try:
        run = _adapter().validate_python(written, context=context)
    except ValidationError as error:
        # Locations count from the run; `place` is where the run stands in the whole document.
        raise InputError(problems_of(error, whole, AnyRun, place)) from None
    doubts_in_range(run, whole, place)
    return run  # type: ignore[no-any-return]


@cache  # built of all kinds of runs, which takes some milliseconds: a page reads a run at every move of its speed
def _adapter() -> TypeAdapter[Any]:
    return TypeAdapter(AnyRun)


def _stages(stages: list[Any], document: Document, folder: Path, sources: list[Path], place: Place) -> list[Any]:
    """Return the stages of a track with the course files that they name read in; each file is one course, however often."""
    with_courses, courses, problems = [], {}, []
    for number, stage in enumerate(stages):
        named = stage.get("course") if isinstance(stage, dict) else None
        if isinstance(named, str):
            try:
                if named not in courses:  # a lap of ten stages over one course reads its survey once
                    courses[named] = load_course(folder / named, named=True)
                    sources.append(folder / named)
                with_courses.append({**stage, "course": courses[named]})
                continue
            except InputError as error:
                problems += pointed(error, document, (*place, "stages", number, "course"))
        elif isinstance(named, dict):
            stage = {**stage, "course": {"kind": "course", "name": "course of this scenario", **named}}
        with_courses.append(stage)
    if problems:
        raise InputError(problems)
    return with_courses
