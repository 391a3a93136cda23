"""What an answer to a question of `jounce new` says, and whether it can be."""

import re
from collections.abc import Iterable, Mapping
from typing import Any

from sim.cli.coil_list import LIST as COIL_LIST
from sim.cli.coil_list import coil_list, is_coil_list
from sim.cli.leaf_list import is_leaf_list, leaf_list, turned_round, whole
from sim.cli.notices import note
from sim.cli.question_list import BY_DIMENSIONS, INSTEAD, LEAVES_WORDS, TOGETHER, TWO_BOXES, beside, general
from sim.describe.estimates.fields import CHOICE, COIL, LEAF, PAIR, SPRINGS, Field, has_nothing, with_text, with_text_at
from sim.describe.estimates.truck import AXLES, read_si
from sim.describe.estimates.tyre_size import tyre_size
from sim.describe.files.vehicles import vehicle_from
from sim.describe.notations import in_a_list
from sim.errors import InputError, Problem

LIST = LEAVES_WORDS[1].partition(", or ")[2]
"""A leaf pack by its leaves, as it may be written."""

SPRING_WORDS = re.compile(
    r"\b(?:coils?|leafs?|leaves)(?:[\s-]+(?:springs?|packs?))*(?:\s+(?:of|with))?\b", re.IGNORECASE
)
"""Words for springs, which may stand before their rate or their leaves."""

NUMBER_ALONE = re.compile(r"[+-]?\d[\d.,]*")


class NotTakenError(Exception):
    """An answer that is none: what is wrong with it."""


def replaced(before: Mapping[str, Any], given: Mapping[str, str]) -> dict[str, str]:
    """Return what of a truck gives way to what is given now, each path with an empty text.

    A spring has a rate or the dimensions of its wire or leaves: whoever gives the ones takes out the others.
    """
    gone: dict[str, str] = {}
    for either in INSTEAD.items():
        for axle in AXLES:
            size, rate = (path.format(axle=axle) for path in either)
            for new, old in ((size, rate), (rate, size)):
                if given.get(new) and old not in given and not has_nothing(before, old):
                    gone[old] = ""
    return gone


def with_answers(before: Mapping[str, Any], answers: Mapping[str, str], known: tuple[Field, ...]) -> dict[str, Any]:
    """Return a truck's mapping with answers in it, by their paths; what is planned is no part of it."""
    data = dict(before)
    for path in replaced(before, answers):
        data = with_text_at(data, path, "")
    # In the order of the form: which springs before what is said of them.
    for field in known:
        if field.path in answers:
            data = with_text(data, field, answers[field.path])
    return data


def answers_in(field: Field, text: str) -> dict[str, str]:
    """Return what an answer says, by path: a choice by the beginning of its word, springs also by their rate, two lengths of a damper.

    Raises
    ------
    NotTakenError
        If only some of it would be taken.
    """
    if general(field.path) in BY_DIMENSIONS:
        spring = field.path.removesuffix(".rate")
        if spring.endswith(".coil") and is_coil_list(text):
            return _wire(spring, text)
        if spring.endswith(".pack") and is_leaf_list(text):
            return _leaves(spring, text)
    two = TWO_BOXES.get(general(field.path))
    if two is not None and two.either and tyre_size(text) is None and read_si(text, "length") is not None:
        return {beside(field.path): text}
    if two is not None and not two.either and text.count(",") == 1:
        first, second = (one.strip() for one in text.split(","))
        return {field.path: first, beside(field.path): second}
    if field.kind != CHOICE:
        return {field.path: text}
    begun = [
        word
        for word in field.choices
        # A file's words have underscores or blanks, people type blanks.
        if word.startswith(text.lower().replace(" ", "_")) or word.startswith(text.lower())
    ]
    if field.path.endswith(".springs") and len(begun) != 1:
        return _springs(field, text)
    # Where two words begin so, it stays as typed and is refused with all of them.
    return {field.path: begun[0] if len(begun) == 1 else text}


def _springs(field: Field, text: str) -> dict[str, str]:
    """Return what an answer says of an axle's springs: which they are, and the rate of one or its leaves.

    Raises
    ------
    NotTakenError
        If anything in it is neither: what was typed must not be lost.
    """
    named = {LEAF if match[0].lower().startswith("lea") else COIL for match in SPRING_WORDS.finditer(text)}
    # Once alone: `7 leaves` in a list is a count.
    rest = SPRING_WORDS.sub(" ", text, count=1).strip(" ,:;")
    if len(named) > 1:
        raise NotTakenError(
            f"'{text}' names both {COIL} and {LEAF}: answer one of them; the other is written into the file"
        )
    by_wire = is_coil_list(rest) and named != {LEAF}
    is_list = not by_wire and is_leaf_list(rest) and named != {COIL}
    word = next(iter(named), LEAF if is_list else COIL)
    name, path = word.split()[0].removesuffix("s"), f"{field.path}.{SPRINGS[word][0]}"
    if named and not rest:
        return {field.path: word}
    if read_si(rest, "stiffness") is not None:
        return {field.path: word, f"{path}.rate": rest}
    if by_wire and "," in rest:
        return {field.path: word, **_wire(path, rest)}
    if is_list:
        return {field.path: word, **_leaves(path, rest)}
    ways = f"'{name} 230 lb/in'" + (
        f", or its leaves, 'leaf {LIST}'" if word == LEAF else f", or its wire, 'coil {COIL_LIST}'"
    )
    if NUMBER_ALONE.fullmatch(rest):
        raise NotTakenError(
            f"'{rest}' has no unit: write '{name} {rest} lb/in' or '{name} {rest} N/mm'; the rate of one is wanted"
        )
    if named:
        what = "neither a rate nor a list of leaves" if word == LEAF else "no rate"
        raise NotTakenError(
            f"'{rest}' is {what}: write '{word}' and give the rest at the next question, or with it the rate of one, {ways}"
        )
    raise NotTakenError(
        f"'{text}' is not one of {', '.join(field.choices)}, nor the rate of one: 190 lb/in, leaf 230 lb/in"
    )


