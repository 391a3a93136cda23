"""What numbers in doubt leave open of a sweep: its best against the truck as it is, and against the next best set-up."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from sim.describe.files.scenario import Scenario
from sim.describe.parts.vehicle import Vehicle
from sim.errors import JounceError
from sim.measure.band import Band
from sim.measure.measure import Measure
from sim.study.doubt.study import Outputs, bandable, drawn_values, draws_for
from sim.study.doubt.unknowns import Unknown, draws, unknowns
from sim.study.sweep.axes import paths
from sim.study.sweep.ends import best_place
from sim.study.sweep.points import Points
from sim.study.sweep.sweep import Swept

NOW = "as it is"


@dataclass(frozen=True)
class Told:
    """The band of one difference.

    Attributes
    ----------
    measure : Measure
    setup : str
        The set-up that is best of all.
    place : tuple of int
        Where on the axes.
    against : str
        What it is compared with: a set-up at its own best, or `NOW`.
    band : Band
        Of the best less the other [SI].
    """

    measure: Measure
    setup: str
    place: tuple[int, ...]
    against: str
    band: Band


def doubts(
    scenario: Scenario, swept: Swept, measures: Sequence[Measure], workers: int | None = None,
    tell: Callable[[int, int], None] | None = None,
) -> tuple[tuple[Unknown, ...], list[Told]]:  # fmt: skip
    """Draw the numbers in doubt at the best places of a sweep.

    A number that the sweep moves is known at each of its points.
    """
    points = Points(scenario, swept.axes, swept.measures, coarse=False)
    moved = {path for axis in swept.axes for path in paths(axis.path)}
    wanted = bandable(scenario.run, [one for one in measures if one.better is not None])
    bests = {one.name: _bests(swept, one) for one in wanted}
    # Every vehicle over its run that is asked for, each once.
    places: dict[str, tuple[Vehicle, Any]] = {}
    for ordered in bests.values():
        for setup, place in ordered[:2]:
            places[_word(setup, place)] = points.point((setup, place))
        if ordered:
            places[f"{NOW}: {ordered[0][0]}"] = scenario.setups[ordered[0][0]], scenario.run
    setups = {word: vehicle for word, (vehicle, _) in places.items()}
    of = tuple(
        one for one in unknowns({**setups, **scenario.setups}, scenario.run) if not (one.of_run and one.path in moved)
    )
    if not of or not places:
        return of, []
    count = draws_for(scenario.run, len(of))
    _, values = draws(of, count)
    found: dict[str, Any] = {}
    # Set-ups over one run together; a sweep over the run's own numbers has several.
    for words in _by_run(places):
        try:
            own, _, _ = drawn_values(
                {word: setups[word] for word in words}, places[words[0]][1], [one.name for one in wanted], of, values, workers, tell, points.band,
            )  # fmt: skip
        except JounceError:
            continue
        found |= own
    told = []
    for number, measure in enumerate(wanted):
        for against, word, first in _pairs(bests[measure.name]):
            if word in found and first in found:
                rows = {"best": found[first][:, [number]], "other": found[word][:, [number]]}
                differences = Outputs(of, values, rows, [measure.name], "other").bands()[1]
                if measure.name in differences["best"]:
                    setup, place = bests[measure.name][0]
                    told.append(Told(measure, setup, place, against, differences["best"][measure.name]))
    return of, told


def _bests(swept: Swept, measure: Measure) -> list[tuple[str, tuple[int, ...]]]:
    """Return where each set-up is best, the best set-up first: as the table has it, flagged only where every point is."""
    sense = 1.0 if measure.better == "less" else -1.0
    found = [
        (setup, best_place(rows[measure.name], measure, flagged=swept.flagged(setup)))
        for setup, rows in swept.values.items()
    ]
    known = [(setup, place) for setup, place in found if place is not None]
    return sorted(known, key=lambda one: sense * float(swept.values[one[0]][measure.name][one[1]]))


def _pairs(ordered: Sequence[tuple[str, tuple[int, ...]]]) -> list[tuple[str, str, str]]:
    """Return what the best is compared with: its words, its place, and the best's own."""
    if not ordered:
        return []
    first = _word(*ordered[0])
    pairs = [(NOW, f"{NOW}: {ordered[0][0]}", first)]
    if len(ordered) > 1:
        pairs.append((ordered[1][0], _word(*ordered[1]), first))
    return pairs


def _by_run(places: dict[str, tuple[Vehicle, Any]]) -> list[list[str]]:
    groups: list[tuple[Any, list[str]]] = []
    for word, (_, run) in places.items():
        for other, words in groups:
            if other is run or other == run:
                words.append(word)
                break
        else:
            groups.append((run, [word]))
    return [words for _, words in groups]


def _word(setup: str, place: tuple[int, ...]) -> str:
    return f"{setup}|{','.join(map(str, np.array(place)))}"
