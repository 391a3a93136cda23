"""The title of a sweep's page: where the first measure is best and worst, or that the inputs hardly matter for it, and what does."""

from collections.abc import Sequence
from typing import Any

import numpy as np

from sim.describe.shown import show_parts
from sim.integrate.status import in_words
from sim.integrate.traces import Array
from sim.measure.change import leaves_open
from sim.measure.measure import Measure
from sim.measure.noticed import NOTICED
from sim.show.pages.called import called
from sim.show.plots.finding import difference_words, in_a_title
from sim.study.sweep.axes import Axis
from sim.study.sweep.doubted import NOW, Told
from sim.study.sweep.ends import better_flagged, end_of, over_setups, where
from sim.study.sweep.sweep import Swept


def title(swept: Swept, measures: Sequence[Measure], told: Sequence[Told] = ()) -> str:
    """Return where the first of the measures is best and worst, or that the inputs hardly matter for it, and what does.

    told : what the numbers in doubt leave of its best; where that is nothing, the title says so.
    """
    text = _title(swept, measures)
    # Where no input matters, no place is called the best.
    return text + (_left_open(swept, measures[0], told) if " is best " in text else "")


def _left_open(swept: Swept, measure: Measure, told: Sequence[Told]) -> str:
    # Against the set-up that is best, as the file has it: another one's own best is another difference.
    others = [
        f"{_named(swept, one.setup)} as the file has it"
        if one.against == NOW
        else f"{_named(swept, one.against)} at its best"
        for one in told
        if one.measure.name == measure.name and leaves_open(one.band, measure)
    ]
    return (
        f"; with the numbers in doubt the best of all is too close to call against {' and '.join(others)}"
        if others
        else ""
    )


def _named(swept: Swept, setup: str) -> str:
    return f"“{in_a_title(setup, swept.values)}”"


def _title(swept: Swept, measures: Sequence[Measure]) -> str:
    measure = measures[0]
    best, worst = (over_setups(swept, measure, which) for which in (False, True))
    # A measure without a better way, or without a value, has neither best nor worst.
    if best is None or worst is None:
        return f"How {measure.label[0].lower()}{measure.label[1:]} goes with {_called(swept.axes[0])}"
    said = [_where(swept, measure, end.value, end.setup, end.place) for end in (best, worst)]
    if best.flags:
        return f"Every point is flagged. {measure.label} is best {said[0]}, but {in_words(best.flags)}; worst {said[1]}"
    hardly = _hardly(swept, measure)
    if len(hardly) == len(swept.axes):
        return _what_matters(swept, measures, (best.value, worst.value))
    # Of all set-ups: the one that is better than the best of them, and at fault.
    flagged = [end for setup in swept.values if (end := _at_fault(swept, measure, setup)) is not None]
    more = measure.better == "more"
    flagged = [end for end in flagged if (end.value > best.value if more else end.value < best.value)]
    beside = ""
    if flagged:
        other = (max if more else min)(flagged, key=lambda end: end.value)
        where_to = _where(swept, measure, other.value, other.setup, other.place)
        beside = f", better still but flagged {where_to}: {in_words(other.flags[:1])}"
    text = _of_each(swept, measures) if not beside else ""
    text = text or (
        f"{measure.label} is best {said[0]}{_price(swept, measures, best.setup, best.place)}"
        f"{_as_good(swept, measure, {best.setup: best})}{beside}; worst {said[1]}"
    )
    if not hardly:
        return text
    # Of two inputs one may do all of it.
    return f"{text}; {_called(swept.axes[hardly[0]])} hardly matters: {_most(swept, measure, hardly[0] + 1)} at most"


FEW = 3
"""Up to so many set-ups the best and the worst of each have room in a title."""


