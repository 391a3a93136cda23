"""What a set-up changes on the truck, in the words of the form, with the file's keys small beneath."""

from collections.abc import Iterator, Mapping
from typing import Any

from sim.describe.shown import written_now
from sim.show.pages.report.parts import Both
from sim.show.pages.rows import AXLES, Place, label_of, row_of, rows_of

WITHOUT_NAME = ("main", "coil", "pack")
"""Names of a truck's first damper set and springs, which are the only ones of most axles."""

PARTS = {"dampers": "dampers", "springs": "springs", "tyre": "tyres"}
"""Parts whose rows do not name them; the other rows do."""


def changed(changes: Mapping[str, object]) -> Both:
    """Return the changes of a set-up, a line a part, and their keys in small letters; empty if there are none.

    Parameters
    ----------
    changes : mapping of str to object
        By dotted path, as the scenario's file has them.
    """
    lines: dict[str, list[str]] = {}
    for path, value in changes.items():
        for place, own in _leaves(tuple(path.split(".")), value):
            part, label = _words(place)
            lines.setdefault(part, []).append(f"{label} {_value(own)}".strip())
    texts = [_sentence(part, said) for part, said in lines.items()]
    return Both("\n".join(texts), soft=", ".join(changes))


def called(path: str) -> str:
    """Return what a key of a set-up, or several with commas between, are called in the form; of a run its own words."""
    texts = []
    for one in path.split(","):
        place = tuple(one.strip().split("."))
        if place[0] == "run":
            texts.append(" ".join(place[1:]).replace("_", " "))
            continue
        part, label = _words(place)
        texts.append(f"{part}: {label}" if part and label else part or f"{label[:1].upper()}{label[1:]}")
    return ", ".join(texts)


def _sentence(part: str, said: list[str]) -> str:
    whole = "; ".join(said)
    return f"{part}: {whole}" if part else f"{whole[:1].upper()}{whole[1:]}"


def _leaves(place: Place, value: object) -> Iterator[tuple[Place, object]]:
    if isinstance(value, Mapping) and value:
        for key, own in value.items():
            # Of a valving by slopes and knee the slopes say it; of another its kind is what it is called.
            if key == "kind":
                yield from () if own == "knee" else [(place, own)]
            else:
                yield from _leaves((*place, str(key)), own)
    else:
        yield place, value


def _words(place: Place) -> tuple[str, str]:
    """Return of which part a value is, and what it is called there."""
    step, number = row_of(place)
    rows = rows_of(step)
    label = label_of(rows[number] if number < len(rows) else None, place, "")
    # Within a sentence, unless it begins with a capital of its own: U-bolts.
    label = (label[0].lower() + label[1:] if label[1:2].islower() else label).replace("wind up", "wind-up")
    if place[0] in AXLES:
        return _of_axle(place, label)
    if place[0] in ("loads", "points") and len(place) > 1:
        # "Load: behind front axle" says once more what it is of.
        word = {"loads": "load", "points": "where ride is judged"}[place[0]]
        rest = "" if len(place) == 2 else "mass" if label == word else label.removeprefix(f"{word}: ")
        return f"{word.capitalize()} “{place[1]}”", rest
    return "", label


def _of_axle(place: Place, label: str) -> tuple[str, str]:
    axle, part = place[0].capitalize(), PARTS.get(place[1] if len(place) > 1 else "", "")
    if not part:
        return f"{axle} axle", label
    if len(place) == 2 or part == "tyres":
        return f"{axle} {part}", "" if len(place) == 2 else label
    name = "" if place[2] in WITHOUT_NAME else f" “{place[2]}”"
    # A whole set, taken off: its key says nothing that its name has not said.
    return f"{axle} {part}{name}", "" if len(place) == 3 else label.removeprefix(f"{place[2]}: ")


def _value(value: Any) -> str:
    if isinstance(value, Mapping):
        return "none"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(map(_listed, value)) + "]"
    if value is None or isinstance(value, bool):
        return {None: "none", True: "yes", False: "no"}[value]
    text = str(value)
    # A word of the file: twin_tube, from_leaves.
    return text.replace("_", " ") if text.isidentifier() else written_now(text, beside=True)


def _listed(value: Any) -> str:
    if isinstance(value, Mapping):
        return ", ".join(f"{key.replace('_', ' ')} {_value(own)}" for key, own in value.items())
    return _value(value)
