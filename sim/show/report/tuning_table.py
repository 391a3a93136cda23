"""What a tuning came to, as tables for the terminal."""

from collections.abc import Mapping
from math import isfinite
from typing import TextIO

import numpy as np

from sim.describe.shown import show, show_enough
from sim.integrate.status import in_words
from sim.show.report.tuning_words import end_of, sentences
from sim.study.tuning.confirming import Confirmed
from sim.study.tuning.judge import Bound
from sim.study.tuning.session import Answer
from sim.study.tuning.studies import AS_GOOD


def printed(answer: Answer, compared: dict[str, Confirmed], stream: TextIO) -> None:
    """Print the answer: what to set, what it brings, what holds it back, and whether it holds."""
    from rich.console import Console

    console = Console(file=stream, highlight=False, width=None if stream.isatty() else 120)
    # Before all else: an answer at fault in full precision is no answer.
    for text in (*faults(compared), *broken_in_full(answer, compared)):
        console.print(text, markup=False)
    console.print(first(answer), markup=False)
    console.print()
    # What to set comes first, then what it brings, then why: a mechanic may stop reading after the first table.
    _moves(answer, console)
    _measures(answer, compared, console)
    for text in sentences(answer):
        console.print(text, markup=False)


def faults(compared: dict[str, Confirmed]) -> list[str]:
    """Return what is wrong with the set-up that was found, run in full precision, case by case; empty if nothing is."""
    said = []
    for case, one in compared.items():
        *_, found = one.values
        if one.flags_of(found):
            said.append(f"FLAGGED: the set-up below, in case '{case}': {in_words(one.flags_of(found))}.")
    return said


def broken_in_full(answer: Answer, compared: Mapping[str, Confirmed]) -> list[str]:
    """Return which limits the set-up that was found breaks in full precision though the search saw them kept, case by case."""
    judge, said = answer.judge, []
    # What the search saw broken is named by it.
    known = {bound.words for bound, _ in judge.breaks(answer.best)}
    for case, one in compared.items():
        *_, found = one.values.values()
        for bound in judge.bounds:
            value = found.get(bound.measure.name)
            if value is not None and bound.words not in known and breaks(bound, value.value):
                has = _has(value.value, bound.measure.quantity)
                said.append(
                    f"BROKEN in full precision: {bound.words}, in case '{case}' it has {has}. The search, which is coarser, saw "
                    "it kept: write that limit tighter, or ease it, and tune again."
                )
    return said


def breaks(bound: Bound, value: float) -> bool:
    """Tell whether a value is past a limit."""
    past = bound.broken(np.array([value]))
    return bool(past.size and past.max() > 0.0)


def first(answer: Answer) -> str:
    """Return what the tuning came to, in a sentence; before it, in one of its own, which limits the start itself breaks."""
    return f"{start_breaks(answer)} {_came_to(answer)}".strip()


def start_breaks(answer: Answer) -> str:
    """Return which written limits the starting set-up breaks, and by which values; empty if it keeps all."""
    broken = [
        f"{bound.measure.label}: {_has(value, bound.measure.quantity)}, at {'most' if bound.most else 'least'} "
        f"{show(bound.value, bound.measure.quantity)}{_past(value, bound.value, bound.measure.quantity)}"
        for bound, value in answer.judge.breaks(answer.start)
    ]
    if not broken:
        return ""
    limits = "the limit" if len(broken) == 1 else f"{len(broken)} limits"
    return f"'{answer.tuning.start}' breaks {limits}: {'; '.join(broken)}."


def _has(value: float, quantity: str) -> str:
    return show(value, quantity) if isfinite(value) else "not within the run"


def _past(value: float, limit: float, quantity: str) -> str:
    """Return by how much a value is past a limit that it reads the same as: 1.2 s, at most 1.2 s."""
    return (
        f" ({show_enough(abs(value - limit), quantity)} past it)"
        if show(value, quantity) == show(limit, quantity)
        else ""
    )


def _came_to(answer: Answer) -> str:
    # By what the goal is now, which counts as 1: costs are shares of the present set-up.
    if answer.reached:
        gain = 100 * (1.0 - float(answer.judge.cost([answer.best])[0]))
        # Below a percent a digit is enough: nobody feels more of it.
        size = f"{abs(gain):.3g}" if abs(gain) >= 100 * AS_GOOD else f"{abs(gain):.1g}"
        way = "as good as" if abs(gain) <= 0.05 else f"{size} % {'better' if gain > 0.0 else 'worse'} than"
        # Who reads the first sentence alone would order dampers for it.
        if not start_breaks(answer) and 0.05 < gain < 100 * AS_GOOD:
            way = f"{way.removesuffix(' than')}, less than anyone feels ({100 * AS_GOOD:.0f} %), than"
        limits = "every limit is kept, and " if answer.judge.bounds else ""
        cases = len(answer.tuning.cases)
        unfelt = not (start_breaks(answer) or answer.start.flagged) and -0.05 <= gain < 100 * AS_GOOD
        head = (
            f"Nothing need be changed. The best found: {moved_to(answer)}: " if unfelt else f"Set {moved_to(answer)}: "
        )
        return (
            f"{head}{limits}the goal is {way} with '{answer.tuning.start}'{_given_up(answer)} "
            f"({cases} case{'s' if cases != 1 else ''}, {answer.tries} set-ups tried)."
        )
    return (
        f"NO GOAL REACHABLE: none of {answer.tries} set-ups tried within these ranges keeps every limit. "
        "Below is the one that comes nearest."
    )


