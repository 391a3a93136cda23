"""What a set-up of the page may change, by the part that it is of, in plain words."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from sim.describe.estimates.as_measured import as_measured
from sim.describe.estimates.fields import PAIR, SPRINGS, TEXT
from sim.describe.estimates.fields import WORDS as WORDS_ASKED
from sim.describe.files.changes import changed_as_far_as_it_goes
from sim.describe.files.measured import completed_document
from sim.describe.files.reader import Document
from sim.describe.files.renewed import renewed_vehicle
from sim.show.pages.called import ADDED
from sim.show.pages.local.answers import as_edited
from sim.show.pages.local.fields import Cell, Line, Step
from sim.show.pages.rows import AXLES, POWER

WORDS = ("name", "note")
"""Keys that say nothing to a run."""

PARTS = (
    ("dampers", "dampers"), ("springs", "springs"), ("tyre", "tyres"), ("stop", "bump stops and straps"), ("strap", "bump stops and straps"),
    ("guide", "arms and leaves: where the axle is held"),
)  # fmt: skip
"""Keys of an axle's parts, what they are called, in the order in which somebody tries them."""

ENGINE = "Engine, gears and shafts: for pulling away"
LOADS, OTHER_OF_AXLE, TRUCK = "Loads", "axle", "Body and measures of the truck"


@dataclass(frozen=True)
class Change:
    """A key that a set-up may change: its path, what it is in words, and whether it is a number, which alone a sweep or a tuning takes through a range."""

    path: str
    label: str
    is_number: bool = True


@dataclass(frozen=True)
class Group:
    """Changes to one part."""

    title: str
    changes: tuple[Change, ...]


def changeable(document: Document, steps: Iterable[Step]) -> tuple[Group, ...]:
    """Return the boxes of a form that a set-up may change too, by part.

    What was weighed and taped of the whole truck is left out: a set-up cannot have weighed it otherwise.
    """
    wholes: dict[str, Document] = {}
    groups: dict[str, list[Change]] = {title: [] for title in _titles()}
    for step in steps:
        for line in step.lines:
            for cell in line.cells:
                if _has_others(document, cell.when):
                    continue
                if cell.when not in wholes:
                    wholes[cell.when] = _with_choice(document, cell.when)
                if _may_change(wholes[cell.when], cell):
                    of_power = step.section.name == POWER
                    label = f"{cell.axle.capitalize()}: {_label(line)}" if of_power and cell.axle else _label(line)
                    groups.setdefault(ENGINE if of_power else _title(cell), []).append(
                        Change(cell.path, label, _is_number(cell))
                    )
    if as_measured(document.data):
        # Of a truck as measured alone, as of another set nobody knows more than its lengths.
        for axle in AXLES:
            if dampers := groups[_of_axle(axle, "dampers")]:
                dampers.append(Change(f"{axle}.dampers.{ADDED}", "A second set of dampers", False))
    return tuple(Group(title, tuple(own)) for title, own in groups.items() if own)


def _with_choice(document: Document, when: str) -> Document:
    """Return a document made whole, with the springs that a box goes with: the page shows that box once they are chosen."""
    path, _, word = when.partition("=")
    chosen = as_edited(document, {tuple(path.split(".")): word}) if word else document
    return completed_document(renewed_vehicle(chosen))[0]


def _has_others(document: Document, when: str) -> bool:
    """Return whether a box goes with springs by the form's names, of an axle whose file has them under other names."""
    path, _, word = when.partition("=")
    steps = path.split(".")
    springs = document.data.get(steps[0], {}) if word else {}
    for step in steps[1:]:
        springs = springs.get(step) if isinstance(springs, Mapping) else None
    return isinstance(springs, Mapping) and bool(springs) and not {name for name, _ in SPRINGS.values()} & set(springs)


def _may_change(whole: Document, cell: Cell) -> bool:
    steps = cell.now.split(".")
    # Which springs an axle has is a whole part, not one value.
    if steps[-1] in WORDS or (cell.choices and set(cell.choices) <= set(SPRINGS)):
        return False
    return not changed_as_far_as_it_goes(whole, {cell.path: "1"})[1]


def _is_number(cell: Cell) -> bool:
    """Tell whether a box holds one number: no word to choose from, no text such as a tyre's size, no list."""
    return not cell.choices and not (cell.asked is not None and cell.asked.kind in (PAIR, TEXT, WORDS_ASKED))


def _titles() -> list[str]:
    own = dict.fromkeys(_of_axle(axle, word) for _, word in PARTS for axle in AXLES)
    return [*own, LOADS, *(_of_axle(axle, OTHER_OF_AXLE) for axle in AXLES), TRUCK]


def _title(cell: Cell) -> str:
    first, *rest = cell.now.split(".")
    if first in AXLES:
        return _of_axle(first, next((word for key, word in PARTS if rest and rest[0] == key), OTHER_OF_AXLE))
    return LOADS if first == "loads" else TRUCK


def _of_axle(axle: str, word: str) -> str:
    return f"{axle.capitalize()} {word}"


def _label(line: Line) -> str:
    # A set called main, the only one of most axles, needs no name.
    return line.label if line.of in ("", "main", "coil", "pack") else f"{line.of}: {line.label}"
