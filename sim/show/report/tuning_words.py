"""What a tuning came to, in sentences: what is in the way, what each goal costs, and whether the choice holds."""

from collections.abc import Mapping
from math import isfinite

import numpy as np

from sim.describe.good import GOOD
from sim.describe.shown import show
from sim.errors import JounceError
from sim.linear.placing import placings
from sim.linear.standing import stand
from sim.measure.noticed import NOTICED
from sim.show.report.naming import listed
from sim.study.tuning.judge import SOUND
from sim.study.tuning.moves import Moving
from sim.study.tuning.session import Answer
from sim.study.tuning.studies import AS_GOOD, Single, helping

NEAR_END = 0.01
"""Share of a move's range that counts as its very end: a search comes near an end, seldom onto it."""

WORTH_A_WORD = 5e-4
"""A limit costs something from this share of now on."""

COSTS = 5e-3
"""A limit that is kept with room to spare holds an answer back from this share of now on: less is what two searches differ by."""

AT_END = "At the end of its range"
"""How a sentence begins that says which moves a search left at an end of theirs: the best may lie past it."""


def sentences(answer: Answer) -> list[str]:
    """Return what is worth saying of an answer, the most important first."""
    # Of a goal that cannot be reached, nothing is worth reading but what is in the way.
    if not answer.reached:
        return [*_start_at_fault(answer), *_in_the_way(answer)]
    return [
        *_start_at_fault(answer), *_damping(answer), *_limits(answer), *_ends(answer), *_price_of_each_goal(answer), *_flatness(answer), *_single_change(answer),
        *_as_dampers_come_out(answer), *_whole_tracks(answer),
    ]  # fmt: skip


def percent(share: float) -> str:
    """Return a share as a percentage in two digits or whole ones."""
    return f"{100 * share:.0f} %" if abs(share) >= 0.1 else f"{100 * share:.2g} %"


def end_of(move: Moving, value: float) -> str:
    """Return the end of a move's range at which a value lies: low, high, or nothing."""
    # Of the range that the file gives: an optimum at an end may be the range's doing, not the truck's.
    share = (value - move.low) / (move.high - move.low)
    if NEAR_END <= share <= 1.0 - NEAR_END:
        return ""
    return "low" if share < 0.5 else "high"


def _start_at_fault(answer: Answer) -> list[str]:
    # A start at fault is what every gain is measured by, and what a single change still has.
    if not answer.start.flagged:
        return []
    return [f"FLAGGED: '{answer.tuning.start}', by which all is measured: {answer.start.flagged}."]


def _each_by_its_axle(words: Mapping[str, str]) -> str:
    """Return what is said of each axle, with the axle where they differ; the word that both share once."""
    if len(set(words.values())) == 1:
        return next(iter(words.values()))
    return ", ".join(f"{axle} {word}" for axle, word in words.items())


def _damping(answer: Answer) -> list[str]:
    """Return how much the body is damped by what was found, beside now and what is usual: a goal alone may ask for more than a person bears."""
    start = answer.tuning.cases[0].setups[answer.tuning.start]
    by_axle: dict[str, list[float]] = {}
    try:
        for vehicle in (start, start.changed(answer.changes)):
            for one in placings(stand(vehicle)):
                if one.kind == "body_damping":
                    by_axle.setdefault(one.axle, []).append(one.value)
    except JounceError:  # it cannot stand by the linear view; its runs are sound all the same
        return []
    good, moved = GOOD["body_damping"], {axle: each for axle, each in by_axle.items() if len(each) == 2}
    if not any(NOTICED["number"].times(*each) >= 1.0 for each in moved.values()):
        return []
    ends = listed([f"{after:.2f} over the {axle} axle ({before:.2f} now)" for axle, (before, after) in moved.items()])
    words = _each_by_its_axle({axle: good.word(after) for axle, (_, after) in moved.items()})
    low, high = good.usual
    return [f"Damping ratio of the body for small movements: {ends}; {words}, usual {low:.2f} to {high:.2f}."]


