"""One figure of a set-up against the reference's, in words: "rides 12 % rougher"."""

from dataclasses import replace
from math import isfinite, isinf, isnan

from sim.measure.measure import Carries, Measure
from sim.measure.verdict import Change
from sim.show.report.brief import brief, per_cent


def pace(change: Change) -> str:
    """Return how a time compares with the reference's: half the time, 20 % less time, twice as long."""
    ratio = change.other / change.reference if change.reference else float("nan")
    if 0.45 <= ratio <= 0.55:
        return "half the time"
    if 1.9 <= ratio <= 2.1:
        return "twice as long"
    if isnan(ratio) or ratio > 2.1 or ratio < 0.25:
        return (
            f"{brief(change.other, change.measure.quantity)}, not {brief(change.reference, change.measure.quantity)},"
        )
    return f"{per_cent(abs(1.0 - ratio))} {'less time' if ratio < 1.0 else 'longer'}"


def by_itself(measure: Measure, value: float) -> str:
    """Return what a set-up does by a figure, with nothing to compare it with: "stops in 23.5 m"."""
    claim = measure.carries
    assert claim is not None  # of those that carry a block alone
    if isinf(value):
        return f"does not {_do(claim)[0]} within the run"
    return claim.alone.format(of=brief(value, measure.quantity)).replace(" 1 times", " once")


def _do(claim: Carries) -> tuple[str, str]:
    """Return the two forms of the verb of what may not be done within a run, which itself may be two words: "stop_bobbing stops_bobbing"."""
    do, done = (verb.replace("_", " ") for verb in claim.never.split(" "))
    return do, done


def phrase(change: Change, by_load: bool = False) -> str:
    """Return what a set-up does by one figure, against the reference: "rides 12 % rougher"; `by_load`: they differ in load alone.

    Of a figure that has no end in some draws it is said in how many, and what the truck then does not do.
    """
    said = _at_central(change, by_load)
    if change.band is None or not change.at_central_values:
        return said
    # Without a count no draw was lost: one of the two lengths of step has no figure.
    if not change.band.unknown:
        return f"{said} (do not trust the size: by one length of step it is not reached)"
    claim = change.measure.carries
    do = claim.never.split(" ")[0].replace("_", " ") if claim else "end"
    return f"{said} (in {change.band.unknown} of {change.band.draws} tries one of the two does not {do} within the run)"


def _at_central(change: Change, by_load: bool = False) -> str:
    claim, quantity = change.measure.carries, change.measure.quantity
    change = replace(change, other=change.likely)
    better = (change.other < change.reference) == (change.measure.better == "less")
    if claim is None:
        way = "less" if change.other < change.reference else "more"
        return f"has {brief(abs(change.difference), quantity)} {way} of “{change.measure.label}”"
    do, done = _do(claim)
    if isinf(change.other) and not isinf(change.reference):
        return f"does not {do} within the run"
    if isinf(change.reference) and not isinf(change.other):
        return f"{done} within the run"
    share = change.share
    size = brief(abs(change.difference), quantity)
    if claim.none and change.other == 0.0 != change.reference:
        return claim.none
    into = sum(value < 0.0 for value in (change.other, change.reference))
    usual = (claim.by_load if by_load else ()) or (claim.better, claim.worse)
    said = (usual, claim.across, claim.below)[into][not better] or usual[not better]
    signed = bool(claim.across[0])
    words = said.format(
        # Of a reference of nothing there is no share: then the difference itself is said.
        share=per_cent(share) if isfinite(share) else size,
        change=size,
        to=brief(abs(change.other) if signed else change.other, quantity),
        of=brief(abs(change.reference) if signed else change.reference, quantity),
        pace=pace(change),
    )
    return words.replace(" 1 times", " once")
