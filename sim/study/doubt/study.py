"""The doubt of a comparison: every number in doubt drawn, the same draws for all set-ups, and the band of each difference."""

import re
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
import numpy.typing as npt

from sim.describe.doubtful import Assumed, assumed, estimates_of
from sim.describe.files.scenario import bare_springs
from sim.describe.parts.vehicle import Vehicle
from sim.describe.runs import AnyRun
from sim.describe.shown import as_now
from sim.machine.spread import Spread, begun
from sim.measure.band import Band
from sim.measure.measure import Measure
from sim.measure.rest_band import RestBand
from sim.study.doubt.bands import corrected, plain
from sim.study.doubt.fitted import Fitted, fitted, influence, many
from sim.study.doubt.lanes import Doubting, Drawn, parts_of
from sim.study.doubt.unknowns import Unknown, draws, scaled, unknowns
from sim.study.many import band_of, goes_in_blocks

Array = npt.NDArray[np.float64]

DRAWS, DRAWS_A_NUMBER, DRAWS_MOST = 128, 10, 512
"""Of runs whose set-ups go side by side: at least, for each number in doubt, at most (docs/decisions/doubt.md)."""

DRAWS_ALONE = 32
"""Of runs that drive or brake, whose set-ups go one by one and take longer: their bands are rougher, and are said to be."""

FIGURES = re.compile(r"-?\d+(?:\.\d+)?")

INFLUENCE_FROM = 0.5
"""Least share of the variance that a fit must foretell before it is said which number decides it."""


@dataclass(frozen=True)
class Influence:
    """How the doubt of one difference is shared out.

    Attributes
    ----------
    first : dict of Unknown to float
        Share of the variance that a number decides by itself.
    total : dict of Unknown to float
        Share in which it takes part.
    foretold : float
        Share of the variance that the function they come from foretells of a draw it has not seen.
    """

    first: dict[Unknown, float]
    total: dict[Unknown, float]
    foretold: float


@dataclass(frozen=True)
class Doubted:
    """What the numbers in doubt leave open.

    Attributes
    ----------
    unknowns : tuple of Unknown
    assumed : tuple of Assumed
        Numbers that nobody gave and that are taken as nothing.
    reference : str
        The set-up that differences are taken from.
    draws : int
    lost : dict of str to dict of str to int
        By set-up, why draws say nothing, and how many.
    flagged : dict of str to dict of str to int
        By set-up, what draws were flagged for, and how many.
    values, differences : dict of str to dict of str to Band
        By set-up and measure: band of the value, and of the difference from the reference.
    influence : dict of str to dict of str to Influence
        By set-up and measure, of the difference; only where it can be said.
    estimates : tuple of Estimate
        Numbers that nobody gave and that are estimated, of all set-ups.
    judged_by : dict of str to str
        By set-up, what its difference is taken from where that is not the reference: another load is judged at its own.
    bare : tuple of str
        Set-ups without a damper on an axle: shown, but nobody chooses among them.
    """

    unknowns: tuple[Unknown, ...]
    assumed: tuple[Assumed, ...]
    reference: str
    draws: int
    lost: dict[str, dict[str, int]] = field(default_factory=dict)
    flagged: dict[str, dict[str, int]] = field(default_factory=dict)
    values: dict[str, dict[str, Band]] = field(default_factory=dict)
    differences: dict[str, dict[str, Band]] = field(default_factory=dict)
    influence: dict[str, dict[str, Influence]] = field(default_factory=dict)
    bare: tuple[str, ...] = ()
    estimates: tuple[Any, ...] = ()
    judged_by: dict[str, str] = field(default_factory=dict)

    def from_which(self, setup: str) -> str:
        """Return the set-up that a set-up's differences are taken from."""
        return self.judged_by.get(setup, self.reference)

    def ranked(self, measures: Sequence[str]) -> list[tuple[Unknown, float]]:
        """Return the numbers in doubt by their share of the doubt about the differences, the largest first.

        Each difference of these measures counts by the width of its band as a share of the reference's value, at most by 1: a
        difference that hardly moves has nothing to decide.
        """
        wanted = [name for name in self.influence if name not in self.bare] or list(self.influence)
        shares = dict.fromkeys(self.unknowns, 0.0)
        whole = 0.0
        for name in wanted:
            for key, one in self.influence[name].items():
                band, known = self.differences[name].get(key), self.values.get(self.from_which(name), {}).get(key)
                if key not in measures or band is None or known is None:
                    continue
                size = 0.5 * abs(known.low + known.high)
                weight = min((band.high - band.low) / size, 1.0) if size > 0.0 else 1.0
                whole += weight
                for unknown, share in one.first.items():
                    shares[unknown] += weight * share
        if whole == 0.0:
            return []
        return sorted(((one, share / whole) for one, share in shares.items()), key=lambda pair: -pair[1])


