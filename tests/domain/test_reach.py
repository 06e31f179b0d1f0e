"""What the search takes for granted of its guesses: they never say no to a band whose trays hold the rule."""

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from shedgrade.domain.trays.breaks import CountPack, Packing, Sizer
from shedgrade.domain.trays.fill_rule import FillRule, ShortTrays
from shedgrade.domain.trays.filled import Demand, holds, short_chances, together
from shedgrade.domain.trays.reach import Reach
from shedgrade.domain.trays.spread import Spread

SHARES = (Fraction(1, 10_000), Fraction(1, 100), Fraction(1, 40), Fraction(1, 20), Fraction(1, 10), Fraction(1, 5))


def fruit(kind: str, seed: int, number: int) -> NDArray[np.int64]:
    """Some fruit from 300 g: spread evenly, thinning out, or of two sizes."""
    chance = np.random.default_rng(seed)
    small = chance.random(number) < chance.uniform(0.02, 0.9)
    grams: dict[str, NDArray[np.float64]] = {
        "even": chance.uniform(300, chance.uniform(320, 450), number),
        "thinning out": 300 + chance.gamma(1.5, 30, number),
        "two sizes": np.where(small, chance.normal(330, 8, number), chance.normal(430, 15, number)),
    }
    weights: NDArray[np.int64] = np.rint(grams[kind].clip(290, None) * 10).astype(np.int64)
    return weights


@given(
    st.sampled_from(["even", "thinning out", "two sizes"]),
    st.integers(0, 10_000),
    st.integers(1, 80),
    st.integers(2, 40),
    st.sampled_from(SHARES),
)
@settings(max_examples=500, deadline=None)
def test_a_guess_takes_in_the_heaviest_tray_that_the_band_can_fill(
    kind: str, seed: int, number: int, count: int, share: Fraction
) -> None:
    """A label as heavy as these fruit can just bear."""
    spread = Spread.of(fruit(kind, seed, number), Sizer())
    net_g = heaviest_label(spread, count, share)
    demand = Demand.of(*packing(count, net_g, share))
    assert holds(spread, demand, 0, spread.edges - 1)
    assert Reach(spread, demand).least[0] <= spread.edges - 1


def packing(count: int, net_g: int, share: Fraction) -> tuple[Packing, CountPack]:
    pack = CountPack(count, net_g, FillRule(short=(ShortTrays(0, share),)))
    return Packing((pack,)), pack


def heaviest_label(spread: Spread, count: int, share: Fraction) -> int:
    """The largest whole grams of which no more than the share of trays fall short."""
    first_dg, masses = spread.masses(0, spread.edges - 1)
    under = np.cumsum(together(masses, count))
    return count * first_dg // 10 + int(np.searchsorted(under, float(share), side="right"))


@pytest.mark.parametrize("error_dg", [0, 20])
def test_where_a_band_does_not_hold_the_first_upper_edge_is_found_that_does(error_dg: int) -> None:
    spread = Spread.of(fruit("thinning out", 7, 50), Sizer(step_dg=50, error_dg=error_dg))
    demand = Demand.of(*packing(12, 4100, Fraction(1, 40)))
    reach = Reach(spread, demand)
    for low in range(spread.edges - 1):
        first = next((high for high in range(low + 1, spread.edges) if holds(spread, demand, low, high)), spread.edges)
        assert reach.least[low] <= first
        while reach.least[low] < spread.edges and not reach.confirms(low, int(reach.least[low])):
            assert reach.least[low] == first
        assert reach.least[low] == first


def test_the_label_these_tests_find_is_the_heaviest() -> None:
    spread = Spread.of(fruit("even", 3, 40), Sizer())
    net_g = heaviest_label(spread, 10, Fraction(1, 40))
    at, over = short_chances(spread, 10, (0, spread.edges - 1), (net_g * 10, (net_g + 1) * 10))
    assert at <= 1 / 40 < over
