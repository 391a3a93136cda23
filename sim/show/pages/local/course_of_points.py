"""A course of one's own: points that were surveyed, pasted or drawn become a course file beside the truck."""

import re
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from sim.describe.files.courses import load_course
from sim.describe.files.writer import as_yaml
from sim.errors import InputError, JounceError, OutputError
from sim.show.pages.local.paper import file_stem, written_new

COURSE = """\
# A surveyed course, typed on the page: its points are in {file}.
kind: course
name: {name}
items:
  - {{kind: flat, length: 6 m}}
  - {{kind: survey, file: {file}}}
  - {{kind: flat, length: 15 m}}
"""

TWO_NUMBERS = "Points: write two numbers on each line, a distance and a height, with a blank between: 2.5 40."

UNITS = {"m": ("m", "mm"), "ft": ("ft", "in")}
"""Units of distance and height that columns without a header are in."""


def kept_course(folder: Path, asked: Mapping[str, Any]) -> str:
    """Write a course through points into the folder `courses`; return the name of its file without its ending.

    Parameters
    ----------
    folder : Path
        Of the truck's file.
    asked : mapping
        name; points: text, a distance and a height a line, with a header or without; units: of columns without a header.

    Raises
    ------
    JounceError
        If it is no profile, or its name is taken; nothing is written.
    """
    name = str(asked.get("name") or "").strip()
    if not name:
        raise JounceError("Give the course a name.")
    text = _with_header(str(asked.get("points") or ""), str(asked.get("units") or "m"))
    stem = file_stem(name)
    course = COURSE.format(file=f"{stem}.csv", name=as_yaml([name])[2:].strip())
    # Read from a place of its own first: what is no course leaves nothing behind.
    with tempfile.TemporaryDirectory() as place:
        (Path(place) / f"{stem}.csv").write_text(text, encoding="utf-8")
        (Path(place) / f"{stem}.yaml").write_text(course, encoding="utf-8")
        try:
            load_course(Path(place) / f"{stem}.yaml")
        except InputError as error:
            said = (problem.message.replace(place, "").lstrip("/") for problem in error.problems)
            raise JounceError(
                "; ".join(_of_points(one, f"{stem}.csv", _has_header(lines_of(asked))) for one in said)
            ) from None
    into = folder / "courses"
    try:
        into.mkdir(exist_ok=True)
    except OSError as error:
        raise OutputError(f"{into} cannot be made: {error.strerror or error}") from None
    written_new(into, name, course)
    written_new(into, name, text, ".csv")
    return stem


def lines_of(asked: Mapping[str, Any]) -> list[str]:
    """Return the lines that were typed."""
    return [line.strip() for line in str(asked.get("points") or "").strip().splitlines()]


def _has_header(lines: list[str]) -> bool:
    return bool(lines) and any(letter.isalpha() for letter in lines[0])


def _of_points(message: str, file: str, own_header: bool) -> str:
    """Return a message about a file as one about the points that were typed: there is no file yet, and a header may be ours."""
    message = message.replace(f"{file}, line", "Points, line").replace(file, "What is typed")
    if own_header:
        return message
    counted = re.sub(r"(?<=line )\d+", lambda line: str(int(line[0]) - 1), message)
    # Of a header that nobody wrote: the numbers could not be told apart.
    return TWO_NUMBERS if "line 0:" in counted else counted


def _in_columns(lines: list[str]) -> list[str]:
    """Return lines without a header in columns of one sign: with a blank between two numbers a comma within one of them is a decimal comma."""
    halves = [[half.rstrip(",") for half in line.split()] for line in lines]
    decimal = all(len(pair) == 2 for pair in halves) and any("," in half for pair in halves for half in pair)
    if decimal and not any(sign in line for sign in ";\t" for line in lines):
        return [";".join(pair) for pair in halves]
    return [line if any(sign in line for sign in ",;\t") else ",".join(line.split()) for line in lines]


def _with_header(points: str, units: str) -> str:
    """Return points with a header, where they have none."""
    lines = [line.strip() for line in points.strip().splitlines()]
    if not lines:
        raise JounceError(
            "There are no points: write a distance and a height on each line, with a comma, a blank or a tab between."
        )
    if any(letter.isalpha() for letter in lines[0]):
        return "\n".join(lines) + "\n"
    distance, height = UNITS.get(units, UNITS["m"])
    rows = _in_columns(lines)
    sign = next((own for own in ";\t," if own in rows[0]), ",")
    return "\n".join([f"distance [{distance}]{sign}height [{height}]", *rows]) + "\n"
