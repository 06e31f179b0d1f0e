"""Estimates added over consignments that were sampled apart from each other."""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from math import sqrt

from shedgrade.domain.sampling.estimate import Estimate, Method, tail
from shedgrade.domain.sampling.proportion import student_t


def total(estimates: Sequence[Estimate]) -> Estimate:
    """The sum: variances are added, the degrees of freedom are those of Welch and Satterthwaite.

    Without a range of every part the total has none; to a promise, a part from one bin adds nothing.
    ValueError unless all are of one confidence and one kind of bound.
    Source: F. E. Satterthwaite, Biometrics Bulletin 2 (1946); formula from memory.
    """
    if len({(e.confidence, e.one_sided) for e in estimates}) != 1:
        raise ValueError("a total needs estimates of one confidence and one kind of bound")
    if len(estimates) == 1:
        return estimates[0]
    ranged = [e for e in estimates if e.se is not None]
    bare = _bare_sum(estimates)
    if len(ranged) == len(estimates):
        return _with_bounds(bare, ranged, Method.SUM)
    return _with_bounds(bare, ranged, Method.SUM_IN_PART) if bare.one_sided and ranged else bare


def _bare_sum(estimates: Sequence[Estimate]) -> Estimate:
    """Values, fruit and draws added; nothing promised and no range yet."""
    first = estimates[0]
    ceilings = [e.ceiling for e in estimates if e.ceiling is not None]
    return Estimate(
        value=_values(estimates),
        low=Fraction(0) if first.one_sided else None,
        high=None,
        n_fruit=sum(e.n_fruit for e in estimates),
        n_draws=sum(e.n_draws for e in estimates),
        method=Method.ONE_BIN_PROMISE if first.one_sided else Method.SUM_WITHOUT_RANGE,
        confidence=first.confidence,
        base=first.base,
        one_sided=first.one_sided,
        ceiling=sum(ceilings, Fraction(0)) if len(ceilings) == len(estimates) else None,
    )


def _with_bounds(bare: Estimate, ranged: Sequence[Estimate], method: Method) -> Estimate:
    se = sqrt(sum(_se(e) ** 2 for e in ranged))
    df = _welch_satterthwaite(ranged)
    t = student_t(1 - tail(bare), df)
    below = t * sqrt(sum(_se_below(e) ** 2 for e in ranged))
    return replace(
        bare,
        low=max(Fraction(0), _values(ranged) - Fraction(below)),
        high=None if bare.one_sided else _capped(bare.value + Fraction(t * se), bare.ceiling),
        se=se,
        df=df,
        method=method,
    )


def _welch_satterthwaite(ranged: Sequence[Estimate]) -> float:
    spread = sum(_se(e) ** 4 / _df(e) for e in ranged)
    if spread == 0:
        return sum(_df(e) for e in ranged)
    return float(sum(_se(e) ** 2 for e in ranged) ** 2 / spread)


def _se_below(estimate: Estimate) -> float:
    """No part can fall short by more than itself: a count of which nothing was found takes nothing off the rest."""
    return min(_se(estimate), float(estimate.value) / student_t(1 - tail(estimate), _df(estimate)))


def _se(estimate: Estimate) -> float:
    return estimate.se or 0.0


def _df(estimate: Estimate) -> float:
    return estimate.df or 1.0


def _values(estimates: Sequence[Estimate]) -> Fraction:
    return sum((e.value for e in estimates), Fraction(0))


def _capped(bound: Fraction, ceiling: Fraction | None) -> Fraction:
    return bound if ceiling is None else min(bound, ceiling)
