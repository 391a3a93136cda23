"""The first sentence of `stand`, `convert`, `lift` and `sheet`: what their tables come to, with its size."""

import re
from collections.abc import Mapping, Sequence
from math import degrees, inf, isfinite

from sim.describe.good import Placed
from sim.describe.parts.vehicle import Vehicle
from sim.describe.shown import show, show_short
from sim.describe.to_measure import rests_on_estimate, to_be_measured
from sim.integrate.damper_room import LEAST_MARGIN
from sim.integrate.status import in_words
from sim.linear.placing import placings
from sim.linear.standing import Standing
from sim.show.report.naming import listed, quoted
from sim.show.report.other_tyres import raised_by_tyres
from sim.study.concluded import Concluded, Conclusions, concluded_of, doubt_of
from sim.study.convert import Converted
from sim.study.fit import Fit
from sim.study.held_by_dampers import ROOM
from sim.study.lift import JOINT_ALIKE, PINION, Lift, Row

STILL = 5e-4
"""Movement [m] below what a tape can tell."""

TEST_SPEED = 0.26
"""Damper speed [m/s] (10 in/s) at which the trade most often quotes a rebound force (common practice, no source)."""

ARMS = "the place of the front arms' pivot"

MOST = 3
"""Figures out of the usual that are named; the others are counted."""


def stands(columns: Mapping[str, Standing]) -> str:
    """Return how set-ups stand, and what of it is wrong or out of the usual; those of which the same is to be said together."""
    groups: dict[str, list[str]] = {}
    for name, standing in columns.items():
        groups.setdefault(_stands(standing), []).append(name)
    plural = {True: "stands", False: "stand"}
    said = [f"{listed(list(map(quoted, names)))} {plural[len(names) == 1]} {words}" for words, names in groups.items()]
    # A line each: of four set-ups one sentence would be a paragraph.
    return ".\n".join(said) + "."


def _stands(standing: Standing) -> str:
    axles = standing.axles
    share = 100.0 * axles["front"].load / (axles["front"].load + axles["rear"].load)
    moved = [
        f"{show(abs(axle.jounce), 'length')} {'lower' if axle.jounce > 0.0 else 'higher'} at the {end}"
        for end, axle in axles.items()
        if abs(axle.jounce) >= STILL
    ]
    # Of a truck that was weighed and no more, heights are estimated too.
    taken = "weighed" if standing.vehicle.estimates else "measured"
    # A tape from the ground reads what the tyres give under another load too.
    where = f"{listed(moved)} than {taken}, frame over axle" if moved else f"as {taken}"
    tyres = raised_by_tyres(standing.vehicle)
    if tyres:
        where += f"{'' if moved else ', frame over axle'}, and {tyres}"
    faults = in_words(standing.flags)
    # What the body does is felt first; an axle's hop rests on more that nobody measures.
    unusual = sorted(
        (one for one in placings(standing) if not one.is_usual),
        key=lambda one: (one.kind.startswith("hop"), -_outside(one)),
    )
    known = [one for one in unusual if not (one.note or one.may_be)]
    guessed = [one for one in unusual if one.note or one.may_be]
    said = "all as usual in the trade"
    if known:
        words = [f"{one.label}{one.with_load} {one.figure} ({one.word}; {one.usual})" for one in known[:MOST]]
        said = f"out of the usual: {listed(words + [f'{len(known) - MOST} more'] * (len(known) > MOST))}"
    elif guessed:
        said = "nothing that was measured is out of the usual"
    if guessed:
        # What an estimate says of a travel is no finding of the truck.
        one = guessed[0]
        rest = len(guessed) - 1
        more = f"; {rest} more figure{' rests' if rest == 1 else 's rest'} on estimates too" if rest else ""
        said += f"; {one.label} {one.figure} {one.word if one.may_be and not one.note else f'is {one.note}'}{more}"
    return f"{where}, {share:.0f} % of its weight in front; {f'{faults}; ' if faults else ''}{said}"


def _outside(one: Placed) -> float:
    """Return how far a figure lies outside of its usual range, in widths of the range."""
    low, high = one.good.usual
    return max(low - one.value, one.value - high) / (high - low)


