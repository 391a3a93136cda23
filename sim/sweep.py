"""One or two inputs of a scenario moved through their range, every set-up run at every point, on all cores, resumable."""

import hashlib
import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import product
from math import isfinite, nan
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import numpy as np
from pydantic import BaseModel, TypeAdapter, ValidationError

from sim.errors import InputError, JounceError
from sim.result import Array
from sim.sweep_inputs import paths
from sim.units import NUMBER

if TYPE_CHECKING:
    from sim.files.scenario import Scenario
    from sim.many.measured import PrecisionName

MOST_RUNS = 20_000
RUN = "run."


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
            return f"{number!r} {self.unit}"
        return int(number) if float(number).is_integer() else number

    @property
    def label(self) -> str:
        """The path, or what it is called, with its unit."""
        name = self.called or self.path
        return f"{name} [{self.unit}]" if self.unit else name


def axis(path: str, first: str, last: str, points: str) -> Axis:
    """Return an axis from words: a path, two values in one unit, and how many points.

    Raises
    ------
    InputError
        If the words do not make one.
    """
    ends = [NUMBER.match(text) for text in (first, last)]
    if not all(ends):
        raise InputError(
            f"--vary {path}: '{first}' and '{last}' must be numbers with one unit, e.g. '10 km/h' '60 km/h'"
        )
    (low, unit), (high, other) = (end.groups() for end in ends if end is not None)
    if unit != other:
        raise InputError(f"--vary {path}: write both ends in one unit; given were '{first}' and '{last}'")
    try:
        count = int(points)
    except ValueError:
        count = 0
    if not 2 <= count <= MOST_RUNS:
        raise InputError(f"--vary {path}: how many points? A whole number from 2 to {MOST_RUNS}; given was '{points}'")
    return Axis(path, np.round(np.linspace(float(low), float(high), count), 12), unit)


@dataclass(frozen=True)
class Swept:
    """What came of a sweep.

    Attributes
    ----------
    name : str
        Of the scenario.
    axes : tuple of Axis
        One or two.
    measures : tuple of str
        Names of what was measured.
    values : dict of str to dict of str to array
        By set-up and measure: (n,) or (n, m), nan where a run could not be made or left its validity.
    failed : tuple of str
        Why some points have no value, each reason once.
    """

    name: str
    axes: tuple[Axis, ...]
    measures: tuple[str, ...]
    values: dict[str, dict[str, Array]]
    failed: tuple[str, ...]


def changed_run(run: Any, path: str, value: object) -> Any:
    """Return a run with one of its values changed.

    Raises
    ------
    InputError
        If there is no such place, or the value is not allowed there.
    """
    return _put(run, path.split("."), value, path)


def _put(part: Any, places: Sequence[str], value: object, path: str) -> Any:
    place, rest = places[0], places[1:]
    if isinstance(part, list | tuple):
        if not place.isdigit() or int(place) >= len(part):
            raise InputError(f"{RUN}{path}: '{place}' must be a number from 0 to {len(part) - 1}")
        kept = list(part)
        kept[int(place)] = _put(kept[int(place)], rest, value, path) if rest else value
        return type(part)(kept)
    if not isinstance(part, BaseModel) or place not in type(part).model_fields:
        known = ", ".join(type(part).model_fields) if isinstance(part, BaseModel) else "nothing"
        raise InputError(f"{RUN}{path}: there is no '{place}' here; there is: {known}")
    if getattr(part, "kind", "") == "survey" and place not in ("repeat", "gap"):
        raise InputError(f"{RUN}{path}: a surveyed profile is as its file has it; only its repeat and gap can be moved")
    own = {name: getattr(part, name) for name in type(part).model_fields}
    if rest:
        own[place] = _put(own[place], rest, value, path)
    else:
        field = type(part).model_fields[place]
        kind: Any = Annotated[field.annotation, *field.metadata] if field.metadata else field.annotation
        try:
            own[place] = TypeAdapter(kind).validate_python(value)
        except ValidationError as error:
            raise InputError(f"{RUN}{path}: {error.errors()[0]['msg']}\n    given: {value}") from None
    # Made anew, not copied, so that nothing worked out of the old values is taken along; but for what a file gave.
    made = type(part).model_construct(**own)
    object.__setattr__(made, "__pydantic_private__", part.__pydantic_private__)
    return made


