"""What went in, with which versions, and what was warned of: enough to make a result again."""

import json
import os
import platform
from collections.abc import Iterable
from importlib.metadata import PackageNotFoundError, version
from math import isfinite
from pathlib import Path
from typing import Any

from sim.describe.files.kept import kept
from sim.integrate.status import Flag
from sim.measure.comparison import Comparison, SideBySide

# Whatever may change a figure, a picture, or how a file is understood.
PACKAGES = ("jounce", "numpy", "scipy", "numba", "llvmlite", "matplotlib", "pydantic", "pint", "pyyaml", "rich")

ASSUMES = (
    "Half-car: both wheels of an axle together; no roll, no steering, no left-right difference. Held speed on a "
    "course. It compares set-ups and approves nothing."
)


def record(comparison: Comparison, command: str) -> dict[str, Any]:
    """Return the record of a comparison: sources with their texts, changes, versions, flags.

    Parameters
    ----------
    comparison : Comparison
        What was run; its scenario names the files it was read from (`sources`) and the set-ups' `changes`.
    command : str
        How to make it again, from the folder of the scenario.
    """
    runs = comparison.runs
    return origin(comparison.scenario, command) | {
        "flags": flags_by_setup(comparison),
        # What the run's energy balance does not close by: a reader's first check of the integration.
        "energy left open, share": {name: _number(run.energy.residual_share) for name, run in runs.items()},
        "assumes": ASSUMES,
    }  # fmt: skip


def origin(scenario: Any, command: str) -> dict[str, Any]:
    """Return what went in: the scenario's files with their texts, its changes, versions."""
    return {
        "made by": f"jounce {_version('jounce')}",
        "to make it again": command,
        "scenario": scenario.name,
        "question": scenario.question,
        "set-ups": {name: _plain(changes) for name, changes in getattr(scenario, "changes", {}).items()},
        "sources": _sources(scenario),
        **({"notices": list(scenario.notices)} if getattr(scenario, "notices", ()) else {}),
        "versions": {"python": platform.python_version(), **{name: _version(name) for name in PACKAGES}},
        # Processors round and fuse operations differently: the last digits may differ on another one.
        "machine": f"{platform.system()} {platform.machine()}",
    }


def flags_by_setup(runs: SideBySide) -> dict[str, list[dict[str, Any]]]:
    """Return the flags by set-up."""
    return {name: flag_records(run.flags) for name, run in runs.runs.items()}


def flag_records(flags: Iterable[Flag]) -> list[dict[str, Any]]:
    """Return flags as JSON has them."""
    return [{"kind": f.kind, "time [s]": f.time_s, "part": f.part, "sentence": f.sentence} for f in flags]


def write(comparison: Comparison, path: Path, command: str) -> None:
    """Write the record as JSON."""
    save(record(comparison, command), path)


def save(made: dict[str, Any], path: Path) -> None:
    """Write any record as JSON."""
    # Letters as they are: names may be in any script, and a person reads this file too.
    path.write_text(json.dumps(made, indent=2, ensure_ascii=False) + "\n", encoding="utf-8")


def _sources(scenario: Any) -> dict[str, dict[str, str]]:
    """Return text and SHA-256 of each file by its path from the scenario's folder, as it was read (`read`), else as it is now."""
    # Put together in a program, not read from a file.
    if scenario.path is None:
        return {}
    folder = Path(scenario.path).resolve().parent
    sources, read = {}, getattr(scenario, "read", {})
    for source in getattr(scenario, "sources", ()):
        path = Path(source).resolve()
        # As it was read, not as it is now: a person may have edited the file while hours of track ran.
        one = read.get(path) or kept(path.read_bytes())
        sources[_relative(path, folder)] = {"sha256": one.sha256, "text": one.text}
    return sources


def _relative(path: Path, folder: Path) -> str:
    try:
        # relpath, not relative_to: vehicles and courses may lie beside the scenario's folder, with `..` on the way.
        return Path(os.path.relpath(path, folder)).as_posix()
    except ValueError:  # on another drive
        return path.name


def _plain(value: Any) -> Any:
    """Return a change as JSON has it; whatever else a program gave, as its text."""
    if isinstance(value, dict):
        return {str(key): _plain(entry) for key, entry in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(entry) for entry in value]
    return value if value is None or isinstance(value, bool | int | float | str) else str(value)


def _number(value: float) -> float | None:
    """Return a number as JSON knows it."""
    # JSON has no nan and no infinity; Python would write them all the same, and other readers refuse the file.
    return value if isfinite(value) else None


def _version(name: str) -> str:
    try:
        return version(name)
    except PackageNotFoundError:
        return "not installed"
