"""Numbers of a scenario of the page that vary: through their range for a sweep, or searched for the best by a tuning."""

import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from sim.describe.doubt import without_doubt
from sim.describe.estimates.as_measured import as_measured
from sim.describe.estimates.fields import COUNT, PAIR, TEXT, WORDS, taken
from sim.describe.files.round_trip import scalar
from sim.describe.files.scenario import load_scenario
from sim.describe.notations import NUMBER, one_number
from sim.describe.parts.vehicle import Vehicle
from sim.errors import InputError, JounceError
from sim.measure.driving import WOUND
from sim.show.pages.called import called
from sim.show.pages.local.at_boxes import in_form_words
from sim.show.pages.local.fields import form
from sim.show.pages.local.travel_kept import called_limit, limits_in_form, limits_written
from sim.study.runnable import runnable

SWEEP, TUNE = "sweep", "tune"
MOST = {SWEEP: 2, TUNE: 6}
"""Numbers that may vary: more than two cannot be drawn, more than six take longer than somebody waits at a page."""

MOST_POINTS = 60
GENERATIONS, DRAWS = 12, 16
"""Rounds of search, and draws for the study whether its choice holds: what takes minutes; a scenario's file may ask for more."""

MOST_CALLED = 60
"""Letters of the words for a number that a sweep keeps."""

AROUND = (0.7, 1.3)
"""Shares of what a truck has now between which a range begins; ours, no source."""

FORCES = {"scale": ("0.5", "2"), "split": ("1", "4")}
"""Ranges to begin with of the dampers' force, a factor, and of rebound over compression; ours, no source."""


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


def ranges(data: Mapping[str, Any]) -> dict[str, tuple[str, str]]:
    """Return a range to begin with for each number that may vary, around what the truck has now: its first and last value.

    Parameters
    ----------
    data : mapping
        Of the truck's file, with what was typed.

    Returns
    -------
    dict
        By a box's path, and by the way in which dampers' force moves; none of what is no number, or zero.
    """
    estimates = taken(data) if as_measured(data) else {}
    known = dict(FORCES)
    for cell in (cell for step in form(data) for line in step.lines for cell in line.cells):
        if cell.choices or (cell.asked is not None and cell.asked.kind in (PAIR, TEXT, WORDS)):
            continue
        whole = cell.asked.kind == COUNT if cell.asked is not None else cell.wants is not None and cell.wants.whole
        if (ends := around(cell.value or estimates.get(cell.path, cell.taken), whole)) is not None:
            known[cell.path] = ends
    return known


def around(text: str, whole: bool = False) -> tuple[str, str] | None:
    """Return values below and above a number as it is written, in its unit; None of what is no number, or zero."""
    number, unit = number_of(text) or (0.0, "")
    if not number:
        return None
    # Of a place ahead of the axle the larger share is the lower number.
    low, high = sorted(number * share for share in AROUND)
    if whole:
        first = max(1, round(low))
        return str(first), str(max(first + 1, round(high)))
    return _short(low, unit), _short(high, unit)


def number_of(text: str) -> tuple[float, str] | None:
    """Return a number and its unit as they are written, of `3 1/4 in` 3.25 and in; None of what is no number."""
    # Read as a sweep reads its ends: nothing is converted, so that they come in the unit that somebody writes himself.
    match = NUMBER.match(one_number(without_doubt(text), length=True))
    return None if match is None else (float(match[1]), match[2])


def _short(number: float, unit: str) -> str:
    """Return a number with its unit, to three digits: the ends of a range to begin with are no measures."""
    return f"{float(f'{number:.3g}'):.12g} {unit}".strip()


def goals(vehicle: Vehicle) -> list[tuple[str, str]]:
    """Return measures that a tuning may make better, with their words."""
    seat = "driver" if "driver" in vehicle.points else next(iter(vehicle.points), "")
    ride = [(f"ride_wk_{seat}", f"Ride at the {seat}")] if seat else []
    return [
        *ride, ("front_tyre_load_variation", "Grip in front: front tyre load held even"),
        ("rear_tyre_load_variation", "Grip behind: rear tyre load held even"),
    ]  # fmt: skip


