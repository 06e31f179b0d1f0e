"""How many trays of a band are short: against every tray there is, worked out in fractions, and against packing."""

from fractions import Fraction
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shedgrade.domain.trays.breaks import Sizer
from shedgrade.domain.trays.filled import short_chances
from shedgrade.domain.trays.spread import Spread


def by_every_tray(weights_dg: list[int], count: int, under_dg: int) -> Fraction:
    """The share of all trays that can be filled from these fruit, each as likely, that weigh less."""
    trays = list(product(weights_dg, repeat=count))
    return Fraction(sum(sum(tray) < under_dg for tray in trays), len(trays))


@given(
    st.lists(st.integers(20, 40).map(lambda grams: grams * 10), min_size=1, max_size=6),
    st.integers(1, 4),
    st.integers(200, 1700),
)
@settings(max_examples=60)
def test_the_chance_is_the_share_of_all_trays(weights_dg: list[int], count: int, under_dg: int) -> None:
    spread = Spread.of(weights_dg, Sizer())
    (chance,) = short_chances(spread, count, (0, spread.edges - 1), (under_dg,))
    assert chance == pytest.approx(float(by_every_tray(weights_dg, count, under_dg)), abs=1e-9)


@given(st.lists(st.integers(200, 260), min_size=1, max_size=6), st.integers(1, 4), st.integers(200, 1100))
@settings(max_examples=60)
def test_tenths_of_a_gram_are_exact_on_a_grid_of_tenths(weights_dg: list[int], count: int, under_dg: int) -> None:
    spread = Spread.of(weights_dg, Sizer(step_dg=1))
    (chance,) = short_chances(spread, count, (0, spread.edges - 1), (under_dg,))
    assert chance == pytest.approx(float(by_every_tray(weights_dg, count, under_dg)), abs=1e-9)


@given(
    st.lists(st.integers(2000, 2600), min_size=2, max_size=12),
    st.integers(1, 20),
    st.sampled_from([0, 15, 40]),
    st.data(),
)
@settings(max_examples=80)
def test_raising_an_edge_never_makes_a_short_tray_likelier(
    weights_dg: list[int], count: int, error_dg: int, data: st.DataObject
) -> None:
    """What the search leans on."""
    spread = Spread.of(weights_dg, Sizer(step_dg=20, error_dg=error_dg))
    edge = st.integers(0, spread.edges - 1)
    low, lower, high, higher = sorted(data.draw(st.tuples(edge, edge, edge, edge)))
    if spread.is_empty(low, high) or spread.is_empty(lower, higher):
        return
    under = (data.draw(st.integers(2000, 2600)) * count,)
    assert short_chances(spread, count, (lower, higher), under)[0] <= (
        short_chances(spread, count, (low, high), under)[0] + 1e-9
    )


@pytest.mark.parametrize("count", [5, 10, 25])
@pytest.mark.parametrize("error_dg", [0, 30])
def test_it_is_what_packing_shows(count: int, error_dg: int) -> None:
    """Fruit whose number rises steeply with weight, weighed to a tenth of a gram, sorted by what the sizer reads."""
    chance = np.random.default_rng(count + error_dg)
    weights = np.rint(3000 + 800 * chance.beta(3, 1.2, 400_000)).astype(np.int64)
    reads = weights + chance.normal(0, error_dg, len(weights)) if error_dg else weights
    spread = Spread.of(weights, Sizer(error_dg=error_dg))
    band = weights[(reads >= 3400) & (reads < 3700)]
    trays = band[: len(band) // count * count].reshape(-1, count).sum(axis=1)
    for share in (0.02, 0.3):
        under = int(np.quantile(trays, share))
        (short,) = short_chances(spread, count, (spread.edge_at(3400), spread.edge_at(3700)), (under,))
        found = float((trays < under).mean())
        assert abs(short - found) < 4 * np.sqrt(found * (1 - found) / len(trays))


def test_a_bell_curve_would_not_do() -> None:
    """Ten fruit of the top count, where few are much heavier than the edge: a point off at 2 %."""
    chance = np.random.default_rng(1)
    weights = np.rint(5000 + chance.exponential(600, 200_000)).astype(np.int64)
    spread = Spread.of(weights, Sizer())
    under = 52_300
    (short,) = short_chances(spread, 10, (0, spread.edges - 1), (under,))
    trays = chance.permutation(weights).reshape(-1, 10).sum(axis=1)
    from_bell = float((chance.normal(trays.mean(), trays.std(), 400_000) < under).mean())
    assert short == pytest.approx(float((trays < under).mean()), abs=0.003)
    assert abs(from_bell - short) > 0.01


def test_trays_of_fruit_that_all_fill_their_part_are_never_short() -> None:
    spread = Spread.of([4380, 4380, 4400, 5000], Sizer())
    assert short_chances(spread, 16, (0, spread.edges - 1), (70_000, 70_081)) == [
        0.0,
        pytest.approx(0.5**16),
    ]
    assert short_chances(spread, 16, (0, spread.edges - 1), (80_001,)) == [1.0]
