"""What is said of a set-up's changes: what they are called, and which of them are numbers."""

from collections.abc import Mapping
from typing import Any

from sim.describe.estimates.fields import PAIR, TEXT, WORDS, fields
from sim.show.pages.called import called
from sim.show.pages.local.varied import number_of


def names_of(changes: Mapping[str, Any]) -> dict[str, str]:
    """Return what keys of changes are called, of those of a damper's valving, which the form has no box for where it is estimated."""
    words = {path: called(path) for path in changes if ".valving" in path}
    # A whole law is no word.
    return {
        path: f"{said.rpartition(':')[0]}: force"
        if path.endswith(".valving") and isinstance(changes[path], Mapping)
        else said
        for path, said in words.items()
    }


def numbers_of(changes: Mapping[str, Any]) -> dict[str, tuple[float, str]]:
    """Return the number and the unit of each change that is one, by its path: what a slider begins with.

    A tyre's size, or two numbers of one box, begin with a number and are none: a slider would write 99 x12.50R15.
    """
    texts = {one.path for one in fields() if one.kind in (PAIR, TEXT, WORDS)}
    read = {
        path: number_of(str(text))
        for path, text in changes.items()
        if isinstance(text, str | int | float) and path not in texts
    }
    return {path: number for path, number in read.items() if number is not None}
