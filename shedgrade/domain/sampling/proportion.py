"""Ranges for one share, and the t quantile: the formulas behind :mod:`estimate`, each testable on its own."""

from math import sqrt


def student_t(probability: float, df: float) -> float:
    """The value that Student's t with ``df`` degrees of freedom stays below with this probability."""
    from scipy.special import stdtrit  # noqa: PLC0415 - scipy is slow to import, scipy.stats three times slower

    return float(stdtrit(df, probability))


def clopper_pearson(found: float, looked_at: float, tail: float) -> tuple[float, float]:
    """The exact range of a share: ``tail`` is the chance left out on each side, 0.025 for 95 %.

    ``found`` and ``looked_at`` need not be whole, so that a count may be deflated first.
    Source: Clopper and Pearson, Biometrika 26 (1934), in its beta form.
    """
    from scipy.special import betaincinv  # noqa: PLC0415 - scipy is slow to import

    missed = looked_at - found
    low = 0.0 if found <= 0 else float(betaincinv(found, missed + 1, tail))
    high = 1.0 if missed <= 0 else float(betaincinv(found + 1, missed, 1 - tail))
    return low, high


def score_range(share: float, looked_at: float, t: float) -> tuple[float, float]:
    """All true shares that lie within ``t`` of their own standard errors from the share found.

    With ``t`` from the normal curve this is Wilson's range (J. Am. Stat. Assoc. 22, 1927). It never leaves
    [0, 1], and leans towards the middle, where the truth is when few fruit of a kind were found.
    """
    square = t * t
    middle = share * looked_at + square / 2
    half = t * sqrt(share * (1 - share) * looked_at + square / 4)
    return max(0.0, (middle - half) / (looked_at + square)), min(1.0, (middle + half) / (looked_at + square))
