"""The page served as the command serves it, for tests in a browser."""

import shutil
import sys
from pathlib import Path

SCENARIOS = Path(__file__).parents[2] / "scenarios"


def copied(folder):
    """Copy the demo's truck, courses and a scenario; return the truck's file."""
    for name in ("vehicles", "courses", "dampers"):
        shutil.copytree(SCENARIOS / name, folder / name)
    shutil.copy(SCENARIOS / "two_or_four.yaml", folder)
    return folder / "vehicles" / "hut_supply_truck.yaml"


def served(child, folder, *files):
    """Serve a page from a folder; return its address and the process, which ends with the test."""
    import subprocess

    process = child(
        [sys.executable, "-m", "sim", "open", *map(str, files), "--no-browser"],
        cwd=folder, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True,
    )  # fmt: skip
    return process.stdout.readline().strip(), process
