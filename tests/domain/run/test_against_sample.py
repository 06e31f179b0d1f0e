"""Pack-out by trays against pack-out by sample, by hand."""

from fractions import Fraction

import pytest

from shedgrade.domain.run.against_sample import Verdict, against
from shedgrade.domain.sampling.estimate import Estimate, Method


def sampled(low: Fraction | None, high: Fraction | None) -> Estimate:
    return Estimate(Fraction(70, 100), low, high, 60, 6, Method.SHARE, 0.95)


@pytest.mark.parametrize(
    ("packed", "off", "verdict"),
    [
        # The range reaches 6 points down and 8 up; 3-4-5 and 6-8-10 make the sums of squares plain.
        (Fraction(78, 100), Fraction(0), Verdict.CHANCE),
        (Fraction(79, 100), Fraction(0), Verdict.MORE),
        (Fraction(79, 100), Fraction(6, 100), Verdict.CHANCE),
        (Fraction(64, 100), Fraction(0), Verdict.CHANCE),
        (Fraction(63, 100), Fraction(0), Verdict.MORE),
    ],
)
def test_a_difference_within_the_range_is_chance(packed: Fraction, off: Fraction, verdict: Verdict) -> None:
    found = against(packed, off, sampled(Fraction(63999, 100_000), Fraction(78001, 100_000)))
    assert found.verdict is verdict
    assert found.difference == packed - Fraction(70, 100)


def test_nothing_is_told_by_a_sample_without_a_range() -> None:
    assert against(Fraction(1, 2), Fraction(0), sampled(None, None)).verdict is Verdict.NOT_TOLD
