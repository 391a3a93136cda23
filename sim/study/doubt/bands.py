"""Bands of 95 % from draws, made surer by a fitted function whose distribution is known as well as one likes."""

import numpy as np
import numpy.typing as npt

from sim.describe.doubt import INSIDE
from sim.measure.band import Band
from sim.study.doubt.fitted import Fitted

Array = npt.NDArray[np.float64]

ENDS = (0.5 - 0.5 * INSIDE, 0.5 + 0.5 * INSIDE)

TRUSTED = 0.8
"""Least share of the variance that a fit must foretell before its distribution corrects that of the draws."""

LEAST = 8
"""Fewer draws than this that say something give no band."""


def corrected(outputs: Array, fit: Fitted | None, everywhere: Array | None) -> list[Band]:
    """Return the band of each output (n, outputs), all finite.

    The ends of the draws, less what the same draws of the fitted function are off from its ends known by many draws
    (`everywhere`, (many, outputs)): control variates for quantiles (J. C. Hsu, B. L. Nelson, Management Science 36, 1990).
    """
    ends = np.quantile(outputs, ENDS, axis=0)
    if fit is not None and everywhere is not None:
        off = np.quantile(fit.at_draws, ENDS, axis=0) - np.quantile(everywhere, ENDS, axis=0)
        ends = np.sort(np.where(fit.foretold > TRUSTED, ends - off, ends), axis=0)
    return [Band(float(low), float(high)) for low, high in ends.T]


def plain(values: Array) -> Band | None:
    """Return the band of values (n,) of which some do not apply (nan) or were not reached (inf); None if too few say anything."""
    said = np.sort(values[~np.isnan(values)])
    if said.size < LEAST:
        return None
    # Whole draws, none between two: half of a finite value and one that was not reached is nothing.
    low, high = (said[round(share * (said.size - 1))] for share in ENDS)
    return Band(float(low), float(high), int(np.count_nonzero(~np.isfinite(values))), values.size)
