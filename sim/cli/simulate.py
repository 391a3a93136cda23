"""`jounce simulate SCENARIO --setup NAME`: one set-up alone."""

import argparse

from sim.cli import showing
from sim.errors import InputError, Problem


def arguments(parser: argparse.ArgumentParser) -> None:
    """Add this command's arguments."""
    showing.arguments(parser)
    parser.add_argument("--setup", help="which set-up (default: the first)")


def run(options: argparse.Namespace) -> int:
    """Run one set-up, show the table, write plots and CSV."""
    from sim.describe.files.messages import nearest
    from sim.describe.files.reader import shown
    from sim.describe.files.scenario import load_scenario

    scenario = load_scenario(options.scenario)
    # Unlike commands about dampers, which take the first that has any: here every set-up can be run.
    name = next(iter(scenario.setups)) if options.setup is None else options.setup
    if name not in scenario.setups:
        names = list(scenario.setups)
        raise InputError(
            Problem(
                f"there is no set-up '{name}'",
                shown(options.scenario),
                where="setups",
                allowed=", ".join(names),
                suggestion=nearest(name, names),
            )
        )
    # The file is read again there; that takes a moment, and the refusal above comes before anything is compiled.
    return showing.run(options, name)