def _of_each(swept: Swept, measures: Sequence[Measure]) -> str:
    """Return where the first measure is best and worst with every set-up; empty where there is no room, or something to mind.

    Where set-ups are loads, or worn dampers, the best of all is nobody's choice: what is asked for is the best place with each.
    """
    measure = measures[0]
    if not 2 <= len(swept.values) <= FEW:
        return ""
    said = []
    for which in (False, True):
        ends = {setup: end_of(swept, measure, which, setup) for setup in swept.values}
        if any(end is None or (end.flags and not which) for end in ends.values()):
            return ""
        # A flagged point that is better still has a sentence of its own.
        if any(_at_fault(swept, measure, setup) is not None for setup in ends):
            return ""
        known: dict[str, Any] = dict(ends)
        if len({end.place for end in known.values()}) == 1:
            one = next(iter(known.values()))
            low, high = (_size(get(end.value for end in known.values()), measure) for get in (min, max))
            price = "" if which else next(filter(None, (_price(swept, measures, s, one.place) for s in known)), "")
            reach = low if low == high else f"{low} to {high}"
            level = "" if which else _as_good(swept, measure, known)
            said.append(f"with every set-up at {where(swept, one.place, ' and ')}, {reach}{price}{level}")
        else:
            texts = []
            for setup, end in known.items():
                beside = (
                    "" if which else _price(swept, measures, setup, end.place) + _as_good(swept, measure, {setup: end})
                )
                texts.append(_where(swept, measure, end.value, setup, end.place) + beside)
            said.append(", ".join(texts))
    return f"{measure.label} is best {said[0]}; worst {said[1]}"


def _as_good(swept: Swept, measure: Measure, best: dict[str, Any]) -> str:
    """Return the place farthest from the best at which nobody would notice a difference, with all of these set-ups; empty for none.

    Of a level stretch a hair decides which point is best: who reads of one speed alone takes it for the only one.
    """
    # Of two inputs the level places are an area, which the picture shows.
    if len(swept.axes) != 1:
        return ""
    noticed, numbers = NOTICED[measure.quantity], swept.axes[0].numbers
    good = np.ones(len(numbers), bool)
    for setup, end in best.items():
        row = swept.values[setup][measure.name]
        # A point that is not known is not good: nan is less than nothing.
        good &= np.array([noticed.times(float(value), end.value) < 1.0 for value in row])
        good &= ~np.array(swept.flagged(setup), bool)
    at = next(iter(best.values())).place[0]
    # One stretch: beyond a hill between them another place is as good, and those on the way are not.
    bad = np.flatnonzero(~good)
    low, high = int(max(bad[bad < at], default=-1)) + 1, int(min(bad[bad > at], default=len(numbers))) - 1
    far = max((low, high), key=lambda place: abs(float(numbers[place] - numbers[at])))
    # The neighbour of the best is as good on any smooth curve.
    return f", and as good at {where(swept, (int(far),))}" if abs(int(far) - at) >= LEVEL else ""


LEVEL = 3
"""Points from which on a stretch that is as good as the best is worth a word; ours, no source."""


def _at_fault(swept: Swept, measure: Measure, setup: str) -> Any:
    """Return the flagged point that is better than all others of a set-up; None if its best is sound."""
    best = end_of(swept, measure, False, setup)
    return best if best is not None and best.flags else better_flagged(swept, measure, setup)


def _called(moved: Axis) -> str:
    words = moved.called or called(moved.path)
    # Within a sentence, unless it begins with a capital of its own.
    return words if moved.called else words[:1].lower() + words[1:]


def _hardly(swept: Swept, measure: Measure) -> list[int]:
    """Return which inputs change a measure by less than a person would notice, with any set-up and wherever the other input is."""
    every = np.stack([row[measure.name] for row in swept.values.values()])
    return [place for place in range(len(swept.axes)) if _apart(every, place + 1, measure) < 1.0]


def _most(swept: Swept, measure: Measure, along: int) -> str:
    """Return by how much one input changes a measure at most, with any set-up and wherever the other input is, in words."""
    every = np.stack([row[measure.name] for row in swept.values.values()])
    rows = np.moveaxis(every, along, -1).reshape(-1, every.shape[along])
    finite = [row[np.isfinite(row)] for row in rows]
    most = max((float(np.ptp(row)) for row in finite if row.size), default=0.0)
    # Both wherever both are shown, as the sizes before it have it.
    return difference_words(most, measure.quantity, both=True)


def _apart(every: Array, along: int, measure: Measure) -> float:
    """Return by how many smallest noticed differences a measure changes at most along one direction of its table."""
    rows = np.moveaxis(every, along, -1).reshape(-1, every.shape[along])
    # Not reached is not less known than a number, but nan is: a run that could not be made.
    known = [row[~np.isnan(row)] for row in rows]
    noticed = NOTICED[measure.quantity]
    return max((noticed.times(float(row.min()), float(row.max())) for row in known if row.size), default=0.0)


