"""What a shop can fill in about a truck, in the order in which it measures; every field can be left empty."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from sim.describe.doubt import NO_SOURCE
from sim.describe.estimates import ESTIMATES
from sim.describe.estimates.as_measured import LOADS_OF_PEOPLE, TRIGGER, person_of
from sim.describe.estimates.completing import filled
from sim.describe.estimates.shape import ASKED_BY, NONE, USUAL, is_none
from sim.describe.estimates.truck import AXLES, WRITTEN_IN, Truck, shown_in_inches
from sim.describe.estimates.tyres import tyre
from sim.describe.estimates.valving import RATIOS
from sim.describe.estimates.weights import axle_load
from sim.describe.usual import USUAL_RANGES, Usual

CHOICE, COUNT, PAIR, TEXT, WORDS = "choice", "count", "pair", "text", "words"
"""Kinds of field beside physical quantities: one of some words, a whole number, two quantities, a text, words with commas between."""

PERSONS = "driver, half a tank"


@dataclass(frozen=True)
class Field:
    """One thing that a shop can fill in.

    Attributes
    ----------
    path : str
        Where it stands in a vehicle's mapping.
    label : str
        What it is, in words.
    step : str
        Under which heading of the measuring it comes.
    kind : str
        A quantity (a key of `describe.shown.SHOWN`), or CHOICE, COUNT, PAIR, TEXT, WORDS.
    units : tuple of str
        Units in which it is usually written, metric and inch; every other that fits is read as well.
    example : str
        As somebody would write it.
    choices : tuple of str
        Words to choose from, of a CHOICE.
    low, high : float or None
        Usual range [SI]; outside of it a value is possible, but hardly meant.
    range_of, range_source : str
        Whose range it is, and from where.
    estimate : str
        What it is estimated from where it is left empty.
    reach, source : str
        For which trucks that is valid, and from where it is.
    page : str
        Page of docs/measure that says how to measure it.
    when : tuple of (str, str), or empty
        It is asked only where the CHOICE at this path has this word.
    """

    path: str
    label: str
    step: str
    kind: str
    units: tuple[str, ...]
    example: str
    choices: tuple[str, ...]
    low: float | None
    high: float | None
    range_of: str
    range_source: str
    estimate: str
    reach: str
    source: str
    page: str
    when: tuple[str, str] | tuple[()] = ()


@dataclass(frozen=True)
class _Line:
    """A field before it is put beside its rule and its range; `{axle}` is each axle."""

    path: str
    label: str
    kind: str
    example: str
    usual: str
    page: str
    estimate: str = ""
    choices: tuple[str, ...] = ()
    when: tuple[str, str] | tuple[()] = ()
    # As somebody would write it of the rear axle, where that is another number: what is counted from the front axle.
    rear: str = ""
    # What is taken of the rear axle where it is left out, if that is another than of the front one.
    estimate_rear: str = ""


COIL, LEAF = "coils", "leaf packs"
SPRINGS = {COIL: ("coil", "coil"), LEAF: ("pack", "leaf_pack")}
"""Words for the springs of an axle: the name they get and their kind."""

USUAL_SPRINGS = {axle: next(word for word, named in SPRINGS.items() if named == USUAL[axle]) for axle in AXLES}
"""By axle the word for its springs where nobody has said what they are."""

ON_COILS, ON_LEAVES = ("{axle}.springs", COIL), ("{axle}.springs", LEAF)
C, P, D = "{axle}.springs.coil", "{axle}.springs.pack", "{axle}.dampers.main"


def _place(path: str, label: str, along: str, up: str) -> tuple[_Line, _Line]:
    """Return the two lines of a point of the body's outline: along the truck, and up."""
    return (
        _Line(f"{path}.behind_front_axle", f"{label}, behind the front axle (minus: ahead)", "length", along, "", "clearances.md", "not looked at"),
        _Line(f"{path}.above_ground", f"{label}, above the ground", "length", up, "", "clearances.md", "not looked at"),
    )  # fmt: skip


