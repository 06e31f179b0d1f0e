"""Breaks between counts and what they give away: calculated, 400,000 made-up fruit packed in random order.

Fruit normal, mean 430 g, s.d. 75 g; 7.0 kg trays of 10, 12, 14, 16, 18, 20, 22 and 25; everything above the top break
in count 10, the lower edge of count 25 kept at net weight over count. Calculated by simulation, no published figures;
given to 1 g and, from 2 % up, to 1 point of short trays. That breaks decide what is given away, and can be found by
dynamic programming: T. Liang, Optimize agricultural product size sorting by dynamic programming, Journal of
Agricultural Engineering Research 14(2), 1969; abstract read.
"""

from fractions import Fraction
from itertools import pairwise

import numpy as np
import pytest
from numpy.typing import NDArray

from shedgrade.domain.trays.best_breaks import best_breaks
from shedgrade.domain.trays.breaks import Breaks, Packing, Sizer, at_midpoints, at_net_over_count
from shedgrade.domain.trays.counts import TrayType
from shedgrade.domain.trays.fill_rule import average_quantity, few_short
from shedgrade.domain.trays.giveaway import giveaway

COUNTS = (10, 12, 14, 16, 18, 20, 22, 25)
TRAY = TrayType("seven", "7 kg", 7000, COUNTS)
TENTHS = Packing.of(TRAY, average_quantity(105), Sizer(step_dg=1))


@pytest.fixture(scope="module")
def fruit() -> NDArray[np.int64]:
    return np.rint(np.random.default_rng(430).normal(4300, 750, 400_000)).astype(np.int64)


def down_by(share: Fraction) -> Breaks:
    """Each edge this share of the way down from the count's part of the tray to the next one's."""
    parts = [Fraction(70_000, count) for count in COUNTS]
    edges = [part - share * (part - after) for part, after in pairwise(parts)]
    return Breaks(COUNTS, (*(round(edge) for edge in edges), 2800))


@pytest.mark.parametrize(
    ("share", "over_g", "percent", "short"),
    [(0, 441, 6.3, 0), (20, 278, 4.0, 0.2), (30, 193, 2.8, 2.3), (40, 107, 1.5, 10), (50, 18, 0.25, 35)],
)
def test_what_breaks_give_away(
    fruit: NDArray[np.int64], share: int, over_g: float, percent: float, short: float
) -> None:
    breaks = at_net_over_count(TENTHS) if not share else down_by(Fraction(share, 100))
    told = giveaway(fruit, TENTHS, breaks)
    assert told.giveaway_g == pytest.approx(over_g, abs=3)
    assert told.giveaway == pytest.approx(percent / 100, abs=0.0006)
    assert told.short == pytest.approx(short / 100, abs=0.01)
    assert told.too_light == pytest.approx(0.023, abs=0.001)


def test_at_net_over_count_no_tray_is_short(fruit: NDArray[np.int64]) -> None:
    told = giveaway(fruit, TENTHS, at_net_over_count(TENTHS))
    assert [each.short for each in told.filled] == [0.0] * len(COUNTS)


def test_at_midpoints_nearly_all_trays_of_the_top_counts_are_short(fruit: NDArray[np.int64]) -> None:
    told = giveaway(fruit, TENTHS, at_midpoints(TENTHS))
    assert told.filled[0].short > 0.9
    assert told.filled[1].short > 0.9


def test_the_best_breaks_give_away_less_than_any_rule_of_thumb_with_as_few_short_trays(
    fruit: NDArray[np.int64],
) -> None:
    """One tray in 43 short of each count: 30 % of the way down has as many on the whole, and gives 193 g away."""
    packing = Packing.of(TRAY, few_short(Fraction(23, 1000)))
    told = giveaway(fruit, packing, best_breaks(fruit, packing))
    assert told.keeps_rule
    assert told.giveaway_g is not None
    assert told.giveaway_g < 193
