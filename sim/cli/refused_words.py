"""What was meant by words of a command line that a shell or the parser took otherwise: a value with a minus, a unit left out of its quotes."""

import re
from collections.abc import Sequence

MINUS = re.compile(r"-\.?\d")
"""Begins a value below nothing, which the parser takes for an option: `-2in`, `-2 in`."""

NUMBER = re.compile(r"-?\d+(?:[.,/]\d+)?")
UNIT = re.compile(r"[A-Za-z\"'/*^\d]+(?: [A-Za-z]+)?")


def joined(option: str, words: Sequence[str]) -> str:
    """Return how an option with a value below nothing is written, `--front="-2 in"`; empty where no such value stands behind it.

    Parameters
    ----------
    option : str
        The option that was refused for want of a value.
    words : sequence of str
        The command line.
    """
    for place, word in enumerate(words[:-1]):
        following = words[place + 1]
        if word == option and MINUS.match(following):
            unit = words[place + 2] if place + 2 < len(words) and NUMBER.fullmatch(following) else ""
            value = f"{following} {unit}" if UNIT.fullmatch(unit) and not unit[0].isdigit() else following
            return f'{option}="{value}"'
    return ""


def unquoted(unknown: Sequence[str], words: Sequence[str]) -> str:
    """Return how an option is written whose unit stands by itself, `--front="-2 in"`; empty where none does."""
    for place in range(2, len(words)):
        option, number, unit = words[place - 2 : place + 1]
        if unit in unknown and option.startswith("--") and NUMBER.fullmatch(number) and UNIT.fullmatch(unit):
            return f'{option}="{number} {unit}"'
    return ""