def launch_goals(vehicle: Vehicle) -> list[tuple[str, str]]:
    """Return measures of pulling away that a tuning may make better, with their words; of the axles that are driven."""
    line = vehicle.driveline
    driven = [name for name, _ in vehicle.axles if line is not None and line.drives(name)]
    return [
        row
        for axle in driven
        for row in (
            (f"{axle}_{WOUND['launch'][axle]}", f"Wind-up of the {axle} axle"),
            (f"{axle}_hop_swing", f"Hop of the {axle} axle: swing of its pinion"),
        )
    ]


def opened_with(data: Mapping[str, Any]) -> dict[str, Any]:
    """Return the parts of a scenario's mapping that say what varies, as its file has them."""
    return {key: data[key] for key in MOST if isinstance(data.get(key), dict)}


def in_form(sections: Mapping[str, Any]) -> dict[str, Any] | None:
    """Return what varies in a scenario's file as the page's form has it: what, rows, goals, limits and start; None if nothing does.

    Of a file with both, the sweep is in the form, and the tuning stays as it is.
    """
    if SWEEP in sections:
        rows = [
            {"path": str(path), "kind": "value", "called": str(own.get("called") or ""), **_texts(own, "first", "last"), "points": str(own.get("points", ""))}
            for path, own in dict(sections[SWEEP].get("vary") or {}).items() if isinstance(own, dict)
        ]  # fmt: skip
        return {"what": SWEEP, "rows": rows, "goals": [], "limits": {}, "start": ""}
    if TUNE not in sections:
        return None
    rows = [
        {
            "path": ", ".join(map(str, own["path"])) if isinstance(own.get("path"), list) else str(own.get("path", "")),
            "kind": str(own.get("kind", "value")), "called": str(name), **_texts(own, "low", "high"), "points": "",
        }
        for name, own in dict(sections[TUNE].get("move") or {}).items() if isinstance(own, dict)
    ]  # fmt: skip
    goals, start = [str(name) for name in sections[TUNE].get("goal") or {}], str(sections[TUNE].get("start") or "")
    return {"what": TUNE, "rows": rows, "goals": goals, "limits": limits_in_form(sections[TUNE]), "start": start}


def _texts(own: Mapping[str, Any], first: str, last: str) -> dict[str, str]:
    return {"first": str(own.get(first, "")), "last": str(own.get(last, ""))}


def section(asked: Mapping[str, Any] | None, before: Mapping[str, Any] | None = None) -> dict[str, Any]:
    """Return the parts of a scenario's file that say what varies; empty if nothing does.

    Parameters
    ----------
    asked : mapping or None
        what, rows, goals, limits (by measure) and start (the set-up that is tuned) as the page's form has them; as_opened: nothing of it was touched since the file was opened.
    before : mapping, optional
        The parts of the file that was opened (`opened_with`): what the form does not show is kept.

    Raises
    ------
    JounceError
        If there is a number without its ends, or none, or more than can be, or a tuning without a goal.
    """
    before = before or {}
    if (asked or {}).get("as_opened"):
        return dict(before)
    what = (asked or {}).get("what")
    if asked is None or what not in MOST:
        return {}
    rows = [row for row in asked.get("rows") or [] if isinstance(row, dict)]
    rows = [
        {key: str(row.get(key) or "").strip() for key in ("path", "kind", "called", "first", "last", "points")}
        for row in rows
    ]
    own = dict(before.get(what) or {})
    most = max(MOST[what], len(own.get("vary") or own.get("move") or ()))
    if not rows or len(rows) > most or not all(row["path"] for row in rows):
        raise JounceError(f"Choose the numbers that vary: one at least, {most} at most.")
    for row in rows:
        if not row["first"] or not row["last"]:
            raise JounceError(f"{row['called'] or row['path']}: give both ends of its range, each with its unit.")
    if len({row["path"] + row["kind"] for row in rows}) < len(rows):
        raise JounceError("Two of the numbers that vary are the same one.")
    goals = [str(one) for one in asked.get("goals") or []]
    if what == SWEEP:
        return {**before, what: {**own, **_sweep(rows)}}
    start = str(asked.get("start") or "")
    tuned = {**own, **({"start": start} if start else {}), **_tune(rows, goals, own)}
    if (limits := limits_written(asked.get("limits") or {}, own)) or "limits" in tuned:
        tuned["limits"] = limits
    # A key that a file has for the first set-up too says which truck it is about.
    return {**before, what: tuned}


