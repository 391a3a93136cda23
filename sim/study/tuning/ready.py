"""The `tune` section of a scenario: its runs read, its set-ups made, its moves tried at their ends."""

from sim.describe.asked.tune import Case
from sim.describe.files.messages import nearest
from sim.describe.files.reader import Document, Place, shown
from sim.describe.files.scenario import Scenario
from sim.errors import InputError, Problem
from sim.study.tuning.cases import AS_DRIVEN, ReadyCase, Tuning, ready_moves, ready_setups


def tuning_of(scenario: Scenario) -> Tuning:
    """Return what a scenario asks to tune, made ready.

    Raises
    ------
    InputError
        With every problem in its `tune` section, or if it has none.
    """
    asked, document, setups = scenario.tune, scenario.document, scenario.setups
    if asked is None:
        raise InputError(f"{shown(scenario.path)} has no 'tune' section: it says what may move and for which goal.")
    problems: list[Problem] = []
    start = next(iter(setups)) if asked.start is None else asked.start
    if start not in setups:
        mark = document.mark(("tune", "start"))
        problems.append(
            Problem(
                f"there is no set-up '{start}'", mark.file, mark.line, mark.column, "tune.start", allowed=", ".join(setups),
                suggestion=nearest(start, list(setups)),
            )
        )  # fmt: skip
        # Any other start does for finding out what else is wrong.
        start = next(iter(setups))
    # Kept apart from what is asked: goals and limits are judged long after the file was read.
    places = {
        f"{section}.{name}": tuple(document.key_marks.get(("tune", section, name), document.mark(("tune", section))))
        for section, names in (
            ("move", asked.move),
            ("over", asked.over),
            ("goal", asked.goal),
            ("limits", asked.limits),
        )
        for name in names
    }
    # Ends of a move are found out to be wrong with their quantity: at their own lines, where they have one.
    for name in asked.move:
        for end in ("low", "high"):
            if (place := ("tune", "move", name, end)) in document.marks:
                places[f"move.{name}.{end}"] = tuple(document.marks[place])
    # A trade-off is a bare list, so its line is that of the section.
    places["trade_off"] = tuple(document.mark(("tune", "trade_off")))
    cases = []
    # Without `over` the scenario's own run is the one case.
    for name, case in (asked.over or {AS_DRIVEN: Case()}).items():
        own = scenario.case_runs.get(name, scenario.run)
        try:
            cases.append(ReadyCase(name, own, case.weight, ready_setups(setups, case.changes), case.changes))
        except InputError as error:
            problems += [_at(document, ("tune", "over", name, "changes"), problem) for problem in error.problems]
    try:
        moves = ready_moves(asked, setups[start], places)  # type: ignore[arg-type]
    except InputError as error:
        problems += error.problems
    if problems:
        raise InputError(problems)
    return Tuning(asked, start, tuple(cases), moves, places)  # type: ignore[arg-type]


def _at(document: Document, place: Place, problem: Problem) -> Problem:
    """Return a problem of a change at the line where the change is written."""
    # The change itself where its line is known, else all changes of the case.
    key = next((p for p in document.key_marks if p[:-1] == place and problem.where.endswith(str(p[-1]))), place)
    mark = document.key_marks.get(key, document.mark(place))
    where = ".".join(map(str, place)) + (f": {problem.where}" if problem.where else "")
    return Problem(
        problem.message, mark.file, mark.line, mark.column, where, problem.given, problem.allowed, problem.suggestion
    )
