"""What an answer to a question of `jounce new` says, and whether it can be."""

from collections.abc import Iterable, Mapping
from typing import Any

from sim.cli.question_list import INSTEAD, LEAVES, LEAVES_WORDS, TOGETHER, TWO_BOXES, beside, general, taken_along
from sim.describe.estimates.fields import CHOICE, COIL, LEAF, PAIR, SPRINGS, Field, has_nothing, with_text, with_text_at
from sim.describe.estimates.truck import AXLES, read_si
from sim.describe.estimates.tyre_size import tyre_size
from sim.describe.files.vehicles import vehicle_from
from sim.errors import InputError, Problem

LEAST_OF_LEAVES = 4
"""Values of a leaf pack's dimensions that give its rate; its halves may follow."""


EITHER_OR = {**INSTEAD, "{axle}.springs.pack.length": "{axle}.springs.pack.rate"}
"""Dimensions of a spring, by path, and the path of the rate that says the same."""


def replaced(before: Mapping[str, Any], given: Mapping[str, str]) -> dict[str, str]:
    """Return what of a truck gives way to what is given now, each path with an empty text.

    A spring has a rate or the dimensions of its wire or leaves: whoever gives the ones takes out the others.
    """
    gone: dict[str, str] = {}
    for either in EITHER_OR.items():
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
    """Return what an answer says, by path: a choice by the beginning of its word, springs also by their rate, two lengths of a damper."""
    if general(field.path) in LEAVES and text.count(",") >= LEAST_OF_LEAVES - 1:
        values = [one.strip() for one in text.split(",")]
        boxes = taken_along(field.path)
        # More values than it has boxes: refused as a rate, with all that was typed.
        return dict(zip(boxes, values, strict=False)) if len(values) <= len(boxes) else {field.path: text}
    two = TWO_BOXES.get(general(field.path))
    if two is not None and two.either and tyre_size(text) is None and read_si(text, "length") is not None:
        return {beside(field.path): text}
    if two is not None and not two.either and text.count(",") == 1:
        first, second = (one.strip() for one in text.split(","))
        return {field.path: first, beside(field.path): second}
    if field.kind != CHOICE:
        return {field.path: text}
    if field.path.endswith(".springs"):
        words = text.lower()
        leaf = "leaf" in words or "leaves" in words
        rate = words
        # Longer words first: "coil" taken out of "coils" would leave an s before the rate.
        for word in ("coils", "coil", "leaf packs", "leaf pack", "leaf springs", "leaf", "leaves", "of", "springs"):
            rate = rate.replace(word, " ")
        if read_si(rate.strip(), "stiffness") is not None:
            word = LEAF if leaf else COIL
            name, _ = SPRINGS[word]
            return {field.path: word, f"{field.path}.{name}.rate": rate.strip()}
        if leaf:
            return {field.path: LEAF}
    begun = [
        word
        for word in field.choices
        # A file's words have underscores or blanks, people type blanks.
        if word.startswith(text.lower().replace(" ", "_")) or word.startswith(text.lower())
    ]
    # Where two words begin so, it stays as typed and is refused with all of them.
    return {field.path: begun[0] if len(begun) == 1 else text}


def leaves_in(axles: Iterable[str], text: str) -> dict[str, str]:
    """Return what an option says of leaf packs by their leaves, by path, one value after the other as the question takes them.

    Raises
    ------
    InputError
        If they are more than a pack has.
    """
    values = [one.strip() for one in text.split(",")]
    given: dict[str, str] = {}
    for axle in axles:
        boxes = taken_along(f"{axle}.springs.pack.rate")
        if len(values) > len(boxes):
            words, example = LEAVES_WORDS
            raise InputError(
                Problem(
                    f"{len(values)} values are more than a pack has", where="--leaf", given=text, allowed=words.format(axle=axle),
                    suggestion=f"--leaf '{axle}:{example.partition(', or ')[2]}'",
                )
            )  # fmt: skip
        given |= dict(zip(boxes, values, strict=False))
    return given


def wrong_with(
    before: Mapping[str, Any], answers: Mapping[str, str], own: Mapping[str, str], known: tuple[Field, ...], field: Field
) -> str:  # fmt: skip
    """Return what is wrong with an answer; empty if nothing is."""
    if field.kind == PAIR and len([one for one in own[field.path].split(",") if one.strip()]) != 2:
        return f"two values are wanted here, with a comma between: {field.example}"
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
    from sim.cli.notices import note

    for notice in vehicle.unusual:
        if ".".join(map(str, notice.place)) in own:
            note(f"    NOTICE: {notice.beside}")
    return ""


def in_words(problems: Iterable[Problem]) -> str:
    """Return in one line what is wrong and what to try, without places in a file that is not there yet."""
    return "; ".join(f"{one.message}{f': {one.suggestion}' if one.suggestion else ''}" for one in problems)


def _problems(mapping: Mapping[str, Any]) -> set[str]:
    try:
        vehicle_from(mapping)
    except InputError as error:
        return {str(one) for one in error.problems}
    return set()