def converts(each: Sequence[Converted], given: Vehicle, names: tuple[str, str], varied: Sequence[str]) -> str:
    """Return what one damper must give in place of what one gives now, of the axle whose dampers differ.

    Parameters
    ----------
    each : sequence of Converted
    given : Vehicle
        The set-up that the wheel is to feel.
    names : (given, wanted)
    varied : sequence of str
        Axles whose dampers the file changes.
    """
    one = next((one for one in each if one.member.axle in varied), each[0])
    axle, name, count = one.member.axle, one.member.name, one.member.count
    sets = dict(given.axles)[axle].dampers
    first, before = next(iter(sets.items()))
    now = abs(float(before.valving.force(-TEST_SPEED)))
    which = f"{axle} '{first}'" if len(sets) > 1 else axle
    # Where one set is converted to one, the axle says which.
    wanted = axle if [one.member.name for one in each if one.member.axle == axle] == [name] else f"{axle} '{name}'"
    force = show_short(one.force("rebound", TEST_SPEED), "force", (0, 0))
    return (
        f"For the wheel to feel {quoted(names[0])}, each of the {count} {wanted} dampers of {quoted(names[1])} must give {force} "
        f"of rebound at {show_short(TEST_SPEED, 'speed', (2, 0))}, where each of the {before.count} {which} dampers now gives "
        f"{show_short(now, 'force', (0, 0))}."
    )


def lifts(lift: Lift, raised_m: Mapping[str, float], guessed: frozenset[str] = frozenset()) -> str:
    """Return what a lift takes most of, what it does to castor, and that the truck rolls over sooner.

    Parameters
    ----------
    lift : Lift
    raised_m : mapping of str to float
        How far the frame comes up [m], by axle.
    guessed : frozenset of str
        Paths of the truck's numbers that nobody gave (`to_measure.estimated`): what rests on one says so.
    """
    up = [
        f"{show_short(value, 'length', (0, 1))} {'in front' if axle == 'front' else 'at the rear'}"
        for axle, value in raised_m.items()
    ]
    said = f"A lift of {listed(up)}" if min(raised_m.values()) >= 0.0 else f"The change of height by {listed(up)}"
    travel = [
        row
        for row in lift.rows
        if row.quantity == "length"
        and " left" in row.label
        and ROOM not in row.label
        and row.before > 0.0
        and isfinite(row.after)
    ]
    # What is lost is the price; lowered, a truck loses the other way.
    most = max(travel, key=_lost, default=None)
    if most is None or _lost(most) <= 0.0:
        said += ": what it takes of the travel is not known, as no stop, strap or damper length is given"
    else:
        lost = 100.0 * _lost(most)
        # Of what it takes most, which need not be most of it.
        takes, less = ("most", f", {lost:.0f} % less") if lost > 50.0 else (f"{lost:.0f} %", "")
        said += (
            f" takes {takes} of {_label(most)}: {show(most.before, 'length')} becomes {show(most.after, 'length')}"
            f"{less}{_rests_on(most, guessed)}"
        )
    out = [row.label.partition(" damper")[0] for row in lift.rows if ROOM in row.label and row.after < 0.0]
    if out:
        axles = list(dict.fromkeys(out))
        are = "may be" if set(axles) <= lift.may_be_short else "are"
        said += f"; the {listed(axles)} dampers {are} too short for the droop"
    by = {row.label: row for row in lift.rows}
    castor = by.get("front: castor against the measured")
    # Half a degree is what the trade sets castor to.
    if castor is not None and abs(castor.after - castor.before) >= 0.5 / 57.3:
        change = degrees(castor.after - castor.before)
        said += f"; castor {'grows' if change > 0.0 else 'falls'} by {abs(change):.1f} deg"
        # How much that is goes by how long the arms are.
        # A lift behind alone turns the whole truck, whatever its arms are.
        on_arms = "front" in raised_m and any(path.startswith("front.guide.pivot.") for path in guessed)
        said += to_be_measured([ARMS] if on_arms else [])
    pinion = by.get(f"rear: {PINION}")
    if pinion is not None and abs(pinion.after - pinion.before) > JOINT_ALIKE:
        change = degrees(pinion.after - pinion.before)
        said += f"; the rear pinion turns {'up' if change > 0.0 else 'down'} by {abs(change):.1f} deg against the frame"
    height = by["centre of gravity of the whole truck above the ground"]
    if height.after - height.before >= STILL:
        said += f"; the centre of gravity is {show_short(height.after - height.before, 'length', (0, 1))} higher, so it rolls over sooner"
    return f"{said}."


def _rests_on(row: Row, guessed: frozenset[str]) -> str:
    """Return in brackets that the stop's gap or the strap's length behind a row is an estimate; empty where it is not."""
    axle, _, label = row.label.partition(": ")
    measures = [f"{axle}_left_to_{end}" for end in ("stop", "strap") if end in label]
    return to_be_measured(rests_on_estimate(guessed, measures))


def _lost(row: Row) -> float:
    return (row.before - row.after) / row.before


