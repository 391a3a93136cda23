"""What loads, a lift and other tyres do to the truck as it is typed: a row a load, and the truck before and after the lift and on other tyres."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from math import isfinite
from typing import Any

from pydantic import ValidationError

from sim.describe.estimates.truck import adapter, shown_in_inches
from sim.describe.parts.vehicle import Vehicle
from sim.describe.shown import show, show_short, shown_in
from sim.describe.wrong import first_in_words
from sim.errors import InputError, JounceError
from sim.show.pages.local.at_boxes import in_form_words
from sim.study.lift import WAYS, Row, lifted
from sim.study.loads import Case, Load, beyond, cases, in_most, usual_loads, usual_ranges, words
from sim.study.planned_tyres import called, diameter_of, tyre_changes, with_other_tyres

HEADS = (
    "What to make of it", "Frame up (down: minus)", "Load on the ground", "Ride frequency [Hz]", "Damping ratio", "Bump left", "Droop left", "Stroke left in",
    "Stroke left out",
)  # fmt: skip
MOST_LOADS = 12

LIFTED_BARE = "lifted, nothing put aboard"


def aboard(vehicle: Vehicle, asked: Mapping[str, Any]) -> dict[str, Any]:
    """Return what the page shows of loads and of a lift.

    Parameters
    ----------
    vehicle : Vehicle
        The truck as typed.
    asked : mapping
        loads: rows of name, on, mass, behind, above, as typed; empty ones are taken as usual. lift: front, rear and the track width, as typed; by: a
        way to lift (`sim.study.lift.WAYS`) for an axle. tyres: front and rear, sizes as typed.

    Returns
    -------
    dict
        usual: rows of name, mass, behind, above; ranges: what is usual of heights and rates, in words; heads; axles: by name, rows of label and cells; below: by axle, sentences on what most rows have in common; wrong: rows of name, key and
        message; changes: what a set-up with what is aboard changes; lift: rows, notes, changes, why it cannot be, and said: by how much the truck of the
        rows is lifted, empty where it is not; tyres: rows, notes, changes, why they cannot be, and name: what a set-up on them is called.
    """
    usual = {load.name: load for load in usual_loads(vehicle)}
    rows = [row for row in asked.get("loads") or [] if isinstance(row, dict)][:MOST_LOADS]
    wrong: list[dict[str, str]] = []
    on = [row for row in rows if row.get("on")]
    loads = [_load(row, usual, wrong) for row in on]
    # One that is not finished holds up itself alone.
    ready = [load for load in loads if load and load.mass > 0.0]
    wanted = ready or (list(usual.values()) if not on else [])
    lift = _lift(vehicle, asked.get("lift") or {}, wrong)
    # Whoever lifts a truck asks how it stands lifted and loaded.
    seen = cases(vehicle.changed(lift["changes"]), wanted, vehicle) if lift["changes"] else cases(vehicle, wanted)
    bare = LIFTED_BARE if lift["changes"] else seen[0].name
    seen = (replace(seen[0], name=bare), *seen[1:])
    often = {axle: in_most(seen, axle) for axle in ("front", "rear")}
    inches = shown_in_inches(vehicle.typed_system == "inch")
    # A box holds one unit: that in which the truck is typed, where both are shown.
    with shown_in("inch" if inches else "metric"):
        boxes = [
            {"name": one.name, "mass": show(one.mass, "mass"), "behind": _about(one.behind), "above": _about(one.above)}
            for one in usual.values()
        ]
    return {
        "usual": boxes,
        "ranges": f"Usual: {usual_ranges()} (common practice, no source).",
        "heads": HEADS,
        "axles": {axle: [_row(case, seen[0], axle, often[axle]) for case in seen] for axle in often},
        "below": {axle: list(often[axle].values()) for axle in often},
        "wrong": wrong,
        "changes": {f"loads.{one.name.replace('.', ' ')}": _written(one, row, inches) for one, row in zip(loads, on, strict=True) if one in ready},
        "lift": lift,
        "tyres": _tyres(vehicle, asked.get("tyres") or {}),
    }  # fmt: skip


def _load(row: Mapping[str, Any], usual: Mapping[str, Load], wrong: list[dict[str, str]]) -> Load | None:
    name = str(row.get("name") or "").strip() or "load"
    base = usual.get(name)
    values: dict[str, float] = {}
    if base is None and not any(str(row.get(key) or "").strip() for key in ("mass", "behind", "above")):
        wrong.append({"name": name, "key": "", "message": "give its mass and where it is, or take it out with ×"})
        return None
    for key, quantity in (("mass", "mass"), ("behind", "length"), ("above", "length")):
        text = str(row.get(key) or "").strip()
        value = getattr(base, key, None) if not text else _read(text, quantity, name, key, wrong)
        if value is None and not text:
            wrong.append({"name": name, "key": key, "message": "is wanted of a load of your own"})
        elif value is not None:
            values[key] = value
    if len(values) < 3:
        return None
    if values["mass"] <= 0.0:
        wrong.append({"name": name, "key": "mass", "message": "must be more than nothing"})
    return Load(name, values["mass"], values["behind"], values["above"])


def _read(text: str, quantity: str, name: str, key: str, wrong: list[dict[str, str]]) -> float | None:
    try:
        return float(adapter(quantity).validate_python(text))
    except ValidationError as error:
        wrong.append({"name": name, "key": key, "message": first_in_words(error, text)})
        return None


def _about(length: float) -> str:
    """Return a usual place: nobody knows it to a hundredth of an inch."""
    return show_short(length, "length", (0, 1))


def _written(load: Load, row: Mapping[str, Any], inches: bool) -> dict[str, object]:
    """Return a load as a set-up writes it: as it was typed, and what was left empty in the units that are shown."""

    def text(key: str, value: float, units: tuple[str, float]) -> str:
        unit, size = units
        return str(row.get(key) or "").strip() or f"{value / size:.4g} {unit}"

    long = ("in", 0.0254) if inches else ("mm", 1e-3)
    place = {"behind_front_axle": text("behind", load.behind, long), "above_ground": text("above", load.above, long)}
    return {"mass": text("mass", load.mass, ("lb", 0.45359237) if inches else ("kg", 1.0)), "place": place}


def _row(case: Case, bare: Case, axle: str, often: Mapping[str, str]) -> dict[str, Any]:
    """Return a load's row: what it does beside what holds without it, and what is not said of most rows in one sentence."""
    label = f"{case.name}, {show(case.mass, 'mass')}" if case.mass else case.name
    if not case.axles:
        return {"label": label, "cells": [], "why": f"cannot stand so: {case.cannot}"}
    own = case.axles[axle]
    return {"label": label, "cells": [beyond(case, bare, axle, often), *words(own)], "why": ""}


