"""A smooth function of the numbers in doubt, put through what came of their draws: it says which number decides how much.

Linear and square terms of every number, and products of two that are seen to matter, by least squares (G. E. P. Box, K. B. Wilson
1951, response surfaces; B. Sudret 2008, sensitivity from such a fit). How well it foretells a draw that it has not seen is
known at once (the leave-one-out residual of least squares, D. M. Allen 1974), and is said.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
import numpy.typing as npt

from sim.study.doubt.unknowns import Unknown, at_shares, many_shares, moments, scaled

Array = npt.NDArray[np.float64]

DRAWS_A_TERM = 2.5
"""So many draws are wanted for each term of the fit; fewer fit the draws and nothing else."""

SEEN = 8.0
"""A product is seen to matter if its squared correlation with what is left over is so many times that of noise, one over the
draws: 2.8 standard deviations."""

MANY = 8192
"""Draws of the fitted function, which cost no run."""

AT_ONCE = 512
"""Draws of which the terms stand in memory at once: of eighty numbers in doubt there are thousands of terms."""


@dataclass(frozen=True)
class Fitted:
    """A function fitted to outputs of the same draws.

    Attributes
    ----------
    coefficients : array (terms, outputs)
        Zero where an output has no use for a term.
    used : array (outputs,)
        How many terms each output has.
    pairs : tuple of (int, int)
        Numbers whose products are terms.
    squares : bool
        Whether squares are.
    at_draws : array (n, outputs)
        Its values at the draws that it was fitted to.
    foretold : array (outputs,)
        Share of each output's variance that it foretells of a draw left out; 0 or less: nothing.
    """

    coefficients: Array
    used: npt.NDArray[np.int64]
    pairs: tuple[tuple[int, int], ...]
    squares: bool
    at_draws: Array
    foretold: Array

    def __call__(self, z: Array) -> Array:
        """Return its outputs (n, outputs) at draws (n, d) in standard deviations."""
        values = np.empty((len(z), self.coefficients.shape[1]))
        for first in range(0, len(z), AT_ONCE):
            some = slice(first, first + AT_ONCE)
            values[some] = terms(z[some], self.squares, self.pairs) @ self.coefficients
        return values


def terms(z: Array, squares: bool, pairs: Sequence[tuple[int, int]]) -> Array:
    """Return the terms (n, terms) of draws (n, d)."""
    width = z.shape[1]
    # A row a term, so that a product is one of two whole rows.
    rows, own = np.empty((1 + width * (2 if squares else 1) + len(pairs), len(z))), np.ascontiguousarray(z.T)
    rows[0], rows[1 : 1 + width] = 1.0, own
    if squares:
        np.multiply(own, own, out=rows[1 + width : 1 + 2 * width])
    if pairs:
        first, second = np.array(pairs).T
        np.multiply(own[first], own[second], out=rows[len(rows) - len(pairs) :])
    return rows.T


def fitted(z: Array, outputs: Array) -> Fitted:
    """Fit all outputs (n, outputs) at draws (n, d); all of them finite."""
    count, width = z.shape
    room = int(count / DRAWS_A_TERM)
    squares = room >= 1 + 2 * width
    plain = terms(z, squares, ())
    own = plain.shape[1]
    if own >= count:  # more numbers in doubt than draws: no fit says anything
        nothing = np.zeros(outputs.shape[1])
        return Fitted(
            np.zeros((own, nothing.size)), nothing.astype(np.int64), (), squares, np.zeros_like(outputs), nothing
        )
    pairs = tuple(combinations(range(width), 2))
    whole = terms(z, squares, pairs)
    base, base_upper = np.linalg.qr(plain)
    along_base = base.T @ outputs
    left = outputs - base @ along_base
    # What a product adds to the terms that all outputs have, against what these leave over.
    shared = base.T @ whole[:, own:]
    more = whole[:, own:] - base @ shared
    told = _unit(more).T @ _unit(left)
    coefficients = np.zeros((whole.shape[1], outputs.shape[1]))
    missed, used = np.zeros(outputs.shape[1]), np.zeros(outputs.shape[1], np.int64)
    base_share = np.sum(base * base, axis=1)
    for number, strength in enumerate((told * told).T):
        best = np.argsort(-strength, kind="stable")[: max(room - own, 0)]
        chosen = np.sort(best[strength[best] > SEEN / count])
        # Products stand at right angles to the terms that all have, so what is fitted to them is put beside the common fit.
        inner, upper = np.linalg.qr(more[:, chosen])
        along = inner.T @ left[:, number]
        extra = np.linalg.lstsq(upper, along, rcond=None)[0] if chosen.size else along
        coefficients[own + chosen, number] = extra
        coefficients[:own, number] = along_base[:, number] - shared[:, chosen] @ extra
        # Of a draw left out the residual is e / (1 - h), h the diagonal of the projection.
        share = base_share + np.sum(inner * inner, axis=1)
        left_out = (left[:, number] - inner @ along) / np.maximum(1.0 - share, 1e-9)
        missed[number], used[number] = np.sum(left_out**2), own + chosen.size
    coefficients[:own] = np.linalg.lstsq(base_upper, coefficients[:own], rcond=None)[0]
    variance = np.sum((outputs - outputs.mean(axis=0)) ** 2, axis=0)
    shares = np.divide(missed, variance, out=np.ones_like(variance), where=variance > 0.0)
    kept = np.flatnonzero(coefficients[own:].any(axis=1))
    rows = np.r_[np.arange(own), own + kept]
    return Fitted(
        coefficients[rows],
        used,
        tuple(pairs[n] for n in kept),
        squares,
        whole[:, rows] @ coefficients[rows],
        1.0 - shares,
    )


def _unit(columns: Array) -> Array:
    size = np.sqrt(np.sum(columns * columns, axis=0))
    unit: Array = np.divide(
        columns, size, out=np.zeros_like(columns), where=size > 1e-12 * max(float(size.max(initial=0.0)), 1e-300)
    )
    return unit


def many(of: Sequence[Unknown]) -> Array:
    """Return many draws (MANY, d) in standard deviations, for a fitted function."""
    return _z(of, many_shares(MANY, len(of)))


def influence(of: Sequence[Unknown], fit: Fitted) -> tuple[Array, Array]:
    """Return which share of each output's variance each number decides, of a fitted function.

    Its numbers are independent and it is of second order, so its variance falls apart in closed form: by their moments, without a draw
    (B. Sudret 2008 does so with polynomials at right angles).

    Returns
    -------
    first, total : array (outputs, d)
        By the number alone, and with all in which it takes part (Sobol' 1993, Homma and Saltelli 1996). Zero where nothing varies.
    """
    width = len(of)
    mean, square, cube, fourth = np.array([moments(one.what) for one in of]).T
    variance = square - mean**2
    slope = fit.coefficients[1 : 1 + width].T.copy()  # (outputs, d)
    bend = fit.coefficients[1 + width : 1 + 2 * width].T if fit.squares else np.zeros_like(slope)
    shared = np.zeros_like(slope)  # variance of the products in which a number takes part
    both = np.zeros(len(slope))
    for (one, other), factor in zip(fit.pairs, fit.coefficients[len(fit.coefficients) - len(fit.pairs) :], strict=True):
        # Of a product a number's own part is that with the other one at its mean.
        slope[:, one] += factor * mean[other]
        slope[:, other] += factor * mean[one]
        together = factor**2 * variance[one] * variance[other]
        shared[:, one] += together
        shared[:, other] += together
        both += together
    alone = slope**2 * variance + 2.0 * slope * bend * (cube - mean * square) + bend**2 * (fourth - square**2)
    whole = np.sum(alone, axis=1) + both
    by = np.divide(1.0, whole, out=np.zeros_like(whole), where=whole > 0.0)[:, None]
    return alone * by, (alone + shared) * by


def _z(of: Sequence[Unknown], shares: Array) -> Array:
    values = np.column_stack([at_shares(one.what, shares[:, n]) for n, one in enumerate(of)])
    return scaled(of, values)
