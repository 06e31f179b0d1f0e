"""The mean of a maturity test and its range."""

from fractions import Fraction

import pytest
from scipy import stats

from shedgrade.domain.maturity import mean_of

FIGURES = [Fraction(value, 10) for value in (152, 148, 160, 155, 149, 151, 158, 147, 150, 153)]


def test_the_mean_is_exact() -> None:
    assert mean_of(FIGURES).value == Fraction(1523, 100)
    assert mean_of([Fraction(1), Fraction(1), Fraction(2)]).value == Fraction(4, 3)


def test_the_range_is_that_of_students_t() -> None:
    """Against scipy.stats.t.interval, a reference library."""
    found = mean_of(FIGURES)
    plain = [float(value) for value in FIGURES]
    low, high = stats.t.interval(0.95, len(plain) - 1, loc=float(found.value), scale=stats.sem(plain))
    assert found.low is not None
    assert found.high is not None
    assert float(found.low) == pytest.approx(low, rel=1e-9)
    assert float(found.high) == pytest.approx(high, rel=1e-9)
    assert found.fruit == 10


def test_one_fruit_has_no_range() -> None:
    assert mean_of([Fraction(15)]).low is None


def test_ten_equal_figures_leave_no_room() -> None:
    found = mean_of([Fraction(15)] * 10)
    assert (found.low, found.high) == (Fraction(15), Fraction(15))