def _what_matters(swept: Swept, measures: Sequence[Measure], ends: tuple[float, float]) -> str:
    """Say that no input matters for a measure, and what does: which set-up it is, or what else was measured."""
    measure = measures[0]
    inputs = " and ".join(_called(moved) for moved in swept.axes)
    every = np.stack([row[measure.name] for row in swept.values.values()])
    reach = f"{_size(min(ends), measure)} to {_size(max(ends), measure)}"
    label = f"{measure.label[0].lower()}{measure.label[1:]}"
    if len(swept.values) > 1 and _apart(every, 0, measure) >= 1.0:
        return f"{inputs[0].upper()}{inputs[1:]} hardly matters for {label}; which set-up it is does: {reach}"
    others = [one for one in measures[1:] if one.better and len(_hardly(swept, one)) < len(swept.axes)]
    text = f"{inputs[0].upper()}{inputs[1:]} hardly matters for {label}: {reach}"
    if not others:
        return text
    other = others[0]
    values = np.stack([row[other.name] for row in swept.values.values()])
    known = values[~np.isnan(values)]
    return f"{text}; it does for {other.label[0].lower()}{other.label[1:]}: {_size(float(known.min()), other)} to {_size(float(known.max()), other)}"


def _size(value: float, measure: Measure) -> str:
    texts = [f"{number:.3g} {unit}".strip() for number, unit in show_parts(value, measure.quantity)]
    # Both wherever both are shown: the table beneath has them too.
    return (f"{texts[0]} ({texts[1]})" if len(texts) > 1 else texts[0]).replace("-", "−")


def _price(swept: Swept, measures: Sequence[Measure], setup: str, place: tuple[int, ...]) -> str:
    """Return what else was measured and is at its worst where the first is best."""
    for other in measures[1:]:
        worst = over_setups(swept, other, True)
        if worst is not None and (worst.setup, worst.place) == (setup, place):
            return f", where {other.label[0].lower()}{other.label[1:]} is worst, {_size(worst.value, other)}"
    return ""


STOPS = ("front_left_to_stop", "rear_left_to_stop")


def first_touch(moved: Array, rows: Sequence[Array]) -> float | None:
    """Return where on one input the travel left of any of several stops first falls to nothing, None if it does nowhere.

    Straight between points.
    """
    least = np.min(np.stack(rows), axis=0)
    # Below zero a stop is squeezed; the first place, since beyond it the truck only hits harder.
    below = np.flatnonzero(least < 0.0)
    if not below.size:
        return None
    at = int(below[0])
    # Without a sound point before it there is nothing to draw a straight line from.
    if at == 0 or not np.isfinite(least[at - 1]):
        return float(moved[at])
    share = least[at - 1] / (least[at - 1] - least[at])
    return float(moved[at - 1] + share * (moved[at] - moved[at - 1]))


def bottoms(swept: Swept) -> str:
    """Return from where on each set-up meets its stops; nothing where a sweep is of something else."""
    asked = [name for name in swept.measures if name in STOPS]
    # A sentence about stops fits only a sweep that asks of nothing else.
    if len(swept.axes) != 1 or len(asked) < len(swept.measures):
        return ""
    moved, texts, never = swept.axes[0], [], []
    touches = {s: first_touch(moved.numbers, [row[name] for name in asked]) for s, row in swept.values.items()}
    # Who bottoms first comes first; who never does comes last.
    for setup, value in sorted(touches.items(), key=lambda entry: np.inf if entry[1] is None else entry[1]):
        who = _named(swept, setup)
        if value is None:
            never.append(who)
        else:
            texts.append(f"{who} from {moved.words(float(f'{value:.3g}'))}")
    if not texts:
        return f"No bump stop is met up to {moved.words(float(moved.numbers.max()))}"
    rest = f"; {', '.join(never[:2])} nowhere" if never else ""
    return f"A bump stop is met with {', '.join(texts[:3])}{rest}"


def _where(swept: Swept, measure: Measure, value: float, setup: str, place: tuple[int, ...]) -> str:
    who = f"with {_named(swept, setup)} " if len(swept.values) > 1 else ""
    return f"{who}at {where(swept, place, ' and ')}, {_size(value, measure)}"
