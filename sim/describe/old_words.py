"""Words that have a newer one: the list, and how whatever has the old word is read.

Files, set-ups, sweeps and tunings of older versions stay readable; a notice at the line says the new word.
"""

import re
from collections.abc import Callable, Mapping, Sequence
from typing import Any, NamedTuple

Step = str | int


class OldKey(NamedTuple):
    """A key with a newer word, and where it stands: a pattern of the path before it, steps parted by points."""

    before: str
    old: str
    new: str


_DAMPER = r"(front|rear)\.dampers\.[^.]+"

OLD_KEYS: tuple[OldKey, ...] = (
    OldKey(_DAMPER, "law", "valving"),
    OldKey(_DAMPER + r"\.valving(\..+)?", "bump", "compression"),
    OldKey(_DAMPER + r"\.tube", "law_temperature", "valving_temperature"),
)
"""Keys of a vehicle, in the order of their depth: what is before one is written with new words already."""

OLD_WORDS = frozenset(key.old for key in OLD_KEYS)

OLD_MEASURES: tuple[tuple[str, str], ...] = (
    (r"heave_(\w+)", r"bounce_\1"),
    (r"(front|rear)_jounce_(used|share|most)", r"\1_bump_\2"),
    (r"(front|rear)_rebound_(used|share)", r"\1_droop_\2"),
    (r"(front|rear)_wind_up_decay", r"\1_wind_up_time_to_halve"),
    (r"load_shift", "load_transfer"),
)
"""Patterns of a measure's whole name, and its new one."""

OLD_PLOTS: Mapping[str, str] = {"overlay": "verdict"}
"""Names of plots."""


def new_steps(steps: Sequence[Step]) -> tuple[Step, ...]:
    """Return the steps of a path from the top of a vehicle, each in its new word."""
    # Nearly no path has an old word.
    if OLD_WORDS.isdisjoint(steps):
        return tuple(steps)
    new: list[Step] = []
    for step in steps:
        before = ".".join(map(str, new))
        new.append(next((key.new for key in OLD_KEYS if step == key.old and re.fullmatch(key.before, before)), step))
    return tuple(new)


def new_path(path: str) -> str:
    """Return a dotted path of a vehicle in new words, or several with commas between; one of the run (`run.…`) as it is."""
    new = []
    for one in path.split(","):
        bare = one.lstrip()
        new.append(one[: len(one) - len(bare)] + ".".join(map(str, new_steps(bare.split(".")))))
    return ",".join(new)


def new_measure(name: str) -> str:
    """Return the name that a measure has now."""
    for pattern, new in OLD_MEASURES:
        if re.fullmatch(pattern, name):
            return re.sub(pattern, new, name)
    return name


def new_plot(name: str) -> str:
    """Return the name that a plot has now."""
    return OLD_PLOTS.get(name, name)


def said(old: str, new: str) -> str:
    """Return what a person reads of an old word."""
    return f"'{old}' is called '{new}' now; it is read all the same"


class Both(Exception):
    """The old word and the new one stand side by side: `place`, `old`, `new`."""

    def __init__(self, place: tuple[Step, ...], old: str, new: str) -> None:
        super().__init__(f"'{old}' is the old word for '{new}', and both are given")
        self.place, self.old, self.new = place, old, new


def with_new_keys(data: Any, place: tuple[Step, ...], seen: Callable[[tuple[Step, ...], str, str], None]) -> Any:
    """Return plain data of a vehicle with new words for keys; what has none is not copied.

    Parameters
    ----------
    data : any
        What stands at `place`, a path from the top of the vehicle.
    seen : callable
        Is given each old key: its place as written, its word and the new one.

    Raises
    ------
    Both
        If a key is given in both words.
    """
    return _with_new_keys(data, place, place, seen)


def _with_new_keys(
    data: Any, written: tuple[Step, ...], place: tuple[Step, ...], seen: Callable[[tuple[Step, ...], str, str], None]
) -> Any:
    if isinstance(data, list):
        rows = [_with_new_keys(row, (*written, n), (*place, n), seen) for n, row in enumerate(data)]
        return data if all(new is old for new, old in zip(rows, data, strict=True)) else rows
    if not isinstance(data, dict):
        return data
    new: dict[Any, Any] = {}
    for key, value in data.items():
        word = new_steps((*place, key))[-1]
        if word != key:
            if word in data:
                raise Both((*written, key), key, str(word))
            seen((*written, key), key, str(word))
        new[word] = _with_new_keys(value, (*written, key), (*place, word), seen)
    # Key for key, as a dict does not tell its order.
    same = list(new) == list(data) and all(new[key] is data[key] for key in new)
    return data if same else new
