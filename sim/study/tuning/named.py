"""The measures that a tuning's goals, limits and trade-off name: looked up among what its cases have."""

from collections.abc import Mapping
from dataclasses import replace
from difflib import get_close_matches

from sim.describe.files.messages import nearest
from sim.describe.parts.vehicle import Vehicle
from sim.describe.runs import AnyRun
from sim.errors import InputError, Problem, RunError
from sim.measure import wanted_run
from sim.measure.measure import Measure
from sim.study.endurance.measures import HEAT
from sim.study.measurable import Asking, measurable
from sim.study.tuning.cases import ReadyCase, Tuning
from sim.study.tuning.fitting import room_measures
from sim.study.tuning.judge import OF_NOW, read_value
from sim.study.tuning.runners import runner


def _of_a_run(run: AnyRun, vehicle: Vehicle) -> tuple[Measure, ...]:
    # With no measures wanted, only to ask which there are.
    return runner(run, ()).measures(vehicle)


def measures_of(tuning: Tuning, asking: Asking = _of_a_run) -> list[Measure]:
    """Return the measures that goals, limits and trade-off name.

    Parameters
    ----------
    tuning : Tuning
    asking : callable, optional
        From a run and a set-up to what can be measured of them.

    Raises
    ------
    InputError
        If there is no such measure in any case, all of them at once, or the starting set-up cannot be run in a case; where it
        is written.
    """
    known: dict[str, Measure] = {}
    for case in tuning.cases:
        try:
            there = asking(case.run, case.setups[tuning.start])
        except RunError as error:
            raise InputError(not_run(tuning, case, str(error))) from error
        for measure in there:
            # Of a name that several cases have, one measure is enough: it is the same but for the run.
            known.setdefault(measure.name, measure)
    fits = room_measures(tuning.cases[0].setups[tuning.start])
    known |= {measure.name: measure for measure in fits}
    asked = tuning.asked
    problems, wanted = [], []
    for section, names in (
        ("goal", tuple(asked.goal)),
        ("limits", tuple(asked.limits)),
        ("trade_off", asked.trade_off),
    ):
        for name in names:
            key = section if section == "trade_off" else f"{section}.{name}"
            if name not in known:
                problems.append(_unknown(tuning, key, name, known))
            elif section == "goal" and known[name].better is None:
                problems.append(
                    tuning.problem(key, f"'{name}' has no better way, so it can be a limit but not a goal", _instead(name, known))
                )  # fmt: skip
            elif known[name] not in wanted:
                wanted.append(known[name])
    if problems:
        raise InputError(problems)
    # Whatever moves, the dampers must still fit.
    wanted += [one for one in fits if one.name.startswith(tuning.axles_moved) and one not in wanted]
    return wanted


def not_run(tuning: Tuning, case: ReadyCase, why: str) -> Problem:
    """Return what is said of a case in which the starting set-up cannot be run."""
    return tuning.problem(
        f"over.{case.name}", f"the starting set-up '{tuning.start}' cannot be run in this case: {why}",
        "begin with a set-up that can do every case, or leave this case out",
    )  # fmt: skip


OF_TRAVEL = {"bump_used": ("bump_share", "left_to_stop"), "droop_used": ("droop_share", "left_to_strap")}
"""Travel that is used by itself, which may be wanted or not, and what says how near an axle comes to its end."""


def _instead(name: str, known: Mapping[str, Measure]) -> str:
    """Return which measures of a better way are of the same travel, with their words; empty if none is."""
    axle, _, kind = name.partition("_")
    return " or ".join(
        f"{one} ({known[one].label})" for end in OF_TRAVEL.get(kind, ()) if (one := f"{axle}_{end}") in known
    )


def _by_its_words(name: str, known: Mapping[str, Measure]) -> str:
    """Return the measure that is called so in tables, for who writes what he reads there; empty if none is."""
    labels = {measure.label.lower(): one for one, measure in known.items()}
    found = get_close_matches(name.replace("_", " ").lower(), list(labels), n=1, cutoff=0.75)
    return f"did you mean {labels[found[0]]} ({known[labels[found[0]]].label})?" if found else ""


def _unknown(tuning: Tuning, key: str, name: str, measures: Mapping[str, Measure]) -> Problem:
    """Return what is said of a measure that no case has: where such measures come from, or which are near."""
    known = list(measures)
    suggestion = _by_its_words(name, measures) or nearest(name, known)
    ways = {case.run.way for case in tuning.cases}
    # Heat first: if no case warms, no other spelling of the name would help.
    if name.endswith(HEAT) and "hours" not in ways:
        suggestion = "temperatures need a case whose run is a track, and dampers with a tube"
    elif name.endswith(HEAT):
        suggestion = (
            suggestion if suggestion.endswith(HEAT) else "a damper has a temperature only if its set has a tube"
        )
    else:
        suggestion = next((said for way, said in (wanted_run(name),) if way not in (None, *ways)), suggestion)
    near = get_close_matches(name, known, n=6, cutoff=0.3)
    allowed = f"{', '.join(near)}, … ({len(known)} in all: jounce compare FILE --json names those of a run)"
    return replace(
        tuning.problem(key, f"there is no measure '{name}' in any case", suggestion), given=name, allowed=allowed
    )


def check_named(tuning: Tuning) -> None:
    """See that every measure that is named exists and every limit can be read, without running anything.

    Raises
    ------
    InputError
        As of `measures_of`, and for limits without their unit.
    """

    def asking(run: AnyRun, vehicle: Vehicle) -> tuple[Measure, ...]:
        # Hours of track are asked as ever: nothing is driven for it.
        return _of_a_run(run, vehicle) if run.way == "hours" else measurable(run, vehicle)

    known = {measure.name: measure for measure in measures_of(tuning, asking)}
    problems = []
    for name, limit in tuning.asked.limits.items():
        given = limit.at_least if limit.at_most is None else limit.at_most
        try:
            if not (isinstance(given, str) and OF_NOW.match(given)):
                read_value(given, known[name])
        except InputError as error:
            problems += [
                replace(tuning.problem(f"limits.{name}", one.message, one.suggestion), given=one.given)
                for one in error.problems
            ]
    if problems:
        raise InputError(problems)
