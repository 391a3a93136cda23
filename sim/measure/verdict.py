"""What a comparison comes to: each set-up against one reference, in four blocks, each change with its size.

Nothing is counted up and nobody is crowned: a set-up that is better in one block and worse in another stays a trade-off, and what a
person would not notice, or what is too close to call, is a finding of its own.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from math import isinf, isnan, nan

from sim.describe.good import Placed
from sim.describe.to_measure import estimated
from sim.integrate.result import Run
from sim.integrate.status import Flag
from sim.measure.alone import alone
from sim.measure.asked_axle import asked_first, axle_asked
from sim.measure.band import Band
from sim.measure.change import Change, Outcome, changed, noticed_of
from sim.measure.coinciding import coincide
from sim.measure.comparison import Comparison
from sim.measure.hopping import at_once
from sim.measure.judged import Against, Part, Unsafe, Verdict
from sim.measure.measure import BLOCKS, Block, Carries, Kind, Measure
from sim.measure.noticed import RANK, Size
from sim.measure.references import bare_springs, choices, loaded_otherwise, loads_apart, reference_of, references_of
from sim.measure.same_dampers import counted
from sim.measure.table import Value

Doubt = Mapping[str, Mapping[str, Band]]
"""By set-up, then by measure name: the band of other minus reference."""


def kind_of(run: Run) -> Kind:
    """Return the kind of a run, as a verdict tells them apart."""
    if run.drive is not None:
        return "launch" if run.drive.in_gear else "stop"
    return "course" if run.speed_m_per_s > 0.0 else "spot"


def carrying(measures: Iterable[Measure], kind: Kind) -> dict[Block, tuple[Measure, ...]]:
    """Return the measures that carry each block in a kind of run, by their places."""
    claims = [
        (one.carries, one) for one in measures if one.carries and kind in one.carries.on and one.better is not None
    ]
    claims.sort(key=lambda claim: claim[0].place)
    return {block: tuple(one for claim, one in claims if claim.block == block) for block in BLOCKS}


def part_of(block: Block, changes: Iterable[Change]) -> Part:
    """Return what the figures of a block come to."""
    figures = tuple(changes)
    outcomes = {change.outcome for change in figures}
    sizes: tuple[Size, ...] = tuple(change.size for change in figures)
    size: Size = max(sizes, key=RANK.__getitem__, default="same")
    outcome: Outcome = "not known"
    if {"better", "worse"} <= outcomes:
        outcome = "mixed"
    else:
        # What differs stands beside what is too close to call; what is the same everywhere else is said only if nothing is in doubt.
        order: tuple[Outcome, ...] = ("better", "worse", "too close to call", "same", "not judged")
        outcome = next((one for one in order if one in outcomes), "not known")
    if outcome == "same" and any(isnan(change.reference) != isnan(change.other) for change in figures):
        # Without its stops or straps a set-up has no figure that can be the same: what is left of a block says nothing of the rest.
        outcome = "not known"
    return Part(block, figures, outcome, size)


def _nearly(comparison: Comparison, reference: str, setup: str, flag: Flag) -> bool:
    """Return whether a set-up is free of a flag by no more than anybody would notice: a stop that is squeezed flat but for a tenth of a millimetre."""
    if flag.kind != "stop_full":
        return False
    name = f"{flag.part.partition(' ')[0]}_left_to_stop"
    measure = next((one for one in comparison.measures if one.name == name), None)
    values = [comparison.values[one].get(name) for one in (reference, setup)]
    if measure is None or None in values:
        return False
    before, after = (one.value for one in values if one is not None)
    return after - before < noticed_of(measure).smallest(before, after)


def _room_m(run: Run, flag: Flag) -> float:
    """Return how far an axle stays from squeezing its stops flat [m]; nan where that is not known."""
    trace = dict(run.axles).get(flag.part.partition(" ")[0])
    return nan if trace is None or trace.jounce_full_m is None else float(trace.jounce_full_m - trace.jounce_m.max())


OF_TRAVEL = frozenset({"damper_end", "coil_bind", "stop_full", "on_stops", "on_straps"})
"""Kinds of flags that say how travel ends."""


def _relieved(is_asked: bool, cures: Sequence[str], block: Block, changes: Iterable[Change]) -> Part:
    """Return what a block comes to; of travel it counts too that metal no longer meets metal, which no figure need show."""
    part = replace(part_of(block, changes), is_asked=is_asked)
    if block != "travel" or not OF_TRAVEL.intersection(cures):
        return part
    outcome: Outcome = "mixed" if part.outcome in ("worse", "mixed") else "better"
    size: Size = part.size if RANK[part.size] > RANK["clearly"] else "clearly"
    return replace(part, outcome=outcome, size=size)


def verdict(comparison: Comparison, doubt: Doubt | None = None) -> Verdict:
    """Return the verdict on a comparison.

    Parameters
    ----------
    comparison : Comparison
        Set-ups over one run, measured.
    doubt : mapping of str to mapping of str to Band, optional
        By set-up, then by measure name: what the difference to the reference lies within, 95 times in 100; left out: what the
        comparison itself has of it.
    """
    doubt = comparison.doubt if doubt is None else doubt
    reference = reference_of(comparison)
    judged_by, of_a_choice = references_of(comparison), choices(comparison)
    same_but_for_load, with_another_load = loads_apart(comparison), loaded_otherwise(comparison)
    measures = comparison.measures
    kind = kind_of(comparison.runs[reference])
    asked = axle_asked(comparison)
    by_block = {block: asked_first(those, asked) for block, those in carrying(measures, kind).items()}
    unsafe = {setup: found for setup in comparison.runs if (found := _unsafe(comparison, setup, measures))}
    flagged = {setup for setup, run in comparison.runs.items() if run.flags}
    unsound = {setup for setup in flagged if not all(flag.is_event for flag in comparison.runs[setup].flags)}

    def counts(setup: str) -> bool:
        return setup not in flagged and judged_by[setup] not in unsound

    def cures(setup: str) -> tuple[str, ...]:
        own = comparison.runs[judged_by[setup]].flags if counts(setup) else ()
        return tuple(dict.fromkeys(flag.kind for flag in own if not _nearly(comparison, judged_by[setup], setup, flag)))

    def short_of(setup: str) -> float:
        own = comparison.runs[judged_by[setup]].flags if counts(setup) else ()
        rooms = [
            _room_m(comparison.runs[setup], flag) for flag in own if _nearly(comparison, judged_by[setup], setup, flag)
        ]
        return min(rooms, default=nan)

    others = {
        setup: Against(
            setup,
            {
                block: _relieved(
                    bool(asked), cures(setup), block, (_change(comparison, one, judged_by[setup], setup, doubt, counts(setup)) for one in carriers)
                )
                for block, carriers in by_block.items()
                if any(_has_value(comparison, one) for one in carriers)
            },
            bare_springs(run),
            counts(setup),
            tuple(
                name
                for name in comparison.runs
                if name != setup and coincide(comparison, measures, setup, name)
            ),
            judged_by[setup],
            setup in same_but_for_load,
            tuple(name for name in of_a_choice[setup] if name != setup),
            setup in with_another_load,
            cures(setup),
            short_of(setup),
        )
        for setup, run in comparison.runs.items()
        if setup != reference
    }  # fmt: skip
    # Under power or brakes nobody waits for the body to come to rest.
    damping = dict(comparison.damping) if kind in ("course", "spot") else {}
    setups = getattr(comparison.scenario, "setups", {})
    return Verdict(
        reference, tuple(comparison.runs), others, unsafe, by_block, damping, kind,
        {name: _ratios(comparison.placed.get(name, ())) for name in comparison.runs} if damping else {},
        counted({name: setups[name] for name in comparison.runs if name in setups}, reference),
        () if others else alone(comparison, by_block, reference),
        at_once(comparison.runs),
    )  # fmt: skip


RATIOS = {"body_damping": "body", "hop_damping": "hop"}


def _ratios(placed: Iterable[Placed]) -> dict[tuple[str, str], float]:
    return {(RATIOS[one.kind], one.axle): one.value for one in placed if one.kind in RATIOS}


def _change(
    comparison: Comparison, measure: Measure, reference: str, setup: str, doubt: Doubt | None, counts: bool
) -> Change:
    band = doubt.get(setup, {}).get(measure.name) if doubt else None
    change = changed(measure, trusted(comparison, reference, measure), trusted(comparison, setup, measure), band)
    # Its figures stand in the table; that they are better or worse nobody can say.
    return change if counts or change.outcome == "not known" else replace(change, outcome="not judged", size="same")


def trusted(comparison: Comparison, setup: str, measure: Measure) -> Value | None:
    """Return the value of a measure; None where the set-up has none, or its run blew up."""
    if any(flag.kind == "not_finite" for flag in comparison.runs[setup].flags):
        return None
    return comparison.values[setup].get(measure.name)


def _has_value(comparison: Comparison, measure: Measure) -> bool:
    rows = comparison.values.values()
    return any(measure.name in row and not isnan(row[measure.name].value) for row in rows)


def _unsafe(comparison: Comparison, setup: str, measures: Iterable[Measure]) -> Unsafe:
    flags = comparison.runs[setup].flags
    # What a run that blew up left behind is no figure.
    values = {} if any(flag.kind == "not_finite" for flag in flags) else comparison.values[setup]
    past = tuple(
        one
        for one in measures
        # nan is past nothing: comparisons with it are false
        if one.name in values and not isinf(values[one.name].value) and one.past_limit(values[one.name].value)
    )
    vehicle = getattr(comparison.scenario, "setups", {}).get(setup)
    return Unsafe(flags, past, frozenset() if vehicle is None else estimated(vehicle))


__all__ = [
    "Band", "Carries", "Change", "Doubt", "bare_springs", "carrying", "changed", "kind_of", "noticed_of", "part_of", "reference_of",
    "references_of", "verdict",
]  # fmt: skip
