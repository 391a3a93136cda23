"""What a truck that is being typed answers: what is wrong at which box, how it stands, and how it is drawn."""

import copy
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from math import degrees, isfinite
from typing import Any

from sim.describe.estimates.as_measured import as_measured, person_of
from sim.describe.estimates.completing import completed
from sim.describe.estimates.estimate import Estimate
from sim.describe.estimates.fields import (
    COIL,
    PAIR,
    SPRINGS,
    USUAL_SPRINGS,
    WORDS,
    Field,
    aboard_words,
    fields,
    taken,
    text_at,
)
from sim.describe.estimates.shape import ASKED_BY, is_none
from sim.describe.estimates.truck import read_si
from sim.describe.files.hardly_meant import unusual_lines
from sim.describe.files.reader import Document
from sim.describe.files.round_trip import put, scalar
from sim.describe.parts.guides import Arm, Leaf
from sim.describe.parts.vehicle import Vehicle
from sim.describe.shown import show
from sim.describe.to_measure import AT_RIDE
from sim.describe.usual import Usual
from sim.errors import InputError, JounceError, Problem
from sim.linear.placing import placings
from sim.linear.standing import AT_STOP, AxleStanding, DamperStanding, Standing, stand
from sim.show.pages.called import called
from sim.show.pages.local.at_boxes import at_boxes, refused
from sim.show.pages.local.by_dimensions import by_dimensions
from sim.show.pages.local.half_typed import said_of, standing_vehicle
from sim.show.pages.local.ranges import SHOWN_BY
from sim.show.pages.local.tried_measures import FRAME_UP
from sim.show.pages.local.wire_stress import wire_stresses
from sim.show.pages.scene import scene
from sim.show.report.standing import droop_ends
from sim.study.fit import Fit, fits

SI_OF = {quantity: si for si, quantity in SHOWN_BY.items()}

Place = tuple[str, ...]
Edits = Mapping[Place, object]


def as_edited(document: Document, edits: Edits) -> Document:
    """Return a document with what was typed; the one given is left as it is.

    Raises
    ------
    InputError
        If what was typed leads into a single value.
    """
    data = copy.deepcopy(document.data)
    put(data, as_shop_writes(data, edits))
    return replace(document, data=data)


def as_shop_writes(data: Mapping[str, Any], edits: Edits) -> dict[Place, object]:
    """Return edits with what is typed into a shop's boxes as a file has it: words and pairs as lists, springs by their kind."""
    if not as_measured(data):
        return dict(edits)
    asked = {field.path: field for field in fields()}
    written = _given_again(data, edits)
    edits = {place: value for place, value in edits.items() if place[:2] not in written}
    for place, value in edits.items():
        own = asked.get(".".join(place))
        if own is not None and own.path.endswith(".springs"):
            springs = _springs(data, own, str(value or ""))
            written |= springs
            if springs:
                written |= _held_otherwise(data, place[0], str(value or USUAL_SPRINGS[place[0]]))
        elif own is not None and own.kind in (PAIR, WORDS) and value is not None:
            parts = [one.strip() for one in re.split("[,;]" if own.kind == WORDS else ",", str(value)) if one.strip()]
            # `driver and full tank` is a person, who is a load, and what is none.
            written[place] = [
                scalar(word) for one in parts for word in (aboard_words(one) if own.kind == WORDS else [one])
            ]
    # Which springs first: what is typed of them stands inside.
    return {
        **written,
        **{place: value for place, value in edits.items() if place not in written and place[1:] != ("springs",)},
    }


def _given_again(data: Mapping[str, Any], edits: Edits) -> dict[Place, object]:
    """Return stops and straps of which the file says that there is none, with what is typed of them now: their first number makes them parts."""
    found: dict[Place, object] = {}
    for place, value in edits.items():
        axle = data.get(place[0])
        if len(place) == 3 and place[1] in ASKED_BY and isinstance(axle, Mapping) and is_none(axle.get(place[1])):
            before = found.get(place[:2])
            typed = {} if value is None else {place[2]: value}
            found[place[:2]] = {**(before if isinstance(before, dict) else {}), **typed} or None
    return found


def _springs(data: Mapping[str, Any], own: Field, word: str) -> dict[Place, object]:
    place = tuple(own.path.split("."))
    if word == text_at(data, own):
        return {}
    if word not in SPRINGS:
        return {place: None}
    name, kind = SPRINGS[word]
    return {place: {name: {"kind": kind}}}


