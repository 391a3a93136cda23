"""Pictures to files: PNG to look at and print, SVG to zoom into."""

from collections.abc import Iterable
from pathlib import Path

from matplotlib.figure import Figure

from sim.measure.comparison import Comparison
from sim.show.asked_plots import asked
from sim.show.plots import PLOTS
from sim.show.plots.style import PNG_DPI, drawing


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
        # No name of a program or date inside: the same run gives the same bytes, which tests and backups can compare.
        # level 3: 5 % larger than the highest level, in less than half the time
        figure.savefig(file, dpi=PNG_DPI, metadata={"Software": None}, pil_kwargs={"compress_level": 3})
    return file


def svg(figure: Figure, stem: Path) -> Path:
    """Write a figure as `stem`.svg."""
    file = stem.with_name(stem.name + ".svg")
    with drawing():
        # The creation date, which is written by default, would make each file differ from the last.
        figure.savefig(file, metadata={"Date": None, "Creator": None})
    return file
