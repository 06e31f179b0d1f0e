"""Draws put together: the ratio of two totals over the draws, and how far it may be off.

    R = Σy / Σx        se² = m / (m - 1) · Σ(y - R·x)² / (Σx)²        with m draws

the linearised standard error, without a correction for the share of the lot that was looked at.
Source: W. G. Cochran, Sampling Techniques, 3rd edition 1977, chapters 6 and 9 (from memory; checked against
printed answers in tests/published/test_cluster_ratio.py).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from shedgrade.domain.units import Exact


@dataclass(frozen=True, slots=True)
class Draw:
    """Totals of one draw: ``y`` was found among ``x``, on ``n_fruit`` fruit. Exact and never negative."""

    y: Exact
    x: Exact
    n_fruit: int


@dataclass(frozen=True, slots=True)
class Pool:
    """Draws put together: ``full`` is what the value would be if every fruit gave the most, ``share`` value / full.

    ``variance`` is None when there is only one draw.
    """

    value: Fraction
    variance: Fraction | None
    share: Fraction
    full: Fraction
    n_fruit: int
    n_draws: int
    is_share: bool


def pool(draws: Sequence[Draw], most_per_fruit: Exact, *, is_share: bool) -> Pool:
    """Add the draws up, leaving out those without fruit. ValueError where the totals contradict each other."""
    seen = [draw for draw in draws if draw.n_fruit > 0]
    n_fruit = sum(draw.n_fruit for draw in seen)
    y, x = Fraction(sum(draw.y for draw in seen)), Fraction(sum(draw.x for draw in seen))
    if x <= 0 or min(draw.y for draw in seen) < 0 or min(draw.x for draw in seen) < 0:
        raise ValueError("an estimate needs fruit, and totals that are not negative")
    full = Fraction(1) if is_share else most_per_fruit * n_fruit / x
    if y > full * x:
        raise ValueError("more was found than the fruit looked at can hold")
    share = y / (full * x)
    return Pool(y / x, _variance(seen, y, x), share, full, n_fruit, len(seen), is_share)


def _variance(draws: Sequence[Draw], y: Fraction, x: Fraction) -> Fraction | None:
    m = len(draws)
    if m == 1:
        return None
    squares = sum(((draw.y * x - y * draw.x) ** 2 for draw in draws), Fraction(0))
    return Fraction(m, m - 1) * squares / x**4
