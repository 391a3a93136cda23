"""What is said of a comparison before anything else: who is flagged or past a limit, and who is free of that."""

from collections.abc import Collection, Iterable, Sequence
from math import isnan

from sim.describe.shown import show_short
from sim.describe.to_measure import rests_on_estimate, to_be_measured
from sim.integrate.status import Flag
from sim.measure.judged import Unsafe, Verdict
from sim.measure.measure import Measure
from sim.show.report.naming import Naming, listed, quoted

FLAGS = {
    "damper_end": "runs a damper to its end", "cavitation": "draws bubbles in a damper", "coil_bind": "presses a coil solid",
    "stop_full": "squeezes a bump stop fully", "on_stops": "stands on its bump stops",
    "on_straps": "stands on taut limit straps",
    "pitch_range": "pitches further than the model holds", "jounce_range": "moves an axle past what its arms or leaves allow",
    "not_finite": "broke down in numbers", "numerical": "does not balance its energy",
}  # fmt: skip
"""What a flagged set-up does, by the kind of its flag."""


def does(flags: Iterable[Flag], past: Iterable[Measure]) -> list[str]:
    """Return what flags and figures past a limit say that a set-up does, gravest first, each once."""
    flagged = [FLAGS.get(flag.kind, "left what the model is valid for") for flag in flags]
    axles: dict[str, list[str]] = {}
    # A damper at its end comes before stops and straps, which are there to be met.
    for measure in sorted(past, key=lambda one: one.quantity != "count"):
        text = measure.beyond or f"is over the limit of “{measure.label}”"
        axles.setdefault(text, []).append(measure.name.partition("_")[0])
    said = [text.format(axle=listed(names)) for text, names in axles.items()]
    # The figure names the axle as well: said once.
    if any(text.endswith("dampers to their ends") for text in said):
        flagged = [text for text in flagged if text != FLAGS["damper_end"]]
    return list(dict.fromkeys([*flagged, *said]))


def warning(verdict: Verdict, naming: Naming = quoted) -> str:
    """Return what is said before anything else: who is flagged, meets a damper's end, a stop or a strap; empty if nobody."""
    unsafe = {setup: verdict.unsafe.get(setup, Unsafe()) for setup in verdict.setups}
    # What all do tells none apart: it is said once, and of each only what comes on top. Of one set-up alone all is said at once.
    several = len(unsafe) > 1
    common = set.intersection(*({one.name for one in each.past} for each in unsafe.values())) if several else set()
    kinds = _common_kinds(unsafe.values(), common) if several else set()
    first = next(iter(unsafe.values()))
    parts, all_do = [], ""
    if common or kinds:
        shared = does(
            (one for one in first.flags if one.kind in kinds), (one for one in first.past if one.name in common)
        )
        all_do = f"every set-up{' (flagged)' if kinds else ''} {listed(shared)}"
    groups: dict[tuple[str, ...], list[str]] = {}
    for setup, each in unsafe.items():
        own = (one for one in each.flags if one.kind not in kinds)
        rest = tuple(does(own, (one for one in each.past if one.name not in common)))
        if rest:
            groups.setdefault(rest, []).append(setup)
    # Flagged ones first, then by how much is wrong with them.
    order = sorted(groups.items(), key=lambda group: (not _flagged(verdict, group[1]), -len(group[0])))
    for texts, setups in order[:MOST_GROUPS]:
        # A flag comes before what all do: it says that the figures may not hold.
        if _flagged(verdict, setups) and not kinds:
            parts.append(f"{_who(verdict, setups, naming)} (flagged) {listed(texts)}")
            continue
        parts, all_do = [*parts, *([all_do] if all_do else [])], ""
        parts.append(f"{_who(verdict, setups, naming)} {'also ' if common or kinds else ''}{listed(texts)}")
    parts += [all_do] if all_do else []
    parts += _left_over(verdict, order[MOST_GROUPS:], naming)
    text = "; ".join(parts) + _estimated(unsafe.values())
    return f"{text[0].upper()}{text[1:]}." if text else ""


