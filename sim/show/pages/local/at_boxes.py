"""What is wrong with a truck, in the words of the form and at its boxes: messages of files speak of keys."""

import re
from collections.abc import Iterable, Mapping
from functools import cache
from typing import Any

from sim.describe.estimates.fields import PAIR, fields
from sim.describe.estimates.truck import read_si
from sim.describe.usual import USUAL_RANGES
from sim.describe.written_unit import in_the_unit_of
from sim.errors import Problem
from sim.show.pages.called import called
from sim.show.pages.local.ranges import example_shown
from sim.show.pages.rows import SECTIONS

SPLIT = {
    "must be less than length_extended": ("length_collapsed", "length_extended"),
    "clamped is what lies between": ("clamped", "length"),
    "the limit must lie above idle": ("limit", "idle"),
    "is between two propshafts": ("centre", "drive"),
    "is of centre: limited_slip": ("centre_torque", "centre"),
}
"""Messages about two boxes of one part, by words of theirs: the keys of both."""

MISSING = "is missing"

OF_A_POINT = re.compile(r"(driveline\.engine\.(?:torque|drag))\.(\d+)\b")

REFUSED = (
    (re.compile(r"(?P<axle>front|rear) guide: the arm reaches"), "{axle}.guide.pivot.behind_front_axle"),
    (re.compile(r"(?P<axle>front|rear) damper set '(?P<name>[^']*)' is .* long between its mounts"), "{axle}.dampers.{name}.length_at_ride"),
    (re.compile(r"The (?P<axle>front|rear) springs would have to pull"), "weighed.{axle}"),
    (re.compile(r"the (?P<axle>front|rear) springs hold -"), "{axle}.springs"),
)  # fmt: skip
"""Why a truck cannot stand, and the box at which that is mended."""

SHORTEST_ARM = 0.25
"""What an arm must reach along the truck at least [m] (`Arm.lower`)."""


def problem_words(problem: Problem) -> dict[str, str]:
    """Return a problem as the page shows it: beside its box, without file and line, in the form's words."""
    return {
        "where": problem.where, "message": in_form_words(problem.message, problem.where), "given": problem.given, "allowed": problem.allowed,
        "suggestion": in_form_words(problem.suggestion, problem.where),
    }  # fmt: skip


def at_boxes(problems: Iterable[Problem]) -> list[dict[str, str]]:
    """Return problems as the page shows them: those of two values of one box once, at that box; one of two boxes at both."""
    pairs = {field.path: field for field in fields() if field.kind == PAIR}
    rows: dict[tuple[str, str], dict[str, str]] = {}
    for problem in problems:
        own = pairs.get(problem.where.rpartition(".")[0])
        words = problem_words(problem)
        if curve := OF_A_POINT.match(problem.where):
            # Points of a curve are typed into one box.
            words["where"], words["message"] = curve[1], f"point {int(curve[2]) + 1}: {words['message']}"
        alone = pairs.get(problem.where)
        if alone is not None and MISSING in problem.message:
            # The other half of a measurement was typed: two loads, and no height under each.
            words["message"] = f"is wanted too, two values with a comma between: {example_shown(alone)}"
        if own is not None:
            words["where"] = own.path
            if MISSING in problem.message:
                words["message"] = f"two values are wanted, with a comma between: {example_shown(own)}"
        both = next((keys for said, keys in SPLIT.items() if said in problem.message), ())
        for where in [f"{words['where']}.{key}" for key in both] or [words["where"]]:
            # The first thing that is wrong with a pair is enough to mend it.
            rows.setdefault((where, "" if own is not None else words["message"]), {**words, "where": where})
    return list(rows.values())


QUOTED = re.compile(r"((?<!\w)'[^']*'|“[^”]*”)")
PATH = re.compile(r"\b(?:front|rear|body|loads|points|run)(?:\.\w+)+")
KEY = re.compile(r"(?<![\w./'])[a-z]+(?:_[a-z]+)+(?![\w./'(])")
FILE = re.compile(r"\.(?:yaml|csv|html)$")


def in_form_words(text: str, where: str = "") -> str:
    """Return a message with the names of boxes in place of keys; what stands in quotes is somebody's own.

    Parameters
    ----------
    text : str
    where : str
        Of which key the message is: another key of the same part is called as it is there.
    """
    # What is said of set-ups is of a scenario's file.
    parts = QUOTED.split(re.sub(r" \(in a set-up: [^)]*\)", "", text))
    # What was found in quotes is every second part.
    return "".join(part if number % 2 else _unquoted(part, where) for number, part in enumerate(parts))


def _unquoted(text: str, where: str) -> str:
    def of_path(match: re.Match[str]) -> str:
        return match[0] if FILE.search(match[0]) else f"“{called(match[0])}”"

    def of_key(match: re.Match[str]) -> str:
        key, labels = match[0], _labels()
        if len(labels.get(key, ())) == 1:
            return f"“{next(iter(labels[key]))}”"
        if key in labels and (part := where.rpartition(".")[0]):
            return f"“{called(f'{part}.{key}')}”"
        # A word to choose from stands in its box so, and a key without a box is plain words.
        return key.replace("_", " ")

    text = KEY.sub(of_key, PATH.sub(of_path, text))
    return re.sub(r"(?<![\w.'])clamped(?![\w.'])", "“Held by the U-bolts”", text)


@cache
def _labels() -> dict[str, frozenset[str]]:
    """Return what the form calls keys of more than one word: of some more than one thing, by their part."""
    found: dict[str, set[str]] = {}
    for section in SECTIONS:
        for row in section.rows:
            found.setdefault(row.keys.rpartition(".")[2], set()).add(row.label)
    return {key: frozenset(labels) for key, labels in found.items() if "_" in key}


def at_card(problem: Problem) -> dict[str, str]:
    """Return a problem of a set-up that is tried: what it changes is called as in the form."""
    words = problem_words(problem)
    return {**words, "where": called(words["where"]) if "." in words["where"] else words["where"]}


def refused(why: str, data: Mapping[str, Any]) -> tuple[str, list[dict[str, str]]]:
    """Return why a truck cannot stand, in the form's words, and as a problem at the box where that is mended, if there is one that somebody typed in."""
    said = re.sub(r"\b(front|rear) guide: the arm reaches", r"The \1 arm reaches", why)
    said = in_form_words(re.sub(r"\b(front|rear) damper set 'main' is", r"The \1 damper would be", said))
    for pattern, path in REFUSED:
        if match := pattern.search(why):
            where = path.format(**match.groupdict())
            written = _at(data, where)
            if written is None:
                continue
            row = {"where": where, "message": said, "given": "", "allowed": "", "suggestion": ""}
            if "arm" in pattern.pattern:
                row["suggestion"] = _ten_times(str(written))
            elif where.endswith("length_at_ride"):
                row["suggestion"] = _usual_length(str(written))
            return said, [row]
    return said, []


def _at(data: Any, path: str) -> Any:
    for step in path.split("."):
        data = data.get(step) if isinstance(data, Mapping) else None
    return data


def _ten_times(written: str) -> str:
    """Return what an arm's pivot would be with a digit more, where that is an arm's."""
    value = read_si(written, "length")
    if value is None or not SHORTEST_ARM <= 10.0 * abs(value) <= USUAL_RANGES["Vehicle.wheelbase"].high:
        return ""
    return f"{in_the_unit_of(written, 10.0 * value)}?"


def _usual_length(written: str) -> str:
    return f"{written} was taped: eye to eye as it stands it must be longer than fully in, and shorter than fully out"
