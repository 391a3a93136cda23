"""The three kinds of file: vehicle, course, scenario."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Literal

from pydantic import Field, TypeAdapter, ValidationError

from sim.describe.asked.tune import Tune
from sim.describe.description import Description
from sim.describe.files.changes import changed, document_of
from sim.describe.files.messages import nearest, problems_of
from sim.describe.files.reader import Document, Mark, Place, read, shown
from sim.errors import InputError, Problem
from sim.study.sweep.inputs import SweepAsked

if TYPE_CHECKING:
    from sim.describe.parts.vehicle import Vehicle
    from sim.describe.roads.course import Course
    from sim.describe.runs import AnyRun
    from sim.study.tuning.cases import Tuning

KINDS = ("vehicle", "course", "scenario")


class ScenarioFile(Description):
    """One question, put to several set-ups of one vehicle in one run."""

    kind: Literal["scenario"]
    name: Annotated[str, Field(min_length=1, max_length=80)]
    question: str = Field(default="", description="What is to be found out, in one line.")
    vehicle: str = Field(description="Vehicle file, relative to this one.")
    run: Any = Field(description="Course, push, drop or release.")
    setups: Annotated[dict[str, dict[str, Any]], Field(min_length=1, max_length=8)] = Field(
        description="By name: a short list of changes to the vehicle, `path.to.key: value`; `none` takes a part out."
    )
    show: tuple[str, ...] | None = Field(
        default=None, description="Names of the plots wanted; left out: those that every question needs."
    )
    sweep: SweepAsked | None = Field(default=None, description="What `jounce sweep` moves and measures.")
    tune: Tune | None = Field(default=None, description="What `jounce tune` searches.")


@dataclass(frozen=True)
class Scenario:
    """A scenario with its files read and every set-up validated."""

    name: str
    question: str
    path: Path
    vehicle: "Vehicle"
    setups: "dict[str, Vehicle]"
    changes: dict[str, dict[str, Any]]
    run: "AnyRun"
    show: tuple[str, ...] | None
    sources: tuple[Path, ...]  # every file that was read
    sweep: SweepAsked | None = None
    tuning: "Tuning | None" = None

    @property
    def notices(self) -> tuple[str, ...]:
        """What was found in surveyed profiles and done about it."""
        return tuple(getattr(getattr(self.run, "course", None), "notices", ()))


def load(path: str | Path) -> "Vehicle | Course | Scenario":
    """Read a vehicle, course or scenario file, whichever it says it is.

    Raises
    ------
    InputError
        With every problem found.
    """
    document = read(path)
    kind = _kind(document)
    if kind == "vehicle":
        return validated_vehicle(document)
    if kind == "course":
        return _course(document)
    return _scenario(document)


def load_vehicle(path: str | Path) -> "Vehicle":
    """Read a vehicle file."""
    return validated_vehicle(_of_kind(read(path), "vehicle"))


def load_course(path: str | Path) -> "Course":
    """Read a course file."""
    return _course(_of_kind(read(path), "course"))


def load_scenario(path: str | Path) -> Scenario:
    """Read a scenario file, and the vehicle and course that it names."""
    return _scenario(_of_kind(read(path), "scenario"))


def vehicle_from(data: Mapping[str, Any], name: str = "vehicle") -> "Vehicle":
    """Make a vehicle of a mapping with the same keys as a vehicle file."""
    return validated_vehicle(document_of(data, name))


def _kind(document: Document) -> str:
    kind = document.data.get("kind")
    if kind not in KINDS:
        mark = document.mark(("kind",))
        message = (
            "the key 'kind' is missing: it says what this file is"
            if kind is None
            else f"'{kind}' is not a kind of file"
        )
        raise InputError(
            Problem(
                message,
                mark.file,
                mark.line,
                mark.column,
                "kind",
                allowed=", ".join(KINDS),
                suggestion=nearest(str(kind), list(KINDS)),
            )
        )
    return str(kind)


def _of_kind(document: Document, wanted: str) -> Document:
    kind = _kind(document)
    if kind != wanted:
        mark = document.mark(("kind",))
        raise InputError(
            Problem(f"this is a {kind} file; here a {wanted} file is wanted", mark.file, mark.line, mark.column, "kind")
        )
    return document


def validated_vehicle(document: Document) -> "Vehicle":
    """Validate a vehicle's document; the vehicle keeps it, so that set-ups can change it.

    Raises
    ------
    InputError
        With every problem found.
    """
    from sim.describe.parts.vehicle import Vehicle

    try:
        vehicle = Vehicle.model_validate(document.data, context={"folders": (*document.folders, document.path.parent)})
    except ValidationError as error:
        raise InputError(problems_of(error, document, Vehicle)) from None
    vehicle._document = document
    return vehicle


def _course(document: Document) -> "Course":
    from sim.describe.roads.course import Course

    try:
        return Course.model_validate(document.data, context={"folder": document.path.parent})
    except ValidationError as error:
        raise InputError(problems_of(error, document, Course)) from None


def _scenario(document: Document) -> Scenario:
    problems: list[Problem] = []
    try:
        file = ScenarioFile.model_validate(_with_texts(document.data))
    except ValidationError as error:
        raise InputError(problems_of(error, document, ScenarioFile)) from None
    folder = document.path.parent
    sources = [document.path]
    vehicle = None
    try:
        vehicle = load_vehicle(folder / file.vehicle)
        sources.append(folder / file.vehicle)
    except InputError as error:
        problems += _pointed(error, document, ("vehicle",))
    run = None
    try:
        run = _run(document, folder, sources)
        sources += [survey.path for survey in getattr(getattr(run, "course", None), "surveys", ())]
    except InputError as error:
        problems += error.problems
    setups = {}
    if vehicle is not None:
        for name, changes in file.setups.items():
            marks = {
                path: document.key_marks.get(("setups", name, path), document.mark(("setups", name)))
                for path in changes
            }
            try:
                setups[name] = _setup(vehicle, changes, marks, name, folder)
            except InputError as error:
                problems += [p for p in error.problems if p not in problems]
    problems += _unknown_plots(document, file.show)
    tuning = None
    if file.tune is not None and run is not None and len(setups) == len(file.setups):
        from sim.study.tuning.ready import tuning_of

        try:
            tuning = tuning_of(file.tune, document, setups, run, lambda place: _run(document, folder, sources, place))
        except InputError as error:
            problems += error.problems
    if problems:
        raise InputError(problems)
    assert vehicle is not None
    assert run is not None
    sources += sorted({path for one in (vehicle, *setups.values()) for path in one.measured_files})
    return Scenario(
        file.name,
        file.question,
        document.path,
        vehicle,
        setups,
        file.setups,
        run,
        file.show,
        tuple(sources),
        file.sweep,
        tuning,
    )


def _with_texts(data: dict[str, Any]) -> dict[str, Any]:
    """Return the data with empty set-ups (`name:` and nothing more) as set-ups without changes."""
    setups = data.get("setups")
    if not isinstance(setups, dict):
        return data
    return {**data, "setups": {name: {} if value is None else value for name, value in setups.items()}}


def _setup(vehicle: "Vehicle", changes: dict[str, Any], marks: dict[str, Mark], name: str, folder: Path) -> "Vehicle":
    if not changes:
        return vehicle
    base = replace(vehicle._document, folders=(folder,))  # a file that a set-up names lies beside the scenario
    made = validated_vehicle(changed(base, changes, marks, name))
    made._reference = vehicle
    return made


def _pointed(error: InputError, document: Document, place: Place) -> list[Problem]:
    """Return the problems of a file that another one names; one without a line points to where it is named."""
    mark = document.mark(place)
    return [
        p
        if p.line is not None
        else Problem(
            f"{p.file}: {p.message}",
            mark.file,
            mark.line,
            mark.column,
            ".".join(map(str, place)),
            p.given,
            p.allowed,
            p.suggestion,
        )
        for p in error.problems
    ]


def _run(document: Document, folder: Path, sources: list[Path], place: Place = ("run",)) -> "AnyRun":
    from sim.describe.runs import AnyRun

    data = document.data
    for step in place:
        data = data[step]  # type: ignore[index]
    if isinstance(data, dict) and isinstance(data.get("stages"), list):
        data = {**data, "stages": _stages(data["stages"], document, folder, sources, place)}
        document = Document(_with(document.data, place, data), document.path, document.marks, document.key_marks)
    context = {"folder": folder}
    whole = document
    if isinstance(data, dict) and isinstance(data.get("course"), str):
        path = folder / data["course"]
        try:
            course = _of_kind(read(path), "course")
        except InputError as error:
            raise InputError(_pointed(error, document, (*place, "course"))) from None
        if path not in sources:
            sources.append(path)
        context = {"folder": path.parent}
        marks, keys = dict(document.marks), dict(document.key_marks)
        marks.update({(*place, "course", *inner): mark for inner, mark in course.marks.items()})
        keys.update({(*place, "course", *inner): mark for inner, mark in course.key_marks.items()})
        whole = Document(_with(document.data, place, {**data, "course": course.data}), document.path, marks, keys)
    elif isinstance(data, dict) and isinstance(data.get("course"), dict):
        inline = {"kind": "course", "name": "course of this scenario", **data["course"]}
        whole = Document(
            _with(document.data, place, {**data, "course": inline}), document.path, document.marks, document.key_marks
        )
    written: Any = whole.data
    for step in place:
        written = written[step]
    adapter: TypeAdapter[Any] = TypeAdapter(AnyRun)
    try:
        run = adapter.validate_python(written, context=context)
    except ValidationError as error:
        raise InputError(problems_of(error, whole, AnyRun, place)) from None
    return run  # type: ignore[no-any-return]


def _stages(stages: list[Any], document: Document, folder: Path, sources: list[Path], place: Place) -> list[Any]:
    """Return the stages of a track with the course files that they name read in; each file is one course, however often."""
    made, courses, problems = [], {}, []
    for number, stage in enumerate(stages):
        named = stage.get("course") if isinstance(stage, dict) else None
        if isinstance(named, str):
            try:
                if named not in courses:
                    courses[named] = load_course(folder / named)
                    sources.append(folder / named)
                made.append({**stage, "course": courses[named]})
                continue
            except InputError as error:
                problems += _pointed(error, document, (*place, "stages", number, "course"))
        elif isinstance(named, dict):
            stage = {**stage, "course": {"kind": "course", "name": "course of this scenario", **named}}
        made.append(stage)
    if problems:
        raise InputError(problems)
    return made


def _with(data: Any, place: Place, value: Any) -> Any:
    """Return data with the value at a place replaced; what is around it is copied, not changed."""
    if not place:
        return value
    return {**data, place[0]: _with(data[place[0]], place[1:], value)}


def _unknown_plots(document: Document, show: tuple[str, ...] | None) -> list[Problem]:
    from sim.describe.plot_names import NAMES

    problems = []
    for index, name in enumerate(show or ()):
        if name not in NAMES:
            mark = document.mark(("show", index))
            problems.append(
                Problem(
                    f"there is no plot '{name}'",
                    mark.file,
                    mark.line,
                    mark.column,
                    f"show.{index}",
                    allowed=", ".join(NAMES),
                    suggestion=nearest(name, list(NAMES)),
                )
            )
    return problems


__all__ = [
    "Scenario",
    "ScenarioFile",
    "load",
    "load_course",
    "load_scenario",
    "load_vehicle",
    "shown",
    "validated_vehicle",
    "vehicle_from",
]
