"""The sentence of a title: what the values say about the set-ups.

A set-up's name is a person's own words, so sentences are built around it: "With NAME the ...".
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import isnan, nan

from sim.describe.shown import show_parts
from sim.integrate.result import Run
from sim.measure.comparison import Comparison, SideBySide
from sim.measure.measure import Better
from sim.show.plots.lettering import clean, shortened
from sim.show.plots.page import TITLE

NAME_IN = 3.4
"""Width that a set-up's name may take in a title [in]; the legend has it in full."""


@dataclass(frozen=True)
class Finding:
    """Values of one thing by set-up, and how they are told.

    Attributes
    ----------
    values : mapping of str to float
        By set-up; nan where it does not apply.
    better : "less" or "more"
        Which way is better.
    says : callable
        From a value to what follows the set-up: "the front tyres are off the ground 3 % ...".
    short : callable
        From a value to its number alone, for the second set-up: "3 %".
    """

    values: Mapping[str, float]
    better: Better
    says: Callable[[float], str]
    short: Callable[[float], str]


def values(comparison: Comparison, measure: str) -> dict[str, float]:
    """Return a measure by set-up, nan where it does not apply or the run broke down."""
    by_setup = {}
    for setup, run in comparison.runs.items():
        # Some measures are of some runs only: without drive there is no wind-up to measure.
        value = comparison.values[setup].get(measure)
        by_setup[setup] = nan if broke_down(run) or value is None else value.value
    return by_setup


def broke_down(run: Run) -> bool:
    """Return whether a run's numbers grew without limit: then no value of it is worth a look."""
    return any(flag.kind == "not_finite" for flag in run.flags)


def sentence(comparison: SideBySide, finding: Finding, otherwise: str) -> str:
    """Return a finding as a sentence: the best set-up against the worst.

    Parameters
    ----------
    comparison : SideBySide
        Whose set-ups may be flagged.
    finding : Finding
        What is to be said.
    otherwise : str
        What to say if no set-up has a value.
    """
    known = {setup: value for setup, value in finding.values.items() if not isnan(value)}
    if not known:
        return otherwise
    sign = 1.0 if finding.better == "less" else -1.0
    best = min(known, key=lambda setup: sign * known[setup])
    worst = max(known, key=lambda setup: sign * known[setup])
    # With one set-up there is nothing to compare: no "against".
    if len(known) == 1:
        return f"With {named(comparison, best)} {finding.says(known[best])}"
    # What reads the same to the printed digits is the same: "3 % against 3 %" says nothing.
    if finding.short(known[best]) == finding.short(known[worst]):
        # Not "every" where some have no value.
        everyone = "every set-up" if len(known) == len(comparison.runs) else "all that can say"
        return f"With {everyone} {finding.says(known[best])}"
    last = _who(comparison, finding, known, worst)
    first = _who(comparison, finding, known, best)
    # If all but one are as good, the one to name is the bad one.
    alike = [setup for setup in known if finding.short(known[setup]) == finding.short(known[best])]
    if len(alike) == len(known) - 1 > 1 and len(known) == len(comparison.runs):
        first = f"every set-up but {last}"
    return f"With {first} {finding.says(known[best])}; with {last} {finding.short(known[worst])}"


def _who(comparison: SideBySide, finding: Finding, known: Mapping[str, float], setup: str) -> str:
    """Return a set-up's name, and how many others say the same."""
    said = finding.short(known[setup])
    others = sum(finding.short(value) == said for value in known.values()) - 1
    more = f" and {others} other{'s' if others > 1 else ''}" if others else ""
    return named(comparison, setup) + more


def named(comparison: SideBySide, setup: str) -> str:
    """Return a set-up's name in quotes, as a title may hold it: people call set-ups "as fitted"."""
    flagged = " (flagged)" if comparison.runs[setup].flags else ""
    return f"“{shortened(clean(setup), NAME_IN, TITLE, bold=True)}”{flagged}"


def wider(one: Finding, two: Finding) -> Finding:
    """Return the finding whose worst value is worse: where there is more to tell."""
    return max(one, two, key=_worst)


def _worst(finding: Finding) -> float:
    # Signed so that larger is worse, whichever way the measure counts.
    sign = 1.0 if finding.better == "less" else -1.0
    known = [sign * value for value in finding.values.values() if not isnan(value)]
    return max(known, default=float("-inf"))


def brief(value: float, quantity: str, decimals: tuple[int, int]) -> str:
    """Return a value in both unit systems with few decimals, as a title needs it."""
    (metric, unit), (inch, other) = show_parts(value, quantity)
    return f"{metric:.{decimals[0]}f} {unit} ({inch:.{decimals[1]}f} {other})"
