"""The cases of a tuning, and what may move, made ready from what was asked."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sim.describe.asked.tune import Tune
from sim.describe.files.messages import nearest
from sim.describe.parts.vehicle import Vehicle
from sim.describe.runs import AnyRun
from sim.errors import InputError, Problem
from sim.study.tuning.fitting import axles_moved
from sim.study.tuning.moves import Moving, moving

AS_DRIVEN = "as the scenario drives it"


@dataclass(frozen=True)
class ReadyCase:
    """One case.

    Attributes
    ----------
    name : str
    run : AnyRun
    weight : float
    setups : dict of str to Vehicle
        Every set-up of the scenario with the case's own changes.
    changes : mapping
        Those changes.
    """

    name: str
    run: AnyRun
    weight: float
    setups: dict[str, Vehicle]
    changes: Mapping[str, Any]


@dataclass(frozen=True)
class Tuning:
    """What `jounce tune` works from.

    Attributes
    ----------
    asked : Tune
    start : str
        Name of the starting set-up.
    cases : tuple of ReadyCase
    moves : tuple of Moving
    places : mapping of str to (file, line, column)
        Where goals and limits are written, by "goal.NAME" and "limits.NAME".
    """

    asked: Tune
    start: str
    cases: tuple[ReadyCase, ...]
    moves: tuple[Moving, ...]
    places: Mapping[str, tuple[str, int, int]]

    @property
    def axles_moved(self) -> tuple[str, ...]:
        """Axles on which a move changes how long a damper must be."""
        return axles_moved([path for one in self.moves for path in one.move.paths])

    def problem(self, key: str, message: str, suggestion: str = "") -> Problem:
        """Return a problem with what is written at a key of the tune section."""
        # Asked from Python there is no file to point to.
        file, line, column = self.places.get(key, ("", None, None))
        return Problem(message, file, line, column, f"tune.{key}", suggestion=suggestion)


def ready_moves(asked: Tune, start: Vehicle, places: Mapping[str, tuple[str, int, int]]) -> tuple[Moving, ...]:
    """Return all moves.

    Raises
    ------
    InputError
        With every problem found.
    """
    ready, problems = [], []
    for name, move in asked.move.items():
        # All moves before it stops, so that a file is mended in one go.
        try:
            ready.append(moving(name, move, start))
        except InputError as error:
            for one in error.problems:
                file, line, column = places.get(
                    f"move.{name}.{one.where}", places.get(f"move.{name}", ("", None, None))
                )
                problems.append(_placed(one, file, line, column, name))
    if problems:
        raise InputError(problems)
    return tuple(ready)


def _placed(problem: Problem, file: str, line: int | None, column: int | None, name: str) -> Problem:
    """Return a problem of a move at the line where the move is written, its parts told apart."""
    # The message of a single value is a text of several lines; here its parts go where people see them apart.
    first, *more = problem.message.splitlines()
    given = next((text.split(":", 1)[1].strip() for text in more if text.strip().startswith("given:")), problem.given)
    first, _, allowed = first.partition("; there is: ")
    suggestion = problem.suggestion
    # A path that leads nowhere comes with what there is: the nearest of it is offered.
    if allowed and "'" in first:
        suggestion = (
            nearest(first.split("'")[1], allowed.split(", ")) or "a path as in a set-up: part by part, with dots"
        )
    where = f"tune.move.{name}.{problem.where}" if problem.where in ("low", "high") else f"tune.move.{name}"
    return Problem(first, file, line, column, where, given, allowed or problem.allowed, suggestion)


def ready_setups(setups: Mapping[str, Vehicle], changes: Mapping[str, Any]) -> dict[str, Vehicle]:
    """Return the set-ups with a case's changes.

    Raises
    ------
    InputError
        If a change is not understood.
    """
    return {name: vehicle.changed(changes) if changes else vehicle for name, vehicle in setups.items()}
