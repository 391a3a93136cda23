"""The verdict as a table has it: few words for each block of a set-up, and what stands beneath the table."""

from collections.abc import Mapping

from sim.measure.judged import Verdict
from sim.measure.measure import Block, Measure
from sim.measure.noticed import NOTICED
from sim.show.report.figure_words import phrase
from sim.show.report.naming import Naming, listed, quoted
from sim.show.report.verdict_words import open_figures
from sim.show.report.warned import free_of


def cell(verdict: Verdict, setup: str, block: Block) -> tuple[str, str]:
    """Return what a set-up's block comes to, and the figure that says so: ("a little worse", "rides 12 % rougher")."""
    if setup == verdict.reference:
        return "reference", ""
    other = verdict.others[setup]
    part = other.parts.get(block)
    # That metal no longer meets metal comes before any figure.
    free = [free_of(other.cures)] if block == "travel" and other.cures else []
    if part is None or part.outcome == "not known":
        return "not known", ""
    if other.reference in other.coincides:
        return "coincides", ""
    if part.outcome == "not judged":
        own = setup in verdict.unsafe and verdict.unsafe[setup].flags
        return part.outcome, "flagged" if own else "against a flagged one"
    if part.outcome == "too close to call":
        return part.outcome, open_figures(part)
    if part.outcome == "same":
        return part.outcome, ""
    if part.outcome == "mixed":
        two = (part.leading("better"), part.leading("worse"))
        return "by the load" if other.load else "better and worse", ", ".join(
            [*free, *(phrase(one, other.load) for one in two if one)]
        )
    change = part.leading(part.outcome)
    if other.load:
        return "by the load", phrase(change, True) if change else ""
    # How much is not known where the band is not: the word has no size.
    sized = part.outcome if change and change.at_central_values else f"{part.size} {part.outcome}"
    return sized, ", ".join([*free, *([phrase(change)] if change else [])])


def names_of(blocks: Mapping[Block, tuple[Measure, ...]], verdict: Verdict) -> list[Block]:
    """Return the blocks that any set-up has something to say of, in order."""
    return [block for block in blocks if any(block in other.parts for other in verdict.others.values())]


def other_references(verdict: Verdict) -> tuple[str, ...]:
    """Return what set-ups with another load are judged against, in place of the reference."""
    found = dict.fromkeys(other.reference for other in verdict.others.values())
    return tuple(name for name in found if name and name != verdict.reference)


def role(verdict: Verdict, setup: str, naming: Naming = quoted) -> str:
    """Return what is judged against a set-up, or what it is judged against, where set-ups have several references; else empty.

    A set-up with another load is judged against one with that load, and who reads its row alone takes it as against the reference.
    """
    if not other_references(verdict):
        return ""
    own = verdict.others[setup].reference if setup in verdict.others else ""
    judged = [naming(name) for name, other in verdict.others.items() if other.reference == setup != verdict.reference]
    said = [f"against {naming(own)}"] if own else []
    if judged:
        said.append(f"{listed(judged)} {'is' if len(judged) == 1 else 'are'} judged against this")
    return "; ".join(said)


def coinciding(verdict: Verdict, naming: Naming = quoted) -> list[str]:
    """Return a sentence for each group of set-ups that are equal in every figure."""
    sentences: list[str] = []
    seen: set[str] = set()
    for setup, other in verdict.others.items():
        group = [name for name in verdict.setups if name == setup or name in other.coincides]
        if len(group) > 1 and not seen & set(group):
            seen |= set(group)
            sentences.append(f"{listed([naming(name) for name in group])} coincide in every figure.")
    return sentences


MOTIONS = (("body", "body over the {axle} axle"), ("hop", "hop of the {axle} axle"))


def damped(verdict: Verdict) -> str:
    """Return the damping ratios of body and hop by axle and set-up, as they stand beside settling; empty where they are not known."""
    said = []
    for motion, words in MOTIONS:
        for axle in ("front", "rear"):
            known = {setup: each[motion, axle] for setup, each in verdict.ratios.items() if (motion, axle) in each}
            if known:
                said.append(f"{words.format(axle=axle)}: {_ratios(known, len(verdict.ratios))}")
    return f"Damping ratio for small movements, {'; '.join(said)}" if said else ""


def _ratios(known: Mapping[str, float], every: int) -> str:
    """Return the ratios of the set-ups that have one there, of so many in all: an axle without dampers has none to say."""
    low, high = (f"{of(known.values()):.2f}" for of in (min, max))
    # What is the same of all is said once: a column of equal figures hides the one that differs.
    if len(known) > 1 and NOTICED["number"].times(min(known.values()), max(known.values())) < 1.0:
        return f"{low if low == high else f'{low} to {high}'} with every set-up{'' if len(known) == every else ' that has dampers there'}"
    return ", ".join(f"{quoted(setup)} {ratio:.2f}" for setup, ratio in known.items())


def more_of_the_same(verdict: Verdict) -> list[str]:
    """Return a sentence for each number of the same damper that set-ups have in place of the reference's."""
    groups: dict[tuple[str, int, int], list[str]] = {}
    for setup, axles in verdict.more.items():
        for one in axles:
            groups.setdefault((one.axle, one.count, one.before), []).append(setup)
    return [
        f"{listed([quoted(setup) for setup in setups])}: {count} of the same dampers {'in front' if axle == 'front' else 'at the rear'} in place of "
        f"{before} damp that axle {_times(count / before)} as much: every one gives its force at its speed, and the forces add up."
        for (axle, count, before), setups in groups.items()
    ]


def partly_by_load(verdict: Verdict) -> list[str]:
    """Return a sentence for the choices whose load is another than that of what they are judged against: they are better or worse by both."""
    groups: dict[str, list[str]] = {}
    for setup, other in verdict.others.items():
        if other.other_load:
            groups.setdefault(other.reference, []).append(quoted(setup))
    return [
        f"{listed(setups)}: a part of the difference is the load's, as {quoted(reference)} carries another one. A set-up like {quoted(reference)} with "
        "the same load beside it tells them apart."
        for reference, setups in groups.items()
    ]


def by_their_load(verdict: Verdict) -> list[str]:
    """Return a sentence for what is judged against the first set-up of its load, as none is the reference with that load."""
    own = {name for name, other in verdict.others.items() if other.load}
    groups: dict[str, list[str]] = {}
    for setup, other in verdict.others.items():
        if other.reference and other.reference != verdict.reference and other.reference not in own:
            groups.setdefault(other.reference, []).append(quoted(setup))
    return [
        f"{listed(setups)}: judged against {quoted(reference)}, the first with {'its' if len(setups) == 1 else 'their'} load."
        for reference, setups in groups.items()
    ]


def beneath(verdict: Verdict) -> list[str]:
    """Return what explains the words of the table: more of the same damper, and another load."""
    return [*more_of_the_same(verdict), *by_their_load(verdict), *partly_by_load(verdict)]


def _times(ratio: float) -> str:
    return {2.0: "twice", 0.5: "half"}.get(ratio, f"{ratio:.3g} times")
