"""What one tray looked at by eye says: a share, and how far the load may be from it."""

from fractions import Fraction

from shedgrade.domain.sampling.estimate import LIKENESS, Estimate, Method
from shedgrade.domain.sampling.proportion import clopper_pearson

CONFIDENCE = 0.95


def of_one_tray(found: int, looked_at: int) -> Estimate:
    """So many of the fruit of one tray, with a 95 % range. Fruit of one tray resemble each other, and one tray cannot
    show how much: it is taken as LIKENESS, so that forty fruit tell as much as eight drawn one here, one there."""
    if not 0 <= found <= looked_at or not looked_at:
        raise ValueError(f"{found} of {looked_at} fruit is no share")
    alike = float(1 + (looked_at - 1) * LIKENESS)
    low, high = clopper_pearson(found / alike, looked_at / alike, (1 - CONFIDENCE) / 2)
    return Estimate(
        value=Fraction(found, looked_at),
        low=Fraction(low),
        high=Fraction(high),
        n_fruit=looked_at,
        n_draws=1,
        method=Method.ONE_TRAY,
        confidence=CONFIDENCE,
        ceiling=Fraction(1),
    )
