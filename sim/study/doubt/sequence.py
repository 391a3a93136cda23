"""A scrambled Sobol' sequence: the points of SciPy's, to the bit, without loading its statistics, which takes longer than all that `stand` does.

I. M. Sobol' 1967, in the order of Gray codes (I. A. Antonov, V. M. Saleev 1979); scrambled by random lower triangular matrices and a
shift (J. Matoušek 1998). tests/study/doubt/test_sequence.py compares with `scipy.stats.qmc.Sobol`.
"""

from functools import cache

import numpy as np
import numpy.typing as npt

from sim.study.doubt.direction_numbers import NUMBERS

Array = npt.NDArray[np.float64]

BITS = 30


def sequence(count: int, dimensions: int, seed: int) -> Array:
    """Return the first points (count, dimensions) of a scrambled sequence, each in 0 to 1.

    Parameters
    ----------
    count : int
        A power of two, at which the sequence is even.
    dimensions : int
    seed : int
        Of the scramble.
    """
    if dimensions > len(_numbers()):  # a table of all that anybody may ask for would be a megabyte
        from scipy.stats import qmc

        points: Array = qmc.Sobol(dimensions, scramble=True, rng=np.random.default_rng(seed)).random(count)
        return points
    (rng,) = np.random.default_rng(seed).spawn(1)  # as the library does
    powers: npt.NDArray[np.uint32] = 2 ** np.arange(BITS, dtype=np.uint32)
    shift: npt.NDArray[np.uint32] = np.dot(rng.integers(2, size=(dimensions, BITS), dtype=np.uint32), powers)
    lower = np.tril(rng.integers(2, size=(dimensions, BITS, BITS), dtype=np.uint32), -1) + np.eye(BITS, dtype=np.uint32)
    # The bits of each direction, highest first, through the matrix: sums of bits are even or odd.
    bits = (_directions(dimensions)[:, None, :] >> np.arange(BITS - 1, -1, -1, dtype=np.uint32)[:, None]) & 1
    mixed = (lower @ bits) & 1
    directions: npt.NDArray[np.uint32] = np.sum(mixed * powers[::-1][:, None], axis=1, dtype=np.uint32)
    # From one Gray code to the next one bit turns: that of the lowest nought of the number before.
    turned = np.array([(~n & (n + 1)).bit_length() - 1 for n in range(count - 1)], dtype=np.int64)
    steps = np.column_stack((shift, directions[:, turned]))
    whole: Array = np.bitwise_xor.accumulate(steps, axis=1).T * (1.0 / 2**BITS)
    return whole


@cache
def _numbers() -> tuple[tuple[int, tuple[int, ...]], ...]:
    split = (word.partition(":") for word in NUMBERS.split())
    return tuple((int(polynomial), tuple(map(int, first.split(",")))) for polynomial, _, first in split)


def _directions(dimensions: int) -> npt.NDArray[np.uint32]:
    """Return the directions (dimensions, BITS) before they are scrambled."""
    found = np.empty((dimensions, BITS), dtype=np.uint32)
    for row, (polynomial, first) in zip(found, _numbers(), strict=False):
        degree = polynomial.bit_length() - 1
        numbers = list(first[:degree]) if degree else [1] * BITS  # the first dimension: halves, quarters, eighths
        while len(numbers) < BITS:
            number = numbers[-degree]
            for k in range(degree):
                if polynomial >> (degree - 1 - k) & 1:
                    number ^= numbers[-1 - k] << (k + 1)
            numbers.append(number)
        row[:] = [number << (BITS - 1 - place) for place, number in enumerate(numbers)]
    return found
