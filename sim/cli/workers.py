"""How many processes a command may be given."""

import argparse

MOST_WORKERS = 256
"""More processes than any one machine here makes use of; each takes some hundred megabytes."""


def workers(text: str) -> int:
    """Return a number of processes as it is typed.

    Raises
    ------
    argparse.ArgumentTypeError
        If it is none from 1 to `MOST_WORKERS`.
    """
    try:
        count = int(text) if len(text) < 10 else 0
    except ValueError:
        count = 0
    if not 1 <= count <= MOST_WORKERS:
        raise argparse.ArgumentTypeError(f"'{text}': a whole number of processes from 1 to {MOST_WORKERS} is wanted")
    return count


def add_workers(parser: argparse.ArgumentParser, more: str = "") -> None:
    """Add the option to a command's arguments.

    Parameters
    ----------
    parser : ArgumentParser
        The command's.
    more : str
        What else is to be said of a process.
    """
    parser.add_argument("--workers", type=workers, help=f"number of processes{more} (default: one a core)")
