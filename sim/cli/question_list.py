"""Which questions `jounce new` asks, in which order: those that matter most, what is planned, and the rest by heading, each offered first."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from sim.describe.doubt import NO_SOURCE
from sim.describe.estimates.fields import Field, fields, text_at
from sim.describe.estimates.shape import ASKED_BY, is_none
from sim.describe.estimates.truck import AXLES, WRITTEN_IN
from sim.describe.usual import PLANNED as USUAL_PLANS

MOST = "What matters most"
"""Heading of the questions that are asked of everybody."""

PLANNED, MORE = "What is planned", "More"
"""Headings that are offered: whoever says no goes past them."""

GATE = "yes or no"
"""Kind of a question that is answered y or n."""

_D, _C, _P = "{axle}.dampers.main", "{axle}.springs.coil", "{axle}.springs.pack"

FIRST = (
    "weighed.front", "weighed.rear", "weighed.aboard", "wheelbase", "{axle}.tyre.size", "{axle}.tyre.pressure", "{axle}.springs", f"{_C}.rate",
    f"{_P}.rate", f"{_D}.length_extended", f"{_D}.length_collapsed",
)  # fmt: skip
"""Asked first, of both axles where they are of one: twelve questions, and a rate or a length more where an answer leaves it open."""


@dataclass(frozen=True)
class TwoBoxes:
    """One question that takes what are two boxes of the form.

    Attributes
    ----------
    other : str
        Path of the second box.
    either : bool
        An answer is of one box or of the other; otherwise of both, with a comma between, and half of it leaves the second box to ask for.
    label, example : str
        The question's, in place of the first box's.
    """

    other: str
    either: bool
    label: str
    example: str


TWO_BOXES = {
    "{axle}.tyre.size": TwoBoxes(
        "{axle}.tyre.outside_diameter", True, "{axle} tyre, size on its wall, or outside diameter", "33x12.50R15, or 33 in"
    ),
    f"{_D}.length_extended": TwoBoxes(
        f"{_D}.length_collapsed", False, "{axle} damper, eye to eye: fully out, and fully in", "23.5 in, 14.25 in"
    ),
}  # fmt: skip
"""Questions that take two boxes of the form, by the path of the first one."""

BY_DIMENSIONS = {
    f"{_C}.rate": tuple(f"{_C}.{key}" for key in ("wire_diameter", "coil_diameter", "active_coils")),
    f"{_P}.rate": tuple(f"{_P}.{key}" for key in ("leaves", "full_length_leaves", "leaf_width", "leaf_thickness", "length", "clamped", "halves.ahead", "halves.behind")),
}  # fmt: skip
"""Questions that take a spring by its dimensions instead, one after the other (`coil_list`, `leaf_list`): the boxes that these go into."""

COIL_WORDS = (
    "{axle} coil: rate of one, or its wire, mean diameter and active turns", "190 lb/in, or 0.63 in, 5.5 in, 8.5",
)  # fmt: skip
"""How a coil is asked for, and an answer."""

LEAVES_WORDS = (
    "{axle} leaf pack: rate of one, or its leaves, those of full length, width, thickness, and both halves from eye to the nearer U-bolt, or all eye to eye and what the U-bolts hold of it",
    "230 lb/in, or 7, 2, 2 1/2 in, 0.28 in, 22 in, 24 in",
)
"""How a leaf pack is asked for, and an answer."""

NEEDS = {
    f"{_D}.length_collapsed": f"{_D}.length_extended", "{axle}.tyre.jacked.height": "{axle}.tyre.jacked.load",
    "weighed.lifted.by": "weighed.lifted.axle", "weighed.lifted.other": "weighed.lifted.axle",
}  # fmt: skip
"""What is asked only once something else was answered, by path."""

TOGETHER = ("weighed.lifted", "front.tyre.jacked", "rear.tyre.jacked")
"""What says nothing unless all of it is there."""

INSTEAD = {
    **{f"{_C}.{key}": f"{_C}.rate" for key in ("wire_diameter", "coil_diameter", "active_coils")},
    **{f"{_P}.{key}": f"{_P}.rate" for key in ("leaves", "full_length_leaves", "leaf_width", "leaf_thickness", "length", "clamped")},
}  # fmt: skip
"""What is asked only where something else was not answered, by path."""

NOTHING = "nothing is planned there"
"""What is taken where a plan is skipped, or answered with a size of nothing."""

PLANS = (
    ("planned.lift.front", "lift in front, by longer springs (minus: lowered)", "length", "2 in"),
    ("planned.lift.rear", "lift behind, by longer springs (minus: lowered)", "length", "2 in"),
    ("planned.engine", "another engine: how much heavier (minus: lighter)", "mass", "180 lb"),
    ("planned.winch", "bumper and winch in front", "mass", "165 lb"),
    ("planned.cargo", "cargo over the rear axle, at most", "mass", "660 lb"),
    # Last, as answers that are kept in a file come line by line.
    ("planned.tyres.front", "other tyres in front, size on their wall, or outside diameter", "length", "35x12.50R15, or 35 in"),
    ("planned.tyres.rear", "other tyres behind, size on their wall, or outside diameter", "length", "35x12.50R15, or 35 in"),
)  # fmt: skip
"""What may be planned: path of the answer, label, quantity and example."""


@dataclass(frozen=True)
class Item:
    """One question.

    Attributes
    ----------
    head : str
        Heading under which it comes.
    field : Field
        What is asked; of kind GATE, whether to go through the heading that its path names.
    behind : tuple of str
        Headings that must have been agreed to before it is asked.
    """

    head: str
    field: Field
    behind: tuple[str, ...] = ()


def items() -> tuple[Item, ...]:
    """Return every question in its order."""
    known = {one.path: _worded(one) for one in fields()}
    # Where one box or the other is filled in, the first one's question takes both.
    never = {two.other.format(axle=axle) for two in TWO_BOXES.values() if two.either for axle in AXLES}
    # Front and rear of one thing together, so that `same` can follow.
    first = _in_pairs(FIRST)
    most = [Item(MOST, known[path]) for path in first]
    plans = [Item(PLANNED, _plan(*plan), (PLANNED,)) for plan in PLANS]
    rest: dict[str, list[Field]] = {}
    for path, field in known.items():
        if path not in first and path not in never:
            rest.setdefault(field.step, []).append(field)
    more = [Item(MORE, _gate(MORE))]
    for step, own in rest.items():
        more.append(Item(MORE, _gate(step), (MORE,)))
        more += [Item(step, field, (MORE, step)) for field in own]
    return (*most, Item(PLANNED, _gate(PLANNED)), *plans, *more)


def _in_pairs(paths: tuple[str, ...]) -> list[str]:
    """Return paths with the axles filled in: springs and what is asked of them axle by axle, other things front and rear."""
    found: list[str] = []
    for path in paths:
        if "{axle}" not in path:
            found.append(path)
    groups: dict[str, list[str]] = {}
    for path in paths:
        if "{axle}" in path:
            part = path.split(".")[1]
            groups.setdefault(path if part == "tyre" else part, []).append(path)
    for group in groups.values():
        found += [path.format(axle=axle) for axle in AXLES for path in group]
    return found


def _worded(field: Field) -> Field:
    place = general(field.path)
    if place in BY_DIMENSIONS:
        label, example = LEAVES_WORDS if place == f"{_P}.rate" else COIL_WORDS
    elif place in TWO_BOXES:
        label, example = TWO_BOXES[place].label, TWO_BOXES[place].example
    else:
        return field
    label = label.format(axle=_axle(field.path))
    return replace(field, label=label[0].upper() + label[1:], example=example)


def _axle(path: str) -> str:
    return path.partition(".")[0]


def general(path: str) -> str:
    """Return a path as it is written for either axle, with `{axle}` in it; one that is of no axle as it is."""
    axle, dot, rest = path.partition(".")
    return f"{{axle}}{dot}{rest}" if axle in AXLES else path


def front_of(path: str) -> str:
    """Return the path of the front axle's question beside a rear one's: `planned.lift.rear`, `weighed.rear_unsprung`; others as they are."""
    return re.sub(r"(?<![a-z])rear(?![a-z])", "front", path, count=1)


def rear_of(path: str) -> str:
    """Return the path of the rear axle's question beside a front one's."""
    return re.sub(r"(?<![a-z])front(?![a-z])", "rear", path, count=1)


def beside(path: str) -> str:
    """Return the box that one question may take along, by the path of the other one; without such a box the path itself."""
    two = TWO_BOXES.get(general(path))
    return path if two is None else two.other.format(axle=_axle(path))


def taken_along(path: str) -> tuple[str, ...]:
    """Return the boxes that the answer to one question may fill in beside its own."""
    other, leaves = beside(path), BY_DIMENSIONS.get(general(path), ())
    return (*((other,) if other != path else ()), *(one.format(axle=_axle(path)) for one in leaves))


def _plan(path: str, label: str, quantity: str, example: str) -> Field:
    units, usual = WRITTEN_IN[quantity], USUAL_PLANS[path.split(".")[1]]
    return Field(
        path, label[0].upper() + label[1:], PLANNED, quantity, units, example, (), usual.low, usual.high, usual.of, usual.source,
        NOTHING, "", NO_SOURCE, "",
    )  # fmt: skip


def _gate(head: str) -> Field:
    return Field(head, head, head, GATE, (), "", ("y", "n"), None, None, "", "", "no", "", NO_SOURCE, "README.md")


def is_asked(field: Field, data: Mapping[str, Any], known: Mapping[str, Field]) -> bool:
    """Tell whether what was answered before leaves a question open."""

    def there(path: str) -> bool:
        return bool(text_at(data, known[path]))

    axle, path = _axle(field.path), general(field.path)
    if field.when and text_at(data, known[field.when[0]]) != field.when[1]:
        return False
    if path in NEEDS and not there(NEEDS[path].format(axle=axle)):
        return False
    part = path.split(".")[1] if path != field.path else ""
    if part in ASKED_BY and there(by := f"{axle}.{part}.{ASKED_BY[part]}") and is_none(text_at(data, known[by])):
        return by == field.path  # of a stop that the axle has not nothing else is asked
    # What has a value already is asked all the same: only so can it be changed or left out.
    return not (path in INSTEAD and there(INSTEAD[path].format(axle=axle)) and not there(field.path))
