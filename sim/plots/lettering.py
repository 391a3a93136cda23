"""Text that fits: widths as the font has them, wrapping, shortening, only known characters."""

from functools import lru_cache
from typing import Any

from matplotlib.font_manager import FontProperties, findfont, get_font

from sim.plots.style import FONT


@lru_cache(maxsize=2)
def _face(bold: bool) -> Any:
    return get_font(findfont(FontProperties(family=FONT, weight="bold" if bold else "normal")))


@lru_cache(maxsize=2)
def _known(bold: bool) -> frozenset[int]:
    return frozenset(_face(bold).get_charmap())


@lru_cache(maxsize=4096)
def width_in(text: str, points: float, bold: bool = False) -> float:
    """Return the width of one line of text [in] at a size in points."""
    face = _face(bold)
    face.set_size(points, 72.0)
    face.set_text(text, 0.0)
    return float(face.get_width_height()[0]) / 64.0 / 72.0


def clean(text: str) -> str:
    """Return text on one line, with a question mark for what the font does not have."""
    known = _known(False) & _known(True)
    line = " ".join(text.split())
    return "".join(letter if ord(letter) in known else "?" for letter in line)


def shortened(text: str, most_in: float, points: float, bold: bool = False) -> str:
    """Return text cut at its end, with an ellipsis, to be no wider than `most_in` inches."""
    if width_in(text, points, bold) <= most_in:
        return text
    low, high = 0, len(text)  # letters that fit, letters that do not
    while high - low > 1:
        middle = (low + high) // 2
        fits = width_in(text[:middle].rstrip() + "…", points, bold) <= most_in
        low, high = (middle, high) if fits else (low, middle)
    return text[:low].rstrip() + "…"


def wrapped(
    text: str, most_in: float, points: float, bold: bool = False, most_lines: int = 9
) -> list[str]:
    """Return text in lines no wider than `most_in` inches; the last one is cut if it must be."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and width_in(longer, points, bold) <= most_in:
            lines[-1] = longer
        else:
            lines.append(shortened(word, most_in, points, bold))
    if len(lines) > most_lines:
        rest = " ".join(lines[most_lines - 1 :])
        lines[most_lines - 1 :] = [shortened(rest, most_in, points, bold)]
    return lines
