"""Where the files lie that a page has in it: scripts, styles, and the kernel for browsers."""

from pathlib import Path

STATIC = Path(__file__).parents[1] / "static"
