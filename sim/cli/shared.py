"""Options that every command has."""

import argparse
from typing import Any


def shared(parser: argparse.ArgumentParser, nested: bool = False) -> None:
    """Add them to a command.

    Parameters
    ----------
    nested : bool
        Of a word below a command (`jounce spring coil`): what was said before that word stands.
    """

    def otherwise(value: Any) -> Any:
        # argparse writes the lower parser's default over what stood before the word.
        return argparse.SUPPRESS if nested else value

    parser.add_argument(
        # Not "both": a file's own wish counts as long as nobody has typed one.
        "--units", choices=("both", "metric", "inch"), default=otherwise(None),
        help="show numbers so (default: as the scenario's `units` says, else JOUNCE_UNITS or your settings, else both)",
    )  # fmt: skip
    parser.add_argument(
        "--json", action="store_true", default=otherwise(False),
        help="print one JSON object instead: numbers in SI with units, flags, files, what is wrong; for scripts",
    )  # fmt: skip
    parser.add_argument(
        "--quiet", action="store_true", default=otherwise(False),
        help="say only results, errors, notices and cautions: no progress, no next step",
    )  # fmt: skip
