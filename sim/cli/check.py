"""`jounce check FILE …`: read files and say all that is wrong with them."""

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sim.cli import answer
from sim.cli.flagging import say_alike
from sim.errors import InputError, JounceError, Problem

if TYPE_CHECKING:
    from sim.describe.files.scenario import Scenario
    from sim.describe.parts.vehicle import Vehicle
    from sim.integrate.status import Flag


def arguments(parser: argparse.ArgumentParser) -> None:
    """Add this command's arguments."""
    parser.add_argument("files", nargs="+", type=Path, help="vehicle, course or scenario files")


def run(options: argparse.Namespace) -> int:
    """Check every file; problems of all of them are reported at once."""
    from sim.cli.notices import notices
    from sim.cli.setups import notices_of_measured
    from sim.describe.files.reader import shown
    from sim.describe.files.scenario import Scenario, load

    problems: list[Problem] = []
    rows: list[dict[str, Any]] = []
    flagged, verb, noticed = False, "", 0
    for path in options.files:
        try:
            loaded = load(path)
            # Before it is stood up: what is hardly meant is often why it cannot stand.
            noticed += notices(loaded)
            if path == options.files[0] and isinstance(loaded, Scenario):
                verb = "sweep" if loaded.sweep is not None else "compare"
            if isinstance(loaded, Scenario):
                # What reads well may still have no place to stand, or a damper past its ends: found here, not in a run.
                cannot, faults = _cannot_start(loaded)
                problems += cannot
            else:
                faults = _faults_at_rest(loaded)
            said = _said(loaded, path)
        except InputError as error:
            problems += error.problems
        else:
            # Once something is wrong nothing is called well any more, not even the files that are.
            if not problems:
                print(f"{shown(path)}: {said}")
                rows.append(
                    {
                        "file": shown(path),
                        "name": loaded.name,
                        "said": said,
                        "setups": list(getattr(loaded, "setups", ())),
                    }
                )
                # How a machine's file was understood is partly a guess at signs and units: a person must see it.
                for text in notices_of_measured(_vehicles(loaded)):
                    print(f"  {text}")
                # It can be run, and every run of it will be flagged.
                say_alike(faults, _who, _those, indent="  ")
                noticed += _said_of_wound_up(loaded)
                flags = [
                    {
                        "of": shown(path),
                        "kind": "at_rest",
                        "part": "",
                        "time_s": None,
                        "sentence": f"{_who(name)}: {flag.sentence}" if name else flag.sentence,
                    }
                    for name, flag in faults
                ]
                answer.add(flags=flags)
                flagged = flagged or bool(faults)
    answer.add(rows={"files": rows})
    if problems:
        raise InputError(problems)
    if flagged:
        print("What is FLAGGED above is wrong with the truck before it has moved: mend it, or no run says much.")
        return 3
    # A notice is of what can be meant, and seldom is: "all" is too much said beside one.
    well = "Nothing in it is wrong; see what the NOTICE asks first." if noticed else "All is well."
    print(f"{well} Next: jounce {verb} {options.files[0]}" if verb else well)
    return 0


def _cannot_start(scenario: "Scenario") -> "tuple[list[Problem], list[tuple[str, Flag]]]":
    """Return what keeps a scenario from being run, and what is wrong with its set-ups at rest."""
    if scenario.sweep is None and scenario.tune is None:
        from sim.study.startable import startable

        return startable(scenario)
    from sim.study.runnable import runnable  # measures and tunings are what no other scenario need wait for

    return runnable(scenario)


def _who(name: str) -> str:
    return f"set-up '{name}'" if name else ""


def _those(names: Sequence[str]) -> str:
    from sim.describe.to_measure import listed

    return "set-ups " + listed([f"'{name}'" for name in names])


def _faults_at_rest(loaded: object) -> "list[tuple[str, Flag]]":
    """Return what is wrong with a vehicle of a file where it stands; nothing of a course, or of one that cannot stand."""
    from sim.describe.parts.vehicle import Vehicle

    if not isinstance(loaded, Vehicle):
        return []
    from sim.errors import RunError
    from sim.linear.standing_flags import standing_flags
    from sim.lower.lowering import lower
    from sim.lower.rest import rest

    try:
        setup = lower(loaded)
        return [("", flag) for flag in standing_flags(setup, rest(setup))]
    except RunError:  # `_said` says why
        return []


def _said_of_wound_up(loaded: object) -> int:
    """Say which dampers have room as the truck stands, and none as an order counts it; return how many notices that were."""
    from sim.cli.notices import of_standing
    from sim.describe.files.scenario import Scenario

    return of_standing(
        loaded.setups if isinstance(loaded, Scenario) else dict(zip(("",), _vehicles(loaded), strict=False))
    )


def _vehicles(loaded: object) -> "tuple[Vehicle, ...]":
    from sim.describe.files.scenario import Scenario
    from sim.describe.parts.vehicle import Vehicle

    if isinstance(loaded, Scenario):
        return tuple(loaded.setups.values())
    return (loaded,) if isinstance(loaded, Vehicle) else ()


def _said(loaded: object, path: Path) -> str:
    from sim.describe.files.reader import shown
    from sim.describe.files.scenario import Scenario
    from sim.describe.parts.vehicle import Vehicle

    if isinstance(loaded, Scenario):
        # In quotes, as a name may have a comma of its own; by hand, as check loads nothing of what is shown.
        names = ", ".join(f"“{name}”" for name in loaded.setups)
        return (
            f"scenario '{loaded.name}': {len(loaded.setups)} set-up{'s' if len(loaded.setups) != 1 else ''} ({names})"
        )
    if isinstance(loaded, Vehicle):
        try:
            from sim.lower.lowering import lower
            from sim.lower.rest import rest
            from sim.study.past_its_ends import past_their_ends

            # All of them at their lines: standing the truck up ends at the first.
            if dampers := past_their_ends(loaded):
                raise InputError(dampers)
            # Axle loads are what a person can compare with a scale.
            loads = rest(lower(loaded)).tyre_load
        # A vehicle that cannot stand is a problem of its file here, listed with those of the others.
        except InputError:
            raise
        except JounceError as error:
            raise InputError(Problem(str(error), shown(path), 1, 1)) from error
        from sim.describe.shown import show

        return (
            f"vehicle '{loaded.name}': stands with {show(loads[0], 'load')} in front, {show(loads[1], 'load')} behind"
        )
    return f"course '{loaded.name}': {loaded.length_m:.1f} m"  # type: ignore[attr-defined]
