"""The sentence of a title: what the values say about the set-ups.

A set-up's name is a person's own words, so sentences are built around it: "With NAME the ...".
"""

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from math import floor, isnan, log10, nan

from sim.describe.shown import show_parts
from sim.integrate.result import Run
from sim.measure.asked_axle import axle_asked
from sim.measure.comparison import Comparison, SideBySide
from sim.measure.measure import Better
from sim.measure.noticed import NOTICED
from sim.measure.references import bare_springs
from sim.show.plots.lettering import clean, told_apart
from sim.show.plots.page import TITLE
from sim.show.report.brief import BESIDE

NAME_IN = 4.2
"""Width that a set-up's name may take in a title [in]: some 35 letters; the legend has it in full."""


@dataclass(frozen=True)
class Finding:
    """Values of one thing by set-up, and how they are written.

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
    quantity : str
        Key of `sim.measure.noticed.NOTICED`: values that are nearer than a person would notice are said to hardly differ. Left out:
        only what reads the same is.
    counted : str
        What a plain number is a number of, for a difference of two: "times a kilometre".
    matters_to : str
        What it is that a small difference hardly matters to, where the same answer has other findings too: "what reaches the seat".
    """

    values: Mapping[str, float]
    better: Better
    says: Callable[[float], str]
    short: Callable[[float], str]
    quantity: str = ""
    counted: str = ""
    matters_to: str = ""


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
    """Return a finding as a sentence: the best set-up against the worst, or that they hardly differ.

    Bare springs, set-ups without a damper on an axle, are named at the end and not compared, unless nothing else is left: against
    them anything is much, and what the others differ by would go unsaid.

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
    judged = {setup: value for setup, value in known.items() if not _bare(comparison, setup)}
    # With a single set-up that has dampers, bare springs are what it is compared with.
    judged = judged if len(judged) > 1 else known
    text = _best_and_worst(comparison, finding, judged)
    aside = [setup for setup in known if setup not in judged]
    if not aside or {_reads(finding, known[setup]) for setup in aside} <= {_reads(finding, v) for v in judged.values()}:
        return text
    # One of them speaks for all: the first, as they differ from each other by less than from the rest.
    return f"{text}; with {named(comparison, aside[0])} {finding.short(known[aside[0]])}"


def _best_and_worst(comparison: SideBySide, finding: Finding, known: Mapping[str, float]) -> str:
    sign = 1.0 if finding.better == "less" else -1.0
    best = min(known, key=lambda setup: sign * known[setup])
    worst = max(known, key=lambda setup: sign * known[setup])
    # Of those that read the same one without a flag stands for them: a flagged one is no advice.
    best = next(
        (
            s
            for s in known
            if not comparison.runs[s].flags and _reads(finding, known[s]) == _reads(finding, known[best])
        ),
        best,
    )
    # With one set-up there is nothing to compare: no "against".
    if len(known) == 1:
        return f"With {named(comparison, best)} {finding.says(known[best])}"
    # Not "every" where some have no value, or no dampers.
    whole = len(known) == len(comparison.runs)
    everyone = (
        "every set-up"
        if whole
        else "all that can say"
        if _unknown(comparison, finding)
        else "every set-up with dampers"
    )
    # What reads the same to the printed digits is the same: "3 % against 3 %" says nothing.
    if _reads(finding, known[best]) == _reads(finding, known[worst]):
        return f"With {everyone} {finding.says(known[best])}"
    last = _who(comparison, finding, known, worst)
    first = _who(comparison, finding, known, best)
    # If all but one are as good, the one to name is the bad one.
    alike = [setup for setup in known if _reads(finding, known[setup]) == _reads(finding, known[best])]
    if len(alike) == len(known) - 1 > 1 and whole:
        first = f"every set-up but {last}"
    text = f"ith {first} {finding.says(known[best])}; with {last} {finding.short(known[worst])}"
    if not hardly(finding, known[best], known[worst]):
        sound = _without_a_flag(comparison, finding, known, (best, worst))
        return f"W{text}{sound or _between(comparison, finding, known, (best, worst))}"
    # Said first, or a reader takes the better figure for a reason to choose.
    among = " with dampers" if len(known) < len(finding.values) - _missing(finding) else ""
    size = f"{difference_words(abs(known[best] - known[worst]), finding.quantity)} {finding.counted}".rstrip()
    to = f" to {finding.matters_to}" if finding.matters_to else ""
    return f"Which set-up{among} it is hardly matters{to}, {size} at most: w{text}"


def difference_words(difference: float, quantity: str, both: bool = False) -> str:
    """Return a difference with two digits, in its first unit and in the other where the trade has one: "0.05 s", "4 mm (0.16 in)".

    What is counted in titles are hits of bump stops.

    both : say it in the other system whatever it is, as beside values that are said in both.
    """
    # A difference of temperatures has no zero to take off; half bobs are plain numbers.
    kind = {"temperature": "warmth", "bobs": "number"}.get(quantity, quantity)
    if kind == "count":
        return f"{difference:.0f} hit{'s' if difference != 1.0 else ''}"
    (number, unit), *more = show_parts(difference, kind)
    text = f"{_two_digits(number)} {unit}".rstrip()
    if not more or not (both or kind in (*BESIDE, "warmth")):
        return text
    # Finer than a hundredth of an inch nobody reads.
    other = f"{_two_digits(more[0][0], most=2 if kind in BESIDE else 9)} {more[0][1]}"
    return text if other.startswith("0 ") else f"{text} ({other})"


def _two_digits(number: float, most: int = 9) -> str:
    decimals = min(max(1 - floor(log10(abs(number))), 0), most) if number else 0
    text = f"{number:.{decimals}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


MANY = 5
"""From so many set-ups on, best and worst say too little: what lies apart from both is named too."""


def _between(comparison: SideBySide, finding: Finding, known: Mapping[str, float], ends: tuple[str, str]) -> str:
    """Return the set-ups that lie apart from the best and from the worst, two at most, those in the middle first."""
    if len(known) < MANY or not finding.quantity:
        return ""
    noticed = NOTICED[finding.quantity]
    room = {name: min(noticed.times(value, known[end]) for end in ends) for name, value in known.items()}
    middle = sorted((name for name in known if room[name] >= 1.0), key=lambda name: -room[name])[:2]
    # In the order of the figures, so that the title goes from best to worst.
    middle.sort(key=lambda name: known[name], reverse=finding.better == "more")
    if not middle:
        return ""
    words = " and ".join(f"{named(comparison, name)} ({finding.short(known[name])})" for name in middle)
    return f"; between them {words}"


def _without_a_flag(comparison: SideBySide, finding: Finding, known: Mapping[str, float], ends: tuple[str, str]) -> str:
    """Return the best set-up that is not flagged, where the best of all is: that one nobody should build as it is."""
    sound = [setup for setup in known if not comparison.runs[setup].flags]
    if not comparison.runs[ends[0]].flags or not sound:
        return ""
    one = (min if finding.better == "less" else max)(sound, key=lambda setup: known[setup])
    # The worst of all is named anyway.
    if _reads(finding, known[one]) == _reads(finding, known[ends[1]]):
        return ""
    return f"; best of those not flagged: {named(comparison, one)}, {finding.short(known[one])}"


def _missing(finding: Finding) -> int:
    return sum(isnan(value) for value in finding.values.values())


def _reads(finding: Finding, value: float) -> str:
    """Return how a value reads in its first unit: 93 mm (3.6 in) and 93 mm (3.7 in) are one size."""
    return re.sub(r" \([^)]*\)", "", finding.short(value))


def hardly(finding: Finding, one: float, other: float) -> bool:
    """Return whether two values are nearer than a person would notice."""
    return bool(finding.quantity) and NOTICED[finding.quantity].times(one, other) < 1.0


def _unknown(comparison: SideBySide, finding: Finding) -> bool:
    return any(isnan(finding.values.get(setup, nan)) for setup in comparison.runs)


def _bare(comparison: SideBySide, setup: str) -> bool:
    run = comparison.runs[setup]
    # Other things than runs stand side by side too: those have no axles to look at, but may say it of themselves.
    return bare_springs(run) if isinstance(run, Run) else bool(getattr(run, "bare", False))


def _who(comparison: SideBySide, finding: Finding, known: Mapping[str, float], setup: str) -> str:
    """Return a set-up's name, and how many others say the same."""
    said = _reads(finding, known[setup])
    others = sum(_reads(finding, value) == said for value in known.values()) - 1
    more = f" and {others} other{'s' if others > 1 else ''}" if others else ""
    return named(comparison, setup) + more


