"""`jounce open [FILE]`: a page in the browser on which a truck is described and tried, served to this machine alone."""

import argparse
import sys
from pathlib import Path

from sim.cli import answer


def arguments(parser: argparse.ArgumentParser) -> None:
    """Add this command's arguments."""
    parser.add_argument(
        "file", type=Path, nargs="?", help="vehicle or scenario file; left out: a new truck, written into this folder"
    )
    parser.add_argument(
        "--port", type=int, default=0,
        help="port to serve on; left out: the truck's own, each time the same, or where that is taken one that is free",
    )  # fmt: skip
    parser.add_argument("--no-browser", action="store_true", help="print the address alone, do not open it")


def run(options: argparse.Namespace) -> int:
    """Serve the page until it is stopped (Ctrl-C)."""
    from dataclasses import replace

    from sim.cli.compiling import ready_for_a_run
    from sim.describe.shown import system
    from sim.show.pages.local.scenarios import opened
    from sim.show.pages.local.serve import served

    # Read first, so that a file that is none is refused before anything is compiled or served.
    what = opened(options.file, Path.cwd())
    if system() != "both":  # as was asked for, here or in the user's settings
        what = replace(what, units=system())
    ready_for_a_run(few=True)  # as the page runs its set-ups

    def told(address: str) -> None:
        print(address, flush=True)
        answer.add(more={"address": address})
        answer.printed(0)  # now: it is served until somebody stops it
        print(
            "Open this address in a browser on this machine, whole: it holds a key. Nobody else can reach it.\n"
            "Stop with Ctrl-C. Nothing is written until you press Save.",
            file=sys.stderr,
        )
        if not options.no_browser:
            import webbrowser

            webbrowser.open(address)

    served(what, options.port, told)
    return 0
