"""Text that fits: widths as the font has them, wrapping, shortening, only known characters."""

import re
from collections.abc import Sequence
from functools import lru_cache
from itertools import takewhile
from typing import Any

from matplotlib.font_manager import get_font

from sim.show.plots.canvas import NO_HINTING, PNG_DPI, font_file, line
from sim.show.plots.style import FONT

SLACK = 1.02
"""Room for rounding, and for viewers of SVG that have another font of this name."""

NUMBER_AND_UNIT = re.compile(
    r"(?<=\d) (?=(?:%|mm|km/h|mph|N/mm|lb/in|in/s|in|m/s²|m/s|N|lbf|lb|kg|deg|g|s|W|°C|°F|K|km|mi)(?![A-Za-z]))"
)
"""The space between a number and its unit, where no line may break."""


MINUS = re.compile(r"(?<![\w.,)\]-])-(?=\.?\d)")
"""A hyphen before a number; those between two (ISO 2631-1, a date) and within names are none."""


def signed(text: str) -> str:
    """Return text whose negative numbers have the minus sign that the ticks of axes have, U+2212."""
    return MINUS.sub("−", text)


def _file(bold: bool) -> Any:
    return font_file(FONT, "bold" if bold else "normal", "normal")


def _face(bold: bool) -> Any:
    """Return the font, which the library keeps open, but opens anew in a copy of this process: two would share one place in it."""
    return get_font(_file(bold))


@lru_cache(maxsize=1)
def _known() -> frozenset[int]:
    """Return the letters of both faces: names appear bold in titles and plain in legends."""
    return frozenset(_face(False).get_charmap()) & frozenset(_face(True).get_charmap())


def width_in(text: str, points: float, bold: bool = False) -> float:
    """Return the width of one line of text [in] at a size in points."""
    return line(text, _file(bold), float(points), PNG_DPI).wide / PNG_DPI * SLACK


@lru_cache(maxsize=1024)
def _advance_in(letter: str, bold: bool) -> float:
    """Return how far a letter of one point moves the next one [in], by itself."""
    face = _face(bold)
    face.set_size(100.0, 72.0)
    return float(face.load_char(ord(letter), flags=NO_HINTING).linearHoriAdvance) / 65536.0 / 100.0 / 72.0 * SLACK


WIDER, WIDER_IN = 0.01, 0.02
"""By how much a line may be wider than its letters in all, as a share and in inches: the ends of letters reach out."""

NARROWER = 0.16
"""By what share it may be narrower: pairs such as AV and To are set closer."""


def fits(text: str, most_in: float, points: float, bold: bool = False) -> bool:
    """Tell whether one line of text is no wider than `most_in` inches.

    Setting a line to measure it takes most of the time of laying out a page, so it is done only where the sum of its letters comes
    near to the room.
    """
    about = points * sum(_advance_in(letter, bold) for letter in text)
    if about * (1.0 + WIDER) + WIDER_IN < most_in:
        return True
    if about * (1.0 - NARROWER) - WIDER_IN > most_in:
        return False
    return width_in(text, points, bold) <= most_in


def clean(text: str) -> str:
    """Return text on one line, with minus signs before numbers and a question mark for what the font does not have."""
    known = _known()
    # A no-break space stays: it holds a number to its unit.
    line = re.sub(r"[^\S\u00a0]+", " ", text).strip()
    line = signed(NUMBER_AND_UNIT.sub("\u00a0", line))
    return "".join(letter if ord(letter) in known else "?" for letter in line)


def shortened(text: str, most_in: float, points: float, bold: bool = False) -> str:
    """Return text cut at its end, with an ellipsis, to be no wider than `most_in` inches."""
    if fits(text, most_in, points, bold):
        return text
    low, high = 0, len(text)  # letters that fit, letters that do not
    while high - low > 1:
        middle = (low + high) // 2
        is_room = fits(text[:middle].rstrip() + "…", most_in, points, bold)
        low, high = (middle, high) if is_room else (low, middle)
    return text[:low].rstrip() + "…"


