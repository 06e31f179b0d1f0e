"""What can be promised: worked by hand, and what must hold for any sample."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as some

from shedgrade.domain.promise import Held, held_from, promise, room_for, shared_out
from shedgrade.domain.sampling.estimate import Draw, Estimate, lower_bound, ratio, scaled
from shedgrade.domain.trays.counts import TrayType

TRAY = TrayType("1", "7 kg", 7000, (14, 16, 18, 20))

# The consignment of tests/support/stock.py: 16s among ten fruit of each bin, and the decigrams of the ten.
DRAWS = [Draw(heavy, heavy * 4400 + (10 - heavy) * 4000, 10) for heavy in (6, 5, 7, 6)]


def consignment() -> Estimate:
    return scaled(lower_bound(DRAWS), Fraction(16_000_000, 16))


def test_one_consignment_by_hand() -> None:
    # 24 / 169 600 x 1 000 000 = 141.51; less 1.638 x 9.0835 = 126.63. t of 3 degrees of freedom, 0.90 one-sided:
    # NIST/SEMATECH e-Handbook of Statistical Methods, section 1.3.6.7.2, upper critical values of t (read in a copy).
    found = promise([consignment()])
    assert round(found.expected, 2) == Fraction("141.51")
    assert (found.certain, found.promised, found.likely) == (126, 126, 142)


def test_two_consignments_promise_more_together_than_apart() -> None:
    # 283.02 less 1.440 x sqrt(2) x 9.0835 = 264.52; t of 6 degrees of freedom in the same table. Apart: 126 each.
    found = promise([consignment(), consignment()])
    assert (found.promised, found.likely) == (264, 283)


def test_a_hold_is_taken_off_both_figures() -> None:
    found = promise([consignment()], held=100)
    assert (found.promised, found.likely, found.held) == (26, 42, 100)
    assert (found.unsure_of(30), found.unlikely_of(30), found.unlikely_of(50)) == (4, 0, 8)


def test_more_held_than_there_is_leaves_nothing_and_never_less() -> None:
    found = promise([consignment()], held=500)
    assert (found.promised, found.likely) == (0, 0)


def test_one_bin_expects_but_promises_nothing() -> None:
    found = promise([scaled(lower_bound(DRAWS[:1]), Fraction(1_000_000))])
    assert (found.promised, found.likely) == (0, 142)


def test_a_consignment_of_one_bin_adds_nothing_to_a_promise_but_takes_nothing_either() -> None:
    one_bin = scaled(lower_bound(DRAWS[:1]), Fraction(1_000_000))
    found = promise([consignment(), one_bin])
    assert (found.promised, found.likely) == (126, 283)


def test_without_an_estimate_nothing_is_expected() -> None:
    assert (promise([], held=3).promised, promise([], held=3).likely) == (0, 0)


def test_a_two_sided_range_is_no_promise() -> None:
    with pytest.raises(ValueError, match="one-sided"):
        promise([ratio(DRAWS)])


bins = some.lists(
    some.tuples(some.integers(0, 10), some.integers(2500, 6000)).map(lambda bin_: Draw(bin_[0], 10 * bin_[1], 10)),
    min_size=1,
    max_size=8,
)
consignments = some.lists(bins, min_size=1, max_size=4).map(
    lambda every: [scaled(lower_bound(draws), Fraction(1_000_000)) for draws in every]
)


@given(consignments, some.integers(0, 2000), some.integers(0, 2000))
def test_a_promise_is_never_negative_never_over_what_is_likely_and_a_hold_lowers_it_by_itself(
    estimates: list[Estimate], held: int, more: int
) -> None:
    found, after = promise(estimates, held), promise(estimates, held + more)
    assert 0 <= found.promised <= found.likely
    assert found.certain <= found.expected
    assert after.promised == max(0, found.promised - more)


whole = some.integers(0, 300)


@given(whole, some.lists(some.tuples(whole, whole, whole), min_size=1, max_size=5))
def test_sharing_out_puts_every_tray_somewhere_as_long_as_there_is_room(
    trays: int, parts: list[tuple[int, int, int]]
) -> None:
    promised, likely, room = ([part[place] for part in parts] for place in range(3))
    shares = shared_out(trays, promised, likely, room)
    assert sum(shares) == min(trays, sum(room))
    assert all(0 <= share <= most for share, most in zip(shares, room, strict=True))


@pytest.mark.parametrize(
    ("trays", "shares"),
    [
        (45, (15, 30)),  # half of what is promised, in proportion: 30 : 60
        (90, (30, 60)),  # all of it
        (100, (38, 62)),  # 10 more, over what is likely beside: 80 - 30 = 50 and 70 - 60 = 10, so 8.33 and 1.67
        (150, (80, 70)),  # all that is likely
        (250, (130, 120)),  # 100 more into equal room
        (2000, (500, 490)),  # no more than there is room for
    ],
)
def test_sharing_out_by_hand(trays: int, shares: tuple[int, int]) -> None:
    assert shared_out(trays, [30, 60], [80, 70], [500, 490]) == shares


def test_a_hold_of_the_same_tray_counts_for_its_class_and_count_only() -> None:
    holds = [
        Held(TRAY, "Extra", 16, 40),
        Held(TRAY, "Extra", 18, 7),
        Held(TRAY, "I", 16, 5),
        Held(TRAY, "Extra", 16, 2),
    ]
    assert held_from(TRAY, "Extra", 16, holds) == 42


def test_a_hold_of_another_tray_is_taken_off_every_count_that_packs_its_weights() -> None:
    # 10s of 5 kg weigh from 500 g to under 625 g (the heaviest 8s of it start there): here these are 14s alone.
    other = TrayType("2", "5 kg", 5000, (8, 10, 12))
    holds = [Held(other, "Extra", 10, 15)]
    assert held_from(TRAY, "Extra", 14, holds) == 11  # 150 fruit are 10.7 trays of 14
    assert held_from(TRAY, "Extra", 16, holds) == 0
    # 12s weigh from 416.7 g to under 500 g: 16s and 18s here.
    twelves = [Held(other, "Extra", 12, 15)]
    assert [held_from(TRAY, "Extra", count, twelves) for count in TRAY.counts] == [0, 12, 10, 0]


def test_room_is_what_the_scale_saw_over_the_label_weight() -> None:
    assert room_for(TRAY, 1_600_000, []) == 228
    assert room_for(TRAY, 1_600_000, [Held(TRAY, "Extra", 16, 100)]) == 128
    assert room_for(TRAY, 7000, [Held(TRAY, "Extra", 16, 100)]) == 0
