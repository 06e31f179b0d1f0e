"""What another sample would have said, and how many more bins would make a range half as wide."""

from fractions import Fraction
from math import sqrt

from shedgrade.domain.sampling.estimate import Estimate, Method
from shedgrade.domain.sampling.proportion import student_t

_MOST_DRAWS = 400


def another_sample(estimate: Estimate) -> tuple[Fraction, Fraction] | None:
    """Where another sample of the same size would have put a share, at the estimate's confidence; None without a range.

    The sample in hand and the other one are each off the truth, independently and alike, so that the two differ by
    the square root of two times what one is off: the range is widened by that on either side, within 0 and 1.
    """
    if estimate.low is None or estimate.high is None:
        return None
    wider = Fraction(sqrt(2))
    low = estimate.value - wider * (estimate.value - estimate.low)
    high = estimate.value + wider * (estimate.high - estimate.value)
    return max(Fraction(0), low), min(Fraction(1), high)


def more_draws_to_halve(estimate: Estimate) -> int | None:
    """How many more draws of as many fruit would make the range about half as wide, if bins go on differing as now.

    A range is t / sqrt(m) wide with m draws, t having m - 1 degrees of freedom. None where the range does not come
    from how the draws differ, or where hundreds would be needed.
    """
    m = estimate.n_draws
    if estimate.method not in (Method.SHARE, Method.SPREAD):
        return None
    probability = (1 + estimate.confidence) / 2
    wanted = _width(m, probability) / 2
    enough = (more for more in range(m + 1, _MOST_DRAWS) if _width(more, probability) <= wanted)
    found = next(enough, None)
    return None if found is None else found - m


def _width(draws: int, probability: float) -> float:
    return student_t(probability, draws - 1) / sqrt(draws)
