"""Pictures to files: PNG to look at and print, SVG to zoom into."""

from collections.abc import Iterable
from pathlib import Path

from matplotlib.figure import Figure

from sim.measure.comparison import Comparison
from sim.show.asked_plots import asked
from sim.show.plots import PLOTS
from sim.show.plots.canvas import dots, write_svg
from sim.show.plots.png import write_png
from sim.show.plots.style import drawing


def pictures(comparison: Comparison, folder: Path, names: Iterable[str] | None = None) -> list[Path]:
    """Draw the plots of a comparison into a folder.

    Parameters
    ----------
    comparison : Comparison
        What is drawn.
    folder : Path
        Where to; it exists.
    names : iterable of str, optional
        Names of PLOTS; by default what the scenario's `show` asks for, else all but those on request.

    Returns
    -------
    list of Path
        The files, NAME.png and NAME.svg.
    """
    files = []
    with drawing():
        for name in asked(comparison) if names is None else names:
            files += saved(PLOTS[name](comparison), folder / name)
    return files


def saved(figure: Figure, stem: Path) -> list[Path]:
    """Write a figure as `stem`.png and `stem`.svg, the same bytes for the same figure."""
    return [png(figure, stem), svg(figure, stem)]


def png(figure: Figure, stem: Path) -> Path:
    """Write a figure as `stem`.png."""
    file = stem.with_name(stem.name + ".png")
    with drawing():
        write_png(dots(figure), file)
    return file


def svg(figure: Figure, stem: Path) -> Path:
    """Write a figure as `stem`.svg."""
    file = stem.with_name(stem.name + ".svg")
    with drawing():
        write_svg(figure, file)
    return file