def _label(row: Row) -> str:
    place, _, what = row.label.partition(": ")
    return f"the {what} ({place})" if " damper " in place else f"the {place} {what}"


def orders(
    name: str, every: Mapping[str, Sequence[Fit]], used: Sequence[Fit] = (), known: Conclusions | None = None
) -> str:
    """Return what `order_sentences` has as one text; its parameters are those."""
    return " ".join(order_sentences(name, every, used, known))


TWO_LINES = 240
"""Letters of two lines on a screen of usual width: a first sentence has no more."""


def order_sentences(
    name: str, every: Mapping[str, Sequence[Fit]], used: Sequence[Fit] = (), known: Conclusions | None = None
) -> list[str]:
    """Return what is to be ordered, or why not yet, in sentences: what does not fit first, then what is missing, then what can be ordered.

    None is longer than TWO_LINES, but for names that are: what is to be measured, and what a sentence says after a semicolon, is then one of its own.

    Parameters
    ----------
    name : str
        The set-up that is ordered for.
    every : mapping of str to sequence of Fit
        By set-up; of others only what does not fit is said.
    used : sequence of Fit
        The same dampers in the same places under other loads.
    known : mapping of (axle, set) to Concluded, optional
        What comes of the set-up's dampers beside their lengths: what is in doubt, and where another is proposed.
    """
    fits = every[name]
    wrong = [fit for fit in fits if fit.problems or any(other.problems for other in used if _same(other, fit))]
    missing = [fit for fit in fits if fit not in wrong and not fit.fits]
    said = [f"Do not order the {_who(fit)}{' yet' if _may(fit, used) else ''}: {_why(fit, used)}" for fit in wrong]
    for fit in missing:
        said.append(f"Before the {_who(fit)} {'is' if fit.count == 1 else 'are'} ordered, {_needed(fit)}")
    long_enough = [one for one in concluded_of(fits, known or {}) if one.fit not in wrong and one.fit not in missing]
    said += [_order(one) for one in sorted(long_enough, key=lambda one: not one.in_doubt)]
    said = said or ["There is no damper to order"]
    if len(every) > 1:
        said[0] = f"For {quoted(name)}: {said[0][0].lower()}{said[0][1:]}"
    return [f"{sentence}." for one in said for sentence in _in_two_lines(one)]


MEASURE_FIRST = re.compile(r" \(measure ([^()]*(?:\([^()]*\)[^()]*)*)\)$")


def _in_two_lines(sentence: str) -> list[str]:
    """Return a sentence, without its mark, as it is or in parts of which each has its own meaning."""
    if len(sentence) < TWO_LINES:
        return [sentence]
    if found := MEASURE_FIRST.search(sentence):
        return [*_in_two_lines(sentence[: found.start()]), f"Measure first: {found[1]}"]
    # What is to be measured first, then the room that is in doubt.
    head, mark, room = sentence.partition(": the room ")
    if mark:
        return [*_in_two_lines(head), f"The room {room}"]
    head, mark, measure = sentence.partition(" ordered, measure ")
    if mark:
        return [f"{head} ordered, measure what decides whether they fit", f"That is {measure}"]
    head, mark, rest = sentence.rpartition("; ")
    if mark:
        return [*_in_two_lines(head), f"{rest[0].upper()}{rest[1:]}"]
    return [sentence]


def order_of(fit: Fit, used: Sequence[Fit] = (), known: Conclusions | None = None) -> list[str]:
    """Return what `order_sentences` says of one damper set: its sheet begins with it."""
    return order_sentences("", {"": [fit]}, used, known)


def beside_orders(name: str, every: Mapping[str, Sequence[Fit]], used: Sequence[Fit] = ()) -> str:
    """Return what is said beneath: what another load takes of a stroke, and which other set-ups do not fit; empty if nothing is.

    Parameters are those of `orders`.
    """
    said = _at_ride(name, every, used)
    wrong = [fit for fit in every[name] if fit.problems or any(other.problems for other in used if _same(other, fit))]
    # Of the other set-ups of the file that which is worst off by itself, as it is no part of this order.
    others = [(setup, fit) for setup, own in every.items() for fit in own if setup != name and fit.problems]
    if others:
        setup, fit = min(others, key=lambda one: min(one[1].margin_in, one[1].margin_out))
        may = "may not" if _may(fit, (fit,)) else "do not"
        who = f"With {quoted(setup)} the {fit.called} {may} fit"
        alike = any(_same(own, fit) and own.faults == fit.faults for own in wrong)
        said.append(f"{who} either" if alike else f"{who}: {_why(fit, (fit,))}")
        # By name: a bare count leaves open what it counts, and which set-up is still to be had.
        rest = [one for one in dict.fromkeys(setup_ for setup_, _ in others) if one != setup]
        if rest:
            all_ = "Nor may all" if may == "may not" else "Nor do all"
            said.append(f"{all_} fit with {listed(list(map(quoted, rest)))}")
    return f"{'. '.join(said)}." if said else ""


