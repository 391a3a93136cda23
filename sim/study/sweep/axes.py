"""The inputs that a sweep moves, from words or from a scenario, and what must be said about some of them."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from sim.describe.files.scenario import Scenario
from sim.describe.notations import NUMBER, one_number, with_a_point
from sim.describe.old_words import new_path
from sim.describe.rate_given_otherwise import given_otherwise
from sim.describe.runs.changed import RUN, changed_run
from sim.describe.shown import unit_now
from sim.errors import InputError, Problem
from sim.integrate.traces import Array

MOST_RUNS = 20_000  # more is rather a slip in the number of points; ours, no source

TYRE_PRESSURE = (
    "Rate and length on the ground follow the pressure as those of belted radials do (T. B. Rhyne 2005, from memory), within some "
    "20 %: check yours by the hub's height under two loads. "
)

TYRE_RATE = "Tyre rate stands for tyre pressure: find yours by the hub's height under two loads at each pressure. "

LESS_PRESSURE = (
    "Less pressure also heats the tyre, carries less, lets go of the rim sooner and changes grip and steering; none of that is in this model. Stay "
    "within the tyre maker's table."
)


@dataclass(frozen=True)
class Axis:
    """An input that is moved.

    Attributes
    ----------
    path : str
        As in a set-up ("front.dampers.main.count"), or of the run ("run.speed", "run.course.items.1.depth"); several with
        commas between them move together ("front.tyre.rate, rear.tyre.rate").
    numbers : (n,) array
        Its values in the unit that was written.
    unit : str
        That unit; empty for a bare number.
    called : str
        What people read instead of the path; empty for none.
    """

    path: str
    numbers: Array
    unit: str
    called: str = ""

    def written(self, number: float) -> object:
        """Return a value as a person would write it."""
        if self.unit:
            # repr writes every digit: fewer, and the set-up would stand beside its place on the axis.
            return f"{number!r} {self.unit}"
        # A count of dampers is refused as 2.0.
        return int(number) if float(number).is_integer() else number

    @property
    def shown(self) -> tuple[float, str]:
        """By how much its numbers are multiplied to be read, and their unit then: as written, or of the one system that is shown."""
        return unit_now(self.unit)

    @property
    def label(self) -> str:
        """The path, or what it is called, with its unit."""
        return self._with(self.unit)

    @property
    def heading(self) -> str:
        """The same with the unit in which its numbers are shown."""
        return self._with(self.shown[1])

    def _with(self, unit: str) -> str:
        name = self.called or self.path
        return f"{name} [{unit}]" if unit else name


def axis(path: str, first: str, last: str, points: str) -> Axis:
    """Return an axis from words: a path, two values in one unit, and how many points.

    Raises
    ------
    InputError
        If the words do not make one.
    """
    if not all(path.strip() for path in path.split(",")):
        raise InputError(f"--vary '{path}': name the input that moves, e.g. run.speed")
    ends = [NUMBER.match(one_number(text, length=True)) for text in (first, last)]
    if not all(ends):
        raise InputError(
            f"--vary {path}: '{first}' and '{last}' must be numbers with one unit, e.g. '10 km/h' '60 km/h'"
        )
    for text in (first, last):
        if point := with_a_point(text):
            raise InputError(f"--vary {path}: '{text}' has a decimal comma: write {point}")
    (low, unit), (high, other) = (end.groups() for end in ends if end is not None)
    # Nothing is converted: the axis is drawn in the unit that was written, and that must be one.
    if unit != other:
        bare = next((text for text, own in ((first, unit), (last, other)) if not own), None)
        said = f": '{bare}' has no unit, write '{bare.strip()} {unit or other}'" if bare is not None else ""
        raise InputError(f"--vary {path}: write both ends in one unit{said}; given were '{first}' and '{last}'")
    if float(low) == float(high):
        raise InputError(f"--vary {path}: both ends are '{first}'; a range from one value to another is wanted")
    try:
        count = int(points)
    except ValueError:
        count = 0  # refused below, where what is allowed is said
    if not 2 <= count <= MOST_RUNS:
        raise InputError(f"--vary {path}: how many points? A whole number from 2 to {MOST_RUNS}; given was '{points}'")
    # linspace gives 0.30000000000000004; rounded, labels and words read as a person would write them.
    return Axis(new_path(path), np.round(np.linspace(float(low), float(high), count), 12), unit)


def paths(path: str) -> tuple[str, ...]:
    """Return the single paths of an input that moves several."""
    return tuple(part.strip() for part in path.split(",") if part.strip())


def caveats(axes: Iterable[Axis]) -> tuple[str, ...]:
    """Return what must be said beside a sweep of these inputs."""
    moved = [part for axis in axes for part in paths(axis.path)]
    said = [
        text + LESS_PRESSURE
        for key, text in (("tyre.rate", TYRE_RATE), ("tyre.pressure", TYRE_PRESSURE))
        if any(part.endswith(key) for part in moved)
    ]
    return tuple(said)


def asked_axes(scenario: Scenario) -> list[Axis]:
    """Return the inputs that a scenario's file asks to move; none if it asks for nothing.

    Raises
    ------
    InputError
        If a range is not one; the file is named.
    """
    if scenario.sweep is None:
        return []
    axes = []
    for path, asked in scenario.sweep.vary.items():
        try:
            moved = axis(path, str(asked.first), str(asked.last), str(asked.points))
        except InputError as error:
            # The message names the option of the command line, and here a file asked.
            raise InputError([_in_file(scenario, path, one) for one in error.problems]) from None
        axes.append(replace(moved, called=asked.called))
    return axes


def _in_file(scenario: Scenario, path: str, problem: Problem) -> Problem:
    """Return a problem with an input at the line where the scenario's `sweep` asks for it."""
    place = ("sweep", "vary", path)
    mark = scenario.document.key_marks.get(place, scenario.document.mark(place))
    message, _, given = (
        problem.message.removeprefix(f"--vary {path}: ").removeprefix(f"{path}: ").partition("\n    given: ")
    )
    return replace(
        problem,
        message=message,
        file=mark.file,
        line=mark.line,
        column=mark.column,
        where=".".join(place),
        given=problem.given or given,
    )


