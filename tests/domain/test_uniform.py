"""The fewest fruit to take out so that a package is uniform, against trying every choice of fruit."""

from fractions import Fraction
from itertools import combinations

from hypothesis import given, settings
from hypothesis import strategies as st

from shedgrade.domain.bound import Bound
from shedgrade.domain.grading.uniform import Rule, fewest_out

_WEIGHTS = st.lists(st.integers(50, 80), min_size=1, max_size=10)


def _at_most(figure: int) -> Bound:
    return Bound(high=Fraction(figure))


def _plain(figures: dict[int, int], most: int) -> Rule:
    return Rule({fruit: Fraction(figure) for fruit, figure in figures.items()}, (), lambda _: _at_most(most))


def _stepped(figures: list[int], by: list[int], step: int, below: int, above: int) -> Rule:
    """One bound when the smallest figure of ``by`` is under the step, another when it is not."""
    return Rule(
        {fruit: Fraction(figure) for fruit, figure in enumerate(figures)},
        ({fruit: Fraction(figure) for fruit, figure in enumerate(by)},),
        lambda smallest: _at_most(below if smallest[0] < step else above),
    )


def _holds(rule: Rule, kept: frozenset[int]) -> bool:
    inside = kept & rule.figures.keys()
    if not inside:
        return True
    bound = rule.bound(tuple(min(guard[fruit] for fruit in inside) for guard in rule.guards))
    figures = [rule.figures[fruit] for fruit in inside]
    return bound is None or bound.allows(max(figures) - min(figures))


def _least_by_trying(weights: list[int], rules: tuple[tuple[Rule, ...], ...]) -> tuple[int, int]:
    """The fewest fruit out, and the least weight of so many, by trying every choice."""
    everything = range(len(weights))
    for out in range(len(weights) + 1):
        fits = [
            gone
            for gone in combinations(everything, out)
            if all(any(_holds(rule, frozenset(everything) - set(gone)) for rule in ways) for ways in rules)
        ]
        if fits:
            return out, min(sum(weights[fruit] for fruit in gone) for gone in fits)
    raise AssertionError("an empty package is uniform")


def _check(weights: list[int], rules: tuple[tuple[Rule, ...], ...]) -> None:
    gone = fewest_out(tuple(weights), rules)
    kept = frozenset(range(len(weights))) - set(gone)
    assert all(any(_holds(rule, kept) for rule in ways) for ways in rules)
    assert (len(gone), sum(weights[fruit] for fruit in gone)) == _least_by_trying(weights, rules)


@given(_WEIGHTS, st.integers(0, 20))
def test_one_bound(weights: list[int], most: int) -> None:
    _check(weights, ((_plain(dict(enumerate(weights)), most),),))


@given(_WEIGHTS, st.integers(55, 75), st.integers(0, 15), st.integers(0, 15))
def test_a_bound_that_the_smallest_fruit_chooses(weights: list[int], step: int, below: int, above: int) -> None:
    _check(weights, ((_stepped(weights, weights, step, below, above),),))


@settings(deadline=None)
@given(
    st.lists(st.tuples(st.integers(50, 80), st.integers(50, 80)), min_size=1, max_size=8),
    st.integers(55, 75),
    st.integers(0, 15),
    st.integers(0, 15),
)
def test_a_bound_that_another_measure_chooses(pairs: list[tuple[int, int]], step: int, below: int, above: int) -> None:
    weights, widths = [weight for weight, _ in pairs], [width for _, width in pairs]
    _check(weights, ((_stepped(widths, weights, step, below, above),),))


@settings(deadline=None)
@given(
    st.lists(st.tuples(st.integers(50, 80), st.integers(50, 80)), min_size=1, max_size=7),
    st.integers(55, 75),
    st.tuples(*[st.integers(0, 25)] * 4),
)
def test_two_bounds_each_chosen_by_a_smallest_fruit(
    pairs: list[tuple[int, int]], step: int, most: tuple[int, int, int, int]
) -> None:
    weights, widths = [weight for weight, _ in pairs], [width for _, width in pairs]
    _check(
        weights,
        ((_stepped(weights, weights, step, most[0], most[1]),), (_stepped(widths, weights, step, most[2], most[3]),)),
    )


@settings(deadline=None)
@given(
    st.lists(st.tuples(st.integers(50, 80), st.integers(50, 80), st.booleans()), min_size=1, max_size=8),
    st.integers(0, 20),
    st.integers(0, 10),
    st.integers(0, 10),
)
def test_several_bounds_at_once_one_over_some_fruit_only(
    fruits: list[tuple[int, int, bool]], wide: int, narrow: int, width: int
) -> None:
    weights = [weight for weight, _, _ in fruits]
    labelled = {place: weight for place, (weight, _, has) in enumerate(fruits) if has}
    widths = {place: each for place, (_, each, _) in enumerate(fruits)}
    rules = (_plain(dict(enumerate(weights)), wide), _plain(labelled, narrow), _plain(widths, width))
    _check(weights, tuple((rule,) for rule in rules))


@settings(deadline=None)
@given(
    st.lists(st.tuples(st.integers(50, 80), st.integers(50, 80)), min_size=1, max_size=8),
    st.integers(0, 10),
    st.integers(0, 10),
    st.integers(5, 20),
)
def test_one_of_two_ways_is_enough(pairs: list[tuple[int, int]], by_weight: int, by_width: int, wide: int) -> None:
    weights, widths = [weight for weight, _ in pairs], dict(enumerate(width for _, width in pairs))
    either = (_plain(dict(enumerate(weights)), by_weight), _plain(widths, by_width))
    _check(weights, (either, (_stepped(weights, weights, 65, wide, by_weight),)))


def test_a_fruit_that_chose_a_bound_may_not_be_taken_out_by_the_next_one() -> None:
    """66 and 80 g may stand together only beside the 50 g, which the second bound does not allow."""
    weights, widths = [500, 660, 800], {0: 80, 1: 50, 2: 50}
    _check(weights, ((_stepped(weights, weights, 600, 300, 50),), (_plain(widths, 5),)))


def test_a_full_box_takes_no_time() -> None:
    weights = [800 + 7 * (number * 37 % 101) for number in range(200)]
    rules = ((_stepped(weights, weights, 1000, 100, 150),), (_plain(dict(enumerate(weights)), 120),))
    assert len(fewest_out(tuple(weights), rules)) > 100