def _held_otherwise(data: Mapping[str, Any], axle: str, word: str) -> dict[Place, object]:
    """Return what is taken out of an axle's guide with its springs: keys that what holds the axle now has not, an arm's pivot where leaf packs hold it."""
    guide = (data.get(axle) or {}).get("guide")
    now = Arm if word == COIL else Leaf
    # Its kind goes too, as the springs say it: a pack holds the axle, a coil cannot.
    has = set(now.model_fields) - {"kind"}
    return {(axle, "guide", str(key)): None for key in guide if key not in has} if isinstance(guide, Mapping) else {}


def vehicle_of(document: Document) -> Vehicle:
    """Return the vehicle of a document, without the parts for pulling away that are not filled in yet or are wrong.

    Raises
    ------
    InputError
        With every problem found, if one is of something that it stands on.
    """
    return standing_vehicle(document)[0]


def see_launch(document: Document) -> None:
    """See that nothing that is typed for pulling away is wrong.

    Raises
    ------
    InputError
        With what is.
    """
    if problems := standing_vehicle(document)[1]:
        # Each is said at its box; here by what the box is called.
        raise InputError([replace(one, where=called(one.where), file="", line=None, column=None) for one in problems])


def answer(document: Document) -> dict[str, Any]:
    """Return what the page shows of a truck as typed.

    Returns
    -------
    dict
        estimates: by path, what is taken where a box is left empty: written, and of, reach and source where there is a rule;
        problems: rows of where, message, given, allowed, suggestion; launch_waits: all of them are of parts for pulling away; notices: rows of where and text; refused: why it cannot stand, or empty; numbers: rows of a
        label and a text for each axle; whole: rows of a label and a text; flags: sentences; beside: sentences on what is out of the usual and how much
        is estimated; scene: as `scene.scene` has it, or
        None where it cannot stand.
    """
    said: dict[str, Any] = {
        "estimates": {},
        "problems": [],
        "notices": [],
        "refused": "",
        "launch_waits": False,
        "numbers": [],
        "whole": [],
        "flags": [],
        "beside": [],
        "scene": None,
    }
    try:
        vehicle, for_launch = standing_vehicle(document)
    except InputError as error:
        wrong = {problem.where for problem in error.problems}
        said["notices"] = understood(document.data) + [
            row for row in typed_notices(document.data) if row["where"] not in wrong
        ]
        said["problems"] = at_boxes(
            _typed(document.data, error.problems, len(said["notices"]) > len(understood(document.data)))
        )
        said["estimates"] = _estimates(document, completed(document.data)[1])
        return said
    # It stands without them: the launch alone waits.
    said["problems"], said["launch_waits"] = at_boxes(for_launch), bool(for_launch)
    said["estimates"] = _estimates(document, vehicle.estimates) | by_dimensions(vehicle)
    said["notices"] = as_in_front(vehicle.estimates)
    # Of a list's member at the box of the whole list; as sentences, as nothing parts them there.
    said["notices"] += understood(document.data) + [
        {"where": ".".join(step for step in one.place if isinstance(step, str)), "text": as_sentences(one.lines)}
        for one in vehicle.unusual
    ]
    said["notices"] += [{"where": where, "text": text} for where, text in said_of(document.data)]
    try:
        standing = stand(vehicle)
        said["notices"] += [{"where": where, "text": text} for where, text in wire_stresses(vehicle)]
        said |= {
            "numbers": _numbers(standing, fits(vehicle)), "whole": _whole(standing),
            "flags": [flag.sentence for flag in standing.flags], "beside": _beside(vehicle, standing), "scene": scene(vehicle, vehicle.name),
        }  # fmt: skip
    except JounceError as error:
        said["refused"], said["problems"] = refused(str(error), document.data)
        said["launch_waits"] = False
    return said


def _beside(vehicle: Vehicle, standing: Standing) -> list[str]:
    """Return what is said beneath the numbers: which are out of the usual, and that they rest on estimates where they do."""
    unusual = [one.sentence for one in placings(standing) if not one.is_usual]
    said = [f"Out of the usual (common practice, no source): {'; '.join(unusual)}."] if unusual else []
    if count := len(vehicle.estimates):
        said.append(
            f"{count} numbers are estimated, as nobody measured them: those in grey, and others that have no box. What stands here is as sure as they are; "
            "“How sure is that?” beside the set-ups to try says what they leave open."
        )
    return said


def _estimates(document: Document, known: Iterable[Estimate]) -> dict[str, Any]:
    if not as_measured(document.data):
        return {}
    rules = {one.path: one for one in known}
    return {
        path: {"written": text} | ({"of": rules[path].of, "reach": rules[path].reach, "source": rules[path].source_said} if path in rules else {})
        for path, text in taken(document.data).items()
    }  # fmt: skip


