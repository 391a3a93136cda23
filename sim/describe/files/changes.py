"""Set-ups: a short list of changes to a vehicle's file, each at the dotted path where a person would look."""

import copy
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from sim.describe.estimates.as_measured import OF_PARTS, REPLACES, TRIGGER, AxleAsMeasured, TruckAsMeasured, as_measured
from sim.describe.estimates.estimate import Estimate
from sim.describe.estimates.other_wheels import (
    KEY,
    SPIN,
    another_size,
    heavier_wheels,
    may_follow,
    wheels_against_spin,
)
from sim.describe.estimates.shape import ASKED_BY, NONE, is_none
from sim.describe.estimates.spring_rate import LEAVES, WIRES
from sim.describe.estimates.truck import AXLES
from sim.describe.files.messages import nearest
from sim.describe.files.reader import Document, Mark, Place
from sim.describe.files.renewed import notice, value_in_new_words
from sim.describe.old_words import Both, new_path, new_steps
from sim.describe.parts.springs import SPRINGS
from sim.describe.to_measure import listed
from sim.errors import InputError, Problem

SHOP_KEYS = frozenset(key for model in OF_PARTS for key in model.model_fields)
OF_AN_AXLE, OF_THE_TRUCK = frozenset(AxleAsMeasured.model_fields), frozenset(TruckAsMeasured.model_fields)
"""Keys of a shop's own that are of a part, which a set-up may change, and those that are of the truck as it was measured."""

OF_DIMENSIONS = frozenset((*WIRES, *LEAVES, "full_length_leaves", "rate_factor"))
"""Keys of a spring's wire or leaves, from which its rate follows."""

WHOLE = tuple(frozenset(kind.MADE_OF) for kind in SPRINGS)
"""What a rate follows from without anything else: a coil's wire, a pack's leaves."""

BY_NAME = ("dampers", "springs", "loads", "points")
"""Mappings from names that people choose; entries may be added to them."""


def changed(
    document: Document, changes: Mapping[str, object], marks: Mapping[str, Mark] | None = None, setup: str = ""
) -> Document:
    """Return a document with changes made; errors in them will point to where the changes stand.

    Parameters
    ----------
    changes : mapping
        From a dotted path to its new value; `none` takes the part out.
    marks : mapping, optional
        Where each change is written.

    Raises
    ------
    InputError
        If paths are not understood; all of them at once.
    """
    new, problems = changed_as_far_as_it_goes(document, changes, marks, setup)
    if problems:
        raise InputError(problems)
    return new


def changed_as_far_as_it_goes(
    document: Document, changes: Mapping[str, object], marks: Mapping[str, Mark] | None = None, setup: str = ""
) -> tuple[Document, list[Problem]]:
    """Return a document with the changes whose paths are understood, and what is wrong with the others."""
    # Set-ups share one file: a change must not reach the vehicle they start from, nor the set-up after this one.
    data = copy.deepcopy(document.data)
    new = replace(
        document,
        data=data,
        marks=dict(document.marks),
        key_marks=dict(document.key_marks),
        estimates=dict(document.estimates),
        notices=list(document.notices),
    )
    problems = []
    places: set[str] = set()
    for path, value in changes.items():
        # Changes given by a program have no line of a file; the message then has the path alone.
        mark = (marks or {}).get(path)
        place = new_path(path)
        if place in places:
            problem: tuple[str, str] | None = f"'{place}' is given twice, once in its old words", f"delete '{path}'"
        else:
            problem = _change(new, path, value, marks or {})
        places.add(place)
        if problem:
            # All problems are collected, so that a person corrects a file once and not line by line.
            where = f"setups.{setup}.{path}" if setup else path
            problems.append(
                Problem(
                    problem[0],
                    mark.file if mark else "",
                    mark.line if mark else None,
                    mark.column if mark else None,
                    where,
                    suggestion=problem[1],
                )
            )
    at = [tuple(place.split(".")) for place in places]
    _one_rate(new, at)
    _anew(new, at)
    _other_wheels(document, new, at)
    _no_straps_of_itself(new)
    return new, problems


OF_HALVES = frozenset(("length", "clamped", "halves"))
"""Keys of a pack each of which, where nobody gave it, follows from the others."""


