"""Which step a large sweep takes: the one that its set-ups need, if half of it says the same at points all over the map.

Half of the step costs nearly twice the time. What it gains differs from map to map: next to nothing where the ride is smooth, a share of what a
map spans where wheels leave the ground or stops are met. So both are tried before, at the corners, the middle and between them.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product
from math import inf, isfinite, nan
from typing import Any

import numpy as np

from sim.describe.files.scenario import Scenario
from sim.lower.packed import PrecisionName
from sim.measure.table import difference
from sim.study.sweep.axes import Axis
from sim.study.sweep.points import Place, Points

MANY = 400
"""Points of a sweep, of all set-ups together, from which on the trial pays: at nine points a set-up both steps cost as much as 27 runs at the longer one."""

OF_SPAN, OF_VALUE = 5e-3, 1e-5
"""By what share of what the points span, or of the value, the longer step may be off: a line of a map moves by less than it is wide, and
single precision is off by as much. Ours, no source."""

TRIED = {1: (0.0, 0.25, 0.5, 0.75, 1.0), 2: (0.0, 0.5, 1.0)}
"""Where each axis is tried, as shares of its points, by how many axes there are."""


@dataclass(frozen=True)
class Tried:
    """What a trial of both steps came to.

    Attributes
    ----------
    suits : bool
        Whether the step that set-ups need is good enough.
    points : int
        How many points were run at both.
    measure : str
        Name of the measure that is off most, of what is allowed.
    share : float
        By how much of what these points span; inf where one step has a value or a fault and the other has none.
    """

    suits: bool
    points: int
    measure: str
    share: float

    def sentence(self, labels: Mapping[str, str]) -> str:
        """Return it in words, with what each measure is called."""
        tried = f"at {self.points} points tried"
        if self.suits:
            # A value that the inputs hardly move has no range to take a share of.
            most = (
                f" by more than {self._share} of its range"
                if self.share <= OF_SPAN
                else " by more than single precision can tell"
            )
            return f"Run in the longest steps that the set-ups bear: steps half as long move no value{most if self.share else ''} {tried}."
        what = "what is flagged or has a value"
        if isfinite(self.share):
            what = f"{labels.get(self.measure, self.measure)} by {self._share} of its range"
        return f"Run in steps half as long as the longest that the set-ups bear: the longest change {what} {tried}."

    @property
    def _share(self) -> str:
        share = 100.0 * self.share
        return f"{share:.1g} %" if share < 1.0 else f"{share:.0f} %"


def tried(
    scenario: Scenario, axes: Sequence[Axis], measures: Sequence[str], precision: PrecisionName = "single"
) -> Tried:  # fmt: skip
    """Run some points of a sweep at the step that set-ups need and at half of it, and compare.

    Parameters
    ----------
    scenario : Scenario
    axes : one or two Axis
    measures : names of measures
    precision : "single" or "double"
        As the sweep is to be run.
    """
    numbers = [sorted({round(share * (a.numbers.size - 1)) for share in TRIED[len(axes)]}) for a in axes]
    places: list[Place] = [(setup, where) for setup in scenario.setups for where in product(*numbers)]
    whole, half = (_run(Points(scenario, axes, measures, coarse, precision), places) for coarse in (True, False))
    most, worst = 0.0, Tried(True, len(places), measures[0], 0.0)
    for name in measures:
        values = np.array([_value(half[place], name) for place in places])
        off = max(difference(_value(whole[place], name), value) for place, value in zip(places, values, strict=True))
        known = values[np.isfinite(values)]
        span = float(np.ptp(known)) if known.size else 0.0
        limit = max(OF_SPAN * span, OF_VALUE * float(np.max(np.abs(known), initial=0.0)))
        of_limit = off / limit if limit > 0.0 else inf if off > 0.0 else 0.0
        if of_limit > most:
            most, worst = (
                of_limit,
                Tried(bool(of_limit <= 1.0), len(places), name, float(off / span) if span > 0.0 else inf),
            )
    # A fault that one of them sees and the other does not is a step too long, whatever the measures say.
    if any(_faults(whole[place]) != _faults(half[place]) for place in places):
        return replace(worst, suits=False, share=inf)
    return worst


def _run(points: Points, places: Sequence[Place]) -> dict[Place, dict[str, Any]]:
    return {
        place: entry for part in points.parts(places) for place, entry in zip(part, points.solved(part), strict=True)
    }


def _value(entry: dict[str, Any], name: str) -> float:
    value = entry.get("values", {}).get(name)
    return nan if value is None else float(value)


def _faults(entry: dict[str, Any]) -> set[str]:
    return {kind for kind, *_ in entry["flags"]}
