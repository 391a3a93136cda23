"""Which set-up each of a comparison's is judged against: a load is nobody's choice, so what is chosen is judged at its own load."""

from collections.abc import Mapping
from typing import Any

from sim.integrate.result import Run
from sim.measure.comparison import Comparison


def bare_springs(run: Run) -> bool:
    """Return whether a set-up has no damper on an axle."""
    return any(not trace.dampers for _, trace in run.axles)


def reference_of(comparison: Comparison) -> str:
    """Return the set-up that the others are judged against.

    The one that the scenario names or has as its file has it; else the first with dampers on both axles; else the first.
    """
    asked = comparison.scenario.reference
    # Of one set-up run alone the others are not there.
    if asked in comparison.runs:
        return asked
    damped = (setup for setup, run in comparison.runs.items() if not bare_springs(run))
    return next(damped, next(iter(comparison.runs)))


def references_of(comparison: Comparison) -> dict[str, str]:
    """Return for each set-up the one that it is judged against.

    A set-up with another load aboard is judged against the one that is the reference but for that load, where there is one, else against the
    first with that load, dampers on both axles before any: else a load would pass for a worse damper. That one, and one whose load
    nobody else shares, is set beside the reference.
    """
    reference = reference_of(comparison)
    setups = _vehicles(comparison)
    if reference not in setups:
        return dict.fromkeys(comparison.runs, reference)
    own = setups[reference]
    twins = [name for name in setups if name != reference and same_choice(setups[name], own)]
    judged: dict[str, str] = {}
    for group in by_load(comparison):
        damped = [name for name in group if not bare_springs(comparison.runs[name])]
        first = next((name for name in (*twins, *damped, *group) if name in group), reference)
        beside = reference if reference in group else first
        judged |= dict.fromkeys(group, beside) | {first: reference}
    return {name: judged[name] for name in comparison.runs}


def loads_apart(comparison: Comparison) -> frozenset[str]:
    """Return the set-ups that are the reference but for the load aboard: they say what a load does, and are no choice."""
    reference = reference_of(comparison)
    setups = _vehicles(comparison)
    if reference not in setups:
        return frozenset()
    own = setups[reference]
    return frozenset(
        name
        for name, vehicle in setups.items()
        if name != reference and vehicle.loads != own.loads and same_choice(vehicle, own)
    )


def loaded_otherwise(comparison: Comparison) -> frozenset[str]:
    """Return the choices that are judged against a truck with another load aboard, as none with theirs is there: a part of it is the load's."""
    setups, apart = _vehicles(comparison), loads_apart(comparison)
    return frozenset(
        name
        for name, reference in references_of(comparison).items()
        if name not in apart
        and name in setups
        and reference in setups
        and setups[name].loads != setups[reference].loads
    )


def by_load(comparison: Comparison) -> tuple[tuple[str, ...], ...]:
    """Return the set-ups of each load that is aboard, in the scenario's order; all of them where none is known."""
    setups = _vehicles(comparison)
    groups: list[tuple[Any, list[str]]] = []
    for name in comparison.runs:
        loads = setups[name].loads if name in setups else None
        own = next((names for other, names in groups if other == loads), None)
        if own is None:
            groups.append((loads, [name]))
        else:
            own.append(name)
    return tuple(tuple(names) for _, names in groups)


def sound_by_load(comparison: Comparison) -> tuple[tuple[str, ...], ...]:
    """Return the set-ups of each load among which one may be called best: those that are not flagged."""
    runs = comparison.runs
    return tuple(tuple(name for name in group if not runs[name].flags) for group in by_load(comparison))


def choices(comparison: Comparison) -> dict[str, tuple[str, ...]]:
    """Return for each set-up all that are the same truck but for the load aboard, itself among them, in the scenario's order."""
    setups = _vehicles(comparison)
    return {
        name: tuple(
            other for other in comparison.runs
            if other == name or (name in setups and other in setups and same_choice(setups[name], setups[other]))
        )
        for name in comparison.runs
    }  # fmt: skip


def same_choice(one: Any, other: Any) -> bool:
    """Return whether two trucks are the same but for the load aboard."""
    return one is other or all(
        getattr(one, key) == getattr(other, key) for key in type(one).model_fields if key != "loads"
    )


def _vehicles(comparison: Comparison) -> Mapping[str, Any]:
    setups = getattr(comparison.scenario, "setups", {})
    return {name: setups[name] for name in comparison.runs if name in setups}
