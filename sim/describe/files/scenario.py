"""Scenario files, and any file by the kind that it says it is."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import Field, ValidationError

from sim.describe.asked.sweep import SweepAsked
from sim.describe.asked.tune import Tune
from sim.describe.description import Description
from sim.describe.files.courses import validated_course
from sim.describe.files.given_with_old_packs import given_with_old_packs
from sim.describe.files.given_with_old_tyres import given_with_old_tyres
from sim.describe.files.hardly_meant import hardly_meant
from sim.describe.files.kept import Read, keeping
from sim.describe.files.kinds import kind_of, of_kind, pointed
from sim.describe.files.messages import nearest, problems_of
from sim.describe.files.reader import Document, read
from sim.describe.files.renewed import renewed_scenario
from sim.describe.files.runs import run_at
from sim.describe.files.unmeasured_seats import blocks_that_may_lower, unmeasured_seats
from sim.describe.files.vehicles import load_vehicle, validated_vehicle
from sim.describe.parts.vehicle import Vehicle
from sim.describe.plot_names import NAMES
from sim.describe.roads.course import Course
from sim.describe.runs import AnyRun
from sim.describe.shown import System
from sim.errors import InputError, Problem


class ScenarioFile(Description):
    """One question, put to several set-ups of one vehicle in one run."""

    kind: Literal["scenario"]
    name: Annotated[str, Field(min_length=1, max_length=80)]
    question: str = Field(default="", description="What is to be found out, in one line.")
    vehicle: str = Field(description="Vehicle file, relative to this one.")
    # Any: what a run is, is checked by `run_at`, which first reads the course files that it names.
    run: Any = Field(description="Course, push, drop or release.")
    # Eight at most: more cannot be told apart in a plot.
    setups: Annotated[dict[str, dict[str, Any]], Field(min_length=1, max_length=8)] = Field(
        description="By name: a short list of changes to the vehicle, `path.to.key: value`; `none` takes a part out."
    )
    reference: str | None = Field(
        default=None,
        description="The set-up that the others are judged against; left out: the one without changes, else the first with dampers.",
    )
    show: tuple[str, ...] | None = Field(
        default=None, description="Names of the plots wanted; left out: those that every question needs."
    )
    units: System | None = Field(
        default=None,
        description="What tables, pictures and CSV files show: metric, inch or both; left out: as a command or the user's settings say, else both.",
    )
    sweep: SweepAsked | None = Field(default=None, description="What `jounce sweep` moves and measures.")
    tune: Tune | None = Field(default=None, description="What `jounce tune` searches.")


@dataclass(frozen=True)
class Scenario:
    """A scenario with its files read and every set-up validated.

    Attributes
    ----------
    reference : str
        The set-up that the others are judged against: one with dampers on both axles wherever there is one.
    case_runs : mapping of str to AnyRun
        Runs that cases of its `tune` section bring, by the case's name.
    document : Document
        The file with the places of its values, for whoever finds a fault in it later.
    sources : tuple of Path
        Every file that was read.
    read : dict of Path to Kept
        What they held then.
    """

    name: str
    question: str
    path: Path
    vehicle: Vehicle
    setups: dict[str, Vehicle]
    changes: dict[str, dict[str, Any]]
    run: AnyRun
    reference: str
    show: tuple[str, ...] | None
    sources: tuple[Path, ...]
    sweep: SweepAsked | None
    tune: Tune | None
    case_runs: Mapping[str, AnyRun]
    document: Document
    read: Read  # so that a record is true even if a file is changed while the run goes on

    @property
    def units(self) -> System | None:
        """What it wishes to be shown in; None: it says nothing."""
        wish: System | None = self.document.data.get("units")
        return wish

    @property
    def notices(self) -> tuple[str, ...]:
        """What was seen in surveyed profiles and done about it, what has a new name, what is possible but hardly meant, and what nobody measured of packs and tyres that set-ups change."""
        typed = [text for vehicle in (self.vehicle, *self.setups.values()) for text in vehicle.notices]
        typed += hardly_meant(self.run, self.document, ("run",))
        for name, run in self.case_runs.items():
            typed += hardly_meant(run, self.document, ("tune", "over", name, "run"))
        if any(run.way == "driven" for run in (self.run, *self.case_runs.values())):
            typed += unmeasured_seats(self.setups)
        typed += blocks_that_may_lower(self.setups)
        typed += given_with_old_packs(self.setups, self.changes)
        typed += given_with_old_tyres(self.setups, self.changes)
        # Set-ups share most of the vehicle's numbers: each is spoken of once.
        return tuple(dict.fromkeys((*self.run.notices, *self.document.notices, *typed)))


def load(path: str | Path) -> Vehicle | Course | Scenario:
    """Read a vehicle, course or scenario file, whichever it says it is.

    Raises
    ------
    InputError
        With every problem found.
    """
    return load_kept(path)[0]


def load_kept(path: str | Path) -> tuple[Vehicle | Course | Scenario, Read]:
    """Read a vehicle, course or scenario file; return with it what was read, of every file.

    Raises
    ------
    InputError
        With every problem found.
    """
    # Around everything, so that files named by files are kept as well.
    with keeping() as kept:
        document = read(path)
        kind = kind_of(document)
        if kind == "vehicle":
            return validated_vehicle(document), kept
        if kind == "course":
            return validated_course(document), kept
        return _scenario(document, kept), kept


def load_scenario(path: str | Path) -> Scenario:
    """Read a scenario file, and the vehicle and course that it names.

    Raises
    ------
    InputError
        With every problem found.
    """
    with keeping() as kept:
        return _scenario(of_kind(read(path), "scenario"), kept)


def _scenario(document: Document, read: Read) -> Scenario:
    document = renewed_scenario(document)
    try:
        file = ScenarioFile.model_validate(_with_texts(document.data))
    except ValidationError as error:
        raise InputError([*problems_of(error, document, ScenarioFile), *_beside(document)]) from None
    # Names in a scenario are from its own folder, not from where the command is run.
    folder = document.path.parent
    sources = [document.path]
    # Vehicle, run, set-ups and plots are judged each for itself: one error must not hide the others.
    problems: list[Problem] = []
    show = None if file.show is None else tuple(dict.fromkeys(file.show))
    vehicle = run = None
    try:
        vehicle = load_vehicle(folder / file.vehicle, named=True)
        sources.append(folder / file.vehicle)
    except InputError as error:
        problems += pointed(error, document, ("vehicle",))
    try:
        run = run_at(document, folder, sources)
        sources += run.survey_files  # for a record of what the answer rests on
    except InputError as error:
        problems += error.problems
    setups: dict[str, Vehicle] = {}
    # Without its vehicle no set-up can be judged: each one would repeat the vehicle's own errors.
    if vehicle is not None:
        setups, wrong = _setups(file.setups, document, vehicle)
        problems += wrong
    problems += _unknown_plots(document, file.show)
    problems += _wrong_reference(document, file, setups)
    case_runs, wrong = _case_runs(file.tune, document, sources)
    problems += wrong
    # After all problems are in; the two tests for None are for the type checker, each has left a problem by then.
    if problems or vehicle is None or run is None:
        raise InputError(problems)
    # dampers' measured curves, which set-ups may bring
    sources += sorted({path for one in (vehicle, *setups.values()) for path in one.measured_files})
    return Scenario(
        file.name, file.question, document.path, vehicle, setups, file.setups, run,
        file.reference or usual_reference(file.setups, setups), show, tuple(sources), file.sweep, file.tune, case_runs, document, read,
    )  # fmt: skip


def _beside(document: Document) -> list[Problem]:
    """Return what is wrong with vehicle, run and set-ups of a file of which something else is wrong, as far as they can be read."""
    data, folder = _with_texts(document.data), document.path.parent
    problems: list[Problem] = []
    if isinstance(data.get("run"), dict):
        try:
            run_at(document, folder, [])
        except InputError as error:
            problems += error.problems
    if isinstance(data.get("vehicle"), str):
        try:
            vehicle = load_vehicle(folder / data["vehicle"], named=True)
        except InputError as error:
            return [*pointed(error, document, ("vehicle",)), *problems]
        setups = data.get("setups")
        written = (
            {name: one for name, one in setups.items() if isinstance(one, dict)} if isinstance(setups, dict) else {}
        )
        problems += _setups(written, document, vehicle)[1]
    return problems


def _setups(
    written: Mapping[str, dict[str, Any]], document: Document, vehicle: Vehicle
) -> tuple[dict[str, Vehicle], list[Problem]]:
    """Return the set-ups by name, and what is wrong with those that are not among them."""
    setups: dict[str, Vehicle] = {}
    problems: list[Problem] = []
    for name, changes in written.items():
        # A change without a mark of its own points to its set-up.
        marks = {
            path: document.key_marks.get(("setups", name, path), document.mark(("setups", name))) for path in changes
        }
        # What stands inside a change has lines of its own.
        marks |= {
            ".".join(map(str, inside)): mark
            for (first, *at), mark in document.key_marks.items()
            if first == "setups" and at[:1] == [name] and len(inside := at[1:]) > 1
        }
        try:
            setups[name] = vehicle.setup(changes, marks, name, document.path.parent)
        except InputError as error:
            # a fault of the vehicle itself comes once, not once a set-up
            problems += [p for p in error.problems if p not in problems]
    return setups, problems


def _case_runs(tune: Tune | None, document: Document, sources: list[Path]) -> tuple[dict[str, AnyRun], list[Problem]]:
    """Return the runs that cases of a tuning bring, and what is wrong with those that are not among them."""
    runs: dict[str, AnyRun] = {}
    problems: list[Problem] = []
    for name, case in tune.over.items() if tune is not None else ():
        if case.run is not None:
            try:
                # By the same reader as the scenario's own run: a case may name a course file too.
                runs[name] = run_at(document, document.path.parent, sources, ("tune", "over", name, "run"))
            except InputError as error:
                problems += error.problems
    return runs, problems


def _with_texts(data: dict[str, Any]) -> dict[str, Any]:
    """Return the data with empty set-ups (`name:` and nothing more) as set-ups without changes."""
    setups = data.get("setups")
    if not isinstance(setups, dict):
        return data
    # `standard:` with nothing after it is null in YAML, and means the truck as it is
    return {**data, "setups": {name: {} if value is None else value for name, value in setups.items()}}


def bare_springs(vehicle: Vehicle) -> bool:
    """Return whether a set-up has no damper on an axle."""
    return any(not axle.dampers for _, axle in vehicle.axles)


def usual_reference(changes: Mapping[str, Mapping[str, Any]], setups: Mapping[str, Vehicle]) -> str:
    """Return the set-up that the others are judged against where a scenario names none.

    The one as the vehicle's file has it, then the first with dampers on both axles; never bare springs where there is another.
    """
    damped = [name for name, vehicle in setups.items() if not bare_springs(vehicle)]
    return next((name for name in damped if not changes[name]), next(iter(damped or setups)))


def _wrong_reference(document: Document, file: ScenarioFile, setups: Mapping[str, Vehicle]) -> list[Problem]:
    name = file.reference
    if name is None:
        return []
    mark = document.mark(("reference",))
    if name not in file.setups:
        return [
            Problem(
                f"there is no set-up '{name}' to judge the others against", mark.file, mark.line, mark.column, "reference",
                given=name, allowed=", ".join(file.setups), suggestion=nearest(name, list(file.setups)),
            )
        ]  # fmt: skip
    # Against bare springs anything is better, which says nothing about dampers.
    damped = [setup for setup, vehicle in setups.items() if not bare_springs(vehicle)]
    if name in setups and damped and name not in damped:
        return [
            Problem(
                f"the reference '{name}' has no damper on an axle: anything is better than bare springs", mark.file, mark.line,
                mark.column, "reference", given=name, allowed=", ".join(damped), suggestion=damped[0],
            )
        ]  # fmt: skip
    return []


def _unknown_plots(document: Document, show: tuple[str, ...] | None) -> list[Problem]:
    problems = []
    for index, name in enumerate(show or ()):
        if name not in NAMES:
            mark = document.mark(("show", index))
            problems.append(
                Problem(
                    f"there is no plot '{name}'", mark.file, mark.line, mark.column, f"show.{index}",
                    allowed=", ".join(NAMES), suggestion=nearest(name, list(NAMES)),
                )
            )  # fmt: skip
    return problems
