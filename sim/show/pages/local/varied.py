"""Numbers of a scenario of the page that vary: through their range for a sweep, or searched for the best by a tuning."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from sim.describe.files.round_trip import scalar
from sim.describe.files.scenario import load_scenario
from sim.describe.parts.vehicle import Vehicle
from sim.errors import InputError, JounceError
from sim.study.measurable import check_swept
from sim.study.startable import startable
from sim.study.sweep.axes import check_asked
from sim.study.tuning.named import check_named
from sim.study.tuning.ready import tuning_of

SWEEP, TUNE = "sweep", "tune"
MOST = {SWEEP: 2, TUNE: 6}
"""Numbers that may vary: more than two cannot be drawn, more than six take longer than somebody waits at a page."""

MOST_POINTS = 40
GENERATIONS, DRAWS = 12, 16
"""Rounds of search, and draws for the study whether its choice holds: what takes minutes; a scenario's file may ask for more."""

FEWEST_CALLED = 60
"""Letters of the words for a number that a sweep keeps."""


def offered(vehicle: Vehicle) -> list[tuple[str, str, str]]:
    """Return what may vary besides what a set-up may change: its value in the page, its words, and what it is for."""
    rows = [("run.speed", "Speed", SWEEP)]
    for axle, part in vehicle.axles:
        for name in part.dampers:
            of = f"{axle} dampers" if len(part.dampers) < 2 else f"{axle} dampers '{name}'"
            path = f"{axle}.dampers.{name}.valving"
            rows.append((f"{path}|scale", f"Force of the {of}, a factor", TUNE))
            rows.append((f"{path}|split", f"Rebound over compression of the {of}", TUNE))
    return rows


def goals(vehicle: Vehicle) -> list[tuple[str, str]]:
    """Return measures that a tuning may make better, with their words."""
    seat = "driver" if "driver" in vehicle.points else next(iter(vehicle.points), "")
    ride = [(f"ride_wk_{seat}", f"Ride at the {seat}")] if seat else []
    return [
        *ride, ("front_tyre_load_variation", "Grip in front: front tyre load held even"),
        ("rear_tyre_load_variation", "Grip behind: rear tyre load held even"),
    ]  # fmt: skip


def section(asked: Mapping[str, Any] | None) -> dict[str, Any]:
    """Return the part of a scenario's file that says what varies; empty if nothing does.

    Raises
    ------
    JounceError
        If there is a number without its ends, or none, or more than can be, or a tuning without a goal.
    """
    what = (asked or {}).get("what")
    if asked is None or what not in MOST:
        return {}
    rows = [row for row in asked.get("rows") or [] if isinstance(row, dict)]
    rows = [
        {key: str(row.get(key) or "").strip() for key in ("path", "kind", "called", "first", "last", "points")}
        for row in rows
    ]
    if not rows or len(rows) > MOST[what] or not all(row["path"] for row in rows):
        raise JounceError(f"Choose the numbers that vary: one at least, {MOST[what]} at most.")
    for row in rows:
        if not row["first"] or not row["last"]:
            raise JounceError(f"{row['called'] or row['path']}: give both ends of its range, each with its unit.")
    if len({row["path"] + row["kind"] for row in rows}) < len(rows):
        raise JounceError("Two of the numbers that vary are the same one.")
    return (
        {SWEEP: _sweep(rows)} if what == SWEEP else {TUNE: _tune(rows, [str(one) for one in asked.get("goals") or []])}
    )


def _sweep(rows: list[dict[str, str]]) -> dict[str, Any]:
    for row in rows:
        if not row["points"].isdigit() or not 2 <= int(row["points"]) <= MOST_POINTS:
            raise JounceError(f"{row['called']}: take it at 2 to {MOST_POINTS} values.")
    return {
        "vary": {
            row["path"]: {
                "first": scalar(row["first"]), "last": scalar(row["last"]), "points": int(row["points"]), "called": row["called"][:FEWEST_CALLED],
            }
            for row in rows
        }
    }  # fmt: skip


def _tune(rows: list[dict[str, str]], wanted: list[str]) -> dict[str, Any]:
    if not wanted:
        raise JounceError("Choose what is to be better: without a goal there is no best.")
    return {
        "move": {
            row["called"]: {"kind": row["kind"], "path": row["path"], "low": scalar(row["first"]), "high": scalar(row["last"])} for row in rows
        },
        "goal": dict.fromkeys(wanted, 1), "generations": GENERATIONS, "hold": {"draws": DRAWS},
    }  # fmt: skip


def checked(path: Path) -> None:
    """See that a scenario with numbers that vary can be run, without running it.

    Raises
    ------
    JounceError
        In words for a page: by the key, without the file's lines, as nobody has seen that file.
    """
    try:
        scenario = load_scenario(path)
        check_asked(scenario)
        tuning = tuning_of(scenario) if scenario.tune is not None else None
        problems, _ = startable(scenario)
        if problems:
            raise InputError(problems)
        check_swept(scenario)
        if tuning is not None:
            check_named(tuning)
    except InputError as error:
        raise JounceError(
            "; ".join(": ".join(filter(None, (one.where, one.message, one.suggestion))) for one in error.problems)
        ) from None
