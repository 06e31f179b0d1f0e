"""Fruit that costs money to be rid of, two shares told apart, another sample, and more bins."""

from fractions import Fraction
from random import Random

import pytest

from shedgrade.domain.packout import GradedFruit, pack_out
from shedgrade.domain.sampling.again import another_sample, more_draws_to_halve
from shedgrade.domain.sampling.apart import told_apart
from shedgrade.domain.sampling.estimate import Draw, Method, ratio


def fruit(value: int, class_id: str | None = "I", weight_dg: int = 4000) -> GradedFruit:
    count, outlet = (None, "waste") if class_id is None else (16, None)
    return GradedFruit(weight_dg, class_id, count, outlet, outlet is None, Fraction(value))


def test_fruit_that_costs_money_takes_its_cost_off_the_value() -> None:
    # Two bins of two fruit of 400 g: 100 + 100 and 100 - 20 minor units a fruit, so 280 for 1.6 kg of 16 kg: 2800.
    draws = [[fruit(100), fruit(100)], [fruit(100), fruit(-20, None)]]
    found = pack_out(draws, 16_000)
    assert found.value_minor is not None
    assert found.value_minor.value == 2800
    assert found.value_minor.low is not None
    assert found.value_minor.high is not None
    assert found.value_minor.low < 2800 < found.value_minor.high


def test_the_values_of_the_classes_add_up_to_the_value_of_the_whole() -> None:
    draws = [[fruit(100), fruit(70, "II")], [fruit(100), fruit(-20, None)]]
    found = pack_out(draws, 16_000)
    by_class = [row.value_minor.value for row in found.classes if row.value_minor is not None]
    assert found.value_minor is not None
    assert sum(by_class) == found.value_minor.value


def test_the_added_cost_leaves_the_spread_between_bins_as_it_is() -> None:
    """The standard error of R + c is that of R, so a load with costs has the same one as its mirror image."""
    costly = pack_out([[fruit(-10, None), fruit(50)], [fruit(-10, None), fruit(-10, None)]], 16_000).value_minor
    free = pack_out([[fruit(0, None), fruit(60)], [fruit(0, None), fruit(0, None)]], 16_000).value_minor
    assert costly is not None
    assert free is not None
    assert costly.value == free.value - 400
    assert costly.se == pytest.approx(free.se)


def is_even(number: int) -> bool:
    return number % 2 == 0


def is_odd(number: int) -> bool:
    return number % 2 == 1


def test_shares_that_differ_in_every_bin_are_told_apart() -> None:
    draws = [[2, 2, 2, 2, 2, 1], [2, 2, 2, 2, 1, 2], [2, 2, 2, 1, 2, 1], [2, 2, 2, 2, 2, 1], [2, 2, 1, 2, 2, 2]]
    assert told_apart(draws, is_even, is_odd)


def test_shares_that_lead_now_here_now_there_are_not_told_apart() -> None:
    draws = [[2, 2, 2, 2], [1, 1, 1, 2], [2, 2, 2, 2], [1, 1, 1, 1]]
    assert not told_apart(draws, is_even, is_odd)


def test_one_bin_tells_nothing_apart() -> None:
    assert not told_apart([[2] * 50], is_even, is_odd)


def test_another_sample_is_wider_by_the_square_root_of_two_and_stays_a_share() -> None:
    draws = [Draw(8, 10, 10), Draw(6, 10, 10), Draw(7, 10, 10)]
    found = ratio(draws, share=True)
    again = another_sample(found)
    assert again is not None
    assert found.low is not None
    assert float(found.value - again[0]) == pytest.approx(2**0.5 * float(found.value - found.low))
    assert 0 <= again[0] < again[1] <= 1


def test_one_bin_says_nothing_of_another_sample() -> None:
    assert another_sample(ratio([Draw(8, 10, 10)], share=True)) is None


def test_another_sample_of_a_load_falls_inside_about_as_often_as_is_said() -> None:
    """Loads whose bins differ, eight bins of eight fruit looked at twice; 95 in 100 are said, 92 to 99 are let pass."""
    chance = Random(12)
    inside, loads = 0, 600
    for _ in range(loads):
        level = chance.uniform(0.4, 0.8)
        first, second = (_share_of_a_load(chance, level) for _ in range(2))
        found = another_sample(ratio(first, share=True))
        assert found is not None
        inside += found[0] <= Fraction(sum(int(draw.y) for draw in second), 64) <= found[1]
    assert 0.92 <= inside / loads <= 0.99


def _share_of_a_load(chance: Random, level: float) -> list[Draw]:
    bins = [chance.betavariate(9 * level, 9 * (1 - level)) for _ in range(8)]
    return [Draw(sum(chance.random() < share for _ in range(8)), 8, 8) for share in bins]


def test_halving_a_range_needs_the_bins_that_student_t_says() -> None:
    # t(4) = 2.776 and 2.776 / sqrt(5) = 1.2415; half of it is first reached with 13 bins: t(12) = 2.179, / sqrt(13) =
    # 0.6043 (12 bins: 2.201 / sqrt(12) = 0.6354). The t values stand in any printed table of Student's t.
    draws = [Draw(y, 10, 10) for y in (3, 5, 7, 4, 6)]
    assert more_draws_to_halve(ratio(draws, share=True)) == 8


def test_bins_that_do_not_differ_say_nothing_of_more_bins() -> None:
    found = ratio([Draw(0, 10, 10), Draw(0, 10, 10)], share=True)
    assert found.method is Method.LIKENESS
    assert more_draws_to_halve(found) is None


def test_a_sample_of_which_something_costs_and_nothing_brings_has_a_value_below_nothing() -> None:
    found = pack_out([[fruit(-20, None), fruit(0)], [fruit(0), fruit(0)]], 16_000, classes=["I"])
    by_class = {row.class_id: row.value_minor.value for row in found.classes if row.value_minor is not None}
    assert by_class == {"I": 0, None: -200}
