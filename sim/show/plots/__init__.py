"""Plots by name. A new one is a file beside these, and its line in `sim/describe/plot_names.py`."""

from collections.abc import Callable
from importlib import import_module

from matplotlib.figure import Figure

from sim.describe.plot_names import NAMES
from sim.measure.comparison import Comparison

# The list of names is apart, so that a scenario's `show` is checked without loading the drawing library.
PLOTS: dict[str, Callable[[Comparison], Figure]] = {
    name: import_module(f"sim.show.plots.{name}").figure for name in NAMES
}
"""By the name that a scenario's `show` asks for, which is that of the file, in the order they are drawn."""

__all__ = ["PLOTS"]
