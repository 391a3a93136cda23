"""Plots by name. A new one is a file beside these, and its line in `sim/describe/plot_names.py`."""

import sys
from collections.abc import Callable
from importlib import import_module
from typing import TYPE_CHECKING, Any

from sim import machine
from sim.describe.plot_names import NAMES
from sim.measure.comparison import Comparison

if TYPE_CHECKING:
    from matplotlib.figure import Figure


def _without_help() -> None:
    """Leave out what the drawing library writes for `help()` of its classes while it loads, which is a third of loading it.

    In a jounce command alone, where nobody asks for it.
    """
    if not machine.OWN_PROCESS or machine.PLAIN or "matplotlib.artist" in sys.modules:
        return
    from matplotlib import artist

    shapes: Any = artist.Artist
    if hasattr(shapes, "_update_set_signature_and_docstring"):  # else a library that does it otherwise, or not at all
        shapes._update_set_signature_and_docstring = classmethod(lambda _: None)
    library: Any = artist
    library.kwdoc = lambda _: ""


_without_help()

# The list of names is apart, so that a scenario's `show` is checked without loading the drawing library.
PLOTS: "dict[str, Callable[[Comparison], Figure]]" = {
    name: import_module(f"sim.show.plots.{name}").figure for name in NAMES
}
"""By the name that a scenario's `show` asks for, which is that of the file, in the order they are drawn."""

__all__ = ["PLOTS"]
