"""Names in sentences: in quotes, and several of them with commas and an `and`."""

from collections.abc import Callable, Sequence

Naming = Callable[[str], str]
"""From a set-up's name to how it is written: in quotes, shortened."""


def quoted(setup: str) -> str:
    """Return a set-up's name in quotes: people call set-ups "as fitted"."""
    return f"“{setup}”"


def listed(words: Sequence[str], last: str = "and") -> str:
    """Return words with commas and an `and` before the last."""
    return f" {last} ".join([", ".join(words[:-1]), words[-1]]) if len(words) > 1 else "".join(words)
