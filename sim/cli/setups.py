"""What commands about dampers share: a file's set-ups, and the one that is meant."""

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sim.errors import InputError, Problem

if TYPE_CHECKING:
    from sim.describe.files.kept import Read
    from sim.describe.parts.vehicle import Vehicle


def asked(path: Path) -> tuple[Any, "dict[str, Vehicle]", str]:
    """Return what was given, its set-ups, and what they were computed for, of a vehicle or scenario file.

    Raises
    ------
    InputError
        If it cannot be read, or is a course.
    """
    from sim.cli.notices import notices
    from sim.describe.files.scenario import Scenario, load_kept
    from sim.describe.parts.vehicle import Vehicle

    loaded, read = load_kept(path)
    notices(loaded)
    if isinstance(loaded, Scenario):
        return loaded, dict(loaded.setups), loaded.run.words or loaded.name
    if isinstance(loaded, Vehicle):
        # A vehicle alone is treated as a scenario of one set-up, so that commands need not tell them apart.
        return vehicle_given(loaded, path, read), {"as the file has it": loaded}, "the truck as measured, standing"
    raise InputError(f"{path}: a course has no dampers; give a vehicle or a scenario file.")


def vehicle_given(vehicle: "Vehicle", path: Path, read: "Read") -> Any:
    """Return what a record is made from, of a vehicle's file: its files, and what they held when they were read."""
    from types import SimpleNamespace

    # With the test machines' files: a record holds all that a result rests on.
    sources = (path, *vehicle.measured_files)
    return SimpleNamespace(name=vehicle.name, question=None, path=path, sources=sources, changes={}, read=read)


def notices_of_measured(vehicles: "Iterable[Vehicle]") -> list[str]:
    """Return how every file that a law was read from was understood, each once, to look at before one trusts a run."""
    dampers = [damper for vehicle in vehicles for _, axle in vehicle.axles for damper in axle.dampers.values()]
    # Set-ups share most of their dampers: each file is named once.
    return list(dict.fromkeys(notice for damper in dampers for notice in damper.valving.notices))


def to_order(path: Path, name: str | None, given: Any, setups: "dict[str, Vehicle]") -> str:
    """Return the set-up that is ordered for: the one named; of what `jounce new` planned all of it together; else as `chosen`.

    Raises
    ------
    InputError
        If there is none of that name.
    """
    from sim.cli.planned import ALL

    if name is None and (whole := _planned(given, ALL)) in setups:
        return whole
    return chosen(path, name, setups)


def _planned(given: Any, all_of_it: str) -> str:
    """Return the set-up of a planned scenario that has all that is planned; empty if it is none."""
    changes = getattr(given, "changes", {})
    if all_of_it in changes:
        return all_of_it
    # One plan alone, beside the truck as it is.
    return (
        next(iter(name for name, of in changes.items() if of), "")
        if len(changes) == 2 and changes.get("as it is") == {}
        else ""
    )


def chosen(path: Path, name: str | None, setups: "dict[str, Vehicle]", option: str = "--setup") -> str:
    """Return the set-up that is meant: the one named, else the first that has dampers.

    Raises
    ------
    InputError
        If there is none of that name.
    """
    from sim.describe.files.messages import nearest
    from sim.describe.files.reader import shown

    # A set-up without dampers is a fair thing to compare with, but nothing to convert or order.
    if name is None:
        # The first of all where none has any: each command says by itself whether it needs them.
        return next(
            (name for name, v in setups.items() if any(axle.dampers for _, axle in v.axles)), next(iter(setups))
        )  # fmt: skip
    if name not in setups:
        raise InputError(
            Problem(
                f"there is no set-up '{name}'", shown(path), where=option, allowed=", ".join(setups),
                suggestion=nearest(name, list(setups)),
            )
        )  # fmt: skip
    return name