class Points:
    """Points of a sweep, for whoever works them off.

    Parameters
    ----------
    scenario : Scenario
    axes : sequence of Axis
    measures : sequence of str
    coarse : bool
        Take the step that a set-up needs, not half of it.
    precision : "single" or "double"
        As in `sim.many.measured.Track`.
    """

    def __init__(
        self, scenario: "Scenario", axes: Sequence[Axis], measures: Sequence[str], coarse: bool,
        precision: "PrecisionName" = "single",
    ) -> None:  # fmt: skip
        self.setups, self.run = scenario.setups, scenario.run
        self.axes, self.measures, self.coarse, self.precision = tuple(axes), tuple(measures), coarse, precision
        self._factors: dict[tuple[str, str], float | None] = {}
        self._track: tuple[tuple[int, ...], Any] = ((-1,), None)

    def __getstate__(self) -> dict[str, Any]:
        return {**self.__dict__, "_track": ((-1,), None)}

    def solved(self, part: Sequence["Place"]) -> list[dict[str, Any]]:
        """Return what came of points that share their run: values by measure, or why there are none."""
        from sim.many.measured import Track

        found: list[dict[str, Any]] = [{} for _ in part]
        chosen = self._run_numbers(part[0])
        try:
            if self._track[0] != chosen:  # the road is kept for the next part
                self._track = chosen, Track(self._run(part[0]), self.measures, not self.coarse, self.precision)
        except JounceError as error:
            return [{"why": _first_line(error)} for _ in part]
        vehicles = {}
        for number, (setup, numbers) in enumerate(part):
            try:
                vehicles[number] = self._vehicle(setup, numbers)
            except JounceError as error:
                found[number] = {"why": _first_line(error)}
        for number, outcome in zip(vehicles, self._track[1].outcomes(list(vehicles.values())), strict=True):
            if outcome.invalid:
                found[number] = {"why": outcome.invalid}
            else:
                values = {name: outcome.values.get(name, nan) for name in self.measures}
                found[number] = {"values": {n: v if isfinite(v) else None for n, v in values.items()}}
        return found

    def point(self, place: "Place") -> tuple[Any, Any]:
        """Return the set-up and the run of one point.

        Raises
        ------
        InputError
            If its values do not go together.
        """
        return self._vehicle(*place), self._run(place)

    def parts(self, places: Sequence["Place"]) -> list[list["Place"]]:
        """Return places in parts: of one run, a block each. They do not depend on who works them off, or on what is left."""
        from sim.machine.jit import BLOCK

        groups: dict[tuple[int, ...], list[Place]] = {}
        for place in places:
            groups.setdefault(self._run_numbers(place), []).append(place)
        return [group[i : i + BLOCK] for group in groups.values() for i in range(0, len(group), BLOCK)]

    def _run_numbers(self, place: "Place") -> tuple[int, ...]:
        moving = [any(path.startswith(RUN) for path in paths(a.path)) for a in self.axes]
        return tuple(i for moves, i in zip(moving, place[1], strict=True) if moves)

    def _run(self, place: "Place") -> Any:
        run = self.run
        for a, i in zip(self.axes, place[1], strict=True):
            for path in paths(a.path):
                if path.startswith(RUN):
                    run = changed_run(run, path.removeprefix(RUN), a.written(float(a.numbers[i])))
        return run

    def _vehicle(self, setup: str, numbers: Sequence[int]) -> Any:
        """Return a set-up at a point: by SI numbers, which is fast; as a change in words, where that says better what is wrong."""
        from sim.many.replaced import with_values

        own = [
            (path, a, float(a.numbers[i]))
            for a, i in zip(self.axes, numbers, strict=True)
            for path in paths(a.path)
            if not path.startswith(RUN)
        ]
        if not own:
            return self.setups[setup]
        factors = [self._factor(setup, path, a) for path, a, _ in own]
        if None not in factors:
            values = {path: number * (factor or 0.0) for (path, _, number), factor in zip(own, factors, strict=True)}
            whole = {
                path: round(value) if abs(value - round(value)) < 1e-9 else value for path, value in values.items()
            }
            try:
                return with_values(self.setups[setup], whole)
            except InputError:
                pass
        return self.setups[setup].changed({path: a.written(number) for path, a, number in own})

    def _factor(self, setup: str, path: str, moved: Axis) -> float | None:
        """Return what turns an axis's numbers into SI, None where only words do."""
        from sim.many.replaced import found

        key = setup, path
        if key not in self._factors:
            largest = float(moved.numbers[np.argmax(np.abs(moved.numbers))])
            try:
                there = found(self.setups[setup].changed({path: moved.written(largest)}), path)
                self._factors[key] = float(there) / largest if largest else None
            except (JounceError, TypeError, ValueError):
                self._factors[key] = None
        return self._factors[key]


Place = tuple[str, tuple[int, ...]]


