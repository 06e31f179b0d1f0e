"""Estimates over draws: what the range is when it can be given, when it cannot, and how estimates add."""

from fractions import Fraction
from math import sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shedgrade.domain.sampling.estimate import Draw, Estimate, Method, lower_bound, ratio, scaled
from shedgrade.domain.sampling.proportion import clopper_pearson
from shedgrade.domain.sampling.totals import total

T_95_DF_3 = 3.182446  # Student's t, printed in any table
T_90_ONE_SIDED_DF_3 = 1.637744


def bins(*found: int, of: int = 5) -> list[Draw]:
    return [Draw(y, of, of) for y in found]


def bounds(estimate: Estimate) -> tuple[float, float]:
    assert estimate.low is not None
    assert estimate.high is not None
    return float(estimate.low), float(estimate.high)


def test_the_value_is_the_exact_ratio_of_the_totals() -> None:
    assert ratio([Draw(1, 3, 3), Draw(2, 4, 4)], share=True).value == Fraction(3, 7)


def test_hand_worked_standard_error() -> None:
    """Shares 2, 3, 4, 3 of 5: residuals -1, 0, 1, 0, so variance 4/3 x 2 / 20²."""
    found = ratio(bins(2, 3, 4, 3), share=True)
    assert found.value == Fraction(3, 5)
    assert found.se == pytest.approx(sqrt(4 / 3 * 2 / 400))
    assert found.method is Method.SHARE


def test_a_share_holds_all_truths_within_t_of_their_own_errors() -> None:
    """Both ends of the range solve |p - 0.6| = t sqrt(v p(1-p) / (0.6 x 0.4))."""
    found = ratio(bins(2, 3, 4, 3), share=True)
    for end in bounds(found):
        error = sqrt(2 / 300 * end * (1 - end) / 0.24)
        assert abs(end - 0.6) == pytest.approx(T_95_DF_3 * error, rel=1e-6)


def test_a_quantity_of_most_fruit_spreads_evenly() -> None:
    draws = [Draw(5, 19, 5), Draw(5, 20, 5), Draw(5, 21, 5), Draw(5, 20, 5)]
    found = ratio(draws)
    assert found.value == Fraction(1, 4)
    assert found.se == pytest.approx(sqrt(4 / 3 * 2 * 0.25**2) / 80)
    half = T_95_DF_3 * sqrt(4 / 3 * 2 * 0.25**2) / 80
    assert bounds(found) == pytest.approx((0.25 - half, 0.25 + half), rel=1e-6)
    assert found.method is Method.SPREAD


def test_a_quantity_of_few_fruit_takes_the_range_of_their_share() -> None:
    """Every bin weighs 2 kg with its 5 fruit, so fruit a kilogram are 2.5 times the share."""
    found = ratio([Draw(y, 2, 5) for y in (0, 1, 0, 2)])
    assert found.method is Method.SHARE
    assert bounds(found) == pytest.approx([2.5 * bound for bound in bounds(ratio(bins(0, 1, 0, 2), share=True))])


def test_one_bin_gives_no_range_and_says_so() -> None:
    found = ratio(bins(3), share=True)
    assert (found.value, found.low, found.high, found.se) == (Fraction(3, 5), None, None, None)
    assert found.method.value == "All fruit came from one bin: no range can be given."


def test_a_bin_without_fruit_is_no_bin() -> None:
    assert ratio([*bins(3), Draw(0, 0, 0)], share=True).method is Method.ONE_BIN


@pytest.mark.parametrize(("each", "n_draws"), [(0, 10), (5, 10), (4, 6)])
def test_bins_that_do_not_differ_take_the_exact_range_of_fewer_fruit(each: int, n_draws: int) -> None:
    """Five a bin with likeness 0.1 count as 1 / 1.4 of their number: 50 as 35.7."""
    found = ratio(bins(*[each] * n_draws), share=True)
    fewer = 5 * n_draws / 1.4
    assert bounds(found) == pytest.approx(clopper_pearson(each / 5 * fewer, fewer, 0.025))
    assert found.method is Method.LIKENESS


def test_single_fruit_from_each_bin_are_not_deflated() -> None:
    found = ratio(bins(*[0] * 20, of=1), share=True)
    assert bounds(found) == pytest.approx((0, 0.1684), abs=5e-5)  # 0 of 20, see tests/published


def test_nothing_found_of_a_quantity_leaves_room_for_the_share_of_fruit_it_could_be() -> None:
    """Ten bins of 5 fruit and 2 kg each: at most 9.81 % of 2.5 fruit a kilogram."""
    share = ratio(bins(*[0] * 10), share=True)
    counted = ratio([Draw(0, 2, 5)] * 10)
    assert bounds(counted)[1] == pytest.approx(bounds(share)[1] * 2.5)
    paid = ratio([Draw(0, 2, 5)] * 10, most_per_fruit=150)
    assert bounds(paid)[1] == pytest.approx(bounds(share)[1] * 2.5 * 150)


def test_a_promise_is_one_sided() -> None:
    draws = [Draw(5, 19, 5), Draw(5, 20, 5), Draw(5, 21, 5), Draw(5, 20, 5)]
    promise = lower_bound(draws)
    assert promise.high is None
    assert promise.low is not None
    assert float(promise.low) == pytest.approx(0.25 - T_90_ONE_SIDED_DF_3 * sqrt(4 / 3 * 2 * 0.25**2) / 80, rel=1e-6)


def test_nothing_can_be_promised_from_one_bin() -> None:
    promise = lower_bound(bins(5), share=True)
    assert promise.low == 0
    assert promise.method.value == "All fruit came from one bin: nothing can be promised."