OF_STROKE = 0.05
"""Share of a stroke by which a load must change what is left at ride to be worth a word; ours, no source."""


def _at_ride(name: str, every: Mapping[str, Sequence[Fit]], used: Sequence[Fit]) -> list[str]:
    """Return how much stroke is left inwards at ride, of the dampers of which another load takes most of it."""
    taken = [
        (_left_in(own) - _left_in(fit), own, fit, setup)
        for setup, fits in every.items()
        if setup != name
        for fit in fits
        for own in every[name]
        # The same dampers under another load: others are another order.
        if _same(own, fit) and any(fit is one for one in used)
    ]
    known = [entry for entry in taken if entry[0] >= OF_STROKE]
    if not known:
        return []
    _, own, fit, setup = max(known, key=lambda entry: entry[0])
    return [
        f"Standing, the {own.called} {'have' if own.count != 1 else 'has'} {100.0 * _left_in(own):.0f} % of the "
        f"stroke left inwards, with {quoted(setup)} {100.0 * _left_in(fit):.0f} %"
    ]


def _left_in(fit: Fit) -> float:
    return fit.left_in / (fit.extended - fit.collapsed)


def _order(one: Concluded) -> str:
    """Return what is to be done about a damper set that is long enough by its central values."""
    fit, many = one.fit, one.fit.count != 1
    be, they, its = ("are", "they", "their") if many else ("is", "it", "its")
    other = (
        f"as {they} {be} {they} will not do ({one.instead}), and another is proposed in {its} place"
        if one.instead
        else ""
    )
    if one.in_doubt:
        first, room = doubt_of(one.ends)
        before = f"ordered, {first}: {room}, so {they} may run into it"
        return (
            f"Do not order the {_who(fit)}: {other}. Before any {be} {before}"
            if other
            else f"Before the {_who(fit)} {be} {before}"
        )
    if other:
        return f"Do not order the {_who(fit)}: {other}{', with limit straps' if fit.strap else ''}"
    left, end = min((fit.margin_in, "squeezed bump stop"), (fit.margin_out, "end of droop"))
    tight = ", less than usual" if left < LEAST_MARGIN else ""
    ends = f"{show(fit.collapsed, 'length')} collapsed, {show(fit.extended, 'length')} extended"
    draft = (
        "; its sheet is a draft, as the forces are estimates: settle them with the builder first"
        if one.guessed_forces
        else ""
    )
    if fit.strap:
        return f"Order the {_who(fit)}, {ends}, and limit straps with {'them' if many else 'it'}{draft}"
    return f"Order the {_who(fit)}, {ends}: {show(left, 'length')} is left at the {end}{tight}{draft}"


def _same(one: Fit, other: Fit) -> bool:
    return (one.axle, one.name) == (other.axle, other.name)


def _who(fit: Fit) -> str:
    return f"{fit.count} {fit.called}"


def _may(fit: Fit, used: Sequence[Fit]) -> bool:
    """Tell whether all that is wrong with a damper rests on estimates whose doubt leaves open that it fits."""
    past = [one for one in (fit, *used) if _same(one, fit) and one.problems]
    return all(len(one.in_doubt) == len(one.problems) for one in past)


def _why(fit: Fit, used: Sequence[Fit]) -> str:
    past = [one for one in (fit, *used) if _same(one, fit)]
    # With a strap that is missing the room to the extended end is no fault of the damper.
    room, end, own = min(
        (margin, end, own)
        for one in past
        for margin, end, own in (
            (one.margin_in, "bump stop", "collapsed"),
            (inf if one.strap else one.margin_out, "limit strap", "extended"),
        )
    )
    if not room < 0.0:
        return next(problem for one in past for problem in one.problems).rstrip(".")
    measure = fit.measure(own)
    first = f" (measure {listed(measure)})" if measure else ""
    if _may(fit, used):
        return f"by estimates they may become the {end}, {show(-room, 'length')} too soon{first}"
    # That it counts on wind-up is said of the set itself: this is one sentence of several.
    guessed = "by estimates " if measure else ""
    return f"{guessed}they become the {end}, {show(-room, 'length')} before the travel ends{first}"


def _needed(fit: Fit) -> str:
    needed = fit.verdict.partition(": ")[2] or fit.verdict
    return f"{needed.partition('; it needs')[0]}, and order limit straps with them" if fit.strap else needed
