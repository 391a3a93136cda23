"""Plot: how far the front tyres' load swings, in words."""

from matplotlib.figure import Figure

from sim.describe.shown import show
from sim.measure.comparison import Comparison
from sim.show.plots.finding import Finding, sentence
from sim.show.plots.page import page
from sim.show.plots.style import drawing

NAME = "swing_words"


def figure(comparison: Comparison) -> Figure:
    """Return the page."""

    def short(value: float) -> str:
        return show(value, "force").partition(" (")[0]

    with drawing():
        found = {setup: row["front_load_swing"].value for setup, row in comparison.values.items()}
        finding = Finding(found, "less", lambda value: f"the front tyres' load swings by {short(value)}", short)
        return page(comparison, sentence(comparison, finding, "No set-up swings"), "Most less least.").figure()
