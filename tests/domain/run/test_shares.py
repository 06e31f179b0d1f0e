"""Sharing: worked by hand, and what must hold for any amounts."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as some

from shedgrade.domain.run.shares import Rule, share_out

weights = some.dictionaries(some.integers(1, 9), some.integers(0, 10**7), min_size=1, max_size=6).filter(
    lambda each: sum(each.values()) > 0
)


def test_what_is_left_goes_to_the_largest_remainders() -> None:
    # 100 by 3 : 3 : 1 is 42.857, 42.857, 14.286: 98 whole grams, and one more to each of the first two.
    assert share_out(100, {"a": 3, "b": 3, "c": 1}) == {"a": 43, "b": 43, "c": 14}
    # 10 by 1 : 1 : 1: the one left over goes to the first of equals.
    assert share_out(10, {"a": 1, "b": 1, "c": 1}) == {"a": 4, "b": 3, "c": 3}


def test_a_loss_that_is_a_gain_is_shared_too() -> None:
    assert share_out(-10, {"a": 1, "b": 2}) == {"a": -3, "b": -7}


def test_nothing_can_be_shared_among_nobody() -> None:
    assert share_out(0, {"a": 0}) == {"a": 0}
    with pytest.raises(ValueError, match="cannot be shared"):
        share_out(1, {"a": 0})
    with pytest.raises(ValueError, match="cannot be shared"):
        share_out(1, {"a": 2, "b": -1})


@given(some.integers(-(10**9), 10**9), weights)
def test_shares_add_up_and_lie_within_one_of_the_exact_share(amount: int, by: dict[int, int]) -> None:
    parts = share_out(amount, by)
    assert sum(parts.values()) == amount
    whole = sum(by.values())
    assert all(abs(part - Fraction(amount * by[key], whole)) < 1 for key, part in parts.items())
    assert all(parts[key] == 0 for key, weight in by.items() if weight == 0)


def test_every_rule_is_said() -> None:
    assert len({rule.words for rule in Rule}) == len(Rule)
