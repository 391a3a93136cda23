"""`jounce weigh FILE`: what a vehicle weighs."""

import argparse
from pathlib import Path


def arguments(parser: argparse.ArgumentParser) -> None:
    """Add this command's arguments."""
    parser.add_argument("file", type=Path, help="vehicle file")


def run(options: argparse.Namespace) -> int:
    """Say what it weighs."""
    from sim.describe.files.vehicles import load_vehicle
    from sim.describe.shown import show
    from sim.linear.standing import stand

    standing = stand(load_vehicle(options.file))
    print(f"weighs {show(sum(axle.load for axle in standing.axles.values()), 'force')}")
    return 0