def typed_notices(data: Mapping[str, Any]) -> list[dict[str, str]]:
    """Return what is said of numbers in a shop's boxes that are hardly meant, of a truck that cannot be made whole: rows of where and text."""
    rows = []
    for own in fields() if as_measured(data) else ():
        text, si = text_at(data, own), SI_OF.get(own.kind, "")
        value = read_si(text, own.kind) if text and si else None
        if value is None or own.low is None or own.high is None or own.low <= abs(value) <= own.high:
            continue
        usual = Usual(own.low, own.high, own.range_of, own.range_source)
        rows.append({"where": own.path, "text": as_sentences(unusual_lines(text, value, si, usual))})
    return rows


def as_sentences(lines: Iterable[str]) -> str:
    """Return lines of a notice as sentences for its box, which says what was given."""
    said = [line[:1].upper() + line[1:].rstrip(".") for line in lines if not line.startswith("given: ")]
    return " ".join(f"{line}." for line in said)


def understood(data: Mapping[str, Any]) -> list[dict[str, str]]:
    """Return what was understood of who and what was aboard, at its box: who is a load of his own, and what is a part of the truck; empty if nothing is said."""
    weighed = data.get("weighed")
    words = weighed.get("aboard") if isinstance(weighed, Mapping) else None
    if not isinstance(words, list | tuple) or not words:
        return []
    people = [(word, person) for word in words if (person := person_of(word))]
    if all(word == name for word, (name, _) in people) and len(people) == len(words):
        return []
    rest = [str(word) for word in words if person_of(word) is None]
    weights: dict[str, str] = {}
    for _, (name, mass) in people:  # a person who is named twice is one, of the weight that is given first
        weights[name] = weights.get(name) or mass
    said = [f"{name}, {mass or 'of usual weight'}" for name, mass in weights.items()]
    texts = [
        f"Counted as a load: {'; '.join(said)}."
        if said
        else "Nobody is counted as a load: driver, or driver 95 kg, would be."
    ]
    if rest:
        texts.append(f"Weighed with the truck and a part of it: {', '.join(rest)}.")
    return [{"where": "weighed.aboard", "text": " ".join(texts)}]


def as_in_front(estimates: Iterable[Estimate]) -> list[dict[str, str]]:
    """Return at the rear tyre's box that it is taken as the front one, where it is: nobody ticked that the rear has the same."""
    taken_ = [one for one in estimates if one.path.startswith("rear.tyre.") and one.of.startswith("the front")]
    text = "Left empty, the rear tyres are taken as the front ones are."
    return [{"where": "rear.tyre.size", "text": text}] if taken_ else []


def _typed(data: Mapping[str, Any], problems: Iterable[Problem], noticed: bool) -> list[Problem]:
    """Return problems as whoever types them can mend them: what is wrong with an estimate follows from what it was estimated from."""
    problems = list(problems)
    written = [
        problem for problem in problems if not as_measured(data) or not problem.given or is_written(data, problem.where)
    ]
    follows = [problem for problem in problems if problem not in written]
    if written or not follows:
        return written
    number = follows[0]
    look = "what is said beside its box" if noticed else "the loads and the wheelbase first"
    return [
        Problem(f"what is typed does not fit together: {called(number.where)} would be {number.given}. Look at {look}.")
    ]


def is_written(data: Mapping[str, Any], path: str) -> bool:
    """Tell whether something stands at a dotted path; a list's members are where the list is."""
    inside: Any = data
    for step in path.split("."):
        if isinstance(inside, list | tuple):
            return True
        if not isinstance(inside, Mapping) or step not in inside:
            return False
        inside = inside[step]
    return True


def _numbers(standing: Standing, fitted: tuple[Fit, ...]) -> list[dict[str, Any]]:
    axles = standing.axles
    rows = [_row(label, [shown(of(axles[name]), quantity) for name in axles]) for label, of, quantity in AXLE_ROWS]
    rows.append(_row("Droop ends", [_droop_ends(standing, name) for name in axles]))
    if any(axle.bump_ends for axle in axles.values()):
        rows.append(_row("Bump ends", [axle.bump_ends or AT_STOP for axle in axles.values()]))
    names = dict.fromkeys(damper.name for axle in axles.values() for damper in axle.dampers)
    for key in names:
        sets = [_set(standing, fitted, name, key) for name in axles]
        for label, of in DAMPER_ROWS:
            cells = [of(*own) if own else "" for own in sets]
            verdict = [_state(label, own[1]) if own else "" for own in sets]
            if any(cells):
                rows.append(_row(label if len(names) < 2 else f"{key}: {label}", cells, verdict))
    return rows


