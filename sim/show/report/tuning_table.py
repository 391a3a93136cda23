"""What a tuning found, in words and tables for the terminal."""

from math import isfinite
from typing import TextIO

import numpy as np

from sim.describe.units import show
from sim.integrate.result import in_words
from sim.study.tuning.confirming import Confirmed
from sim.study.tuning.judge import SOUND
from sim.study.tuning.session import Answer
from sim.study.tuning.studies import AS_GOOD, helping

# Share of a move's range that counts as its very end: a search comes near an end, seldom onto it.
NEAR_END = 0.01


def printed(answer: Answer, compared: dict[str, Confirmed], stream: TextIO) -> None:
    """Print the answer: what to set, what it brings, what holds it back, and whether it holds."""
    from rich.console import Console

    console = Console(file=stream, highlight=False, width=None if stream.isatty() else 120)
    # Before all else: an answer at fault in full precision is no answer.
    for text in faults(compared):
        console.print(text, markup=False)
    console.print(_first(answer), markup=False)
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


def percent(share: float) -> str:
    """Return a share as a percentage in two digits or whole ones."""
    return f"{100 * share:.0f} %" if abs(share) >= 0.1 else f"{100 * share:.2g} %"


def _first(answer: Answer) -> str:
    # By what the goal is now, which counts as 1: costs are shares of the present set-up.
    if answer.reached:
        gain = 100 * (1.0 - float(answer.judge.cost([answer.best])[0]))
        way = f"{gain:.3g} % better than" if gain > 0.05 else "no better than"
        return f"Tuned over {len(answer.tuning.cases)} case(s), {answer.tries} set-ups tried: the goal is {way} with '{answer.tuning.start}'."
    return (
        f"NO GOAL REACHABLE: none of {answer.tries} set-ups tried within these ranges keeps every limit. "
        "Below is the one that comes nearest."
    )


def _moves(answer: Answer, console: object) -> None:
    table = _table("what may move", "now", "tuned" if answer.reached else "nearest", f"as good ({AS_GOOD:.0%})", "")
    ranges = {f.move.name: f for f in answer.flat}
    for move, value in zip(answer.tuning.moves, answer.trial.values, strict=True):
        ends = ranges.get(move.name)
        # Of the range that the file gives: an optimum at an end may be the range's doing, not the truck's.
        share = (value - move.low) / (move.high - move.low)
        notes = []
        if share < NEAR_END or share > 1.0 - NEAR_END:
            notes.append(f"at its {'low' if share < 0.5 else 'high'} end")
        if ends is not None and ends.flat:
            notes.append("flat")
        span = f"{move.words(ends.low)} to {move.words(ends.high)}" if ends is not None else ""
        table.add_row(move.name, move.words(move.now), move.words(value), span, ", ".join(notes))
    console.print(table)  # type: ignore[attr-defined]
    console.print()  # type: ignore[attr-defined]


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
                words.append(f"{'at most' if bound.most else 'at least'} {show(bound.value, measure.quantity)}")
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