STEPS: dict[str, tuple[_Line, ...]] = {
    "Weigh, one axle at a time": (
        _Line("weighed.front", "front axle on the scale", "mass", "2450 lb", "Weighed.front", "weights.md", "a usual truck of 1900 kg (4200 lb), 55 % of it in front"),
        _Line("weighed.rear", "rear axle on the scale", "mass", "1780 lb", "Weighed.rear", "weights.md", "a usual truck of 1900 kg (4200 lb), 45 % of it behind"),
        _Line("weighed.aboard", "who and what was aboard", WORDS, PERSONS, "", "weights.md", "nobody was aboard; driver and passenger are loads, the rest a part of the body"),
    ),
    "Tape along the truck": (
        _Line("wheelbase", "wheelbase", "length", "92 in", "Vehicle.wheelbase", "weights.md"),
        _Line("overall_length", "length bumper to bumper", "length", "12 ft 10 in", "TruckAsMeasured.overall_length", "pitch-inertia.md", "the pitch inertia then follows from the wheelbase"),
        _Line("{axle}.axle_height", "{axle} axle's centre above the ground", "length", "15 3/4 in", "AxleAsMeasured.axle_height", "tyre.md", "the tyre's radius less what it gives"),
        _Line("{axle}.frame_height", "lower edge of the frame above the ground, over the {axle} axle", "length", "22 in", "AxleAsMeasured.frame_height", "centre-of-gravity.md", "the height of the centre of gravity then follows from the axles"),
    ),
    "Tyres": (
        _Line("{axle}.tyre.size", "{axle} tyre, size on its wall", TEXT, "33x12.50R15", "", "tyre.md", "the outside diameter, the other axle's tyre, or a usual size"),
        _Line("{axle}.tyre.outside_diameter", "{axle} tyre, outside diameter", "length", '33"', "TyreAsMeasured.outside_diameter", "tyre.md", "the size on its wall, the height of the axle, or the other axle's tyre"),
        _Line("{axle}.tyre.pressure", "{axle} tyre, pressure", "pressure", "32 psi", "TyreAsMeasured.pressure", "tyre.md", "a usual pressure of 2.2 bar (32 psi)"),
        _Line("{axle}.tyre.jacked.load", "{axle} tyre, two loads on jack and scale", PAIR, "800 lb, 1300 lb", "", "tyre.md", "the rate then follows from size and pressure"),
        _Line("{axle}.tyre.jacked.height", "{axle} axle's height under each load", PAIR, "15.9 in, 15.6 in", "", "tyre.md", "the rate then follows from size and pressure"),
    ),
    "Springs": (
        _Line("{axle}.springs", "{axle} springs", CHOICE, COIL, "", "spring-rate.md", USUAL_SPRINGS["front"], tuple(SPRINGS), rear=LEAF, estimate_rear=USUAL_SPRINGS["rear"]),
        _Line(f"{C}.rate", "{axle} coil, rate", "stiffness", "190 lb/in", "Coil.rate", "spring-rate.md", when=ON_COILS),
        _Line(f"{C}.wire_diameter", "{axle} coil, wire", "length", "0.61 in", "Coil.wire_diameter", "spring-rate.md", "only instead of the rate", when=ON_COILS),
        _Line(f"{C}.coil_diameter", "{axle} coil, mean diameter", "length", "5.1 in", "Coil.coil_diameter", "spring-rate.md", "only instead of the rate", when=ON_COILS),
        _Line(f"{C}.active_coils", "{axle} coil, active turns", "number", "7.5", "", "spring-rate.md", "only instead of the rate", when=ON_COILS),
        _Line(f"{C}.free_length", "{axle} coil, length without load", "length", "17 in", "Coil.free_length", "spring-rate.md", "found so that the truck stands as measured", when=ON_COILS),
        _Line(f"{C}.length_at_ride", "{axle} coil as the truck stands, end to end", "length", "13 in", "CoilAsMeasured.length_at_ride", "spring-rate.md", "a usual length; it decides what coil is ordered", when=ON_COILS),
        _Line(f"{C}.spacer", "{axle} coil, thickness of the spacer on it", "length", "1 1/2 in", "Coil.spacer", "spring-rate.md", "no spacer", when=ON_COILS),
        _Line(f"{P}.rate", "{axle} leaf pack, rate of one", "stiffness", "230 lb/in", "LeafPack.rate", "spring-rate.md", when=ON_LEAVES),
        _Line(f"{P}.leaves", "{axle} leaf pack, number of leaves", COUNT, "7", "", "spring-rate.md", "only instead of the rate", when=ON_LEAVES),
        _Line(f"{P}.full_length_leaves", "{axle} leaf pack, leaves of full length", COUNT, "2", "", "spring-rate.md", "one", when=ON_LEAVES),
        _Line(f"{P}.leaf_width", "{axle} leaf pack, width of a leaf", "length", "2 1/2 in", "LeafPack.leaf_width", "spring-rate.md", "only instead of the rate", when=ON_LEAVES),
        _Line(f"{P}.leaf_thickness", "{axle} leaf pack, thickness of a leaf", "length", "0.28 in", "LeafPack.leaf_thickness", "spring-rate.md", "only instead of the rate", when=ON_LEAVES),
        _Line(f"{P}.length", "{axle} leaf pack, whole length eye to eye", "length", "46 in", "LeafPack.length", "spring-rate.md", "the sum of its two halves, or a usual length", when=ON_LEAVES),
        _Line(f"{P}.clamped", "{axle} leaf pack, how much of that length the U-bolts hold", "length", "4 in", "LeafPack.clamped", "spring-rate.md", when=ON_LEAVES),
        _Line(f"{P}.halves.ahead", "{axle} leaf pack, front eye to the nearer U-bolt", "length", "22 in", "Leaf.fixed_half_length", "arms-and-leaves.md", "the whole length less the other half, or a usual half", when=ON_LEAVES),
        _Line(f"{P}.halves.behind", "{axle} leaf pack, rear eye to the nearer U-bolt", "length", "24 in", "Leaf.fixed_half_length", "arms-and-leaves.md", "the whole length less the other half, or a usual half", when=ON_LEAVES),
        _Line(f"{P}.block", "{axle} leaf pack, thickness of the lift block", "length", "2 in", "LeafPack.block", "spring-rate.md", "no block", when=ON_LEAVES),
        _Line(f"{P}.seat_above", "{axle} leaf pack, middle of the main leaf over the axle's centre, without a block; a minus under it", "length", "2.75 in", "", "wind-up.md", "at the centre", when=ON_LEAVES),
        _Line(f"{P}.friction", "{axle} leaf pack, friction of one", "force", "60 lbf", "LeafPack.friction", "leaf-friction.md", when=ON_LEAVES),
        _Line("{axle}.guide.pivot.behind_front_axle", "pivot of the {axle} arms, behind the front axle", "length", "36 in", "", "arms-and-leaves.md", rear="56 in", when=ON_COILS),
        _Line("{axle}.guide.pivot.above_ground", "pivot of the {axle} arms, above the ground", "length", "20 in", "", "arms-and-leaves.md", when=ON_COILS),
    ),
    "Travel": (
        _Line("{axle}.stop.gap", "{axle} bump stop, gap at ride height; none if there is none", "length", "3 1/4 in", "Stop.gap", "stops-and-straps.md"),
        _Line("{axle}.stop.height", "{axle} bump stop, free height", "length", "2 1/2 in", "StopAsMeasured.height", "stops-and-straps.md", "a usual squeeze of 40 mm (1.6 in)"),
        _Line("{axle}.strap.length", "{axle} limit strap, length when taut; none if there is none", "length", "17 in", "Strap.length", "stops-and-straps.md"),
    ),
    "Dampers": (
        _Line(f"{D}.count", "{axle} dampers on the axle", COUNT, "2", "", "dampers.md", "two"),
        _Line(f"{D}.length_extended", "{axle} damper fully out, eye to eye", "length", "23.5 in", "DamperSet.length_extended", "dampers.md"),
        _Line(f"{D}.length_collapsed", "{axle} damper fully in, eye to eye", "length", "14.25 in", "DamperSet.length_collapsed", "dampers.md"),
        _Line(f"{D}.length_at_ride", "{axle} damper as the truck stands, eye to eye", "length", "18.9 in", "DamperAsMeasured.length_at_ride", "dampers.md", "half of the stroke left each way"),
        _Line(f"{D}.valving", "{axle} dampers, valving", CHOICE, "stock", "", "dampers.md", "stock", tuple(RATIOS)),
        _Line(f"{D}.construction", "{axle} dampers, how they are built", CHOICE, "twin_tube", "", "dampers.md", "not known", ("twin_tube", "gas_cell", "monotube", "reservoir")),
        _Line(f"{D}.body.behind_front_axle", "{axle} damper, upper mount behind the front axle", "length", "5 in", "", "dampers.md", rear="87 in"),
        _Line(f"{D}.body.above_ground", "{axle} damper, upper mount above the ground", "length", "34 in", "", "dampers.md"),
        _Line(f"{D}.axle.ahead", "{axle} damper, lower mount ahead of the axle's centre (minus: behind)", "length", "-3 in", "", "dampers.md"),
        _Line(f"{D}.axle.above", "{axle} damper, lower mount above the axle's centre (minus: below)", "length", "-1 in", "", "dampers.md"),
        _Line(f"{D}.lean_inward", "{axle} damper, distance across between its mounts", "length", "3 in", "", "dampers.md"),
        _Line(f"{D}.gas_force", "{axle} damper, push of its gas", "force", "25 lbf", "DamperSet.gas_force", "dampers.md"),
    ),
    "If you can: what is guessed worst": (
        _Line("weighed.front_unsprung", "what moves with the front axle, weighed", "mass", "510 lb", "Weighed.front_unsprung", "unsprung-mass.md", "the axle's load and the size of its wheels"),
        _Line("weighed.rear_unsprung", "what moves with the rear axle, weighed", "mass", "450 lb", "Weighed.rear_unsprung", "unsprung-mass.md", "the axle's load and the size of its wheels"),
        _Line("weighed.lifted.axle", "which axle was lifted on the scale", CHOICE, "rear", "", "centre-of-gravity.md", "none: the height of the centre of gravity then follows from the axles or the frame", ("front", "rear")),
        _Line("weighed.lifted.by", "how far it was lifted", "length", "24 in", "Lifted.by", "centre-of-gravity.md", "as above"),
        _Line("weighed.lifted.other", "what the scale then said under the other axle", "mass", "2535 lb", "", "centre-of-gravity.md", "as above"),
        _Line("body.pitch_inertia", "pitch inertia of the body, by a swing or push test", "inertia", "46000 lb ft^2", "", "pitch-inertia.md"),
        _Line("{axle}.guide.wind_up.rate", "{axle} axle's rate against wind-up", "angular_stiffness", "320 lbf ft/deg", "WindUp.rate", "wind-up.md"),
    ),
    # Last, as answers that are kept in a file come line by line.
    "Clearances": (
        *_place("outline.under.front_end", "lowest point ahead of the front tyres", "-28 in", "20 in"),
        *_place("outline.under.belly", "lowest point between the axles", "50 in", "14 in"),
        *_place("outline.under.rear_end", "lowest point behind the rear tyres", "120 in", "22 in"),
        *_place("outline.front_wing.edge", "front wing where it is nearest to the tyre", "3 in", "36 in"),
        *_place("outline.rear_wing.edge", "rear wing where it is nearest to the tyre", "95 in", "37 in"),
    ),
}  # fmt: skip
"""The form, by its headings."""

