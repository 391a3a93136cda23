"""The verdict in words: one sentence for titles, few words for cells."""

from collections.abc import Iterable
from math import inf, isfinite

from sim.describe.good import GOOD
from sim.describe.shown import show_part
from sim.measure.judged import Against, Part, Unsafe, Verdict
from sim.measure.verdict import Change
from sim.measure.winding import WOUND
from sim.show.report.brief import brief
from sim.show.report.cells import decimals_of_a_band
from sim.show.report.figure_words import by_itself, phrase
from sim.show.report.hop_words import others_hop, stays, swings, wound
from sim.show.report.naming import Naming, listed, quoted
from sim.show.report.warned import cured, warning


def headline(verdict: Verdict, naming: Naming = quoted) -> str:
    """Return the verdict as a title: what is unsafe, then the trade-off of the set-up with the most to say."""
    parts = warning(verdict, naming), f"{stuck}." if (stuck := stays(verdict, naming)) else "", finding(verdict, naming)
    return " ".join(part for part in parts if part)


def finding(verdict: Verdict, naming: Naming = quoted) -> str:
    """Return what a launch is run to ask, then the trade-off of the set-up with the most to say, or that nothing here matters."""
    reference = naming(verdict.reference)
    does_it = verdict.at_once.wind_ups.get(verdict.reference)
    # Whoever pulls away asks this first, of the truck as it is. Under brakes it is news where it hops.
    if does_it and (verdict.kind == "launch" or does_it.hop):
        stops = [
            by_itself(measure, value) for measure, value in verdict.alone
            if measure.carries and measure.carries.block != "wind-up"
        ]  # fmt: skip
        if not verdict.others:
            how = f", and {swung}" if (swung := swings(does_it)) else ""
            return f"With {reference} {wound(does_it)}{how}{''.join(f'; it {text}' for text in stops)}; nothing to compare it with"
        # How it swings is the last to be said: of several set-ups what they change is asked first.
        last = f". With {reference} {swung}" if (swung := swings(does_it)) else ""
        return f"With {reference} {wound(does_it)}{others_hop(verdict, naming)}. {_compared(verdict, naming)}{last}"
    return _compared(verdict, naming)


def _compared(verdict: Verdict, naming: Naming) -> str:
    """Return what the set-ups come to against the reference, or what the only one does."""
    reference = naming(verdict.reference)
    if not verdict.others:
        does = [by_itself(measure, value) for measure, value in verdict.alone]
        return (
            f"{reference} {listed(does)}; nothing to compare it with"
            if does
            else f"{reference} alone: nothing to compare it with"
        )
    if all(verdict.unsafe.get(name, Unsafe()).flags for name in verdict.setups):
        return "Nothing is judged, as every set-up is flagged: change what is flagged, then compare again"
    if any(not flag.is_event for flag in verdict.unsafe.get(verdict.reference, Unsafe()).flags):
        return f"Nothing can be judged against {reference}, which is flagged: change it, then compare again"
    if all(other.load for other in verdict.others.values()):
        return _loads_alone(verdict, naming)
    subject = verdict.subject
    free = cured(verdict, naming)
    if subject is None:
        who = "the other one is" if len(verdict.others) == 1 else "all other choices are"
        rest = f"Nothing is judged against {reference}, as {who} flagged: change that, then compare again"
        return f"{free}. {rest}" if free else rest
    said = _of_choices(verdict, subject, naming)
    return f"{free}. {said}" if free else said


def _of_choices(verdict: Verdict, subject: Against, naming: Naming) -> str:
    """Return what the set-up with the most to say comes to, or that none tells."""
    if verdict.whole_standing(subject) in ("same", "too close to call"):
        return _nothing_tells(verdict, subject, naming)
    sentences = [_by_load(verdict, subject) + _against(subject, naming)]
    sentences += [words for words in (_as_much(verdict, subject, naming),) if words]
    sentences += _with_other_loads(verdict, subject, naming)
    second = verdict.beside
    if second:
        # Judged against the same one, or it is said against which.
        same = second.reference == subject.reference
        sentences.append(f"{_called(second, naming)} {traded(second)}" if same else _against(second, naming))
    sentences += [words for words in (_past_usual(verdict, subject, naming),) if words]
    return ". ".join(sentences)