def _anew(document: Document, places: Iterable[Place]) -> None:
    """Forget what is estimated from leaf packs where a set-up changes these, so that it is found anew by the same rule.

    What somebody gave stays, as nobody knows how it would follow: `sim.describe.files.given_with_old_packs` says so.
    """
    for axle, *inside in places:
        if inside[:1] != ["springs"] and inside[:2] != ["guide", "fixed_half_length"]:
            continue
        gone: list[Place] = [(axle, "guide", "wind_up", key) for key in ("rate", "damping")]
        if inside[0] == "springs":
            gone.append((axle, "guide", "fixed_half_length"))
        if inside[0] == "springs" and len(inside) > 2:
            pack: Place = (axle, *inside[:2])
            gone.append((*pack, "friction"))
            if inside[2] in OF_HALVES:
                gone += [
                    (*pack, *rest) for rest in (("length",), ("clamped",), ("halves", "ahead"), ("halves", "behind"))
                ]
        for place in gone:
            # Not what the set-up itself has just given.
            if place in document.estimates:
                del document.estimates[place]
                _without(document.data, place)


def _other_wheels(document: Document, new: Document, places: Sequence[Place]) -> None:
    """Let wheels of another size weigh what such wheels weigh, on an axle whose mass the set-up does not give itself."""
    if not as_measured(document.data):
        return
    for axle in dict.fromkeys(str(place[0]) for place in places if may_follow(place)):
        part = new.data.get(axle)
        tyre = part.get("tyre") if isinstance(part, dict) else None
        if not isinstance(tyre, dict):
            continue
        given = {place[2] for place in places if place[:2] == (axle, "tyre") and len(place) > 2}
        # A whole tyre has no more than the set-up writes.
        given |= set(tyre) if (axle, "tyre") in places else set()
        # A radius that was taped is that of the tyres before. The same size written once more brings no others.
        if "radius" not in given and another_size(document.data, new.data, axle):
            tyre.pop("radius", None)
        if KEY not in given and not {(axle, "housing"), (axle, "housing", "mass")} & set(places):
            _follows(new, tyre, (axle, "tyre", KEY), heavier_wheels(document.data, new.data, axle), stays=False)
        if SPIN not in given:
            weighed = KEY in given
            spin = wheels_against_spin(document.data, new.data, axle, weighed)
            _follows(new, tyre, (axle, "tyre", SPIN), spin, stays=True)


def _follows(new: Document, tyre: dict[str, Any], place: Place, one: Estimate | None, stays: bool) -> None:
    """Write what an estimate says of a tyre; where it says nothing, what stands there stays, or goes."""
    if one is None and stays:
        return
    new.estimates.pop(place, None)
    tyre.pop(str(place[-1]), None)
    if one is not None:
        tyre[str(place[-1])] = one.written
        new.estimates[one.place] = one


def _no_straps_of_itself(document: Document) -> None:
    """Leave an axle of a truck as measured without straps where it has none: to fit dampers that are too short for it fits no strap.

    Else whether it has them would be estimated anew, and a set-up would change more than it says.
    """
    if not as_measured(document.data):
        return
    for axle in {place[0] for place in document.estimates if place[0] in AXLES}:
        parts = document.data.get(axle)
        if isinstance(parts, dict) and "strap" not in parts:
            parts["strap"] = NONE


def _one_rate(document: Document, places: Iterable[Place]) -> None:
    """Let the rate, or all of the wire or the leaves, that a set-up gives a spring take the place of the other: to take that out too is nobody's wish.

    A set-up that gives both, or some of the wire alone, says no rate, and is refused for it.
    """
    given: dict[Place, set[str]] = {}
    for *parents, last in places:
        if parents[1:2] == ["springs"] and len(parents) == 3:
            given.setdefault(tuple(parents), set()).add(str(last))
    for spring, keys in given.items():
        node: Any = document.data
        for step in spring:
            node = node.get(step) if isinstance(node, dict) else None
        if not isinstance(node, dict) or "rate" not in node:
            continue
        gone = set[str]()
        if "rate" not in keys:
            gone = {"rate"} if any(keys & whole and whole <= set(node) for whole in WHOLE) else gone
        elif node["rate"] != NONE:
            gone = set(node) & OF_DIMENSIONS - keys
        for key in gone:
            del node[key]
            document.estimates.pop((*spring, key), None)


def _meant(step: str, path: tuple[str, ...], number: int, data: Any) -> str:
    """Return the path that was likely meant where a step is not there: an axle left out, or a load that is to be given whole; empty for none."""
    ends = [end for end in AXLES if isinstance(data.get(end), dict) and step in data[end]] if number == 0 else []
    if ends:
        rest = ".".join(one for one in path if one not in AXLES)
        # The axle may be named farther back.
        named = [end for end in ends if end in path]
        return f"did you mean {' or '.join(f'{end}.{rest}' for end in named or ends)}?"
    if path[:1] == ("loads",) and number == 1:
        return f"give the whole of it: loads.{step}: {{mass: 300 kg, place: {{behind_front_axle: 2.6 m, above_ground: 1 m}}}}"
    return ""


