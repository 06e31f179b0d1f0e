"""Estimates from a sample, each with its range and its base.

Fruit of one bin resemble each other, so every range is worked out over the draws (bins), not over single
fruit: as many answers were given as there are bins.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import Enum
from fractions import Fraction
from math import sqrt

from shedgrade.domain.sampling.draws import Draw, Pool, pool
from shedgrade.domain.sampling.proportion import clopper_pearson, score_range, student_t
from shedgrade.domain.units import Exact

__all__ = ["Draw", "Estimate", "Method", "lower_bound", "ratio", "scaled", "shifted"]

# How far fruit of one bin are taken to resemble each other when the sample itself cannot show it: ours.
LIKENESS = Fraction(1, 10)


class Method(Enum):
    """How a range was worked out, in the words the page shows."""

    ONE_BIN = "All fruit came from one bin: no range can be given."
    ONE_BIN_PROMISE = "All fruit came from one bin: nothing can be promised."
    SHARE = "Worked out from how the bins differ, as a share."
    SPREAD = "Worked out from how the bins differ, the same way up and down."
    LIKENESS = (
        "The bins did not differ, so this is the exact range for the number of fruit, "
        "with the likeness of fruit within a bin taken as 0.1."
    )
    ONE_TRAY = (
        "By eye, one tray: the exact range for the number of fruit, "
        "with the likeness of fruit within a tray taken as 0.1."
    )
    TRAYS = "Worked out from how the trays that were weighed differ."
    DRAWN_AGAIN = "Worked out by drawing again from the bins that were looked at, many times over."
    DRAWN_AGAIN_FRUIT = (
        "Worked out by drawing again from the fruit, many times over, as if each had been drawn by itself: "
        "fruit of few bins say less than that."
    )
    SUM = "Added up over consignments sampled apart from each other, their uncertainties combined."
    SUM_IN_PART = "Added up over consignments; those looked at in one bin only add nothing to what can be promised."
    SUM_WITHOUT_RANGE = "One of the consignments was looked at in one bin only: no range can be given for the total."


@dataclass(frozen=True, slots=True)
class Estimate:
    """A figure from a sample. ``low`` and ``high`` are None where no such bound can be given.

    ``se`` (standard error) and ``df`` (its degrees of freedom) let estimates be added; ``ceiling`` is what the
    figure cannot exceed; ``base`` says what it is a part of. A one-sided estimate has only ``low``, below which
    the truth falls with chance 1 - ``confidence``.
    """

    value: Fraction
    low: Fraction | None
    high: Fraction | None
    n_fruit: int
    n_draws: int
    method: Method
    confidence: float
    base: str = ""
    one_sided: bool = False
    se: float | None = None
    df: float | None = None
    ceiling: Fraction | None = None


def ratio(
    draws: Sequence[Draw],
    confidence: float = 0.95,
    *,
    share: bool = False,
    most_per_fruit: Exact = 1,
    base: str = "",
) -> Estimate:
    """Σy / Σx with a range over the draws; draws without fruit are left out.

    ``share`` says that y is a part of x, so that the value cannot exceed 1. Otherwise ``most_per_fruit`` is the
    most that one fruit adds to y (1 where y counts fruit); it sets the upper bound where nothing was found.
    ValueError without any fruit, or where y exceeds what these allow.
    """
    return replace(_estimate(pool(draws, most_per_fruit, is_share=share), confidence, one_sided=False), base=base)


def lower_bound(
    draws: Sequence[Draw],
    confidence: float = 0.90,
    *,
    share: bool = False,
    most_per_fruit: Exact = 1,
    base: str = "",
) -> Estimate:
    """What can be promised: ``low`` is exceeded with this confidence, and is 0 when all fruit came from one bin."""
    return replace(_estimate(pool(draws, most_per_fruit, is_share=share), confidence, one_sided=True), base=base)


def scaled(estimate: Estimate, factor: Exact, base: str | None = None) -> Estimate:
    """The estimate times a known figure above zero, such as the net weight of the consignment."""
    if factor <= 0:
        raise ValueError(f"an estimate is scaled by a figure above zero, not {factor}")
    return replace(
        estimate,
        base=estimate.base if base is None else base,
        value=estimate.value * factor,
        low=_times(estimate.low, factor),
        high=_times(estimate.high, factor),
        ceiling=_times(estimate.ceiling, factor),
        se=None if estimate.se is None else estimate.se * float(factor),
    )


def shifted(estimate: Estimate, by: Exact) -> Estimate:
    """The estimate and its range moved by a known amount; how far it may be off stays the same."""
    return replace(
        estimate,
        value=estimate.value + by,
        low=None if estimate.low is None else estimate.low + by,
        high=None if estimate.high is None else estimate.high + by,
        ceiling=None if estimate.ceiling is None else estimate.ceiling + by,
    )


def _method(pooled: Pool, *, one_sided: bool) -> Method:
    """The one place that decides how a range is worked out.

    A quantity that most fruit add to spreads evenly to both sides. Shares, and quantities that at most half of
    the fruit add to (trays of one count), do not. The figures that led to this are in
    tests/domain/test_estimate_coverage.py.
    """
    if pooled.variance is None:
        return Method.ONE_BIN_PROMISE if one_sided else Method.ONE_BIN
    if pooled.variance == 0:
        return Method.LIKENESS
    return Method.SHARE if pooled.is_share or 2 * pooled.share <= 1 else Method.SPREAD


def _estimate(pooled: Pool, confidence: float, *, one_sided: bool) -> Estimate:
    if not 0 < confidence < 1:
        raise ValueError(f"a confidence lies between 0 and 1, not at {confidence}")
    method = _method(pooled, one_sided=one_sided)
    bare = Estimate(
        value=pooled.value,
        low=Fraction(0) if method is Method.ONE_BIN_PROMISE else None,
        high=None,
        n_fruit=pooled.n_fruit,
        n_draws=pooled.n_draws,
        method=method,
        confidence=confidence,
        one_sided=one_sided,
        ceiling=Fraction(1) if pooled.is_share else None,
    )
    return bare if pooled.variance is None else _with_range(bare, pooled, float(pooled.variance))


def _with_range(bare: Estimate, pooled: Pool, variance: float) -> Estimate:
    df = float(pooled.n_draws - 1)
    t = student_t(1 - tail(bare), df)
    low, high = _bounds(bare, pooled, variance, t)
    ranged = replace(bare, low=low, high=None if bare.one_sided else high, se=sqrt(variance), df=df)
    return replace(ranged, se=_farthest(ranged) / t) if bare.method is Method.LIKENESS else ranged


def _bounds(bare: Estimate, pooled: Pool, variance: float, t: float) -> tuple[Fraction, Fraction]:
    if bare.method is Method.LIKENESS:
        return _likeness_range(pooled, tail(bare))
    if bare.method is Method.SHARE:
        return _share_range(pooled, variance, t)
    half = Fraction(t * sqrt(variance))
    return max(Fraction(0), pooled.value - half), pooled.value + half


def _share_range(pooled: Pool, variance: float, t: float) -> tuple[Fraction, Fraction]:
    share = float(pooled.share)
    # As many fruit drawn one by one as would have shown this relative variance.
    alike = (1 - share) / share * float(pooled.value) ** 2 / variance
    return _of_full(pooled, score_range(share, alike, t))


def _likeness_range(pooled: Pool, left_out: float) -> tuple[Fraction, Fraction]:
    deflation = 1 + max(Fraction(0), Fraction(pooled.n_fruit, pooled.n_draws) - 1) * LIKENESS
    looked_at = pooled.n_fruit / deflation
    return _of_full(pooled, clopper_pearson(float(pooled.share * looked_at), float(looked_at), left_out))


def _of_full(pooled: Pool, bounds: tuple[float, float]) -> tuple[Fraction, Fraction]:
    return Fraction(bounds[0]) * pooled.full, Fraction(bounds[1]) * pooled.full


def _farthest(estimate: Estimate) -> float:
    """The larger of the distances from the value to its bounds."""
    bounds = [bound for bound in (estimate.low, estimate.high) if bound is not None]
    return float(max(abs(bound - estimate.value) for bound in bounds))


def tail(estimate: Estimate) -> float:
    """The chance left out on each side that has a bound: 0.025 for a range of 95 %, 0.1 for a promise of 90 %."""
    return (1 - estimate.confidence) / (1 if estimate.one_sided else 2)


def _times(bound: Fraction | None, factor: Exact) -> Fraction | None:
    return None if bound is None else bound * factor
