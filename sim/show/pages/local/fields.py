"""The form over a truck's file: the rows that it has, each with its boxes; what no row names comes last, under its own keys."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from sim.describe.estimates.as_measured import as_measured
from sim.describe.estimates.fields import WORDS, Field, fields, text_at
from sim.describe.files.asked_for import Wanted, wanted
from sim.describe.old_words import Both, new_steps, with_new_keys
from sim.show.pages.local.alike import OWN_NAMES, followed
from sim.show.pages.local.torque_points import points_text
from sim.show.pages.rows import AXLES, LAST, POWER, SECTIONS, Place, Row, Section, label_of, row_of

NOTHING = "not measured"
"""Grey in a box of which nothing is estimated."""


@dataclass
class Cell:
    """One box to fill in."""

    path: str
    axle: str
    value: str
    wants: Wanted | None
    now: str
    """Its path in the words of today, where the file has an older one."""
    placeholder: str = ""  # grey in the box until the first answer comes
    taken: str = ""  # by the file's own reader where nothing is written
    choices: tuple[str, ...] = ()
    when: str = ""
    """Shown only where the choice at a path has a word: `front.springs=coils`."""
    asked: Field | None = None
    """What is said of it where a shop fills it in and leaves the rest to estimates."""
    follows: str = ""  # path of the front box that it repeats while both axles are said to have the same


@dataclass
class Line:
    """A row of the form: one box, or one for each axle."""

    label: str
    of: str  # the name of the spring, damper set or load that it is of, or empty
    how: str
    cells: list[Cell] = field(default_factory=list)

    @property
    def title(self) -> str:
        """Name of the part in words: those that the form itself gives are no names that people chose."""
        return OWN_NAMES.get(self.of, self.of)


@dataclass
class Step:
    """A step of the form with its lines."""

    section: Section
    lines: list[Line]

    @property
    def follows(self) -> bool:
        """Whether both axles may have the same in it."""
        return any(cell.follows for line in self.lines for cell in line.cells)


def form(data: Mapping[str, Any]) -> list[Step]:
    """Return the form over a vehicle's mapping: of one as measured (with `weighed`) all that a shop can fill in as well.

    Parameters
    ----------
    data : mapping
        As the file has it.
    """
    asked = {field.path: field for field in fields()} if as_measured(data) else {}
    values = dict(_leaves(data, ()))
    paths = list(dict.fromkeys([*_always(data), *values, *(tuple(path.split(".")) for path in asked)]))
    steps = [Step(section, []) for section in (*SECTIONS, LAST)]
    lines: dict[tuple[int, int, Place], Line] = {}
    renewed = _with_kinds(_in_new_words(data)) if asked else _in_new_words(data)
    for path in paths:
        words = tuple(map(str, new_steps(path)))
        step, row = row_of(words)
        known = next(iter(steps[step].section.rows[row : row + 1]), None)
        axle = path[0] if path[0] in AXLES else ""
        key = (step, row, path[1:] if axle else path)
        own = asked.get(".".join(path))
        if key not in lines:
            lines[key] = Line(
                label_of(known, words, own.label if own else ""), _named(path), known.how if known else ""
            )
        lines[key].cells.append(
            _cell(path, words, axle, own, values, data, renewed, known, steps[step].section.name == POWER)
        )
    # Whatever is of one spring or damper set stands together, in the order in which the file has them.
    groups = list(dict.fromkeys(line.of for line in lines.values()))
    for (step, _, _), line in sorted(
        lines.items(), key=lambda item: (item[0][0], groups.index(item[1].of), item[0][1])
    ):
        line.cells.sort(key=lambda cell: AXLES.index(cell.axle) if cell.axle else 0)
        steps[step].lines.append(line)
    return [step for step in steps if step.lines]


def _cell(
    path: Place, words: Place, axle: str, own: Field | None, values: Mapping[Place, Any], data: Mapping[str, Any], renewed: Any,
    known: Row | None, of_power: bool,
) -> Cell:  # fmt: skip
    wants = wanted(words, renewed)
    taken = known.taken if known and known.taken else wants.taken if wants else ""
    if own and (own.choices or own.kind == WORDS):
        taken = re.split("[:;]", own.estimate)[0]  # the words that it begins with, not what it adds to them
    return Cell(
        ".".join(path), axle, text_at(data, own) if own else _text(values.get(path)), wants, ".".join(words),
        taken or (NOTHING if own or of_power else ""), taken, own.choices if own else wants.words if wants and wants.kind == "word" else (),
        "=".join(own.when) if own and own.when else "", own,
        followed(path) if own or of_power else "",
    )  # fmt: skip


KINDS = {"coil": "coil", "pack": "leaf_pack"}
"""Kinds of the springs that a shop's boxes are of, by their names."""


def _with_kinds(data: Mapping[str, Any]) -> dict[str, Any]:
    """Return a truck as measured with the kinds of its springs, which nobody writes: without them a coil's box is told what a pack's is."""
    whole = dict(data)
    for axle in AXLES:
        part = whole.get(axle)
        part = dict(part) if isinstance(part, Mapping) else {}
        springs = part.get("springs")
        springs = dict(springs) if isinstance(springs, Mapping) else {}
        for name, kind in KINDS.items():
            own = springs.get(name)
            springs[name] = {"kind": kind, **(own if isinstance(own, Mapping) else {})}
        whole[axle] = {**part, "springs": springs}
    return whole


def _in_new_words(data: Mapping[str, Any]) -> Any:
    try:
        return with_new_keys(data, (), lambda place, old, new: None)
    except Both:  # which the reader of files says
        return data


def _always(data: Mapping[str, Any]) -> Iterator[Place]:
    for section in SECTIONS:
        for row in section.rows:
            if row.always or (row.of_a_shop and as_measured(data)):
                for axle in AXLES if "{axle}" in row.keys else ("",):
                    yield from _named_places(data, row.keys.replace("{axle}", axle).split("."))


def _named_places(data: Any, steps: list[str], before: Place = ()) -> Iterator[Place]:
    """Yield a path for every name that the data have where it has `*`."""
    if "*" not in steps:
        yield (*before, *steps)
        return
    until = steps.index("*")
    inside = data
    for step in steps[:until]:
        inside = inside.get(step) if isinstance(inside, Mapping) else None
    for name in inside if isinstance(inside, Mapping) else ():
        yield from _named_places(inside[name], steps[until + 1 :], (*before, *steps[:until], str(name)))


def _leaves(data: Any, place: Place) -> Iterator[tuple[Place, Any]]:
    """Yield every single value by its place; `kind` is chosen with the part, and a list is edited in the file."""
    for key, value in data.items():
        if isinstance(value, Mapping):
            yield from _leaves(value, (*place, str(key)))
        elif points := points_text(value):
            yield (*place, str(key)), points
        elif str(key) != "kind" and not isinstance(value, list):
            yield (*place, str(key)), value


def _named(path: Place) -> str:
    """Return the name that people chose, of a spring, a damper set, a load or a point."""
    for number, step in enumerate(path[:-1]):
        if step in ("springs", "dampers", "loads", "points"):
            return path[number + 1]
    return ""


def _text(value: object) -> str:
    if value is None or isinstance(value, bool):
        return {None: "", True: "true", False: "false"}[value]
    return f"{value:g}" if isinstance(value, float) else str(value)
