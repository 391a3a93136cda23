"""Travel that a tuning of the page is to leave: as what is to be better, and as what must be left to the bump stops."""

from collections.abc import Iterator, Mapping
from typing import Any

from sim.describe.files.round_trip import scalar
from sim.describe.parts.vehicle import Vehicle

WHERE = {"front": "in front", "rear": "behind"}

LEAST = "at_least"


def travel_goals(vehicle: Vehicle) -> list[tuple[str, str]]:
    """Return measures of the way to the bump stops that a tuning may make better, with their words; of axles that have stops."""
    return [
        (f"{axle}_bump_share", f"Off the bump stops {WHERE[axle]}: less of the bump travel used")
        for axle in _stopped(vehicle)
    ]


def travel_limits(vehicle: Vehicle) -> list[tuple[str, str]]:
    """Return measures of what is left to the bump stops that a tuning may be held to, with their words."""
    return [
        (f"{axle}_left_to_stop", f"Left to the {axle} bump stops, at least") for axle in _stopped(vehicle)
    ]  # fmt: skip


def _stopped(vehicle: Vehicle) -> Iterator[str]:
    return (name for name, axle in vehicle.axles if axle.stop is not None)


def limits_in_form(tune: Mapping[str, Any]) -> dict[str, str]:
    """Return the limits of a tuning that the page has boxes for, as its file has them, by measure."""
    return {
        name: str(own[LEAST])
        for name, own in (tune.get("limits") or {}).items()
        if name in _boxes() and isinstance(own, Mapping) and LEAST in own
    }


def limits_written(asked: Mapping[str, Any], before: Mapping[str, Any]) -> dict[str, Any]:
    """Return the limits of a tuning: those of its file that the page has no box for, and what is typed into its boxes.

    Parameters
    ----------
    asked : mapping
        What is typed, by measure; empty: any value will do.
    before : mapping
        The tuning of the file that was opened.
    """
    kept = {name: own for name, own in (before.get("limits") or {}).items() if name not in limits_in_form(before)}
    typed = {name: " ".join(str(asked.get(name) or "").split()) for name in _boxes()}
    return {**kept, **{name: {LEAST: scalar(text)} for name, text in typed.items() if text}}


def _boxes() -> tuple[str, ...]:
    return tuple(f"{axle}_left_to_stop" for axle in WHERE)


def called_limit(where: str) -> str:
    """Return what a limit's box is called, by its place in the file; the place itself where it is none."""
    measure = where.removeprefix("tune.limits.").partition(".")[0]
    return f"Left to the {measure.partition('_')[0]} bump stops" if measure in _boxes() else where
