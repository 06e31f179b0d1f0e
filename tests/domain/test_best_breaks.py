"""The best breaks against every set of breaks there is on small grids, and against the full grid on larger ones."""

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from shedgrade.domain.trays.best_breaks import best_breaks
from shedgrade.domain.trays.breaks import Breaks, CountPack, Packing, Sizer
from shedgrade.domain.trays.counts import TrayType
from shedgrade.domain.trays.fill_rule import FillRule, ShortTrays, average_quantity, few_short, never_short
from shedgrade.domain.trays.filled import Demand, holds
from shedgrade.domain.trays.spread import Spread
from tests.support.full_grid import most_over_all_breaks, most_over_all_pairs, worth_of

RULES = {
    "never short": never_short(),
    "average quantity": average_quantity(105),
    "one in fifty": few_short(Fraction(1, 50)),
}
SEVEN_KG = TrayType("seven", "7 kg", 7000, (10, 12, 14, 16, 18, 20, 22, 25))


def rules() -> st.SearchStrategy[FillRule]:
    shares = st.sampled_from([Fraction(0), Fraction(1, 40), Fraction(1, 4), Fraction(2, 5)])
    short = st.lists(st.builds(ShortTrays, st.sampled_from([0, 5, 20]), shares), max_size=2).map(tuple)
    return st.builds(FillRule, st.booleans(), st.booleans(), short)


@st.composite
def packings(draw: st.DrawFn) -> Packing:
    """One to three counts of 1 to 5 fruit to about 100 g, each with its own label and rule."""
    numbers = sorted(draw(st.sets(st.integers(1, 5), min_size=1, max_size=3)))
    priced = draw(st.booleans())
    packs = [
        CountPack(
            number,
            draw(st.sampled_from([90, 100, 120])),
            draw(rules()),
            draw(st.integers(0, 9)) if priced else None,
            draw(st.sampled_from([None, None, 99, 199])),
        )
        for number in numbers
    ]
    return Packing(
        tuple(packs),
        Sizer(step_dg=100),
        draw(st.sampled_from([Fraction(0), Fraction(1, 20)])),
        draw(st.sampled_from([None, None, 750])),
        draw(st.sampled_from([None, None, 300])),
        draw(st.integers(0, 40)) if priced else 0,
    )


def keeps_its_rule(weights_dg: list[int], packing: Packing, pack: CountPack, low_dg: int, high_dg: int) -> bool:
    """The rule asked of every tray that can be filled from the band, in fractions, and the width of the band."""
    band = [weight for weight in weights_dg if low_dg <= weight < high_dg]
    if not band or (pack.widest_dg is not None and high_dg - low_dg - 1 > pack.widest_dg):
        return False
    full = Fraction(pack.net_g * 10) / (1 - packing.drying)
    if pack.rule.every_fruit and low_dg * pack.count < full:
        return False
    if pack.rule.mean and Fraction(sum(band), len(band)) * pack.count < full:
        return False
    trays = [sum(tray) for tray in product(band, repeat=pack.count)]
    return all(
        Fraction(
            sum(tray < full - Fraction(short.short_by_g * 10) / (1 - packing.drying) for tray in trays), len(trays)
        )
        <= short.most
        for short in pack.rule.short
    )


@given(st.lists(st.integers(20, 79).map(lambda grams: grams * 10), min_size=1, max_size=5), packings())
@settings(max_examples=150, deadline=None)
def test_it_is_the_best_of_all_breaks_on_a_small_grid(weights_dg: list[int], packing: Packing) -> None:
    spread = Spread.of(weights_dg, packing.sizer)
    asked: dict[tuple[int, int, int], bool] = {}

    def may(pack: CountPack, low: int, high: int) -> bool:
        key = pack.count, low, high
        if key not in asked:
            asked[key] = keeps_its_rule(weights_dg, packing, pack, spread.edge_dg(low), spread.edge_dg(high))
        return asked[key]

    found = best_breaks(weights_dg, packing)
    assert all(may(pack, low, high) for pack, low, high in bands(spread, packing, found) if low < high)
    best = most_over_all_breaks(spread, packing, may)
    assert worth_of(spread, packing, found.edges_dg, found.top_dg) == pytest.approx(best, rel=1e-9)


