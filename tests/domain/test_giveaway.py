"""What breaks give away, against packing made-up fruit and against figures worked by hand."""

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from numpy.typing import NDArray

from shedgrade.domain.sampling.estimate import Method
from shedgrade.domain.trays.best_breaks import best_breaks
from shedgrade.domain.trays.breaks import Breaks, Packing, Sizer, at_midpoints, at_net_over_count
from shedgrade.domain.trays.counts import TrayType
from shedgrade.domain.trays.fill_rule import average_quantity, few_short, never_short
from shedgrade.domain.trays.giveaway import Giveaway, giveaway
from shedgrade.domain.trays.giveaway_range import other_breaks, sampled_giveaway

ONE_KG = TrayType("one", "1 kg", 1000, (2, 4))
SEVEN_KG = TrayType("seven", "7 kg", 7000, (10, 12, 14, 16, 18, 20, 22, 25))
NORMAL = Packing.of(SEVEN_KG, average_quantity(105))
BREAKS = Breaks(SEVEN_KG.counts, (6300, 5300, 4600, 4050, 3620, 3280, 2950, 2700))


def fruit(number: int, seed: int) -> NDArray[np.int64]:
    normal = np.random.default_rng(seed).normal(4300, 750, number)
    weights: NDArray[np.int64] = np.rint(normal.clip(1000)).astype(np.int64)
    return weights