def _lift(vehicle: Vehicle, asked: Mapping[str, Any], wrong: list[dict[str, str]]) -> dict[str, Any]:
    said: dict[str, Any] = {"rows": [], "notes": [], "changes": {}, "why": "", "said": ""}
    raised = {}
    for axle in ("front", "rear"):
        text = str(asked.get(axle) or "").strip()
        value = _read(text, "length", "lift", axle, wrong) if text else None
        if value is not None:
            raised[axle] = value
    text = str(asked.get("track") or "").strip()
    track = _read(text, "length", "lift", "track", wrong) if text else None
    if track is not None and track <= 0.0:
        wrong.append({"name": "lift", "key": "track", "message": "must be more than nothing"})
        track = None
    if not any(raised.values()):
        return said
    try:
        answer = lifted(
            vehicle, raised, track, {axle: str(way) for axle, way in (asked.get("by") or {}).items() if way in WAYS}
        )
    except JounceError as error:
        return {**said, "why": in_form_words(str(error))}
    return {
        "rows": _shown_rows(answer.rows),
        # The page writes order sheets itself.
        "notes": [in_form_words(one.replace(" (jounce sheet)", "")) for one in answer.notes],
        "changes": answer.changes,
        "why": "",
        "said": _lifted_by(raised) if answer.changes else "",
    }


def _tyres(vehicle: Vehicle, asked: Mapping[str, Any]) -> dict[str, Any]:
    said: dict[str, Any] = {"rows": [], "notes": [], "changes": {}, "why": "", "name": ""}
    wanted = {axle: text for axle in ("front", "rear") if (text := " ".join(str(asked.get(axle) or "").split()))}
    if not wanted:
        return said
    try:
        for axle, text in wanted.items():
            diameter_of(text, axle)
        changes = tyre_changes(vehicle, wanted)
        rows, notes = with_other_tyres(vehicle, changes)
    except InputError as error:
        return {**said, "why": " · ".join(dict.fromkeys(_of_sizes(error)))}
    except JounceError as error:
        return {**said, "why": in_form_words(str(error))}
    return {
        **said,
        "rows": _shown_rows(rows),
        "notes": list(notes),
        "changes": changes,
        "name": called(changes).capitalize(),
    }


def _of_sizes(error: InputError) -> list[str]:
    """Return what is wrong with sizes and what to try, each with its axle where it is of one."""
    axles = ("front", "rear")
    return [
        f"{f'{one.where}: ' if one.where in axles else ''}{one.message}{f': {one.suggestion}' if one.suggestion else ''}"
        for one in error.problems
    ]


def _shown_rows(rows: Iterable[Row]) -> list[dict[str, str]]:
    return [
        {"label": row.label, "before": _shown(row.before, row.quantity), "after": _shown(row.after, row.quantity)}
        for row in rows
    ]


def _lifted_by(raised: Mapping[str, float]) -> str:
    """Return in words by how much the truck is lifted whose loads are shown, and what its heights are against."""
    by = [f"{axle} {show(abs(up), 'length')} {'up' if up > 0.0 else 'down'}" for axle, up in raised.items() if up]
    return (
        f"Of the truck as lifted: {', '.join(by)}. Frame up is against the truck as it stands without lift and loads."
    )


def _shown(value: float, quantity: str) -> str:
    return show(value, quantity) if isfinite(value) else "–"
