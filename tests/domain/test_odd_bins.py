"""Which weighing is unlike the others: slipped digits are, part bins and honest spread are not."""

from fractions import Fraction

import pytest

from shedgrade.domain.odd_bins import BinsNet, Odd, odd


def kg(*nets: int) -> list[BinsNet]:
    return [BinsNet(1, Fraction(net * 1000)) for net in nets]


@pytest.mark.parametrize(
    ("net_kg", "found"),
    [
        (40, Odd(lighter=True, usual=False)),
        (199, Odd(lighter=True, usual=False)),
        (200, None),
        (400, None),
        (600, None),
        (601, Odd(lighter=False, usual=False)),
        (4000, Odd(lighter=False, usual=False)),
    ],
)
def test_under_half_and_over_one_and_a_half_times_the_median(net_kg: int, found: Odd | None) -> None:
    assert odd(kg(net_kg)[0], kg(390, 400, 400, 410, 900), []) == found


def test_one_slip_among_three_marks_no_other() -> None:
    assert odd(kg(400)[0], kg(400, 40), []) is None
    assert odd(kg(40)[0], kg(400, 400), []) == Odd(lighter=True, usual=False)


def test_of_two_bins_alone_both_are_unlike() -> None:
    assert odd(kg(400)[0], kg(40), []) == Odd(lighter=False, usual=False)
    assert odd(kg(40)[0], kg(400), []) == Odd(lighter=True, usual=False)


def test_bins_before_say_which_of_few_is_the_odd_one() -> None:
    assert odd(kg(400)[0], kg(40), kg(410, 390)) is None
    assert odd(kg(40)[0], kg(400), kg(410, 390)) == Odd(lighter=True, usual=True)
    assert odd(kg(40)[0], [], kg(410)) == Odd(lighter=True, usual=True)


def test_all_slipped_alike_are_heavier_than_those_before() -> None:
    assert odd(kg(900)[0], kg(900, 900, 900), kg(400)) == Odd(lighter=False, usual=True)


def test_a_part_bin_may_be_light_and_not_heavy() -> None:
    assert odd(BinsNet(1, Fraction(40_000), part=True), kg(400, 400, 400), []) is None
    assert odd(BinsNet(1, Fraction(700_000), part=True), kg(400, 400, 400), []) == Odd(lighter=False, usual=False)
    assert odd(BinsNet(3, Fraction(399_000), part=True), kg(400, 400, 400), []) == Odd(lighter=True, usual=False)


def test_a_part_bin_among_full_ones_is_taken_as_half_full() -> None:
    """1 400 kg in four: three of 400 kg and a half."""
    among = [BinsNet(4, Fraction(1_400_000), part=True)]
    assert odd(kg(600)[0], among, []) is None
    assert odd(kg(601)[0], among, []) == Odd(lighter=False, usual=False)


def test_a_part_bin_alone_says_nothing_of_full_ones() -> None:
    assert odd(kg(400)[0], [BinsNet(1, Fraction(40_000), part=True)], []) is None


def test_nothing_to_compare_with_marks_nothing() -> None:
    assert odd(kg(4000)[0], [], []) is None


def test_bins_weighed_together_count_each() -> None:
    together = BinsNet(5, Fraction(2_000_000))
    assert odd(kg(400)[0], [together, *kg(40, 40)], []) is None
    assert odd(BinsNet(5, Fraction(200_000)), kg(400, 400, 400), []) == Odd(lighter=True, usual=False)
