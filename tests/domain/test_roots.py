"""Roots in whole numbers: where a square is, and half-way between two decimals."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shedgrade.domain.units import root_half_up


@pytest.mark.parametrize(
    ("square", "places", "root"),
    [(0, 0, "0"), (2, 2, "1.41"), (144, 0, "12"), (Fraction(25, 4), 0, "3"), (3, 4, "1.7321")],
)
def test_root_of(square: int | Fraction, places: int, root: str) -> None:
    assert root_half_up(square, places) == Fraction(root)


@given(st.fractions(0, 10**9, max_denominator=10**6), st.integers(0, 6))
def test_no_other_figure_of_so_many_decimals_is_nearer(square: Fraction, places: int) -> None:
    root, half = root_half_up(square, places), Fraction(1, 2 * 10**places)
    assert (root - half) ** 2 <= square or root == 0
    assert square < (root + half) ** 2
