"""What is noted of a set-up that is through its track, so that a command that was stopped does not drive it again."""

import hashlib
from collections.abc import Mapping
from dataclasses import fields
from typing import Any, TypeVar

from sim.describe.files.scenario import Scenario
from sim.describe.parts.dampers.heat import Heat
from sim.describe.shown import system
from sim.integrate.status import IN_WORDS, Flag
from sim.machine.jit import source_hash
from sim.measure.tally import AxleTally, DamperTally, PointTally, Tally
from sim.study.endurance.history import Endured, SetHistory

Row = dict[str, Any]
Part = TypeVar("Part")


def key_of(scenario: Scenario) -> str:
    """Return what all histories of a scenario depend on: its track, the units that they are written in, our sources."""
    return _digest(source_hash() + repr((scenario.run, system())))


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()


def entry(name: str, run: Endured, history: str) -> Row:
    """Return a set-up's track as plain data.

    Parameters
    ----------
    name : str
        The set-up's.
    run : Endured
    history : str
        The text of its history file.
    """
    tally = run.tally
    return {
        "setup": name,
        # So that one that is changed is driven again, and the others are not.
        "vehicle": _digest(repr(run.vehicle)),
        "history": history,
        "sets": [
            [*key, _numbers(one), None if one.heat is None else _numbers(one.heat)] for key, one in run.sets.items()
        ],
        "points": {point: _numbers(one) for point, one in tally.points.items()},
        "axles": {axle: _numbers(one) for axle, one in tally.axles.items()},
        "dampers": [[*key, _numbers(one)] for key, one in tally.dampers.items()],
        "seconds": tally.seconds,
        "counts": {axle: list(count.items()) for axle, count in run.counts.items()},
        "crossings": {axle: list(count.items()) for axle, count in run.crossings.items()},
        "flags": [[f.kind, f.time_s, f.part, f.sentence, f.past_m, f.end] for f in run.flags],
        "open": [run.energy_open_share, run.heat_open_share],
        "distance": run.distance_m,
    }


def known(entries: list[Any], scenario: Scenario) -> dict[str, tuple[Endured, str]]:
    """Return the set-ups that are through, each with the text of its history; whatever is not one is left out."""
    through = {}
    for row in entries:
        try:
            name, history = row["setup"], row["history"]
            vehicle = scenario.setups.get(name)
            if isinstance(history, str) and vehicle and row["vehicle"] == _digest(repr(vehicle)):
                through[name] = _endured(name, row, scenario), history
        # Anyone may write such a file with checksums that are right: it is driven again then.
        except (KeyError, TypeError, ValueError, AttributeError):
            continue
    return through


def _endured(name: str, row: Row, scenario: Scenario) -> Endured:
    vehicle = scenario.setups[name]
    dampers = {(axle, key): damper for axle, of in vehicle.axles for key, damper in of.dampers.items()}
    sets = {}
    for axle, key, numbers, heat in row["sets"]:
        history = _filled(SetHistory(dampers[axle, key]), numbers)
        history.heat = None if heat is None else Heat(**{one.name: _number(heat[one.name]) for one in fields(Heat)})
        sets[axle, key] = history
    if sets.keys() != dampers.keys():
        raise ValueError("the damper sets are not those of the set-up")
    tally = Tally(
        {str(point): _filled(PointTally(), numbers) for point, numbers in row["points"].items()},
        {axle: _filled(AxleTally(), row["axles"][axle]) for axle, _ in vehicle.axles},
        {(str(axle), str(key)): _filled(DamperTally(), numbers) for axle, key, numbers in row["dampers"]},
        _number(row["seconds"]),
    )
    counts = {str(axle): {int(n): _number(count) for n, count in of} for axle, of in row["counts"].items()}
    crossings = {str(axle): {int(n): int(count) for n, count in of} for axle, of in row["crossings"].items()}
    energy, heat = map(_number, row["open"])
    return Endured(
        name, vehicle, scenario.run, sets, tally, counts, tuple(map(_flag, row["flags"])), energy, heat,  # type: ignore[arg-type]
        crossings, _number(row["distance"]),
    )  # fmt: skip


def _numbers(part: object) -> dict[str, float]:
    """Return the plain numbers of a part: what else it holds comes from the scenario, or serves only while it is driven."""
    return {one.name: getattr(part, one.name) for one in fields(part) if one.type in (int, float)}  # type: ignore[arg-type]


def _filled(part: Part, numbers: Mapping[str, object]) -> Part:
    for one in fields(part):  # type: ignore[arg-type]
        if one.type in (int, float):
            setattr(part, one.name, _number(numbers[one.name]))
    return part


def _number(value: object) -> Any:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise TypeError(f"{value!r} is no number")
    return value


def _flag(row: list[Any]) -> Flag:
    kind, time_s, part, sentence, past_m, end = row
    if kind not in IN_WORDS or not all(isinstance(one, str) for one in (part, sentence, end)):
        raise ValueError("no flag of ours")
    return Flag(kind, None if time_s is None else _number(time_s), part, sentence, _number(past_m), end)