def packed(weights: NDArray[np.int64], reads: NDArray[np.float64], breaks: Breaks) -> list[NDArray[np.int64]]:
    """The weights of the trays of each count, filled in the order in which the fruit come."""
    highs = (np.inf, *breaks.edges_dg)
    trays = []
    for count, low, high in zip(breaks.counts, breaks.edges_dg, highs, strict=False):
        band = weights[(reads >= low) & (reads < high)]
        trays.append(band[: len(band) // count * count].reshape(-1, count).sum(axis=1))
    return trays


def assert_as_packed(told: Giveaway, trays: list[NDArray[np.int64]], full_dg: int) -> None:
    """Mean and share of short trays of every count within four standard errors of what packing shows."""
    for count, weights in zip(told.counts, trays, strict=True):
        assert count.trays is not None
        assert abs(count.trays.trays - len(weights)) <= 1
        assert abs(count.trays.mean_g * 10 - weights.mean()) < 4 * weights.std() / np.sqrt(len(weights))
        short = count.trays.short
        off = np.sqrt(max(short * (1 - short), 1 / len(weights)) / len(weights))
        assert abs(short - (weights < full_dg).mean()) < 4 * off


@pytest.mark.parametrize("number", [40_000, pytest.param(400_000, marks=pytest.mark.long)])
def test_it_is_what_packing_gives_away(number: int) -> None:
    weights = fruit(number, seed=1)
    told = giveaway(weights, NORMAL, BREAKS)
    assert_as_packed(told, packed(weights, weights.astype(np.float64), BREAKS), 70_000)


@pytest.mark.parametrize("number", [40_000, pytest.param(400_000, marks=pytest.mark.long)])
def test_a_sizer_that_errs_puts_fruit_on_the_wrong_side(number: int) -> None:
    """Off by 12 g: as many trays as the sizer fills, of what the fruit weigh."""
    weights = fruit(number, seed=2)
    reads = weights + np.random.default_rng(3).normal(0, 120, number)
    told = giveaway(weights, replace(NORMAL, sizer=Sizer(error_dg=120)), BREAKS)
    for count, found in zip(told.counts, packed(weights, reads, BREAKS), strict=True):
        assert count.trays is not None
        assert abs(count.trays.trays - len(found)) < 4 * np.sqrt(len(found) / count.count) + 1
        assert abs(count.trays.mean_g * 10 - found.mean()) < 5 * found.std() / np.sqrt(len(found))
        off = np.sqrt(max(count.trays.short, 1 / len(found)) / len(found))
        assert abs(count.trays.short - (found < 70_000).mean()) < 5 * off


def test_breaks_that_allow_for_the_error_keep_their_rule_on_a_sizer_that_errs() -> None:
    weights = fruit(100_000, seed=4)
    packing = Packing.of(SEVEN_KG, few_short(Fraction(1, 50)), Sizer(error_dg=100))
    careful, careless = best_breaks(weights, packing), best_breaks(weights, replace(packing, sizer=Sizer()))
    reads = weights + np.random.default_rng(5).normal(0, 100, len(weights))
    short = [
        max(float((trays < 70_000).mean()) for trays in packed(weights, reads, breaks))
        for breaks in (careful, careless)
    ]
    assert short[0] < 0.026
    assert short[1] > 0.03


def test_by_hand() -> None:
    """Two fruit of 600 g, four of 260 g, one of 240 g, one of 1,200 g, at 500 g and 250 g.

    A day of twice as much fruit: two trays of 1,200 g and two of 1,040 g; 200 g and 40 g over.
    """
    weights = [6000, 6000, 2600, 2600, 2600, 2600, 2400, 12_000]
    packing = replace(
        Packing.of(ONE_KG, never_short(), prices={2: 800, 4: 600}), heaviest_dg=9990, left_out_minor_per_kg=50
    )
    told = giveaway(weights, packing, at_net_over_count(packing), day_g=2 * 3680)
    assert told.counts[0].low_dg == 5000
    assert told.counts[1].low_dg == 2500
    two, four = told.filled
    assert (two.trays, two.mean_g, two.giveaway_g, two.short) == pytest.approx((2, 1200, 200, 0))
    assert (four.trays, four.mean_g, four.giveaway_g, four.short) == pytest.approx((2, 1040, 40, 0))
    assert (told.counts[0].share, told.counts[1].share) == pytest.approx((2 / 8, 4 / 8))
    assert (told.too_heavy, told.too_light) == pytest.approx((1 / 8, 1 / 8))
    assert told.giveaway_g == pytest.approx(120)
    assert told.giveaway == pytest.approx(0.12)
    assert told.given_minor == pytest.approx(2 * 800 * 0.2 + 2 * 600 * 0.04)
    assert told.minor == pytest.approx(2 * 800 + 2 * 600 + 2.88 * 50)
    assert told.keeps_rule


def test_what_dries_away_is_no_giveaway() -> None:
    """1 kg after losing 4 %: 1,041.67 g when packed."""
    packing = replace(Packing.of(ONE_KG, average_quantity(15)), drying=Fraction(4, 100))
    told = giveaway([2700] * 8, packing, Breaks((2, 4), (5300, 2610)))
    assert at_net_over_count(packing).edges_dg == (5210, 2610)
    assert told.giveaway_g == pytest.approx(1080 - 1000 / 0.96)
    assert told.keeps_rule
    assert not giveaway([2600] * 8, packing, Breaks((2, 4), (5300, 2600))).keeps_rule


def test_a_band_wider_than_fruit_of_a_package_may_lie_apart_does_not_keep_the_rule() -> None:
    packing = Packing.of(ONE_KG, never_short(), widest_dg=999)
    assert giveaway([2600, 2700], packing, Breaks((2, 4), (6000, 2500), 6500)).keeps_rule is False
    assert giveaway([2600, 2700], packing, Breaks((2, 4), (3500, 2500), 4500)).keeps_rule
    best = best_breaks([5100, 5200, 5990, 6100, 2600, 3400], packing)
    assert all(high - low <= 1000 for low, high in ((best.edges_dg[0], best.top_dg or 0),))


def test_best_breaks_give_less_away_than_net_over_count_and_midpoints_do_not_keep_the_rule() -> None:
    weights = fruit(20_000, seed=6)
    packing = replace(NORMAL, last_edge_dg=2800)
    best, plain = (
        giveaway(weights, packing, each(packing)) for each in (lambda p: best_breaks(weights, p), at_net_over_count)
    )
    assert best.keeps_rule
    assert plain.keeps_rule
    assert (best.giveaway_g or 0) < (plain.giveaway_g or 0) / 2
    assert not giveaway(weights, packing, at_midpoints(packing)).keeps_rule


def test_prices_move_breaks() -> None:
    """Where the market pays nothing for the biggest, no fruit goes there."""
    weights = fruit(5_000, seed=7)
    packing = Packing.of(SEVEN_KG, few_short(Fraction(1, 50)), prices=dict.fromkeys(SEVEN_KG.counts, 2000) | {14: 0})
    told = giveaway(weights, packing, best_breaks(weights, packing))
    assert told.counts[2].trays is None
    assert (told.minor or 0) >= (giveaway(weights, packing, at_net_over_count(packing)).minor or 0)


def test_breaks_of_other_counts_are_refused() -> None:
    with pytest.raises(ValueError, match="other counts"):
        giveaway([3000], NORMAL, Breaks((2, 4), (5000, 2500)))


def test_sixty_fruit_do_not_pretend_to_be_six_thousand() -> None:
    few, many = (sampled_giveaway([fruit(number, seed=8)], NORMAL, BREAKS, times=60) for number in (60, 6000))
    wide, narrow = (each.estimate(lambda told: told.giveaway_g) for each in (few, many))
    assert wide is not None
    assert narrow is not None
    assert wide.method is Method.DRAWN_AGAIN_FRUIT
    assert width(wide.low, wide.high) > 5 * width(narrow.low, narrow.high)
    assert (wide.n_fruit, wide.n_draws) == (60, 1)


def test_bins_that_differ_widen_the_range() -> None:
    """Ten bins, each of its own size, say less than their fruit thrown together."""
    chance = np.random.default_rng(9)
    bins = [np.rint(chance.normal(chance.normal(4300, 500), 400, 30)).astype(np.int64) for _ in range(10)]
    by_bin = sampled_giveaway(bins, NORMAL, BREAKS, times=60)
    together = sampled_giveaway([np.concatenate(bins)], NORMAL, BREAKS, times=60)
    one, other = (each.estimate(lambda told: told.counts[3].share, share=True) for each in (by_bin, together))
    assert one is not None
    assert other is not None
    assert one.method is Method.DRAWN_AGAIN
    assert width(one.low, one.high) > 1.5 * width(other.low, other.high)


@pytest.mark.parametrize("number", [20, pytest.param(200, marks=pytest.mark.long)])
def test_the_range_holds_the_truth_about_as_often_as_it_says(number: int) -> None:
    """90 % ranges from 200 fruit, against 400,000; four standard errors down from 0.9 at this many tries."""
    truth = giveaway(fruit(400_000, seed=10), NORMAL, BREAKS).giveaway_g
    held = 0
    for seed in range(number):
        found = sampled_giveaway([fruit(200, seed=100 + seed)], NORMAL, BREAKS, times=40)
        estimate = found.estimate(lambda told: told.giveaway_g)
        assert estimate is not None
        assert estimate.low is not None
        assert estimate.high is not None
        assert truth is not None
        held += estimate.low <= truth <= estimate.high
    assert held / number > 0.9 - 4 * np.sqrt(0.09 / number)


def test_few_fruit_do_not_settle_where_a_break_lies() -> None:
    packing = replace(NORMAL, sizer=Sizer(step_dg=50))
    few, many = ([each.edges_dg[3] for each in other_breaks([fruit(n, seed=11)], packing, times=8)] for n in (60, 6000))
    assert max(few) - min(few) > 2 * (max(many) - min(many))


def width(low: Fraction | None, high: Fraction | None) -> Fraction:
    assert low is not None
    assert high is not None
    return high - low