def _as_much(verdict: Verdict, subject: Against, naming: Naming) -> str:
    """Return which other choices do as much as that of a title, by the words of the table: else the one that is named would pass for the best."""
    alike = [
        other.setup
        for other in verdict.others.values()
        if other is not subject
        and (other.reference, other.bare, other.counts, other.load) == (subject.reference, subject.bare, True, False)
        and verdict.breaks(other.setup) == verdict.breaks(subject.setup)
        and _leading(other) == _leading(subject)
        and len(verdict.with_other_loads(other)) == len(verdict.with_other_loads(subject))
    ]
    if not alike:
        return ""
    named = alike if len(alike) < 3 else alike[:1]
    more = [f"{len(alike) - 1} others"] if len(named) < len(alike) else []
    return f"{listed([*map(naming, named), *more])} {'does' if len(alike) == 1 else 'do'} as much"


def _leading(other: Against) -> dict[str, tuple[str, str, tuple[str, ...]]]:
    """Return of each block its word, its size and the figures that say so."""
    return {
        block: (part.outcome, part.size, tuple(one.measure.name for way in ("better", "worse") if (one := part.leading(way))))
        for block, part in other.parts.items()
    }  # fmt: skip


def _past_usual(verdict: Verdict, subject: Against, naming: Naming) -> str:
    """Return where the set-up of a title damps the body more than is usual, which what it is judged against does not: it may be praised for it."""
    low, high = GOOD["body_damping"].usual
    ratios, before = (verdict.ratios.get(name, {}) for name in (subject.setup, subject.reference))
    past = {
        axle: ratios["body", axle] for axle in ("front", "rear")
        if ratios.get(("body", axle), 0.0) > high >= before.get(("body", axle), inf)
    }  # fmt: skip
    if not past:
        return ""
    ends = " and ".join(f"{value:.2f} over the {axle} axle" for axle, value in past.items())
    words = listed(list(dict.fromkeys(GOOD["body_damping"].word(value) for value in past.values())))
    return f"{naming(subject.setup)} is {words}: ratio {ends}, usual {low:.2f} to {high:.2f}"


def _against(other: Against, naming: Naming) -> str:
    """Return what a set-up trades, against what, and what is open or the same."""
    start = f"Against {naming(other.reference)}, {_called(other, naming)}"
    if not other.counts:
        return f"{start} cannot be judged: what is flagged says nothing"
    if other.standing in ("same", "too close to call", "not known"):
        same, unknown = listed_blocks(other.of("same"), "the same"), listed_blocks(other.of("not known"), "not known")
        rest = [words for words in (still_open(other), same, unknown) if words]
        return f"{start}: {'; '.join(rest)}" if rest else f"{start} is not known by any figure"
    same, unknown = listed_blocks(other.of("same"), "the same"), listed_blocks(other.of("not known"), "not known")
    does, rest = traded(other), [still_open(other), same, unknown, _winds_up(other)]
    # Nothing but what it is free of, which is said already.
    start = f"{start} {does}; " if does else f"{start}: "
    return f"{start}{'; '.join(words for words in rest if words)}".removesuffix("; ")


def _winds_up(other: Against) -> str:
    """Return that the axle which winds up most does so as far as before: of a launch that is asked first; empty of all else."""
    of = {f"{axle}_{way}" for axle, way in WOUND["launch"].items()}
    named = [change for part in other.parts.values() for change in part.changes if change.measure.name in of]
    most = max(
        (change for change in named if isfinite(change.reference)), key=lambda change: change.reference, default=None
    )
    if most is None or most.outcome != "same" or most.measure.carries is None:
        return ""
    if other.parts["wind-up"].outcome == "same":
        return ""  # the whole block is said to be
    return f"the {most.measure.carries.called} is the same ({brief(most.other, most.measure.quantity)})"


def _called(other: Against, naming: Naming) -> str:
    """Return a set-up's name, and that it carries another load too than what it is judged against: else its load would pass for its merit."""
    return f"{naming(other.setup)}{', which also carries another load,' if other.other_load else ''}"


def _by_load(verdict: Verdict, subject: Against) -> str:
    """Return with which loads the set-up of a title is better, where set-ups are run with several: a choice must suit all."""
    several = verdict.with_other_loads(subject)
    if len(several) == 1:
        return ""
    if verdict.whole_standing(subject) != "better":
        choices = [other for other in verdict.others.values() if not other.load and other.counts]
        if any({each.standing for each in verdict.with_other_loads(other)} == {"better"} for other in choices):
            return ""  # another one is, but is past a limit, or winds up more
        return "No choice is better with every load. "
    standings = {other.standing for other in several}
    if standings <= {"better", "same"}:
        tried = "" if _with_every_load(verdict, subject) else " that it is run with"
        return (
            "One choice is better with one load, worse with none. "
            if "same" in standings
            else f"One choice is better with every load{tried}. "
        )
    return "One choice is better with one load, not known with another. "