def _leaves(pack: str, text: str) -> dict[str, str]:
    """Return what a list of leaves says, by path; `pack` is the path of the springs.

    Raises
    ------
    NotTakenError
        If it is none.
    """
    try:
        found = leaf_list(text)
        if turned_round(text, found):
            note(
                f"NOTICE: {pack}: taken as {found['leaf_width']} wide and {found['leaf_thickness']} thick: width comes before thickness, and a leaf is wider than thick"
            )
        if "halves.ahead" in found:
            note(
                f"NOTICE: {pack}: each half is taken as from its eye to the nearer U-bolt. Taped to the centre bolt, give in their place one length eye to "
                f"eye and what the U-bolts hold of it, which does not bend: {whole(found)}, if the U-bolts hold so much"
            )
        return {f"{pack}.{key}": value for key, value in found.items()}
    except ValueError as error:
        raise NotTakenError(f"{error}: {LIST}, or 7, 2 1/2 in, 0.28 in, 46 in, held 4 in") from None


def _wire(coil: str, text: str) -> dict[str, str]:
    """Return what a list of a coil's dimensions says, by path; `coil` is the path of the springs.

    Raises
    ------
    NotTakenError
        If it is none.
    """
    try:
        return {f"{coil}.{key}": value for key, value in coil_list(text).items()}
    except ValueError as error:
        raise NotTakenError(f"{error}: {COIL_LIST}") from None


def dimensions_in(axles: Iterable[str], text: str, option: str) -> dict[str, str]:
    """Return what an option says of springs by their wire or leaves, by path, one value after the other as the question takes them.

    Raises
    ------
    InputError
        If it is no such list.
    """
    given: dict[str, str] = {}
    for axle in axles:
        try:
            given |= _wire(f"{axle}.springs.coil", text) if option == "coil" else _leaves(f"{axle}.springs.pack", text)
        except NotTakenError as error:
            written = f"190 lb/in' or --coil '{axle}: {COIL_LIST}" if option == "coil" else LIST
            raise InputError(
                Problem(str(error), where=f"--{option}", given=text, suggestion=f"--{option} '{axle}: {written}'")
            ) from None
    return given


def wrong_with(
    before: Mapping[str, Any], answers: Mapping[str, str], own: Mapping[str, str], known: tuple[Field, ...], field: Field
) -> str:  # fmt: skip
    """Return what is wrong with an answer; empty if nothing is."""
    if field.kind == PAIR and len([one for one in own[field.path].split(",") if one.strip()]) != 2:
        point = in_a_list(own[field.path])
        more = f"; a decimal comma is a point, write {point}" if point else ""
        return f"two values are wanted here, with a comma between: {field.example}{more}"
    if field.kind == CHOICE and own[field.path] not in field.choices:
        return f"'{own[field.path]}' is not one of {', '.join(field.choices)}"
    after = {**{path: text for path, text in answers.items() if path not in own}, **own}
    try:
        vehicle = vehicle_from(with_answers(before, after, known))
    except InputError as error:
        others = _problems(
            with_answers(before, {path: text for path, text in answers.items() if path not in own}, known)
        )
        # What is wrong by itself, and what is wrong only since this was answered; what a later question completes is not.
        problems = [
            one
            for one in error.problems
            if any(one.where == path or one.where.startswith(f"{path}.") for path in own)
            or (str(one) not in others and not one.where.startswith(TOGETHER))
        ]
        return in_words(problems)
    from sim.study.past_its_ends import past_their_ends

    # A damper past its ends is asked again where it comes to be, at whichever of its numbers.
    if past := [one for one in past_their_ends(vehicle) if _is_of(one.where, own)]:
        return in_words(past)
    for notice in vehicle.unusual:
        if ".".join(map(str, notice.place)) in own:
            note(f"    NOTICE: {notice.beside}")
    return ""


def _is_of(where: str, own: Iterable[str]) -> bool:
    """Tell whether a number of a damper, or the damper, is what was answered, or another number of the same damper was."""
    damper = ".".join(where.split(".")[:3])
    return any(path.startswith(f"{damper}.") for path in own)


def in_words(problems: Iterable[Problem]) -> str:
    """Return in one line what is wrong and what to try, without places in a file that is not there yet."""
    return "; ".join(f"{one.message}{f': {one.suggestion}' if one.suggestion else ''}" for one in problems)


def _problems(mapping: Mapping[str, Any]) -> set[str]:
    try:
        vehicle_from(mapping)
    except InputError as error:
        return {str(one) for one in error.problems}
    return set()