def _first_line(error: Exception) -> str:
    return str(error).splitlines()[0]


def sweep(
    scenario: "Scenario", axes: Sequence[Axis], measures: Sequence[str], notes: Path, workers: int | None = None,
    tell: Callable[[int, int], None] | None = None, cluster: str | None = None, coarse: bool = False,
    precision: "PrecisionName" = "single",
) -> Swept:  # fmt: skip
    """Run every set-up at every point of one or two axes.

    Parameters
    ----------
    scenario : Scenario
    axes : one or two Axis
    measures : names of measures
    notes : Path
        File to which finished points are added at once: a sweep that was stopped goes on where it stood. It is left
        there; a file of other inputs begins anew.
    workers : int, optional
        Processes; all cores by default.
    tell : callable, optional
        Told how many points are done, of how many.
    cluster : str, optional
        Address of a Dask scheduler that has the work done.
    coarse : bool
        Take the step that a set-up needs, not half of it: twice as fast, with errors of some 1e-4.
    precision : "single" or "double"
        Of the blocks that set-ups run in, as in `sim.many.measured.Track`.

    Raises
    ------
    InputError
        If there are too many points, or no point at all can be run.
    """
    from sim.machine.spread import Spread

    places = [
        (setup, numbers) for setup in scenario.setups for numbers in product(*(range(a.numbers.size) for a in axes))
    ]  # fmt: skip
    if len(places) > MOST_RUNS:
        raise InputError(f"this sweep would take {len(places)} runs; at most {MOST_RUNS} are allowed: fewer points")
    done = _begun(notes, _key(scenario, axes, [*measures, str(coarse), precision]))
    points = Points(scenario, axes, measures, coarse, precision)
    left = [part for part in points.parts(places) if any(_word(*place) not in done for place in part)]
    if tell:
        tell(len(done), len(places))
    with notes.open("a", encoding="utf-8") as file, Spread(points, workers, cluster) as spread:
        for number, found in spread.each(left):
            for place, entry in zip(left[number], found, strict=True):
                if _word(*place) not in done:
                    done[_word(*place)] = entry
                    file.write(json.dumps({"at": _word(*place), **entry}) + "\n")
            file.flush()
            if tell:
                tell(len(done), len(places))
    shape = tuple(a.numbers.size for a in axes)
    values = {setup: {name: np.full(shape, nan) for name in measures} for setup in scenario.setups}
    failed: dict[str, None] = {}
    for setup, numbers in places:
        found = done[_word(setup, numbers)]
        if "why" in found:
            failed[f"'{setup}': {found['why']}"] = None
            continue
        for name in measures:
            value = found["values"].get(name)
            values[setup][name][numbers] = nan if value is None else value
    if len(failed) and all(np.all(np.isnan(row[name])) for row in values.values() for name in measures):
        raise InputError(f"no point of this sweep could be run: {next(iter(failed))}")
    return Swept(scenario.name, tuple(axes), tuple(measures), values, tuple(failed))


def _word(setup: str, numbers: Sequence[int]) -> str:
    return f"{setup}|{','.join(map(str, numbers))}"


def _key(scenario: "Scenario", axes: Sequence[Axis], measures: Sequence[str]) -> str:
    """Return what a sweep's points depend on: set-ups, run, axes, measures and the kernel's sources."""
    from sim.machine.jit import source_hash

    digest = hashlib.sha256(source_hash().encode())
    digest.update(repr((scenario.setups, scenario.run)).encode())  # what will be run, whatever files it came from
    digest.update(json.dumps([[a.path, a.numbers.tolist(), a.unit] for a in axes] + [list(measures)]).encode())
    return digest.hexdigest()


def _begun(notes: Path, key: str) -> dict[str, dict[str, Any]]:
    """Return the finished points of the same sweep; begin its notes if there are none."""
    found: dict[str, dict[str, Any]] = {}
    try:
        lines = notes.read_text(encoding="utf-8").splitlines()
    except (FileNotFoundError, UnicodeDecodeError):
        lines = []
    if not lines or lines[0] != json.dumps({"sweep": key}):
        notes.parent.mkdir(parents=True, exist_ok=True)
        notes.write_text(json.dumps({"sweep": key}) + "\n", encoding="utf-8")
        return found
    for line in lines[1:]:
        try:
            entry = json.loads(line)
            found[entry.pop("at")] = entry
        except (ValueError, KeyError):  # a line that was cut short by a kill
            continue
    if lines and not notes.read_text(encoding="utf-8").endswith("\n"):
        with notes.open("a", encoding="utf-8") as file:
            file.write("\n")
    return found
