"""A smooth function of the numbers in doubt, put through what came of their draws: it says which number decides how much.

Linear and square terms of every number, and products of those that decide most, by least squares (G. E. P. Box, K. B. Wilson
1951, response surfaces; B. Sudret 2008, sensitivity from such a fit). How well it foretells a draw that it has not seen is
known at once (the leave-one-out residual of least squares, D. M. Allen 1974), and is said.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Any

import numpy as np
import numpy.typing as npt

from sim.study.doubt.unknowns import Unknown, at_shares, many_shares, scaled

Array = npt.NDArray[np.float64]

DRAWS_A_TERM = 2.5
"""So many draws are wanted for each term of the fit; fewer fit the draws and nothing else."""

MANY = 8192
"""Draws of the fitted function, which cost no run."""

DECOMPOSED = 1024
"""Draws for each of the two samples by which its variance is shared out."""


@dataclass(frozen=True)
class Fitted:
    """A function fitted to outputs of the same draws.

    Attributes
    ----------
    coefficients : array (terms, outputs)
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
    pairs: tuple[tuple[int, int], ...]
    squares: bool
    at_draws: Array
    foretold: Array

    def __call__(self, z: Array) -> Array:
        """Return its outputs (n, outputs) at draws (n, d) in standard deviations."""
        values: Array = terms(z, self.squares, self.pairs) @ self.coefficients
        return values


def terms(z: Array, squares: bool, pairs: Sequence[tuple[int, int]]) -> Array:
    """Return the terms (n, terms) of draws (n, d)."""
    parts = [np.ones((len(z), 1)), z]
    if squares:
        parts.append(z * z)
    if pairs:
        first, second = np.array(pairs).T
        parts.append(z[:, first] * z[:, second])
    return np.hstack(parts)


def fitted(z: Array, outputs: Array) -> Fitted:
    """Fit all outputs (n, outputs) at draws (n, d); all of them finite."""
    count, width = z.shape
    room = int(count / DRAWS_A_TERM)
    squares = room >= 1 + 2 * width
    size = np.std(outputs, axis=0)
    unit = np.divide(outputs - outputs.mean(axis=0), size, out=np.zeros_like(outputs), where=size > 0.0)
    plain = terms(z, squares, ())
    first = np.linalg.lstsq(plain, unit, rcond=None)[0] if room >= plain.shape[1] else np.zeros((plain.shape[1], 1))
    # Products of those first that move the outputs most: what hardly acts alone hardly acts with others (heredity of effects).
    weight = np.sum(first[1 : 1 + width] ** 2, axis=1) + (np.sum(first[1 + width :] ** 2, axis=1) if squares else 0.0)
    order = [int(number) for number in np.argsort(-weight, kind="stable")]
    most = 1
    while most < width and plain.shape[1] + (most + 1) * most // 2 <= room:
        most += 1
    pairs = tuple(combinations(sorted(order[:most]), 2)) if most > 1 else ()
    whole = terms(z, squares, pairs)
    if whole.shape[1] > count:  # more numbers in doubt than draws: no fit says anything
        return Fitted(
            np.zeros((whole.shape[1], outputs.shape[1])),
            pairs,
            squares,
            np.zeros_like(outputs),
            np.zeros(outputs.shape[1]),
        )
    base, upper = np.linalg.qr(whole)
    coefficients = np.linalg.lstsq(upper, base.T @ outputs, rcond=None)[0]
    at_draws = whole @ coefficients
    # Of a draw left out the residual is e / (1 - h), h the diagonal of the projection.
    left_out = (outputs - at_draws) / np.maximum(1.0 - np.sum(base * base, axis=1), 1e-9)[:, None]
    variance = np.sum((outputs - outputs.mean(axis=0)) ** 2, axis=0)
    missed = np.divide(np.sum(left_out**2, axis=0), variance, out=np.ones_like(variance), where=variance > 0.0)
    return Fitted(coefficients, pairs, squares, at_draws, 1.0 - missed)


def many(of: Sequence[Unknown]) -> Array:
    """Return many draws (MANY, d) in standard deviations, for a fitted function."""
    return _z(of, many_shares(MANY, len(of)))


def influence(of: Sequence[Unknown], fit: Fitted) -> tuple[Array, Array]:
    """Return which share of each output's variance each number decides, of a fitted function.

    Returns
    -------
    first, total : array (outputs, d)
        By the number alone, and with all in which it takes part (Sobol' 1993, Homma and Saltelli 1996).
    """
    from scipy.stats import sobol_indices, uniform

    count = fit.coefficients.shape[1]
    if len(of) == 1:  # nothing to share out
        return np.ones((count, 1)), np.ones((count, 1))

    def outputs(shares: Array) -> Array:
        values: Array = fit(_z(of, shares.T)).T
        return values

    even: Any = [uniform()] * len(of)  # shares; `_z` makes each number's own distribution of them
    found = sobol_indices(func=outputs, n=DECOMPOSED, dists=even, rng=np.random.default_rng(0))
    return np.clip(found.first_order, 0.0, 1.0).reshape(count, -1), np.clip(found.total_order, 0.0, 1.0).reshape(
        count, -1
    )


def _z(of: Sequence[Unknown], shares: Array) -> Array:
    values = np.column_stack([at_shares(one.what, shares[:, n]) for n, one in enumerate(of)])
    return scaled(of, values)