def named(comparison: SideBySide, setup: str, flagged: bool = True) -> str:
    """Return a set-up's name in quotes, as a title may hold it, with a mark if it is flagged: people call set-ups "as fitted"."""
    mark = " (flagged)" if flagged and comparison.runs[setup].flags else ""
    return f"“{in_a_title(setup, comparison.runs)}”{mark}"


def in_a_title(setup: str, setups: Iterable[str]) -> str:
    """Return a set-up's name as a title has room for it: apart from those of the other set-ups, which may begin alike."""
    names = list(dict.fromkeys([*setups, setup]))
    return told_apart([clean(name) for name in names], NAME_IN, TITLE, bold=True)[names.index(setup)]


def wider(one: Finding, two: Finding) -> Finding:
    """Return the finding whose worst value is worse: where there is more to tell."""
    return max(one, two, key=_worst)


def asked(comparison: Comparison, front: Finding, rear: Finding) -> Finding:
    """Return the finding of the axle that the question is about.

    The axle that is pushed, or that more of the set-ups change; else the one at which they differ more, by what is noticed; where neither differs, the
    one whose worst value is worse.
    """
    known = {"front": front, "rear": rear}
    axle = axle_asked(comparison)
    if axle and any(not isnan(value) for value in known[axle].values.values()):
        return known[axle]
    sizes = {axle: apart(comparison, finding) for axle, finding in known.items()}
    if max(sizes.values()) < 1.0:
        return wider(front, rear)
    return known[max(sizes, key=sizes.__getitem__)]


def apart(comparison: Comparison, finding: Finding) -> float:
    """Return by how many smallest noticed differences the set-ups with dampers are apart; of all, if only one has them."""
    values = {s: v for s, v in finding.values.items() if not isnan(v)}
    judged = [v for s, v in values.items() if not _bare(comparison, s)]
    judged = judged if len(judged) > 1 else list(values.values())
    if len(judged) < 2 or not finding.quantity:
        return 0.0
    return NOTICED[finding.quantity].times(min(judged), max(judged))


def _worst(finding: Finding) -> float:
    # Signed so that larger is worse, whichever way the measure counts.
    sign = 1.0 if finding.better == "less" else -1.0
    known = [sign * value for value in finding.values.values() if not isnan(value)]
    return max(known, default=float("-inf"))