def bandable(run: AnyRun, measures: Sequence[Measure]) -> list[Measure]:
    """Return those measures that many draws can be taken of: where set-ups go side by side, what such a block can measure."""
    return [one for one in measures if not goes_in_blocks(run) or one.many != "no"]


def draws_for(run: AnyRun, numbers: int) -> int:
    """Return how many draws are made for so many numbers in doubt: a power of two, at which the sequence is even."""
    if not goes_in_blocks(run):
        return DRAWS_ALONE
    return min(max(DRAWS, 1 << (DRAWS_A_NUMBER * numbers - 1).bit_length()), DRAWS_MOST)


def doubted(
    setups: Mapping[str, Vehicle], run: AnyRun, measures: Sequence[str], reference: str, workers: int | None = None,
    tell: Callable[[int, int], None] | None = None, count: int | None = None, judged_by: Mapping[str, str] | None = None,
    band: RestBand | None = None,
) -> Doubted:  # fmt: skip
    """Draw every number in doubt and run every set-up with each draw.

    Parameters
    ----------
    setups : mapping of str to Vehicle
    run : AnyRun
    measures : sequence of str
        Names of those that `bandable` returns.
    reference : str
        The set-up that differences are taken from.
    workers : int, optional
        Processes; all cores by default. Their number changes nothing.
    tell : callable, optional
        Told how many parts are done, of how many.
    count : int, optional
        Draws, a power of two; by default `draws_for`.
    judged_by : mapping of str to str, optional
        By set-up, what its differences are taken from where that is not the reference.
    band : RestBand, optional
        Within what all count as at rest, as in the comparison that is doubted; by default as `sim.study.many.band_of` has it of the
        reference.
    """
    of = unknowns(setups, run)
    nothing = tuple({one.path: one for vehicle in setups.values() for one in assumed(vehicle)}.values())
    if not of:
        return Doubted((), nothing, reference, 0)
    count = count or draws_for(run, len(of))
    # The library that draws takes as long to load as they do.
    begun(workers, len(parts_of(run, count)), Doubting.__module__)
    _, values = draws(of, count)
    band = band or band_of(setups[reference], run, measures)
    found, lost, flagged = drawn_values(setups, run, measures, of, values, workers, tell, band)
    whole = Outputs(of, values, found, measures, reference, judged_by)
    return Doubted(
        of, nothing, reference, count,
        lost,
        flagged,
        *whole.bands(),
        bare=tuple(name for name, vehicle in setups.items() if bare_springs(vehicle)),
        estimates=estimates_of(setups.values()),
        judged_by=dict(judged_by or {}),
    )  # fmt: skip


def drawn_values(
    setups: Mapping[str, Vehicle], run: AnyRun, measures: Sequence[str], of: Sequence[Unknown], values: Array,
    workers: int | None = None, tell: Callable[[int, int], None] | None = None, band: RestBand | None = None,
) -> tuple[dict[str, Array], dict[str, dict[str, int]], dict[str, dict[str, int]]]:  # fmt: skip
    """Run every set-up with every draw.

    Returns
    -------
    found : dict of str to array (draws, measures)
        By set-up; nan where a draw says nothing.
    lost, flagged : dict of str to dict of str to int
        As in `Doubted`.
    """
    count = len(values)
    problem = Doubting(Drawn(setups, of, values), run, measures, band)
    parts = problem.parts()
    found: dict[str, Array] = {name: np.full((count, len(measures)), np.nan) for name in setups}
    lost: dict[str, list[str]] = {name: [""] * count for name in setups}
    flagged: dict[str, Counter[str]] = {name: Counter() for name in setups}
    with Spread(problem, workers, within=as_now()) as spread:
        for done, (number, lanes) in enumerate(spread.each(parts)):
            first, end = parts[number]
            for setup, one in lanes.items():
                found[setup][first:end] = one.values
                lost[setup][first:end] = one.lost
                flagged[setup].update(text for each in one.flags for text in each)
            if tell:
                tell(done + 1, len(parts))
    return (
        found,
        {name: _counted(each) for name, each in lost.items()},
        # by their words, as the order in which parts come back is nobody's
        {name: dict(sorted(each.items())) for name, each in flagged.items()},
    )


