"""What a scenario file asks a sweep to move and to measure, and what must be said about some inputs."""

from collections.abc import Iterable
from typing import TYPE_CHECKING, Annotated, Protocol

from annotated_types import Ge, Le
from pydantic import Field

from sim.describe.description import Description
from sim.errors import InputError

if TYPE_CHECKING:
    from sim.describe.files.scenario import Scenario
    from sim.study.sweep.points import Axis


class Range(Description):
    """An input's range: from the first to the last value in even steps."""

    first: str | int | float = Field(description="with its unit, e.g. 10 km/h")
    last: str | int | float = Field(description="in the same unit")
    points: Annotated[int, Ge(2), Le(20_000)] = Field(description="how many values, both ends counted")
    called: Annotated[str, Field(max_length=60)] = Field(default="", description="what people read instead of the path")


class SweepAsked(Description):
    """What `jounce sweep` does with this scenario when it is not told otherwise."""

    vary: Annotated[dict[str, Range], Field(min_length=1, max_length=2)] = Field(
        description="One or two inputs by path, as in a set-up or `run.…`; several paths with commas between move together."
    )
    measures: tuple[str, ...] = Field(default=(), description="Names as in --json; left out: ride, tyres, travel.")


class Moved(Protocol):
    """An input that is moved."""

    @property
    def path(self) -> str:
        """Its path, or several with commas between them."""


TYRE_RATE = (
    "Tyre rate stands for tyre pressure: find yours by the hub's height under two loads at each pressure. Less pressure also "
    "heats the tyre, carries less, lets go of the rim sooner and changes grip and steering; none of that is in this model. Stay "
    "within the tyre maker's table."
)


def paths(path: str) -> tuple[str, ...]:
    """Return the single paths of an input that moves several."""
    return tuple(part.strip() for part in path.split(",") if part.strip())


def caveats(axes: Iterable[Moved]) -> tuple[str, ...]:
    """Return what must be said beside a sweep of these inputs."""
    tyres = any(part.endswith("tyre.rate") for axis in axes for part in paths(axis.path))
    return (TYRE_RATE,) if tyres else ()


def asked_axes(scenario: "Scenario") -> "list[Axis]":
    """Return the inputs that a scenario's file asks to move; none if it asks for nothing.

    Raises
    ------
    InputError
        If a range is not one; the file is named.
    """
    from dataclasses import replace

    from sim.describe.files.reader import shown
    from sim.study.sweep.points import axis

    if scenario.sweep is None:
        return []
    found = []
    for path, asked in scenario.sweep.vary.items():
        try:
            made = axis(path, str(asked.first), str(asked.last), str(asked.points))
        except InputError as error:
            raise InputError(str(error).replace("--vary", f"{shown(scenario.path)}: sweep.vary:")) from None
        found.append(replace(made, called=asked.called))
    return found


def check_paths(scenario: "Scenario", axes: "Iterable[Axis]") -> None:
    """See that every path leads somewhere, in the run or in one set-up at least.

    Raises
    ------
    InputError
        With what is wrong at the first value of the input.
    """
    from sim.study.sweep.points import RUN, changed_run

    run = scenario.run
    others: dict[str, object] = {}
    for moved in axes:
        value = moved.written(float(moved.numbers[0]))
        for path in paths(moved.path):
            if path.startswith(RUN):
                run = changed_run(run, path.removeprefix(RUN), value)
            else:
                others[path] = value
    if not others:
        return
    first: InputError | None = None
    for vehicle in scenario.setups.values():
        try:
            vehicle.changed(others)
        except InputError as error:
            first = first or error
        else:
            return
    if first is not None:
        raise first