HEAD, SHORTEST_HEAD = 0.3, 4
"""Share of the room that is kept for how names begin, where what tells them apart comes after it; fewer letters of it are left out."""


def told_apart(names: Sequence[str], most_in: float, points: float, bold: bool = False) -> list[str]:
    """Return names, each no wider than `most_in` inches; those that begin alike are cut where they do, so that they stay apart.

    Names that differ stay different as long as there is room for the few letters in which they do.
    """
    return list(_told_apart(tuple(names), most_in, points, bold))


@lru_cache(maxsize=256)
def _told_apart(names: tuple[str, ...], most_in: float, points: float, bold: bool) -> tuple[str, ...]:
    cut = {name: shortened(name, most_in, points, bold) for name in names}
    for alike in set(cut.values()):
        clashing = [name for name in dict.fromkeys(names) if cut[name] == alike]
        if len(clashing) > 1:
            cut |= zip(clashing, _cut_at_the_start(clashing, most_in, points, bold), strict=True)
    return tuple(cut[name] for name in names)


def _cut_at_the_start(names: list[str], most_in: float, points: float, bold: bool) -> list[str]:
    same = sum(1 for _ in takewhile(lambda letters: len(set(letters)) == 1, zip(*names, strict=False)))
    # Whole words, where there are any: half of one reads like another.
    begin = names[0].rfind(" ", 0, same) + 1 or same
    gap = width_in("… ", points, bold)
    # So little room, or nothing alike: no cut would tell them apart.
    if not begin or most_in <= 2.0 * gap:
        return [shortened(name, most_in, points, bold) for name in names]
    wide = (1.0 - HEAD) * most_in - gap
    tails = told_apart([name[begin:] for name in names], wide, points, bold)
    room = most_in - gap - max(width_in(tail, points, bold) for tail in tails)
    head = shortened(names[0][:begin].rstrip(), room, points, bold)
    # A letter or two of how they begin say nothing, and take room.
    if len(head) <= SHORTEST_HEAD:
        return [f"…{tail}" for tail in told_apart([name[begin:] for name in names], most_in - gap, points, bold)]
    # What is cut within a word goes on without a space, unless a gap is between.
    space = " " if head.endswith("…") or names[0][begin - 1] == " " else ""
    return [f"{head}{space}{tail}" for tail in tails]


def wrapped(
    text: str, most_in: float, points: float, bold: bool = False, most_lines: int = 9,
    balanced: bool = False,
) -> list[str]:  # fmt: skip
    """Return text in lines no wider than `most_in` inches; the last one is cut if it must be.

    Balanced lines are about as long as one another, so that none holds a lonely word.
    """
    lines: list[str] = []
    text = NUMBER_AND_UNIT.sub("\u00a0", text)
    for word in text.split(" "):  # not at spaces that hold a number to its unit
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and fits(longer, most_in, points, bold):
            lines[-1] = longer
        else:
            lines.append(shortened(word, most_in, points, bold))
    # A title that must be cut needs all the width it can get.
    if balanced and 1 < len(lines) <= most_lines:
        return _balanced(text, lines, most_in, points, bold)
    if len(lines) > most_lines:
        rest = " ".join(lines[most_lines - 1 :])
        lines[most_lines - 1 :] = [shortened(rest, most_in, points, bold)]
    return lines


def _balanced(text: str, lines: list[str], most_in: float, points: float, bold: bool) -> list[str]:
    """Return the narrowest of a few wrappings that need no more lines than the widest one."""
    # Coarse steps are enough: lines need only look alike, and each try measures every word.
    for share in (0.55, 0.65, 0.75, 0.85):
        tried = wrapped(text, share * most_in, points, bold, most_lines=99)
        if len(tried) == len(lines) and not any(line.endswith("…") for line in tried):
            return tried
    return lines