def _common_kinds(unsafe: Collection[Unsafe], common: Collection[str]) -> set[str]:
    """Return the kinds of flags that every set-up has; of damper ends only where all meet those of the same axle, which the figure names."""
    kinds = set.intersection(*({flag.kind for flag in each.flags} for each in unsafe))
    met = {one.name for each in unsafe for one in each.past if one.name.endswith("_damper_end_hits")}
    return kinds - {"damper_end"} if met and not met & set(common) else kinds


def _left_over(verdict: Verdict, groups: Sequence[tuple[tuple[str, ...], list[str]]], naming: Naming) -> list[str]:
    """Return what is said of those that there is no room for: a flagged one by its name and by what is gravest, the others by their number."""
    flagged = [(texts, setups) for texts, setups in groups if _flagged(verdict, setups)]
    said = [f"{_who(verdict, setups, naming)} (flagged) {texts[0]}" for texts, setups in flagged[:MOST_FLAGGED]]
    more = sum(len(setups) for _, setups in flagged[MOST_FLAGGED:])
    if more:
        said.append(f"{more} more {'is' if more == 1 else 'are'} flagged too")
    rest_of = sum(len(setups) for texts, setups in groups if (texts, setups) not in flagged)
    if rest_of:
        # In words that hold for whatever limit it is: the table names it.
        who = "1 other set-up reaches" if rest_of == 1 else f"{rest_of} other set-ups reach"
        said.append(f"{who} a stop or another limit too, as the table shows")
    return said


def _estimated(unsafe: Iterable[Unsafe]) -> str:
    """Return in brackets which limits that are passed nobody measured; empty where all were."""
    rests_on = dict.fromkeys(
        words for each in unsafe for words in rests_on_estimate(each.estimated, [one.name for one in each.past])
    )
    return to_be_measured(list(rests_on))


def _flagged(verdict: Verdict, setups: Sequence[str]) -> bool:
    return all(verdict.unsafe.get(setup, Unsafe()).flags for setup in setups)


MOST_GROUPS = 2
"""A title has room for so many: flags and the table name the others."""

MOST_FLAGGED = 2
"""Of the others so many are named if they are flagged: one of them may be the very set-up that is wanted."""


def _who(verdict: Verdict, setups: Sequence[str], naming: Naming) -> str:
    if len(setups) == len(verdict.setups) > 1:
        return "every set-up"
    if len(setups) == len(verdict.setups) - 1 and len(setups) > 2:
        left = next(setup for setup in verdict.setups if setup not in setups)
        return f"every set-up but {naming(left)}"
    if len(setups) > 2:
        return f"each of {naming(setups[0])} and {len(setups) - 1} others"
    return f"each of {listed([naming(setup) for setup in setups])}" if len(setups) == 2 else naming(setups[0])


NOT = {
    "damper_end": ("runs no damper to its end", "run no damper to its end"),
    "cavitation": ("draws no bubbles in a damper", "draw no bubbles in a damper"),
    "coil_bind": ("presses no coil solid", "press no coil solid"),
    "stop_full": ("squeezes no bump stop fully", "squeeze no bump stop fully"),
    "on_stops": ("does not stand on its bump stops", "do not stand on their bump stops"),
    "on_straps": ("does not stand on taut limit straps", "do not stand on taut limit straps"),
}  # fmt: skip
"""What a set-up does that is free of a flag; what several do."""


def cured(verdict: Verdict, naming: Naming) -> str:
    """Return which set-ups are free of what others are flagged for; empty where that is no finding."""
    free = verdict.cure
    near = [other for other in verdict.others.values() if not isnan(other.short_of_m)]
    short = [
        f"{naming(other.setup)} is {show_short(other.short_of_m, 'length', (1, 3))} short of squeezing a bump stop fully"
        for other in near
    ]
    if not free:
        return listed(short)
    kinds = tuple(dict.fromkeys(flag.kind for each in verdict.unsafe.values() for flag in each.flags))
    return f"{listed([naming(name) for name in free])} {free_of(kinds, len(free) > 1)}{'; ' if short else ''}{listed(short)}"


def free_of(kinds: Iterable[str], several: bool = False) -> str:
    """Return what a set-up, or several, no longer does, by kinds of flags: "squeezes no bump stop fully"."""
    return listed([NOT[kind][several] for kind in kinds])
