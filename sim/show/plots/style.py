"""Settings of every plot; how a set-up looks is in `sim/show/looks.py`, which pages without plots ask too."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import matplotlib

from sim.show.looks import DAMPER as DAMPER
from sim.show.looks import GUIDE as GUIDE
from sim.show.looks import LOOKS as LOOKS
from sim.show.looks import MARK as MARK
from sim.show.looks import SPRING as SPRING
from sim.show.looks import STRAP as STRAP
from sim.show.looks import Look as Look
from sim.show.looks import lightness as lightness
from sim.show.looks import looks as looks

# It comes with matplotlib, so that widths are the same on every machine.
FONT = "DejaVu Sans"
INK, SOFT, GRID, ROAD = "#222222", "#555555", "#dddddd", "#8c8c8c"

RC: Any = {
    "font.family": FONT,
    "svg.fonttype": "none",
    "svg.hashsalt": "jounce",  # the same run gives the same file
    "text.parse_math": False,  # a set-up may be called "$5 springs"
    "text.usetex": False,
    "text.hinting": "none",  # so that text is as wide at every resolution
    "path.simplify": True,
    "path.simplify_threshold": 0.2,
    "path.sketch": None,
    "path.effects": [],
    "axes.unicode_minus": True,
    "figure.facecolor": "white",
    "savefig.facecolor": "auto",
    "savefig.bbox": None,
}
"""Own settings, so that pictures do not depend on what a person has set for other work."""


@contextmanager
def drawing() -> Iterator[None]:
    """Draw with matplotlib's defaults and our settings, whatever a person's own are."""
    # Of several pictures the first one has set them: doing so takes as long as a twentieth of drawing one.
    if _Drawing.begun:
        yield
        return
    # Restored afterwards: a program that uses this one keeps its own settings.
    with matplotlib.rc_context():
        matplotlib.rcdefaults()
        matplotlib.rcParams.update(RC)
        _Drawing.begun = True
        try:
            yield
        finally:
            _Drawing.begun = False


class _Drawing:
    """Whether the settings stand already."""

    begun: bool = False