def _sweep(rows: list[dict[str, str]]) -> dict[str, Any]:
    for row in rows:
        if not row["points"].isdecimal() or not 2 <= int(row["points"]) <= MOST_POINTS:
            raise JounceError(f"{row['called']}: take it at 2 to {MOST_POINTS} values.")
    return {
        "vary": {
            row["path"]: {
                "first": scalar(row["first"]), "last": scalar(row["last"]), "points": int(row["points"]), "called": row["called"][:MOST_CALLED],
            }
            for row in rows
        }
    }  # fmt: skip


def _tune(rows: list[dict[str, str]], wanted: list[str], before: Mapping[str, Any]) -> dict[str, Any]:
    if not wanted:
        raise JounceError("Choose what is to be better: without a goal there is no best.")
    called = [row["called"] or row["path"] for row in rows]
    # A file knows a number that is searched by its words: equal ones are told apart by their places.
    names = [
        words if called.count(words) < 2 else f"{words} ({row['path']})"
        for words, row in zip(called, rows, strict=True)
    ]
    if twice := next((name for name in names if names.count(name) > 1), None):
        raise JounceError(f"Two of the numbers that vary are called '{twice}'. Take one of them out.")
    return {
        "move": {
            name: {"kind": row["kind"], "path": _paths(row["path"]), "low": scalar(row["first"]), "high": scalar(row["last"])}
            for name, row in zip(names, rows, strict=True)
        },
        "goal": {name: (before.get("goal") or {}).get(name, 1) for name in wanted},
        **({} if before else {"generations": GENERATIONS, "hold": {"draws": DRAWS}}),
    }  # fmt: skip


def _paths(text: str) -> str | list[str]:
    """Return a path, or several that move together."""
    paths = [one.strip() for one in text.split(",")]
    return paths[0] if len(paths) < 2 else paths


def in_folder(part: Any, was: Path, now: Path) -> Any:
    """Return a part of a scenario with the files that it names by their places from another folder."""
    if isinstance(part, list):
        return [in_folder(one, was, now) for one in part]
    if not isinstance(part, dict):
        return part
    return {
        key: Path(os.path.relpath(was / value, now)).as_posix()
        if key in NAMES_A_FILE and isinstance(value, str) and (was / value).is_file()
        else in_folder(value, was, now)
        for key, value in part.items()
    }


def _varied_words(where: str) -> str:
    """Return of which number of the form a problem is, and at which end of its range."""
    if (limit := called_limit(where)) != where:
        return limit
    section, _, rest = where.partition(".")
    if section not in MOST or "." not in rest:
        return where
    name = rest.partition(".")[2]
    before, _, end = name.rpartition(".")
    words = {"low": "from", "first": "from", "high": "to", "last": "to"}.get(end) if before else None
    name = before if words else name
    said = called(name) if section == SWEEP else name
    return f"{said}, {words}" if words else said


NAMES_A_FILE = ("course", "file")


def checked(path: Path) -> None:
    """See that a scenario with numbers that vary can be run, without running it.

    Raises
    ------
    JounceError
        In words for a page: by the key, without the file's lines, as nobody has seen that file.
    """
    try:
        problems, _ = runnable(load_scenario(path))
        if problems:
            raise InputError(problems)
    except InputError as error:
        raise JounceError(
            "; ".join(
                ": ".join(
                    filter(
                        None,
                        (
                            _varied_words(one.where),
                            in_form_words(one.message, one.where),
                            in_form_words(one.suggestion, one.where),
                        ),
                    )
                )
                for one in error.problems
            )
        ) from None
