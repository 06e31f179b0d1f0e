"""The error of a sizer: the same fruit weighed by it twice.

Two readings of one fruit differ by their errors alone, so the s.d. of one reading is √(Σ d² / 2 n) over n fruit with
differences d. Source: J. M. Bland and D. G. Altman, Measurement error, BMJ 313 (1996), from memory.
"""

from collections.abc import Sequence
from math import isqrt

LEAST_PAIRS = 20
"""Fruit to weigh again: of 20 the error found is itself off by about a quarter at most, nine times in ten."""


def error_dg(pairs: Sequence[tuple[int, int]]) -> int:
    """The s.d. of one reading in tenths of a gram, rounded up, from two readings a fruit. ValueError without fruit."""
    if not pairs:
        raise ValueError("the error of a sizer needs fruit weighed twice")
    squares = sum((one - two) ** 2 for one, two in pairs)
    # √(squares / 2 n), rounded up: the least whole e with 2 n e² at least the squares
    found = isqrt(squares // (2 * len(pairs)))
    return found if 2 * len(pairs) * found**2 >= squares else found + 1
