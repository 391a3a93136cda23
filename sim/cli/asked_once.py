"""Options that hold one value: a second one that differs is a slip, and the last one is not silently taken."""

import argparse
from collections.abc import Sequence
from typing import Any

from sim.errors import InputError


class Once(argparse.Action):
    """An option that is given once, or again with the same value."""

    def __call__(
        self, parser: argparse.ArgumentParser, namespace: argparse.Namespace, values: str | Sequence[Any] | None, option_string: str | None = None
    ) -> None:  # fmt: skip
        """Keep the value.

        Raises
        ------
        argparse.ArgumentError
            If another one was given before.
        """
        before = getattr(namespace, self.dest, None)
        if before is not None and before != values:
            raise argparse.ArgumentError(self, f"is given twice, {before} and {values}: leave one out")
        setattr(namespace, self.dest, values)


def refused(option: str, before: str, value: str) -> None:
    """Refuse an option whose value differs from the one that was given before for the same place.

    Raises
    ------
    InputError
        With both.
    """
    if before != value:
        raise InputError(f"{option} is given twice for the same place, {before} and {value}: leave one out.")