def _given_up(answer: Answer) -> str:
    """Return which of several goals got worse for the others: better as a whole is not better in each."""
    judge = answer.judge
    labels = {measure.name: measure.label for measure in judge.measures}
    # A score is less where it is better, whichever way the measure counts; of what it is now.
    scores = {name: judge.scored(name, [answer.start, answer.best]) for name in judge.tune.goal}
    lost = {name: float(best - start) for name, (start, best) in scores.items() if best - start > AS_GOOD}
    said = [
        f"{labels[name]} is {100 * share:.2g} % worse" if isfinite(share) else f"{labels[name]} has no value any more"
        for name, share in sorted(lost.items(), key=lambda each: -each[1])
    ]
    return f", though {' and '.join(said)}" if said else ""


def moved_to(answer: Answer) -> str:
    """Return what each move was set to by the best that was found, and what it is now."""
    moved = []
    for move, value in zip(answer.tuning.moves, answer.trial.values, strict=True):
        words, now = move.words(value), move.words(move.now)
        if words == now:
            moved.append(f"{move.name} as now")
        # A scale is a factor on what is fitted: its present value is one by definition.
        elif move.move.kind == "scale":
            moved.append(f"{move.name} × {words}")
        else:
            moved.append(f"{move.name} {words}, not {now}")
    return "; ".join(moved)


def _moves(answer: Answer, console: object) -> None:
    head, *rows = move_rows(answer)
    table = _table(*head)
    for row in rows:
        table.add_row(*row)
    console.print(table)  # type: ignore[attr-defined]
    console.print()  # type: ignore[attr-defined]


def move_rows(answer: Answer) -> list[list[str]]:
    """Return what may move, as it is and as it was found, with a head."""
    rows = [["what may move", "now", "tuned" if answer.reached else "nearest", f"as good ({100 * AS_GOOD:.0f} %)", ""]]
    ranges = {f.move.name: f for f in answer.flat}
    for move, value in zip(answer.tuning.moves, answer.trial.values, strict=True):
        ends = ranges.get(move.name)
        end = end_of(move, value)
        notes = [f"at its {end} end"] if end else []
        if ends is not None and ends.flat:
            notes.append("flat")
        span = f"{move.words(ends.low)} to {move.words(ends.high)}" if ends is not None else ""
        rows.append([move.name, move.words(move.now), move.words(value), span, ", ".join(notes)])
    return rows


def _measures(answer: Answer, compared: dict[str, Confirmed], console: object) -> None:
    """Print goals and limits of every case from the runs in full precision."""
    table = _table("case", "measure", "now", "tuned" if answer.reached else "nearest", "change", "is")
    judge = answer.judge
    limits = {bound.measure.name: bound for bound in judge.bounds}
    for place, (case, comparison) in enumerate(compared.items()):
        # In full precision: the search's own figures are off by what its single precision costs.
        start, tuned = comparison.values.values()
        for column, measure in enumerate(judge.measures):
            # A measure need not exist in every case: wind-up under torque says nothing of a push at a standstill.
            if np.isnan(judge.now[place, column]) or measure.name not in start:
                continue
            one, two = start[measure.name], tuned[measure.name]
            words = ["goal"] if measure.name in judge.tune.goal else []
            if measure.name in limits:
                bound = limits[measure.name]
                words.append(bound.at)
                words += ["BROKEN"] if breaks(bound, two.value) else []
            table.add_row(
                case, measure.label, *(f"{'~' if v.flagged else ''}{show(v.value, measure.quantity)}" for v in (one, two)),
                _change(one.value, two.value, measure.quantity), "; ".join(words),
            )  # fmt: skip
    console.print(table)  # type: ignore[attr-defined]
    console.print()  # type: ignore[attr-defined]


def _change(one: float, two: float, quantity: str) -> str:
    """Return by how much a value changed: in degrees if it is a temperature, not at all of lengths left, else in shares."""
    if not isfinite(one) or not isfinite(two):
        return ""
    if quantity == "temperature":
        # A share of a temperature would depend on where its scale begins.
        return f"{two - one:+.0f} K"
    # A length that is left may be near nought or below, and a share of that says nothing.
    return f"{100 * (two / one - 1.0):+.1f} %" if one and quantity not in ("length", "warmth") else ""


def _table(*titles: str):  # type: ignore[no-untyped-def]
    from rich.table import Table

    table = Table(show_edge=False, pad_edge=False, box=None)
    for title in titles:
        table.add_column(title, overflow="fold")
    return table