def _in_the_way(answer: Answer) -> list[str]:
    said = []
    # The worst three; bounded, as a measure that never comes is missed by an infinite share.
    for text, amount in answer.judge.stopping(answer.best)[:3]:
        # A fault is there or not; by which share it is missed says nothing.
        missed = "" if text.startswith(SOUND) else f" (missed by {100 * min(amount, 1e4):.3g} %)"
        said.append(f"Stopped by: {text}{missed}.")
    # From searches with that one limit lifted: it shows which to talk about with the customer.
    for text, goal in answer.without.items():
        said.append(f"Without the limit '{text}' all others can be kept, with the goal {_beside_now(goal)}.")
    said.append("Widen a range, ease a limit, or let something else move (springs, bump stops, count).")
    return said


def _beside_now(goal: float) -> str:
    """Return in words what a goal comes to, which is 1 now."""
    gain = 100 * (1.0 - goal)
    return f"{abs(gain):.3g} % {'better' if gain > 0.0 else 'worse'} than now" if abs(gain) > 0.05 else "as it is now"


def _limits(answer: Answer) -> list[str]:
    """Say which limits hold the answer back: what would be set without each, and how much better the goal is there."""
    judge = answer.judge
    goal = float(judge.cost([answer.best])[0])
    # Those that it comes near to, and those without which the goal could be better: a search seldom lands on a limit itself.
    near = dict(judge.binding(answer.best))
    costly = {text: judge.nearest(answer.best, text) for text, other in answer.without.items() if goal - other > COSTS}
    binding = list({**costly, **near}.items())
    if judge.bounds and not binding:
        return ["None of the limits holds it back."]
    said = []
    for text, nearest in binding:
        measure = next(b.measure for b in judge.bounds if b.words == text)
        # In points of now, not per cent of the tuned goal: all other shares are of now as well.
        gain = goal - answer.without.get(text, goal)
        has = f"{text} (has {show(nearest, measure.quantity)})" if isfinite(nearest) else text
        # Being near a limit is not yet being held by it: only a search without it can tell.
        if gain > WORTH_A_WORD:
            moved = _moved_to(answer, text)
            said.append(
                f"Holds it back: {has}; without it the {moved}goal could be better by {100 * gain:.2g} % of what it is now."
            )
        else:
            said.append(f"Near its limit: {has}; it costs next to nothing.")
    return said


def _moved_to(answer: Answer, limit: str) -> str:
    """Return which moves would be elsewhere without a limit, and where: a goal that gains little may hide how far a limit pushes one."""
    if limit not in answer.elsewhere:
        return ""
    found = zip(answer.tuning.moves, answer.trial.values, answer.elsewhere[limit].values, strict=True)
    moved = [
        f"{move.name} to {move.words(there)} instead of {move.words(here)}"
        for move, here, there in found
        if abs(there - here) > NEAR_END * (move.high - move.low) and move.words(there) != move.words(here)
    ]
    return f"search sets {listed(moved)}, and the " if moved else ""


def _ends(answer: Answer) -> list[str]:
    moves = zip(answer.tuning.moves, answer.trial.values, strict=True)
    ends = [move.name for move, value in moves if end_of(move, value)]
    if not ends:
        return []
    return [f"{AT_END}: {', '.join(ends)}. Only a wider range would tell whether more helps."]


def _price_of_each_goal(answer: Answer) -> list[str]:
    """Say what every goal gives up to the others."""
    # A single goal has nothing to give up to another.
    if len(answer.alone) < 2:
        return []
    said = []
    for name, alone in answer.alone.items():
        measure = next(m for m in answer.judge.measures if m.name == name)
        if measure.better == "more":
            mine, best = (answer.judge.plain(name, one) for one in (answer.best, alone))
            said.append(
                f"{measure.label}: {show(mine, measure.quantity)}; tuned for it alone {show(best, measure.quantity)}, so the other goals cost it "
                f"{show(abs(mine - best), measure.quantity)}."
            )
            continue
        mine, best = (100 * float(answer.judge.scored(name, [one])[0]) for one in (answer.best, alone))
        said.append(
            f"{measure.label}: {mine:.4g} % of what it is now; tuned for it alone {best:.4g} %, so the other goals cost it "
            f"{abs(mine - best):.2g} % of that."
        )
    return said