def _counted(reasons: Sequence[str]) -> dict[str, int]:
    """Return how many draws say nothing, by why; reasons that differ in their figures alone are one, and the first is given."""
    first: dict[str, str] = {}
    counts: Counter[str] = Counter()
    for why in reasons:
        if why:
            counts[first.setdefault(FIGURES.sub("#", why), why)] += 1
    return dict(counts)


class Outputs:
    """Values of measures by set-up and draw, of which bands and shares are taken.

    Parameters
    ----------
    of : sequence of Unknown
        d of them.
    values : array (draws, d)
    found : mapping of str to array (draws, measures)
        By set-up; nan where a draw says nothing.
    measures : sequence of str
    reference : str
    judged_by : mapping of str to str, optional
        By set-up, what its differences are taken from where that is not the reference.
    """

    def __init__(
        self, of: Sequence[Unknown], values: Array, found: Mapping[str, Array], measures: Sequence[str], reference: str,
        judged_by: Mapping[str, str] | None = None,
    ) -> None:  # fmt: skip
        self.of, self.values, self.found = tuple(of), values, found
        self.measures, self.reference, self.judged_by = tuple(measures), reference, judged_by or {}

    def bands(self) -> tuple[dict[str, dict[str, Band]], dict[str, dict[str, Band]], dict[str, dict[str, Influence]]]:
        """Return the bands of values, those of differences, and what decides these."""
        columns: list[tuple[bool, str, str, Array]] = []  # whether a difference, set-up, measure, (draws,)
        for setup, rows in self.found.items():
            columns += [(False, setup, name, rows[:, n]) for n, name in enumerate(self.measures)]
            first = self.judged_by.get(setup, self.reference)
            if setup != self.reference and first in self.found:
                with np.errstate(invalid="ignore"):  # two that were not reached have no difference
                    apart = rows - self.found[first]
                columns += [(True, setup, name, apart[:, n]) for n, name in enumerate(self.measures)]
        values: dict[str, dict[str, Band]] = {name: {} for name in self.found}
        differences: dict[str, dict[str, Band]] = {name: {} for name in self.found if name != self.reference}
        shares: dict[str, dict[str, Influence]] = {name: {} for name in differences}
        # Outputs that say something of the same draws are fitted together.
        alike: dict[bytes, list[int]] = {}
        for number, (_, _, _, column) in enumerate(columns):
            alike.setdefault(np.isfinite(column).tobytes(), []).append(number)
        everywhere = many(self.of)
        for together in alike.values():
            kept = np.isfinite(columns[together[0]][3])
            fit = bands = None
            outputs = np.column_stack([columns[number][3][kept] for number in together])
            # Where some draws are infinite the finite ones are no whole distribution.
            if kept.any() and not np.isinf([columns[number][3] for number in together]).any():
                fit = fitted(scaled(self.of, self.values[kept]), outputs)
                if fit.used.any():
                    bands = corrected(outputs, fit, fit(everywhere))
                    self._share_out(fit, [columns[number] for number in together], shares)
            for place, number in enumerate(together):
                apart_, setup, name, column = columns[number]
                band = bands[place] if bands else plain(column)
                if band is not None:
                    (differences if apart_ else values)[setup][name] = band
        return values, differences, shares

    def _share_out(
        self, fit: Fitted, columns: Sequence[tuple[bool, str, str, Any]], shares: dict[str, dict[str, Influence]]
    ) -> None:
        wanted = [n for n, (apart, _, _, _) in enumerate(columns) if apart and fit.foretold[n] > INFLUENCE_FROM]
        if not wanted:
            return
        chosen = replace(
            fit, coefficients=fit.coefficients[:, wanted], used=fit.used[wanted], at_draws=fit.at_draws[:, wanted],
            foretold=fit.foretold[wanted],
        )  # fmt: skip
        first, total = influence(self.of, chosen)
        for row, n in enumerate(wanted):
            _, setup, name, _ = columns[n]
            shares[setup][name] = Influence(
                dict(zip(self.of, first[row].tolist(), strict=True)), dict(zip(self.of, total[row].tolist(), strict=True)),
                float(fit.foretold[n]),
            )  # fmt: skip