RULE_OF = {rule.path: rule for rule in ESTIMATES}


@cache
def fields() -> tuple[Field, ...]:
    """Return every field, in the order in which a shop measures."""
    return tuple(_field(step, line, axle) for step, lines in STEPS.items() for line, axle in _in_order(lines))


def _in_order(lines: tuple[_Line, ...]) -> list[tuple[_Line, str]]:
    """Return lines with the axle each is of: whatever is of an axle first for the front one and then for the rear one."""
    plain = [(line, "") for line in lines if "{axle}" not in line.path]
    return plain + [(line, axle) for axle in AXLES for line in lines if "{axle}" in line.path]


def _field(step: str, line: _Line, axle: str) -> Field:
    usual: Usual | None = USUAL_RANGES.get(line.usual)
    path = line.path.format(axle=axle)
    rule = RULE_OF.get(
        line.path.replace(".coil.", ".{name}.").replace(".pack.", ".{name}.").replace(".main.", ".{name}.")
    )
    when = (line.when[0].format(axle=axle), line.when[1]) if line.when else ()
    label = line.label.format(axle=axle)
    return Field(
        path, label[0].upper() + label[1:], step, line.kind, WRITTEN_IN.get(line.kind, ()), line.rear if axle == "rear" and line.rear else line.example, line.choices,
        usual.low if usual else None, usual.high if usual else None, usual.of if usual else "", usual.source if usual else "",
        (line.estimate_rear if axle == "rear" else "") or line.estimate or (rule.of if rule else ""), rule.reach if rule else "", rule.source if rule else NO_SOURCE, line.page, when,
    )  # fmt: skip