def _flatness(answer: Answer) -> list[str]:
    """Say which values must be met and which may be rounded."""
    # Where it is flat a shim on the shelf is as good as the computed one.
    flat = [f.move.name for f in answer.flat if f.flat]
    # With the range, or "closely" would stand against the table's own.
    sharp = [f"{f.move.name} {f.move.words(f.low)} to {f.move.words(f.high)}" for f in answer.flat if not f.flat]
    said = []
    if flat:
        said.append(f"The builder may round: {', '.join(flat)}. There the goal hardly changes.")
    if sharp:
        said.append(
            f"To be met within these: {', '.join(sharp)}. Past them the goal is more than {100 * AS_GOOD:.0f} % worse, or a limit breaks."
        )
    return said


def _single_change(answer: Answer) -> list[str]:
    sound, flagged = helping(answer.singles)
    said = []
    if sound is not None:
        band = f"{percent(sound.least)} to {percent(sound.most)}".replace("-", "−")
        said.append(f"{single_said(sound)} ({band} as dampers come out).")
    if flagged is not None:
        said.append(
            f"FLAGGED as '{answer.tuning.start}' is ({flagged.faults}), {'but better' if sound else 'the best single change'}: "
            f"{flagged.move.name} to {flagged.move.words(flagged.value)}, {percent(flagged.gain)}."
        )
    return said


def single_said(one: Single) -> str:
    """Return what the single change that helps most is worth: whether it mends limits, and whether anyone would notice it."""
    what = f"{one.move.name} to {one.move.words(one.value)}"
    if one.mends:
        if abs(one.gain) <= WORTH_A_WORD:
            goal = "as it is"
        else:
            goal = f"{100 * abs(one.gain):.2g} % {'better' if one.gain > 0.0 else 'worse'}"
        # The first of those that mend has the best goal: if it costs, all of them do.
        if one.gain < -WORTH_A_WORD:
            return f"No single change keeps every limit and betters the goal: {what} keeps them all, goal {goal}"
        return f"The single change that helps most: {what}, with which every limit is kept; goal {goal}"
    # A change that leaves a limit broken is no answer by itself, whatever the goal gains.
    head = "The single change that helps most" if one.kept else "No single change keeps every limit; the most helpful"
    doubt = ""
    if one.gain < AS_GOOD:
        doubt = f", less than anyone feels ({100 * AS_GOOD:.0f} %)"
    elif one.least <= 0.0:
        doubt = ", too close to call"
    return f"{head}: {what}, goal {100 * one.gain:.2g} % better{doubt}"


def _as_dampers_come_out(answer: Answer) -> list[str]:
    """Say how often the choice holds with dampers that are off, hot or cold: one that does not hold then is no choice."""
    # Ways of which the same is to be said are one sentence.
    ways: dict[str, list[str]] = {}
    for way in answer.drawn:
        text = f"better than '{answer.tuning.start}' in {100 * way.better:.0f} % of tries"
        if answer.judge.bounds:
            text += f", all limits kept in {100 * np.mean(way.kept):.0f} %"
        if way.breaks is not None:
            text += f"; most often broken, in {100 * way.breaks[1]:.0f} %: {way.breaks[0]}"
        ways.setdefault(text, []).append(way.name)
    said = [f"With {listed(names)}: {text}." for text, names in ways.items()]
    if any(way.name.startswith("scatter") for way in answer.drawn):
        said.append("Scatter: dampers come out of the shop so much softer or harder.")
    if any(way.breaks is not None for way in answer.drawn):
        said.append("If a limit must hold however the dampers come out, write it tighter by as much as it is missed.")
    return said


def _whole_tracks(answer: Answer) -> list[str]:
    # Else the table's temperatures would seem to contradict those by which it was searched.
    if not any(case.run.way == "hours" for case in answer.tuning.cases):
        return []
    return [
        "Temperatures were searched by one lap ridden at four temperatures; those of the table are of the whole track."
    ]