def _with_other_loads(verdict: Verdict, subject: Against, naming: Naming) -> list[str]:
    """Return what the set-up of a title comes to with the other loads that it is run with: of several, how many go the same way, and the one that does least."""
    others = [each for each in verdict.with_other_loads(subject) if each.setup != subject.setup]
    if len(others) < 2:
        return [_against(each, naming) for each in others]
    alike = [each for each in others if _ways(each) == _ways(subject)]
    # What speaks most against the choice comes first: what is not judged, then what is worse.
    unlike = sorted(
        (each for each in others if each not in alike),
        key=lambda each: (each.counts, len(each.of("better")) - len(each.of("worse", "mixed"))),
    )
    said = []
    if alike:
        blocks = [part.block for part in subject.parts.values() if part.outcome != "not known"]
        loads = "every other load" if len(alike) == len(others) else f"{len(alike)} other load{'s' * (len(alike) > 1)}"
        said.append(f"With {loads} {listed(blocks)} go the same way")
    said += [_against(each, naming) for each in unlike[:1]]
    if len(unlike) > 1:
        said.append(f"The table has {len(unlike) - 1} more load{'s' * (len(unlike) > 2)}")
    return said


def _ways(other: Against) -> dict[str, str]:
    """Return which way each block goes."""
    return {block: part.outcome for block, part in other.parts.items()}


def _loads_alone(verdict: Verdict, naming: Naming) -> str:
    """Return what the load does that has most to say, where set-ups differ by nothing else: there is no choice to judge."""
    known = [other for other in verdict.loads if other.counts]
    # Of loads that do as much by name, the one that does more.
    most = max(known, key=lambda other: (other.weight, other.times), default=None)
    if most is None:
        return "Only the load differs, and what it does is not known: change what is flagged, then compare again"
    does = [
        phrase(change, True)
        for part in most.parts.values()
        for way in ("worse", "better")
        if (change := part.leading(way))
    ]
    rest = [still_open(most), listed_blocks(most.of("same"), "the same")]
    said = [f"against {naming(most.reference)}, {naming(most.setup)} {listed(does)}" if does else "", *rest]
    return f"Only the load differs: {'; '.join(words for words in said if words)}"


def traded(other: Against) -> str:
    """Return what a set-up is better at, but what it is worse at, by the leading figure of each block."""
    better = [phrase(change) for part in other.parts.values() if (change := part.leading("better"))]
    worse = [phrase(change) for part in other.parts.values() if (change := part.leading("worse"))]
    return f"{listed(better)} but {listed(worse)}" if better and worse else listed(better or worse)


def listed_blocks(parts: Iterable[Part], word: str) -> str:
    """Return "grip and travel are the same"; nothing without a block."""
    blocks = [part.block for part in parts]
    return f"{listed(blocks)} {'is' if len(blocks) == 1 else 'are'} {word}" if blocks else ""


MOST_OPEN = 2
"""Figures of a block that a sentence names as open: a list of seven is read by nobody, and the table has their bands."""


def still_open(other: Against) -> str:
    """Return "ride (worst second) and settling are too close to call"; nothing where no block is.

    Of a block whose other figures are known to be the same, those that are open are named; of more than MOST_OPEN the first, and how many more.
    """
    blocks = []
    for part in other.of("too close to call"):
        open_ = [change.measure.carries.called for change in part.open if change.measure.carries]
        if len(open_) > MOST_OPEN:
            open_ = [open_[0], f"{len(open_) - 1} more"]
        blocks.append(part.block if part.all_open else f"{part.block} ({listed(open_)})")
    return f"{listed(blocks)} {'is' if len(blocks) == 1 else 'are'} too close to call" if blocks else ""


def open_figures(part: Part) -> str:
    """Return within what the open figures of a block differ: "worst second −0.30 to +0.01 m/s²"; at most two of them."""
    return "; ".join(
        f"{change.measure.carries.called} {between(change)}" for change in part.open[:2] if change.measure.carries
    )


def between(change: Change) -> str:
    """Return the band of a figure's change in its first unit: "−0.30 to +0.01 m/s²"."""
    band, quantity = change.band, change.measure.quantity
    if band is None or not (isfinite(band.low) and isfinite(band.high)):
        lost = f"in {band.unknown} of {band.draws} tries" if band is not None and band.unknown else "with both"
        return f"is not reached {lost} within the run"
    (low, unit), (high, _) = (show_part(end, quantity) for end in (band.low, band.high))
    # As many digits as the band is worth, so that an end that is not nought does not read as one.
    size = max(abs(low), abs(high), 1e-12)
    decimals = min(decimals_of_a_band(size, quantity), 3)  # a sentence has less room than a table
    whole = [round(end) if quantity == "count" else end for end in (low, high)]
    ends = " to ".join("0" if end == 0.0 else f"{end:+.{decimals}f}".replace("-", "−") for end in whole)
    return f"{ends} {unit}".rstrip()


