"""What is said of numbers that were given with other parts than a set-up has, however they are named."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any


def gives_itself(changes: Mapping[str, Any], path: str) -> bool:
    """Tell whether a set-up's changes have a number themselves, though it be the one that the truck has."""
    return any(
        own == path or (isinstance(value, Mapping) and path.startswith(f"{own}.") and _within(value, path, own))
        for own, value in changes.items()
    )


def _within(value: Mapping[str, Any], path: str, own: str) -> bool:
    inside: Any = value
    for key in path.removeprefix(f"{own}.").split("."):
        if not isinstance(inside, Mapping) or key not in inside:
            return False
        inside = inside[key]
    return True


def of_set_ups(said: Mapping[str, Sequence[str]]) -> Iterator[str]:
    """Yield each of some notices once, with the set-ups that it is of; `said`: from the notice to their names."""
    for words, names in said.items():
        which = " and ".join(f"'{name}'" for name in names)
        yield f"set-up{'s' if len(names) > 1 else ''} {which}: {words}."
