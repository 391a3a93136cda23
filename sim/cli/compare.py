"""`jounce compare SCENARIO`: all set-ups of a scenario side by side."""

import argparse

from sim.cli import showing

arguments = showing.arguments


def run(options: argparse.Namespace) -> int:
    """Run every set-up, show the table, write plots and CSV."""
    return showing.run(options, None)