def text_at(mapping: Mapping[str, Any], field: Field) -> str:
    """Return what a mapping has at a field, as somebody would type it; empty if it has nothing."""
    inside: Any = mapping
    for step in field.path.split("."):
        if step in ASKED_BY.values() and is_none(inside):
            return NONE  # the axle is without the part of which this is asked
        inside = inside.get(step) if isinstance(inside, Mapping) else None
    if field.kind == CHOICE and field.path.endswith(".springs"):
        return next((word for word, (name, _) in SPRINGS.items() if isinstance(inside, Mapping) and name in inside), "")
    if isinstance(inside, list | tuple):
        return ", ".join(map(str, inside))
    return "" if inside is None or isinstance(inside, Mapping) else str(inside)


def with_text(mapping: Mapping[str, Any], field: Field, text: str) -> dict[str, Any]:
    """Return a mapping with what somebody typed at a field; an empty text takes it out.

    What is typed is put in as it is, right or wrong: whoever reads the file says what is wrong with it.
    """
    return with_text_at(mapping, field.path, text, field)


def with_text_at(mapping: Mapping[str, Any], path: str, text: str, field: Field | None = None) -> dict[str, Any]:
    """Return as `with_text`, at any path; of one that is no field a whole number is one, and all else is text."""
    value: Any = " ".join(text.split())
    steps = path.split(".")
    if field is None:
        return _put({TRIGGER: {}, **mapping}, steps, int(value) if value.isdigit() else value)
    if field.kind in (PAIR, WORDS):
        value = [one.strip() for one in re.split("[,;]" if field.kind == WORDS else ",", value) if one.strip()]
        value = [word for one in value for word in (aboard_words(one) if field.kind == WORDS else [one])]
    elif field.kind == COUNT and value.isdigit():
        value = int(value)
    elif field.kind == "number" and value.replace(".", "", 1).isdigit():
        value = float(value)
    if field.kind == CHOICE and field.path.endswith(".springs"):
        return _with_springs(mapping, steps, value)
    return _put({TRIGGER: {}, **mapping}, steps, value)


