"""What figures are drawn on: as the drawing library does it, but each text is set once, for its width, its letters and the SVG beside it.

To set a line of text takes the library a hundred times as long as to draw it, and of one figure as PNG and SVG it set each line four times: a
half of what a picture took. Widths of a line that is drawn and of one that is only laid out (`lettering`) come from the same setting.
"""

from functools import lru_cache
from math import ceil, floor
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt
from matplotlib import ft2font
from matplotlib.backends.backend_agg import FigureCanvasAgg, RendererAgg
from matplotlib.backends.backend_mixed import MixedModeRenderer
from matplotlib.backends.backend_svg import RendererSVG
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties, findfont, get_font

Pixels = npt.NDArray[np.uint8]

PNG_DPI = 110
"""A page of 10 in is 1100 dots: as sharp as a screen shows it, and small to send."""

_library: Any = ft2font
_flags = _library.LoadFlags if hasattr(_library, "LoadFlags") else None
NO_HINTING = _flags.NO_HINTING if _flags else _library.LOAD_NO_HINTING  # matplotlib before 3.10 has no group of flags
"""Letters as the font draws them, not moved to whole dots."""

SVG_DPI = 72.0
"""Dots of an inch in an SVG."""


class Line(NamedTuple):
    """One line of text as it is drawn.

    Attributes
    ----------
    wide, high, below : float
        Width and height of its letters, and how much of that is below the line they stand on [dots].
    left : float
        From where it begins to its leftmost dot [dots].
    letters : array of uint8 (rows, columns)
        How much of each dot is covered, 255: all of it.
    """

    wide: float
    high: float
    below: float
    left: float
    letters: Pixels


@lru_cache(maxsize=64)
def font_file(family: str, weight: str | int, style: str) -> Any:
    """Return the file of a font, in whatever form the library has it."""
    named: Any = FontProperties
    return findfont(named(family=family, weight=weight, style=style))


@lru_cache(maxsize=4096)
def line(text: str, file: Any, points: float, dpi: float) -> Line:
    """Return a line of text in a size [points] at some dots an inch."""
    # The library keeps it open, but opens it anew in a copy of this process: two would share one place in the file.
    face: Any = get_font(file)
    face.set_size(points, dpi)
    face.set_text(text, 0.0, flags=NO_HINTING)
    wide, high = face.get_width_height()
    face.draw_glyphs_to_bitmap(antialiased=True)
    left, _ = face.get_bitmap_offset()
    letters = np.array(face.get_image(), np.uint8)
    return Line(wide / 64.0, high / 64.0, face.get_descent() / 64.0, left / 64.0, letters)


def _line_of(text: str, font: FontProperties, dpi: float) -> Line:
    file = font_file(font.get_family()[0], font.get_weight(), font.get_style())
    return line(text, file, font.get_size_in_points(), dpi)


class Drawn(RendererAgg):
    """Draws dots. A line of text stands on whole dots, wherever it stands, and is then the same wherever it is."""

    def get_text_width_height_descent(self, s: str, prop: FontProperties, ismath: Any) -> tuple[float, float, float]:
        """Return width, height and descent of a text [dots], as the library wants them."""
        return _line_of(s, prop, self.dpi)[:3]

    def draw_text(
        self, gc: Any, x: float, y: float, s: str, prop: FontProperties, angle: float, ismath: Any = False,
        mtext: Any = None,
    ) -> None:  # fmt: skip
        """Draw a line of text that begins at (x, y), y counted down; one that slopes is left to the library.

        None is mathematics (`style.RC`): a set-up may be called "$5 springs".
        """
        if angle not in (0, 90):
            library: Any = super()
            library.draw_text(gc, x, y, s, prop, angle, ismath, mtext)
            return
        set_line = _line_of(s, prop, self.dpi)
        rows = len(set_line.letters)
        # Where the library's picture of a line has its beginning: columns to the left of it, rows above what it stands on. All letters
        # but the first stand so many columns to the left; the first may stand one less.
        left, above = ceil(set_line.left), floor(set_line.high - set_line.below) + 1
        if angle:
            letters = np.ascontiguousarray(np.rot90(set_line.letters))
            self._letters(letters, round(x) - above, round(y) - left, gc)
        else:
            self._letters(set_line.letters, round(x) + left, round(y) + rows - above, gc)

    def _letters(self, letters: Pixels, left: int, bottom: int, gc: Any) -> None:
        library: Any = self._renderer
        library.draw_text_image(letters, left, bottom, 0, gc)


class Written(RendererSVG):
    """Writes an SVG, in which texts are as wide as in the picture of dots."""

    def get_text_width_height_descent(self, s: str, prop: FontProperties, ismath: Any) -> tuple[float, float, float]:
        """Return width, height and descent of a text [points], as the library wants them."""
        scale = SVG_DPI / PNG_DPI
        wide, high, below = _line_of(s, prop, PNG_DPI)[:3]
        return wide * scale, high * scale, below * scale


class Canvas(FigureCanvasAgg):
    """What a figure of ours is drawn on."""

    def get_renderer(self) -> Any:
        """Return what draws the figure in its size."""
        size = (*self.get_width_height(physical=True), self.figure.dpi)
        if self._lastKey != size:
            renderer: Any = Drawn
            self.renderer, self._lastKey = renderer(*size), size
        return self.renderer


def on_canvas(figure: Figure) -> Canvas:
    """Return the canvas that a figure is put on.

    Without pyplot: it would keep every figure, look for a screen, and is not for several threads.
    """
    return Canvas(figure)


def dots(figure: Figure) -> Pixels:
    """Return what a figure looks like, as red, green and blue (rows, columns, 3)."""
    own = figure.dpi
    figure.set_dpi(PNG_DPI)
    canvas: Any = on_canvas(figure)
    canvas.draw()
    figure.set_dpi(own)
    return np.asarray(canvas.buffer_rgba())[:, :, :3]


def write_svg(figure: Figure, file: Path) -> None:
    """Write a figure as SVG, as the library does, without a date or the name of a program: the same picture gives the same bytes."""
    library: Any = (Written, MixedModeRenderer)
    writes, mixes = library
    own = figure.dpi
    figure.set_dpi(SVG_DPI)
    wide, high = figure.get_size_inches()
    with file.open("w", encoding="utf-8") as out:
        nameless = {"Date": None, "Creator": None}
        svg = writes(wide * SVG_DPI, high * SVG_DPI, out, image_dpi=own, metadata=nameless)
        renderer = mixes(figure, wide, high, own, svg)
        figure.draw(renderer)
        renderer.finalize()
    figure.set_dpi(own)