def bands(spread: Spread, packing: Packing, breaks: Breaks) -> list[tuple[CountPack, int, int]]:
    edges = [spread.edge_at(breaks.top_dg), *(spread.edge_at(edge) for edge in breaks.edges_dg)]
    return list(zip(packing.counts, edges[1:], edges, strict=False))


def some_fruit(kind: str, fruit: int, seed: int) -> NDArray[np.int64]:
    chance = np.random.default_rng(seed)
    small = chance.random(fruit) < 0.4
    grams: dict[str, NDArray[np.float64]] = {
        "bell": chance.normal(430, 75, fruit),
        "lopsided": 250 + chance.gamma(2, 70, fruit),
        "two blocks": np.where(small, chance.normal(330, 25, fruit), chance.normal(560, 45, fruit)),
    }
    weights: NDArray[np.int64] = np.rint(grams[kind].clip(150, 900) * 10).astype(np.int64)
    return weights


@pytest.mark.parametrize("rule", RULES)
@pytest.mark.parametrize("kind", ["bell", "lopsided", "two blocks"])
@pytest.mark.parametrize("fruit", [60, 6000])
def test_it_is_the_best_of_the_full_grid(rule: str, kind: str, fruit: int) -> None:
    weights = some_fruit(kind, fruit, seed=fruit)
    packing = Packing.of(SEVEN_KG, RULES[rule], Sizer(step_dg=50))
    assert_best(weights, packing)


PACKINGS: dict[str, Callable[[FillRule], Packing]] = {
    "off by 8 g": lambda rule: Packing.of(SEVEN_KG, rule, Sizer(step_dg=50, error_dg=80)),
    "priced": lambda rule: replace(
        Packing.of(
            SEVEN_KG, rule, Sizer(step_dg=50), prices=dict.fromkeys(SEVEN_KG.counts, 2000) | {14: 2600, 20: 1500}
        ),
        left_out_minor_per_kg=40,
    ),
    "alike in a package": lambda rule: Packing.of(SEVEN_KG, rule, Sizer(step_dg=50), widest_dg=799),
    "dried, from 280 g to 700 g": lambda rule: replace(
        Packing.of(SEVEN_KG, rule, Sizer(step_dg=50)), drying=Fraction(2, 100), last_edge_dg=2800, heaviest_dg=7000
    ),
}


@pytest.mark.parametrize("rule", ["never short", "average quantity"])
@pytest.mark.parametrize("packing", PACKINGS)
def test_it_is_the_best_of_the_full_grid_however_it_is_packed(packing: str, rule: str) -> None:
    assert_best(some_fruit("lopsided", 500, seed=5), PACKINGS[packing](RULES[rule]))


def test_a_count_that_any_fruit_fills_says_nothing_of_lower_edges() -> None:
    """Forty fruit far apart: the next fruit over an edge may fill its count, and so may the one before it."""
    assert_best(some_fruit("bell", 40, seed=24), Packing.of(SEVEN_KG, RULES["one in fifty"], Sizer(step_dg=50)))


@pytest.mark.long
@pytest.mark.parametrize("seed", range(30))
def test_it_is_the_best_of_the_full_grid_of_many_samples(seed: int) -> None:
    for kind, fruit, rule in product(
        ["bell", "lopsided", "two blocks"], [40, 600], ["average quantity", "one in fifty"]
    ):
        assert_best(some_fruit(kind, fruit, seed), Packing.of(SEVEN_KG, RULES[rule], Sizer(step_dg=50)))


def assert_best(weights: NDArray[np.int64], packing: Packing) -> None:
    spread = Spread.of(weights, packing.sizer)
    found = best_breaks(weights, packing)
    for pack, low, high in bands(spread, packing, found):
        assert low == high or holds(spread, Demand.of(packing, pack), low, high)
    best = most_over_all_pairs(spread, packing)
    assert worth_of(spread, packing, found.edges_dg, found.top_dg) == pytest.approx(best, rel=1e-9)