NOTHING = 0.05
"""Smallest noticed differences below which a difference has no size worth a word: a share of next to nothing reads like a finding; ours, no source."""


def _with_every_load(verdict: Verdict, other: Against) -> bool:
    """Return whether a choice was run, and can be judged, with every load that the reference was run with."""
    each = verdict.with_other_loads(other)
    return len(each) > len(verdict.loads) and all(one.counts for one in each)


def _nothing_tells(verdict: Verdict, subject: Against, naming: Naming) -> str:
    """Say that no set-up matters, and by how much they differ at most; or what is not known."""
    reference = naming(subject.reference)
    # Bare springs are no choice, nor are loads: what the set-ups with dampers differ by is the finding.
    judged = [
        other for other in verdict.others.values() if other.counts and other.bare == subject.bare and not other.load
    ]
    bare = any(other.bare for other in verdict.others.values()) and not subject.bare
    # Each load has its own reference. What was run with one load alone says nothing of the others.
    every = verdict.loads and all(_with_every_load(verdict, other) for other in judged)
    whatever = "whatever the load, " if every else ""
    # One choice with several loads is one, and is called by its name; without loads those that are alike are several all the same.
    choices = {frozenset((other.setup, *(other.also if verdict.loads else ()))) for other in judged}
    if all(other.reference in other.coincides for other in judged):
        # What a load does is no choice, and it does not coincide.
        all_ = f"every other {'choice' if verdict.loads else 'set-up'}{' with dampers' if bare else ''}"
        who = naming(judged[0].setup) if len(choices) == 1 else all_
        return f"{_first_letter(whatever + who)} coincides with {reference} in every figure"
    who = naming(subject.setup) if len(choices) == 1 else f"which set-up {'with dampers ' if bare else ''}it is"
    close = still_open(subject)
    same = subject.of("same")
    if close:
        text = f"{naming(subject.setup)} against {reference}: {close}"
        return f"{text}; {listed_blocks(same, 'the same')}" if same else text
    # One of them may be without stops or straps: of its travel nothing is the same.
    unknown: dict[str, list[str]] = {}
    for one in judged:
        for part in one.of("not known"):
            unknown.setdefault(part.block, []).append(naming(one.setup))
    same = tuple(part for part in same if part.block not in unknown) or same
    rest = "".join(f"; {block} is not known with {listed(names)}" for block, names in unknown.items())
    text = f"{_first_letter(whatever + who)} hardly matters: {listed_blocks(same, 'the same')} as with {reference}{_alone(verdict, subject)}"
    setup, change = largest(judged)
    if change is None or change.times < NOTHING:
        return f"{text} (no figure differs by a twentieth of what a person would notice){rest}"
    # Which of them: with two set-ups it is plain.
    name = f"{naming(setup)} " if len(judged) > 1 or verdict.kind == "stop" else ""
    return f"{text} (at most, {name or 'it '}{phrase(change)}){rest}"


def _alone(verdict: Verdict, subject: Against) -> str:
    """Return what the reference comes to where a run asks for it whatever the set-up: ", which stops in 23.5 m"."""
    if verdict.kind != "stop":
        return ""
    said = []
    for part in subject.parts.values():
        known = [
            c
            for c in part.changes
            if c.measure.carries and c.measure.carries.says_alone(verdict.kind) and isfinite(c.reference)
        ]
        # Of both axles the one that does more.
        most = max(known, key=lambda change: change.reference, default=None)
        if most is not None and most.measure.carries:
            said.append(by_itself(most.measure, most.reference))
    return f", which {listed(said)}" if said else ""


def _first_letter(text: str) -> str:
    return f"{text[0].upper()}{text[1:]}"


def largest(others: Iterable[Against]) -> tuple[str, Change | None]:
    """Return the figure that differs most by what is noticed, and whose it is; None where all are equal."""
    figures = [
        (change.times, other.setup, change)
        for other in others
        for part in other.parts.values()
        for change in part.changes
        if change.times > 0.0
    ]
    if not figures:
        return "", None
    _, setup, change = max(figures, key=lambda figure: figure[0])
    return setup, change