def _change(document: Document, path: str, value: object, written: Mapping[str, Mark]) -> tuple[str, str] | None:
    """Make one change; return what is wrong with it and a hint, or None."""
    # The last step may be new (a key left to its default); the steps before it must be there.
    *parents, last = new_path(path).split(".")
    measured = as_measured(document.data)
    if measured and (path in OF_THE_TRUCK or parents[:1] == [TRIGGER] or last in OF_AN_AXLE):
        return (
            "this is of the truck as it was measured, which every set-up starts from",
            "a set-up changes parts and loads",
        )
    if not all((*parents, last)):
        return "a step of this path is empty: names with one point between them are wanted", path.strip(".").replace(
            "..", "."
        )
    node: Any = document.data
    for number, step in enumerate(parents):
        # A first damper or load for a truck that has none: the vehicle's file need not have an empty mapping for it.
        if isinstance(node, dict) and step not in node and step in BY_NAME and number == len(parents) - 1:
            node[step] = {}
        # A strap or a stop for an axle of a truck as measured that has none: what is not said of it is estimated, as in its file.
        fitted = measured and number == 1 and step in ASKED_BY and number == len(parents) - 1 and isinstance(node, dict)
        if fitted and (step not in node or is_none(node[step])):
            node[step] = {}
        if not isinstance(node, dict) or step not in node:
            known = list(node) if isinstance(node, dict) else []
            whole = ".".join(parents[:number])
            # Names that people chose are few, and nobody else can know them.
            has = "it has " + listed([f"'{one}'" for one in known]) if known and whole.split(".")[-1] in BY_NAME else ""
            meant, near = _meant(step, (*parents, last), number, document.data), nearest(step, known)
            # A name misspelt is likelier than a new one; of a part its axle is missing.
            hint = (meant or near) if number == 0 else (near or meant)
            return f"the vehicle has no '{step}'" + (f" in '{whole}'" if whole else ""), hint or has
        node = node[step]
    if not isinstance(node, dict):
        return f"'{'.'.join(parents)}' is a single value and has nothing inside it", ""
    place: Place = (*parents, last)
    # Only a set-up's own words: those of the vehicle's file are new by now.
    mark = written.get(path)
    at = mark or Mark(document.name, 1, 1)
    if place != tuple(path.split(".")):
        document.notices.append(notice(at, (path,), path, ".".join(map(str, place))))
    # YAML's null and the word, which reads better
    if value is None or (isinstance(value, str) and value.strip().lower() == "none"):
        if last not in node:
            return f"there is no '{last}' to take out", nearest(last, list(node))
        # Left as a word in a truck as measured, for which it would else be estimated again.
        if measured:
            node[last] = NONE
            _no_longer_estimated(document, place)
        else:
            del node[last]
        return None
    try:
        inside = {(*place, *p[len(path) + 1 :].split(".")): m for p, m in written.items() if p.startswith(f"{path}.")}
        node[last] = value_in_new_words(copy.deepcopy(value), place, inside, at, document.notices)
    except Both as both:
        return str(both), f"delete '{both.old}'"
    if measured:
        _no_longer_estimated(document, place)
    # Marks of what stood here lead into the vehicle's file, where the new value is not to be found.
    for marks in (document.marks, document.key_marks):
        for old in [p for p in marks if p[: len(place)] == place]:
            del marks[old]
    if mark is not None:
        document.marks[place] = document.key_marks[place] = mark
        for within, one in inside.items():
            document.marks[new_steps(within)] = document.key_marks[new_steps(within)] = one
    return None


def _no_longer_estimated(document: Document, place: Place) -> None:
    """Forget what was estimated where a set-up has something of its own.

    What is estimated from a shop's own number is estimated anew: another tyre size has another radius and rate.
    """
    shop = place[-1] in SHOP_KEYS
    around = place[:-1] if shop else place
    for old in [one for one in document.estimates if one[: len(around)] == around]:
        del document.estimates[old]
        if shop:
            _without(document.data, old)
    for other in REPLACES.get(str(place[-1]), ()) if shop else ():
        _without(document.data, (place[0], *other.split(".")))


def _without(data: Any, place: Place) -> None:
    """Take what stands at a place out of data."""
    for step in place[:-1]:
        data = data.get(step) if isinstance(data, dict) else None
    if isinstance(data, dict):
        data.pop(place[-1], None)
