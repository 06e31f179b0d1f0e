"""What a maturity test says of a load: the mean of so many fruit, and how far it may be from the load's own mean."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import sqrt

from shedgrade.domain.sampling.proportion import student_t

CONFIDENCE = 0.95


@dataclass(frozen=True, slots=True)
class Mean:
    """The mean of ``fruit`` fruit, exact, in base units; ``low`` and ``high`` are None where single figures were not
    written down or there is only one: then nobody can tell how far it may be off."""

    value: Fraction
    fruit: int
    low: Fraction | None = None
    high: Fraction | None = None


def mean_of(figures: Sequence[Fraction]) -> Mean:
    """The mean of figures read fruit by fruit, with its 95 % range by t on n - 1 (Student 1908, any textbook of
    statistics). The fruit of a test are drawn one here, one there; from one bin they resemble each other and the range
    is too narrow, which the page says."""
    n = len(figures)
    value = sum(figures, Fraction(0)) / n
    if n == 1:
        return Mean(value, 1)
    variance = sum(((each - value) ** 2 for each in figures), Fraction(0)) / (n - 1)
    off = Fraction(student_t((1 + CONFIDENCE) / 2, n - 1) * sqrt(variance / n))
    return Mean(value, n, max(Fraction(0), value - off), value + off)
