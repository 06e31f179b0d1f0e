"""Size breaks as values: those at net/count and at midpoints, and what is refused."""

from dataclasses import replace
from fractions import Fraction

import pytest

from shedgrade.domain.trays.breaks import Breaks, CountPack, Packing, Sizer, at_midpoints, at_net_over_count
from shedgrade.domain.trays.counts import TrayType, count_bands
from shedgrade.domain.trays.fill_rule import ShortTrays, average_quantity, few_short, never_short

SEVEN_KG = TrayType("seven", "7 kg", 7000, (10, 12, 14, 16))
PACKING = Packing.of(SEVEN_KG, never_short())


def test_at_net_over_count_each_edge_is_the_next_step_of_the_sizer() -> None:
    assert at_net_over_count(PACKING) == Breaks((10, 12, 14, 16), (7000, 5840, 5000, 4380))
    five_g = replace(PACKING, sizer=Sizer(step_dg=50))
    assert at_net_over_count(five_g).edges_dg == (7000, 5850, 5000, 4400)


def test_to_a_tenth_of_a_gram_it_is_the_count_of_one_fruit() -> None:
    tenths = replace(PACKING, sizer=Sizer(step_dg=1))
    assert list(at_net_over_count(tenths).edges_dg) == [band.lightest_dg for band in count_bands(SEVEN_KG)]


def test_at_midpoints_edges_lie_midway_and_the_last_where_it_fills_its_count() -> None:
    assert at_midpoints(PACKING).edges_dg == (6420, 5420, 4690, 4380)


def test_the_lightest_fruit_and_the_heaviest_are_kept_to() -> None:
    given = replace(PACKING, last_edge_dg=4500, heaviest_dg=6504)
    assert at_net_over_count(given) == Breaks((10, 12, 14, 16), (6500, 5840, 5000, 4500), 6500)


def test_each_count_may_have_its_own_label_and_dries_by_the_same_share() -> None:
    rule = never_short()
    packing = Packing((CountPack(10, 5000, rule), CountPack(20, 4000, rule)), drying=Fraction(1, 5))
    assert at_net_over_count(packing).edges_dg == (6250, 2500)


def test_rules_say_what_they_ask() -> None:
    average = average_quantity(105)
    assert average.mean
    assert average.short == (ShortTrays(105, Fraction(1, 40)), ShortTrays(210, Fraction(1, 10_000)))
    assert few_short(Fraction(1, 50)).short == (ShortTrays(0, Fraction(1, 50)),)
    assert never_short().every_fruit


@pytest.mark.parametrize(
    ("made", "said"),
    [
        (lambda: Breaks((10, 12), (5000, 5100)), "none over the one before"),
        (lambda: Breaks((10, 12), (5000,)), "each count one lower edge"),
        (lambda: Breaks((10,), (5000,), 4000), "none over the one before"),
        (lambda: Sizer(step_dg=0), "step is over 0 g"),
        (lambda: Sizer(error_dg=-1), "error not under 0 g"),
        (lambda: Packing(()), "give each count once"),
        (lambda: replace(PACKING, drying=Fraction(1)), "from 0 to under 1"),
        (lambda: replace(PACKING, last_edge_dg=2805), "on the sizer's grid"),
        (lambda: few_short(Fraction(1)), "from 0 to under 1"),
    ],
)
def test_what_cannot_be_is_refused(made: object, said: str) -> None:
    assert callable(made)
    with pytest.raises(ValueError, match=said):
        made()
