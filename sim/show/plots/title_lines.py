"""Titles of three lines: what comes first of a finding stays in the title, statements that have no room there stand beneath it."""

from sim.show.plots.lettering import clean, wrapped
from sim.show.plots.page import MARGIN, TITLE, WIDTH

MOST_LINES = 3

OPENS, CLOSES = "(“", ")”"


def fits_title(text: str, most_lines: int = MOST_LINES) -> bool:
    """Tell whether a text fits into the lines of a title."""
    # A word wider than a line is cut there: then the title does not hold all of it.
    lines = wrapped(clean(text), WIDTH - 2 * MARGIN, TITLE, True, most_lines + 1)
    return len(lines) <= most_lines and not any(line.endswith("…") for line in lines)


def statements(text: str) -> list[str]:
    """Return a text's sentences, and parts of them after semicolons, each with its own mark at its end; what stands in brackets or in a name is one."""
    found, begin, deep = [], 0, 0
    for place, letter in enumerate(text):
        deep += (letter in OPENS) - (letter in CLOSES)
        if letter == " " and deep == 0 and place and text[place - 1] in ".;":
            found.append(text[begin:place])
            begin = place + 1
    return [*found, text[begin:]]


def in_title(text: str) -> tuple[str, str]:
    """Return as many of a text's first statements as fit into a title, and the others, as sentences; of a first one that is too long all is in both."""
    parts = statements(text)
    for count in range(len(parts), 0, -1):
        title = " ".join(parts[:count]).removesuffix(";").removesuffix(".")
        if fits_title(title):
            return title, sentences(parts[count:])
    return text, sentences(parts)


def in_sentences(text: str, most_lines: int) -> tuple[str, str]:
    """Return as many of a text's first sentences as fit into a title, and the others; a first one that is too long is the title all the same."""
    whole: list[str] = []
    for part in statements(text):
        if whole and whole[-1].endswith(";"):
            whole[-1] += f" {part}"
        else:
            whole.append(part)
    fitting = (
        count for count in range(len(whole), 0, -1) if fits_title(" ".join(whole[:count]).removesuffix("."), most_lines)
    )
    count = next(fitting, 1)
    return " ".join(whole[:count]).removesuffix("."), sentences(whole[count:])


def sentences(parts: list[str]) -> str:
    """Return statements as sentences of one text."""
    text = " ".join(parts).strip()
    return f"{text[:1].upper()}{text[1:].removesuffix('.')}." if text else ""
