"""Ratio and cluster estimates against printed answers.

S. L. Lohr, Sampling: Design and Analysis, 1st edition 1999, example 5.2 (one-stage clusters) and the ratio data of
example 3.5. The data were read in a package that ships them; the total's standard error without finite correction,
67.16666, was read in two statistics packages' worked answers. The ratio's standard error was worked out from the
data here before the code was written, not read.
"""

from fractions import Fraction

import pytest

from shedgrade.domain.sampling.estimate import Draw, ratio

SUITES = [
    ("3.08", "2.60", "3.44", "3.04"),
    ("2.36", "3.04", "3.28", "2.68"),
    ("2.00", "2.56", "2.52", "1.88"),
    ("3.00", "2.88", "3.44", "3.64"),
    ("2.68", "1.92", "3.28", "3.20"),
]


def test_mean_over_clusters() -> None:
    """Five suites of four out of 100: total 1130.4 with standard error 67.16666, so mean 2.826 over 400 persons."""
    draws = [Draw(sum(Fraction(mark) for mark in suite), len(suite), len(suite)) for suite in SUITES]
    mean = ratio(draws, most_per_fruit=4)
    assert mean.value == Fraction("2.826")
    assert mean.se == pytest.approx(67.16666 / 400, abs=5e-8)
    assert (mean.n_fruit, mean.n_draws, mean.df) == (20, 5, 4)


def test_ratio_of_two_totals() -> None:
    x = [1, 0, 8, 2, 76, 60, 25, 2, 1, 31]
    y = [0, 0, 1, 2, 10, 15, 3, 2, 1, 27]
    found = ratio([Draw(part, whole, max(whole, 1)) for part, whole in zip(y, x, strict=True)], share=True)
    assert round(float(found.value), 6) == 0.296117
    assert found.se == pytest.approx(0.115262, abs=5e-7)