def sentences(answer: Answer) -> list[str]:
    """Return in sentences what binds, what each goal costs, whether the optimum is flat, and whether the choice holds."""
    judge = answer.judge
    said = []
    # A start at fault is what every gain is measured by, and what a single change still has.
    if answer.start.flagged:
        said.append(f"FLAGGED: '{answer.tuning.start}', by which all is measured: {answer.start.flagged}.")
    # First what is in the way: of a goal that cannot be reached, nothing else is worth reading.
    if not answer.reached:
        # The worst three; bounded, as a measure that never comes is missed by an infinite share.
        for text, amount in judge.stopping(answer.best)[:3]:
            # A fault is there or not; by which share it is missed says nothing.
            missed = "" if text.startswith(SOUND) else f" (missed by {100 * min(amount, 1e4):.3g} %)"
            said.append(f"Stopped by: {text}{missed}.")
        # From searches with that one limit lifted: it shows which to talk about with the customer.
        for text, goal in answer.without.items():
            said.append(
                f"Without the limit '{text}' all others can be kept, with the goal at {100 * goal:.3g} % of now."
            )
        said.append("Widen a range, ease a limit, or let something else move (springs, stops, count).")
        return said
    goal = float(judge.cost([answer.best])[0])
    binding = judge.binding(answer.best)
    for text, nearest in binding:
        measure = next(b.measure for b in judge.bounds if b.words == text)
        # In points of now, not per cent of the tuned goal: all other shares are of now as well.
        gain = goal - answer.without.get(text, goal)
        has = f"{text} (has {show(nearest, measure.quantity)})"
        # Being near a limit is not yet being held by it: only a search without it can tell.
        if gain > 5e-4:
            said.append(f"Binds: {has}; without it the goal could be {100 * gain:.2g} points of now better.")
        else:
            said.append(f"Near: {has}; it costs next to nothing.")
    if judge.bounds and not binding:
        said.append("None of the limits binds.")
    ends = [
        f"{m.name}" for m, v in zip(answer.tuning.moves, answer.trial.values, strict=True)
        if not NEAR_END < (v - m.low) / (m.high - m.low) < 1.0 - NEAR_END
    ]  # fmt: skip
    if ends:
        said.append(f"At the end of its range: {', '.join(ends)}. Only a wider range would tell whether more helps.")
    # A single goal has nothing to give up to another.
    if len(answer.alone) > 1:
        for name, alone in answer.alone.items():
            measure = next(m for m in judge.measures if m.name == name)
            # Scores of measures of which more is better are negative; people read shares without a sign.
            mine, best = (100 * abs(float(judge.scored(name, [one])[0])) for one in (answer.best, alone))
            said.append(
                f"{measure.label}: {mine:.4g} % of now; tuned for it alone {best:.4g} %, so the other goals cost it "
                f"{abs(mine - best):.2g} points."
            )
    if answer.flat:
        # Where it is flat a shim on the shelf is as good as the computed one.
        flat = [f.move.name for f in answer.flat if f.flat]
        sharp = [f.move.name for f in answer.flat if not f.flat]
        if flat:
            said.append(f"The optimum is flat in: {', '.join(flat)}. There the builder may round.")
        if sharp:
            said.append(f"It is sharp in: {', '.join(sharp)}.")
    sound, flagged = helping(answer.singles)
    if sound is not None:
        said.append(
            f"The single change that helps most: {sound.move.name} to {sound.move.words(sound.value)}, {percent(sound.gain)} "
            f"({percent(sound.least)} to {percent(sound.most)} as dampers come out)."
        )
    if flagged is not None:
        said.append(
            f"FLAGGED as '{answer.tuning.start}' is ({flagged.faults}), {'but better' if sound else 'the best single change'}: "
            f"{flagged.move.name} to {flagged.move.words(flagged.value)}, {percent(flagged.gain)}."
        )
    # Dampers come out 5 to 15 % off, hot and cold: a choice that does not hold then is no choice.
    for way in answer.drawn:
        text = f"With {way.name}: better than '{answer.tuning.start}' in {way.better:.0%} of draws"
        if judge.bounds:
            text += f", all limits kept in {np.mean(way.kept):.0%}"
        if way.breaks is not None:
            text += f"; most often broken, in {way.breaks[1]:.0%}: {way.breaks[0]}"
        said.append(text + ".")
    if any(way.breaks is not None for way in answer.drawn):
        said.append("If a limit must hold however the dampers come out, write it tighter by as much as it is missed.")
    # Else the table's temperatures would seem to contradict those by which it was searched.
    if any(case.run.way == "hours" for case in answer.tuning.cases):
        said.append(
            "Temperatures were searched by one lap ridden at two temperatures; those of the table are of the whole track."
        )
    return said