def test_all_of_the_class_still_promises_less_than_all() -> None:
    promise = lower_bound(bins(*[5] * 10), share=True)
    assert promise.low is not None
    assert 0.9 < promise.low < 1


def test_scaling_carries_everything_along() -> None:
    share = ratio(bins(2, 3, 4, 3), share=True, base="of the fruit")
    mass = scaled(share, 2000, "for the net weight")
    assert mass.value == 1200
    assert mass.ceiling == 2000
    assert mass.base == "for the net weight"
    assert bounds(mass) == pytest.approx([2000 * bound for bound in bounds(share)])
    assert mass.se == pytest.approx(2000 * (share.se or 0))
    assert scaled(share, 2).base == "of the fruit"


@pytest.mark.parametrize("factor", [0, -1])
def test_scaling_needs_a_factor_above_zero(factor: int) -> None:
    with pytest.raises(ValueError, match="above zero"):
        scaled(ratio(bins(2, 3), share=True), factor)


@pytest.mark.parametrize(
    ("draws", "says"),
    [
        ([], "needs fruit"),
        ([Draw(0, 0, 0)], "needs fruit"),
        ([Draw(1, 5, 5), Draw(-1, 5, 5)], "not negative"),
        ([Draw(7, 5, 5), Draw(5, 5, 5)], "more was found"),
    ],
)
def test_draws_that_cannot_be_are_refused(draws: list[Draw], says: str) -> None:
    with pytest.raises(ValueError, match=says):
        ratio(draws, share=True)


@pytest.mark.parametrize("confidence", [0, 1, 95])
def test_a_confidence_is_a_chance(confidence: float) -> None:
    with pytest.raises(ValueError, match="between 0 and 1"):
        ratio(bins(2, 3), confidence, share=True)


def test_variances_add_and_degrees_follow_welch_and_satterthwaite() -> None:
    """Standard errors 3 and 4 with 3 and 5 degrees: 5, and 25² / (81/3 + 256/5)."""
    found = total([_figure(100, se=3, df=3), _figure(200, se=4, df=5)])
    assert found.value == 300
    assert found.se == 5
    assert found.df == pytest.approx(625 / (27 + 51.2))
    low, high = bounds(found)
    assert 300 - low == pytest.approx(high - 300)
    assert 2.306 < (high - 300) / 5 < 2.365  # Student's t at 97.5 % lies between those of 8 and 7 degrees
    assert found.method is Method.SUM


def test_a_total_with_one_bin_among_them_has_no_range() -> None:
    found = total([ratio(bins(2, 3), share=True), ratio(bins(2), share=True)])
    assert (found.value, found.low, found.high, found.n_fruit, found.n_draws) == (Fraction(9, 10), None, None, 15, 3)
    assert found.method is Method.SUM_WITHOUT_RANGE


def test_to_a_promise_one_bin_adds_nothing() -> None:
    settled = [lower_bound(bins(2, 3, 4, 3), share=True), lower_bound(bins(3, 3, 4, 3), share=True)]
    with_one = total([*settled, lower_bound(bins(5), share=True)])
    assert with_one.low == total(settled).low
    assert with_one.method is Method.SUM_IN_PART
    assert total([lower_bound(bins(5), share=True), lower_bound(bins(4), share=True)]).low == 0


def test_promising_together_promises_more_than_apart() -> None:
    parts = [lower_bound(bins(2, 3, 4, 3), share=True), lower_bound(bins(3, 2, 4, 3), share=True)]
    together = total(parts).low
    assert together is not None
    assert together > sum(part.low or 0 for part in parts)


def test_a_part_of_which_nothing_was_found_takes_nothing_off_the_others() -> None:
    found = ratio(bins(2, 3, 4, 3), share=True)
    nothing = ratio(bins(0, 0, 0, 0), share=True)
    low, high = bounds(total([found, nothing]))
    assert low > 0.6 - T_95_DF_3 * (found.se or 0) - 1e-6
    assert high > bounds(found)[1]


def test_where_nothing_was_found_nothing_is_promised() -> None:
    nothing = lower_bound(bins(0, 0, 0, 0), share=True)
    assert nothing.low == 0
    assert nothing.method is Method.LIKENESS
    both = total([nothing, nothing])
    assert both.low == 0
    assert both.method is Method.SUM


def test_a_total_of_one_is_that_one() -> None:
    found = ratio(bins(2, 3, 4, 3), share=True)
    assert total([found]) is found


def test_totals_mix_neither_confidences_nor_kinds() -> None:
    draws = bins(2, 3)
    with pytest.raises(ValueError, match="one confidence"):
        total([ratio(draws, share=True), ratio(draws, 0.9, share=True)])
    with pytest.raises(ValueError, match="one confidence"):
        total([ratio(draws, 0.9, share=True), lower_bound(draws, 0.9, share=True)])


@given(st.lists(st.tuples(st.integers(1, 12), st.data()), min_size=2, max_size=12))
def test_a_share_and_its_range_stay_within_nought_and_one(cases: list[tuple[int, st.DataObject]]) -> None:
    draws = [Draw(data.draw(st.integers(0, n)), n, n) for n, data in cases]
    low, high = bounds(found := ratio(draws, share=True))
    assert 0 <= low <= float(found.value) <= high <= 1
    promise = lower_bound(draws, 0.975, share=True).low
    assert promise is not None
    assert float(promise) == pytest.approx(low)


def _figure(value: int, se: float, df: float) -> Estimate:
    return Estimate(
        value=Fraction(value),
        low=Fraction(0),
        high=Fraction(2 * value),
        n_fruit=50,
        n_draws=10,
        method=Method.SPREAD,
        confidence=0.95,
        se=se,
        df=df,
    )