def aboard_words(text: str) -> list[str]:
    """Return what one text says was aboard: `driver and passenger` are two; what names nobody who is a load of its own stays as it is."""
    words = [one.strip() for one in re.split(r"\band\b|[&+]", text) if one.strip()]
    words = [one.lower() if one.lower() in LOADS_OF_PEOPLE else one for one in words]
    return words if any(person_of(one) for one in words) else [text]


def _with_springs(mapping: Mapping[str, Any], steps: list[str], word: str) -> dict[str, Any]:
    """Return a mapping with the springs that a word says, and those of the other kind gone."""
    data = _put({TRIGGER: {}, **mapping}, steps, "")
    if word not in SPRINGS:
        return data
    name, kind = SPRINGS[word]
    before = text_at(mapping, next(field for field in fields() if field.path == ".".join(steps)))
    if before == word:
        return dict(mapping)
    return _put(data, [*steps, name], {"kind": kind})


def _put(data: Mapping[str, Any], steps: list[str], value: Any) -> dict[str, Any]:
    """Return data with a value at some steps, an empty one taken out together with what it leaves empty."""
    first, rest = steps[0], steps[1:]
    inner = data.get(first)
    new = _put(inner if isinstance(inner, Mapping) else {}, rest, value) if rest else value
    kept = {key: one for key, one in data.items() if key != first}
    if new in ("", [], {}) and first != TRIGGER:
        return kept
    return {key: new if key == first else one for key, one in data.items()} if first in data else {**kept, first: new}


def taken(mapping: Mapping[str, Any]) -> dict[str, str]:
    """Return what is taken at each field that is left empty, by its path, as a file would have it, in the units that are shown now."""
    data, estimates = filled(mapping if TRIGGER in mapping else {**mapping, TRIGGER: {}})
    found = {one.path: one.shown for one in estimates}
    truck = Truck(data)
    truck.inches = shown_in_inches(Truck(mapping).inches)
    for axle in AXLES:
        load, one = axle_load(truck, axle), tyre(truck, axle)
        unsprung = truck.known("mass", axle, "housing", "mass")
        own = {
            f"weighed.{axle}": truck.written(load.value, load.half, "mass", False),
            f"weighed.{axle}_unsprung": truck.written(unsprung, 0.25 * unsprung, "mass", False),
            f"{axle}.tyre.outside_diameter": truck.written(
                2.0 * truck.known("length", axle, "tyre", "radius"), 0.0, "length", False
            ),
            f"{axle}.tyre.pressure": truck.written(one.pressure, 0.15 * one.pressure, "pressure", False),
        }
        found |= own
    return {path: text for path, text in found.items() if has_nothing(mapping, path)}


def has_nothing(mapping: Mapping[str, Any], path: str) -> bool:
    """Tell whether a mapping has nothing at a path."""
    inside: Any = mapping
    for step in path.split("."):
        inside = inside.get(step) if isinstance(inside, Mapping) else None
    return inside is None
