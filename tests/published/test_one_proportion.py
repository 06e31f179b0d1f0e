"""Ranges of one share against printed tables, 95 %.

Newcombe: R. G. Newcombe, Two-sided confidence intervals for the single proportion, Statistics in Medicine 17 (1998);
the title was read, the figures are from memory. binom: reference values of the R package binom, read in the tests
of statsmodels 0.15 (BSD-3). All were worked out again with scipy before they were written here.
"""

import pytest

from shedgrade.domain.sampling.proportion import clopper_pearson, score_range

Z = 1.959963984540054


@pytest.mark.parametrize(
    ("found", "looked_at", "low", "high", "places"),
    [
        (81, 263, 0.2527, 0.3676, 4),  # Newcombe, table I
        (15, 148, 0.0578, 0.1617, 4),
        (0, 20, 0, 0.1684, 4),
        (1, 29, 0.0009, 0.1776, 4),
        (4, 20, 0.05733, 0.43661, 5),  # binom
        (4, 200, 0.00548, 0.05041, 5),
        (1, 30, 0.00084, 0.17217, 5),
        (0, 30, 0, 0.11570, 5),
    ],
)
def test_clopper_pearson(found: int, looked_at: int, low: float, high: float, places: int) -> None:
    bounds = clopper_pearson(found, looked_at, 0.025)
    assert [round(bound, places) for bound in bounds] == [low, high]


@pytest.mark.parametrize(
    ("found", "looked_at", "low", "high", "places"),
    [
        (81, 263, 0.2553, 0.3662, 4),  # Newcombe, table I
        (15, 148, 0.0624, 0.1605, 4),
        (0, 20, 0, 0.1611, 4),
        (1, 29, 0.0061, 0.1718, 4),
        (4, 20, 0.08066, 0.41602, 5),  # binom
        (4, 200, 0.00780, 0.05029, 5),
        (1, 30, 0.00591, 0.16670, 5),
        (0, 30, 0, 0.11351, 5),
        (19, 38, 0.348499283643951, 0.651500716356049, 12),  # statsmodels 0.15, tests of proportion_confint
    ],
)
def test_score_range_with_the_normal_curve_is_wilsons(
    found: int, looked_at: int, low: float, high: float, places: int
) -> None:
    bounds = score_range(found / looked_at, looked_at, Z)
    assert [round(bound, places) for bound in bounds] == [round(low, places), round(high, places)]


@pytest.mark.parametrize(("found", "looked_at"), [(38, 38), (0, 77)])
def test_none_and_all_stay_within_nought_and_one(found: int, looked_at: int) -> None:
    """The cases in which statsmodels once left the scale (its regression tests)."""
    for low, high in (clopper_pearson(found, looked_at, 0.025), score_range(found / looked_at, looked_at, Z)):
        assert 0 <= low < high <= 1