def check_asked(scenario: Scenario) -> None:
    """See that what a scenario's `sweep` asks for can be moved.

    Raises
    ------
    InputError
        With every input that cannot, at its line.
    """
    problems = []
    axes = asked_axes(scenario)
    for one in axes:
        try:
            check_paths(scenario, [one])
        except InputError as error:
            problems += [_in_file(scenario, one.path, problem) for problem in error.problems]
    if problems:
        raise InputError(problems)
    # Together they may be refused where each by itself is not.
    check_paths(scenario, axes)


def check_paths(scenario: Scenario, axes: Iterable[Axis]) -> None:
    """See that every path leads somewhere, in the run or in one set-up at least.

    Raises
    ------
    InputError
        With what is wrong at the first value of the input.
    """
    run = scenario.run
    others: dict[str, object] = {}
    seen: set[str] = set()
    for moved in axes:
        # Two ranges for one input: the second would win unsaid.
        for path in paths(moved.path):
            if path in seen:
                raise InputError(f"--vary {path}: this input is moved twice; name it once")
            seen.add(path)
        # The first value stands for all: a path that leads nowhere does so with any.
        value = moved.written(float(moved.numbers[0]))
        for path in paths(moved.path):
            if path.startswith(RUN):
                run = changed_run(run, path.removeprefix(RUN), value)
            else:
                others[path] = value
    if not others:
        return
    first: InputError | None = None
    # One set-up that has the path is enough: others may lack the part, and say so point by point.
    for vehicle in scenario.setups.values():
        try:
            vehicle.changed(others)
        except InputError as error:
            first = first or error
        else:
            return
    if first is None:
        return
    # Where a spring is described by the other of rate and dimensions, that is what to say, at the input and not at the spring's own line.
    vehicle = next(iter(scenario.setups.values()))
    otherwise = [problem for path in others if (problem := given_otherwise(vehicle, path))]
    raise InputError(otherwise) if otherwise else first
