"""What went in, with which versions, and what was warned of: enough to make a result again."""

import hashlib
import json
import platform
from importlib.metadata import PackageNotFoundError, version
from os.path import relpath
from pathlib import Path
from typing import Any

from sim.comparison import Comparison

PACKAGES = ("jounce", "numpy", "scipy", "numba", "matplotlib", "pydantic", "pint")


def record(comparison: Comparison, command: str) -> dict[str, Any]:
    """Return the record of a comparison: sources with their texts, changes, versions, flags."""
    scenario: Any = comparison.scenario
    folder = scenario.path.resolve().parent
    sources = {}
    for path in scenario.sources:
        raw = Path(path).read_bytes()
        sources[Path(relpath(Path(path).resolve(), folder)).as_posix()] = {
            "sha256": hashlib.sha256(raw).hexdigest(), "text": raw.decode("utf-8", "replace"),
        }  # fmt: skip
    return {
        "made by": f"jounce {_version('jounce')}",
        "to make it again": command,
        "scenario": scenario.name,
        "question": scenario.question,
        "set-ups": scenario.changes,
        "sources": sources,
        "versions": {"python": platform.python_version(), **{name: _version(name) for name in PACKAGES}},
        "flags": {name: [flag.sentence for flag in run.flags] for name, run in comparison.runs.items()},
        "energy left open, share": {name: run.energy.residual_share for name, run in comparison.runs.items()},
        "assumes": (
            "Half-car: both wheels of an axle together; no roll, no steering, no left-right difference. Held speed on a "
            "course. It compares set-ups and licenses nothing."
        ),
    }


def write(comparison: Comparison, path: Path, command: str) -> None:
    """Write the record as JSON."""
    path.write_text(json.dumps(record(comparison, command), indent=2, ensure_ascii=False) + "\n", encoding="utf-8")


def _version(name: str) -> str:
    try:
        return version(name)
    except PackageNotFoundError:
        return "not installed"