def _droop_ends(standing: Standing, axle: str) -> str:
    """Return what ends an axle's droop; of a strap that nobody has typed, what to type where the truck has none."""
    said = droop_ends(standing, axle)
    return (
        f"{said}: without one write none under “{called(f'{axle}.strap.length').rpartition(': ')[2].capitalize()}”"
        if said.endswith("estimated")
        else said
    )


def _row(label: str, cells: list[str], state: list[str] | None = None) -> dict[str, Any]:
    return {"label": label, "cells": cells, "state": state or ["", ""]}


def _set(standing: Standing, fitted: tuple[Fit, ...], axle: str, name: str) -> tuple[DamperStanding, Fit] | None:
    own = next((damper for damper in standing.axles[axle].dampers if damper.name == name), None)
    fit = next((one for one in fitted if (one.axle, one.name) == (axle, name)), None)
    return None if own is None or fit is None else (own, fit)


def _state(label: str, fit: Fit) -> str:
    if label != FITS:
        # What was estimated from the damper's own lengths says nothing of the truck.
        return "ask" if label in BY_LENGTH_AT_RIDE and AT_RIDE in fit.unmeasured else ""
    return "bad" if fit.problems else "ask" if fit.asks or fit.unmeasured or fit.strap else "good"


def _whole(standing: Standing) -> list[dict[str, str]]:
    rows = [
        ("Above the springs", shown(standing.sprung_mass, "mass")),
        ("Its centre, behind front axle", shown(standing.cg_behind_front_axle, "length")),
        ("Its centre, above ground", shown(standing.cg_above_ground, "length")),
        ("Nose up from as measured", shown(standing.nose_up, "angle")),
    ]
    rows += [
        (
            # An end's damping ratio is that on its springs alone: these are lower, and need not be taken for a contradiction.
            f"{mode.name[0].upper()}{mode.name[1:]}, tyres included",
            f"{mode.frequency_hz:.2f} Hz, damping ratio {mode.damping_ratio:.2f}",
        )
        for mode in standing.modes[:2]
    ]
    rows += [
        (f"{one.label[0].upper()}{one.label[1:]}", f"{shown(one.value, one.quantity)} ({one.point.replace('_', ' ')})")
        for one in standing.clearances
    ]
    return [{"label": label, "text": text} for label, text in rows]


def shown(value: float, quantity: str) -> str:
    """Return a number in both unit systems; a dash if it is not known."""
    return show(value, quantity) if isfinite(value) else "–"


AXLE_ROWS: tuple[tuple[str, Callable[[AxleStanding], float], str], ...] = (
    ("Load on the ground", lambda axle: axle.load, "load"),
    ("Axle above ground", lambda axle: axle.centre_height, "length"),
    # One sign on every side of the page: the frame's; the axle comes up against it by as much as it goes down.
    (FRAME_UP[0].upper() + FRAME_UP[1:], lambda axle: -axle.jounce, "length"),
    ("Springs at the axle", lambda axle: axle.wheel_rate, "stiffness"),
    ("Ride frequency", lambda axle: axle.ride_frequency, "frequency"),
    ("Damping ratio", lambda axle: axle.damping_ratio, "number"),
    ("Bump travel left", lambda axle: axle.travel_left_up, "length"),
    ("Droop left", lambda axle: axle.droop_left, "length"),
)
FITS, LENGTH, STROKE_IN, STROKE_OUT = "Damper fits", "Damper, eye to eye", "Stroke left inwards", "Stroke left outwards"
BY_LENGTH_AT_RIDE = (LENGTH, STROKE_IN, STROKE_OUT)
"""Rows that say nothing of the truck while its dampers' length at ride is estimated."""


DAMPER_ROWS: tuple[tuple[str, Callable[[DamperStanding, Fit], str]], ...] = (
    (LENGTH, lambda own, fit: shown(own.length, "length")),
    (STROKE_IN, lambda own, fit: shown(own.stroke_left_in, "length")),
    (STROKE_OUT, lambda own, fit: shown(own.stroke_left_out, "length")),
    ("Lean, whole", lambda own, fit: f"{degrees(fit.places['ride'].lean):.0f} deg"),
    ("Damper travel by wheel travel", lambda own, fit: f"{own.motion_ratio:.2f}"),
    (FITS, lambda own, fit: "; ".join(fit.problems) or fit.verdict),
)
