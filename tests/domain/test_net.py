"""Net weight at intake, worked by hand."""

from datetime import date
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shedgrade.domain.net import BinGroup, Tare, intake_net, tare_in_force

DAY = date(2026, 1, 12)
DRY = Tare("plastic", DAY, empties=10, total_g=385_500)  # 38.55 kg each
WET = Tare("plastic", DAY, empties=4, total_g=157_000, wet=True)  # 39.25 kg each
WOOD = Tare("wood", DAY, empties=3, total_g=200_000)  # 66 666 2/3 g each


def test_net_is_gross_less_bins_times_the_mean_empty() -> None:
    net = intake_net([BinGroup(4, 1_850_000, DRY), BinGroup(1, 290_000, DRY)])
    assert [line.net_g for line in net.groups] == [1_850_000 - 154_200, 290_000 - 38_550]
    assert (net.bins, net.gross_g, net.tare_g, net.net_g) == (5, 2_140_000, 192_750, 1_947_250)
    assert net.wet == ()


def test_each_group_is_rounded_once_from_the_exact_mean() -> None:
    """One bin of 66 666 2/3 g leaves 333 333 1/3 g; three leave exactly 1 000 000 g, not three times that rounded."""
    assert intake_net([BinGroup(1, 400_000, WOOD)]).net_g == 333_333
    assert intake_net([BinGroup(3, 1_200_000, WOOD)]).net_g == 1_000_000


def test_wet_empties_are_a_line_of_their_own() -> None:
    """Each of 27 bins was 0.7 kg heavier than its dry tare: 18.9 kg come off, and both nets can be seen."""
    net = intake_net([BinGroup(20, 9_000_000, DRY), BinGroup(7, 3_100_000, DRY)], [WET])
    assert [(line.bins, line.correction_g) for line in net.wet] == [(27, -18_900)]
    assert net.net_before_wet_g == 12_100_000 - 27 * 38_550
    assert net.net_g == net.net_before_wet_g - 18_900


def test_a_wet_tare_corrects_only_its_own_bin_type() -> None:
    net = intake_net([BinGroup(2, 1_000_000, DRY), BinGroup(3, 1_200_000, WOOD)], [WET])
    assert net.correction_g == -1400


def test_lighter_wet_empties_give_back() -> None:
    light = Tare("plastic", DAY, empties=2, total_g=76_000, wet=True)
    assert intake_net([BinGroup(2, 1_000_000, DRY)], [light]).correction_g == 1100


def test_the_newest_dry_tare_by_the_day_is_in_force() -> None:
    old, new = Tare("plastic", date(2026, 1, 1), 5, 190_000), Tare("plastic", date(2026, 1, 20), 5, 200_000)
    tares = [new, WOOD, WET, old]
    assert tare_in_force(tares, "plastic", DAY) is old
    assert tare_in_force(tares, "plastic", date(2026, 1, 20)) is new
    assert tare_in_force(tares, "plastic", date(2025, 12, 31)) is None


@pytest.mark.parametrize(("empties", "total_g"), [(0, 100), (3, 0)])
def test_a_tare_of_nothing_is_refused(empties: int, total_g: int) -> None:
    with pytest.raises(ValueError, match="at least one empty bin"):
        Tare("plastic", DAY, empties, total_g)


@pytest.mark.parametrize(
    ("bins", "gross_g", "tare", "says"),
    [
        (0, 500_000, DRY, "at least one bin"),
        (2, 77_100, DRY, "no more than the empties"),
        (2, 500_000, WET, "dry tare"),
    ],
)
def test_groups_that_cannot_be_are_refused(bins: int, gross_g: int, tare: Tare, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        BinGroup(bins, gross_g, tare)


@pytest.mark.parametrize("tares", [[DRY], [Tare("wood", DAY, 1, 70_000, wet=True)]])
def test_a_correction_needs_wet_empties_of_a_type_at_hand(tares: list[Tare]) -> None:
    with pytest.raises(ValueError, match="no bins of this intake"):
        intake_net([BinGroup(2, 500_000, DRY)], tares)


def test_two_wet_tares_of_one_type_are_refused() -> None:
    with pytest.raises(ValueError, match="one wet tare"):
        intake_net([BinGroup(2, 500_000, DRY)], [WET, WET])


def test_wet_empties_cannot_outweigh_the_fruit() -> None:
    soaked = Tare("plastic", DAY, 1, 60_000, wet=True)
    with pytest.raises(ValueError, match="more than all the fruit"):
        intake_net([BinGroup(1, 40_000, DRY)], [soaked])


@given(st.lists(st.tuples(st.integers(1, 30), st.integers(1, 10**6)), min_size=1, max_size=8), st.integers(1, 20))
def test_lines_add_up_for_any_groups(groups: list[tuple[int, int]], empties: int) -> None:
    tare = Tare("plastic", DAY, empties, 385_501)
    net = intake_net([BinGroup(bins, 400_000 * bins + more, tare) for bins, more in groups])
    assert net.gross_g == net.tare_g + net.net_before_wet_g
    exact = net.gross_g - net.bins * Fraction(385_501, empties)
    assert abs(net.net_g - exact) <= Fraction(len(groups), 2)
