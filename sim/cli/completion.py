"""`jounce completion SHELL`: the script with which a shell completes commands, options and files."""

import argparse
from pathlib import Path

from sim.cli import answer

SHELLS = ("bash", "zsh")


def arguments(parser: argparse.ArgumentParser) -> None:
    """Add this command's arguments."""
    parser.add_argument("shell", choices=SHELLS, help="print the script of this shell")


def run(options: argparse.Namespace) -> int:
    """Print the script."""
    # Read, not made here: the library that makes it is needed by developers alone (`sim.cli.completions.make`).
    text = (Path(__file__).parent / "completions" / f"jounce.{options.shell}").read_text(encoding="utf-8")
    answer.add(more={"script": text})
    print(text, end="")
    return 0
