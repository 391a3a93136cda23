"""What keys of a set-up are called in the form: for reports, and for pictures of what a sweep moves."""

from sim.show.pages.rows import AXLES, Place, label_of, row_of, rows_of

WITHOUT_NAME = ("main", "coil", "pack")
"""Names of a truck's first damper set and springs, which are the only ones of most axles."""

ADDED, SECOND_SET = "added", ", second set"
"""Name of the dampers that a set-up of the page adds to an axle's first set, and what they are called there."""

PARTS = {"dampers": "dampers", "springs": "springs", "tyre": "tyres"}
"""Parts whose rows do not name them; the other rows do."""


def called(path: str) -> str:
    """Return what a key of a set-up, or several with commas between, are called in the form; of a run its own words."""
    texts = []
    for one in path.split(","):
        place = tuple(one.strip().split("."))
        if place[0] == "run":
            texts.append(" ".join(place[1:]).replace("_", " "))
            continue
        part, label = words_of(place)
        texts.append(f"{part}: {label}" if part and label else part or f"{label[:1].upper()}{label[1:]}")
    return ", ".join(texts)


def words_of(place: Place) -> tuple[str, str]:
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
    name = "" if place[2] in WITHOUT_NAME else SECOND_SET if place[1:3] == ("dampers", ADDED) else f" “{place[2]}”"
    # A whole set, taken off: its key says nothing that its name has not said.
    return f"{axle} {part}{name}", "" if len(place) == 3 else label.removeprefix(f"{place[2]}: ")
