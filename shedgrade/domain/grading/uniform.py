"""The fewest fruit to take out of a package so that the rest is uniform. Exact, not a guess.

A rule names the fruit it speaks of, their figures, and how far apart the smallest and the largest may be. How far may
hang on the smallest fruit of some measure, which changes when that fruit is taken out: so every fruit is tried as the
smallest one that stays, the rest is sorted, and a window slides over it.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import product
from typing import NamedTuple

from shedgrade.domain.bound import Bound


@dataclass(frozen=True, slots=True)
class Rule:
    """One way to be uniform. ``figures``: the figure of each fruit it speaks of, by the fruit's index.

    ``guards`` are the measures whose smallest figure chooses the bound, ``bound`` chooses it from these smallest
    figures; None is no rule. A guard has a figure for every fruit that ``figures`` has.
    """

    figures: dict[int, Fraction]
    guards: tuple[dict[int, Fraction], ...]
    bound: Callable[[tuple[Fraction, ...]], Bound | None]

    def floor(self) -> tuple[Fraction, ...]:
        """The smallest figure of each guard, over all its fruit."""
        return tuple(min(guard.values()) for guard in self.guards)

    def ends(self) -> tuple[int, int]:
        """A fruit with the smallest figure and one with the largest; ValueError without fruit."""
        return min(self.figures, key=self.figures.__getitem__), max(self.figures, key=self.figures.__getitem__)

    def spread(self) -> Fraction:
        """The largest figure less the smallest; ValueError without fruit."""
        smallest, largest = self.ends()
        return self.figures[largest] - self.figures[smallest]


class _Kept(NamedTuple):
    """Fruit that may stay, and those of them that have to, because they chose a bound."""

    fruit: frozenset[int]
    must: frozenset[int]


def fewest_out(weights_dg: tuple[int, ...], rules: tuple[tuple[Rule, ...], ...]) -> tuple[int, ...]:
    """The indexes of the fewest fruit whose removal satisfies every rule, in order; of several such choices the
    lightest.

    Each entry of ``rules`` lists the ways to satisfy one rule; one is enough.
    """
    everything = frozenset(range(len(weights_dg)))
    best = _search(_Kept(everything, frozenset()), rules, weights_dg, frozenset())
    return tuple(sorted(everything - best))


def _search(
    kept: _Kept, rules: tuple[tuple[Rule, ...], ...], weights_dg: tuple[int, ...], best: frozenset[int]
) -> frozenset[int]:
    """The best of ``best`` and of what can stay of ``kept``; what cannot become better is left out early."""
    if not rules:
        return max(best, kept.fruit, key=lambda fruit: _worth(fruit, weights_dg))
    ways = [window for rule in rules[0] for window in _windows(rule, kept)]
    for window in sorted(ways, key=lambda window: _worth(window.fruit, weights_dg), reverse=True):
        if _worth(window.fruit, weights_dg) <= _worth(best, weights_dg):
            break
        best = _search(window, rules[1:], weights_dg, best)
    return best


def _worth(fruit: frozenset[int], weights_dg: tuple[int, ...]) -> tuple[int, int]:
    return len(fruit), sum(weights_dg[index] for index in fruit)


def _windows(rule: Rule, kept: _Kept) -> Iterator[_Kept]:
    """All sets of fruit, as large as they can be, that satisfy the rule for some choice of smallest fruit."""
    inside = sorted(kept.fruit & rule.figures.keys(), key=lambda fruit: rule.figures[fruit])
    outside = kept.fruit - rule.figures.keys()
    if not kept.must & rule.figures.keys():
        yield _Kept(outside, kept.must)
    for smallest in product(inside, repeat=len(rule.guards)):
        floor = tuple(guard[fruit] for guard, fruit in zip(rule.guards, smallest, strict=True))
        fits = [
            fruit
            for fruit in inside
            if all(guard[fruit] >= least for guard, least in zip(rule.guards, floor, strict=True))
        ]
        must = kept.must | frozenset(smallest)
        for window in _slide(rule.figures, fits, rule.bound(floor), must & rule.figures.keys()):
            yield _Kept(outside | window, must)


def _slide(
    figures: dict[int, Fraction], fits: list[int], bound: Bound | None, must: frozenset[int]
) -> Iterator[frozenset[int]]:
    """The windows over sorted fruit that hold the bound and all of ``must``, one for each first fruit."""
    if not must.issubset(fits):
        return
    if bound is None:
        yield frozenset(fits)
        return
    latest = min((figures[fruit] for fruit in must), default=None)
    for place, first in enumerate(fits):
        low = figures[first]
        if latest is not None and low > latest:
            return
        window = frozenset(fruit for fruit in fits[place:] if not bound.is_over(figures[fruit] - low))
        if window >= must:
            yield window
