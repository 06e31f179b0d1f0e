"""The best size breaks on the sizer's grid, exactly, by dynamic programming.

Worth is a sum over the counts: so much a fruit in each count's trays, so much a gram left out. So the best breaks down
to an edge are the best down to some edge above it and one more band; the published idea is Liang's (Journal of
Agricultural Engineering Research 14(2), 1969: papaya into 10 lb boxes). A count gets no fruit, or its trays hold its
rule by themselves.

The search trusts guesses of which bands hold their rule, which say no to none that does (``reach``). It works out
exactly the bands of the best way found, and looks again, until all of them hold.
"""

from typing import TYPE_CHECKING

from shedgrade.domain.trays.breaks import Breaks, Packing, top_edge_dg
from shedgrade.domain.trays.filled import Demand
from shedgrade.domain.trays.reach import Reach
from shedgrade.domain.trays.spread import Spread
from shedgrade.domain.units import DG_PER_G, G_PER_KG

if TYPE_CHECKING:
    from shedgrade.domain.trays.reach import Edges
    from shedgrade.domain.trays.spread import Floats, Weights

_ROUNDING = 1e-12  # what sums of worth may be off, as a share


def best_breaks(weights_dg: "Weights", packing: Packing) -> Breaks:
    """The breaks that bring most, from the weights of fruit in decigrams.

    With prices: most money, trays by their price and fruit left out by theirs. Without: most label weight in trays from
    these fruit, so that the least is given away or left out: weight of all fruit = labels + giveaway + left out.
    ValueError without fruit.
    """
    spread = Spread.of(weights_dg, packing.sizer)
    return _as_breaks(spread, packing, Search(spread, packing).best())


def worth_a_fruit(packing: Packing) -> list[float]:
    """What a fruit in a tray of each count brings: money where any count has a price, else grams of label."""
    if any(pack.price_minor is not None for pack in packing.counts):
        return [float(pack.price_minor or 0) / pack.count for pack in packing.counts]
    return [pack.net_g / pack.count for pack in packing.counts]


class Search:
    """One search: the edges of the best bands, top first, as numbers of the grid."""

    def __init__(self, spread: Spread, packing: Packing) -> None:
        self.spread = spread
        self.worth = worth_a_fruit(packing)
        self.per_g = float(packing.left_out_minor_per_kg) / G_PER_KG
        self.reaches = [Reach(spread, Demand.of(packing, pack)) for pack in packing.counts]
        self.top = spread.edge_at(top_edge_dg(packing))
        self.last = None if packing.last_edge_dg is None else spread.edge_at(packing.last_edge_dg)

    def best(self) -> list[int]:
        """The edges: where the first count ends at the top, then each count's lower edge."""
        while True:
            edges = self._way()
            bands = zip(self.reaches, edges[1:], edges, strict=False)
            failing = [low for reach, low, high in bands if low < high and not reach.confirms(low, high)]
            if not failing:
                return edges

    def _way(self) -> list[int]:
        """The best edges by what is known or guessed of the bands."""
        import numpy as np  # noqa: PLC0415

        fruit, grams = self.spread.sums[:, 0], self._grams
        brought = np.where(np.arange(self.spread.edges) <= self.top, self.per_g * (grams[-1] - grams), -np.inf)
        befores = []
        for reach, worth in zip(self.reaches, self.worth, strict=True):
            before = brought + worth * fruit
            brought = np.maximum(before, _best_over(before, reach)) - worth * fruit
            befores.append(before)
        total = brought + self.per_g * grams
        edges = [_last_best(total) if self.last is None else self.last]
        for before, reach in zip(reversed(befores), reversed(self.reaches), strict=True):
            edges.append(_edge_above(before, reach, edges[-1]))
        return edges[::-1]

    @property
    def _grams(self) -> "Floats":
        """The grams of the fruit under each edge."""
        first_g = self.spread.first_dg / DG_PER_G
        return self.spread.sums[:, 1] + first_g * self.spread.sums[:, 0]


def _best_over(before: "Floats", reach: Reach) -> "Floats":
    """For each lower edge the most that any upper edge brings whose band may hold the rule."""
    import numpy as np  # noqa: PLC0415

    if reach.widest is None:
        from_edge = np.append(np.maximum.accumulate(before[::-1])[::-1], -np.inf)
        return from_edge[reach.least]
    ends = np.minimum(np.arange(len(before)) + reach.widest, len(before) - 1)
    return _most_within(before, reach.least, ends)


def _most_within(values: "Floats", starts: "Edges", ends: "Edges") -> "Floats":
    """The largest value from each start to its end, both included; -inf where there is none.

    Each stretch is covered by two of the same length, a power of two, whose largest values are worked out beforehand.
    """
    import numpy as np  # noqa: PLC0415

    most = [np.append(values, -np.inf)]
    while len(most[0]) >> len(most) > 0:
        half = 1 << (len(most) - 1)
        shifted = np.append(most[-1][half:], np.full(half, -np.inf))
        most.append(np.maximum(most[-1], shifted))
    lengths = np.maximum(ends - starts + 1, 0)
    levels = np.frexp(np.maximum(lengths, 1))[1] - 1
    table = np.stack(most)
    found = np.maximum(table[levels, starts], table[levels, np.maximum(ends + 1 - (1 << levels), 0)])
    return np.where(lengths > 0, found, -np.inf)


def _edge_above(before: "Floats", reach: Reach, low: int) -> int:
    """The upper edge that the best way to this lower edge comes from; the same edge where the count gets no fruit."""
    start = int(reach.least[low])
    end = len(before) if reach.widest is None else low + reach.widest + 1
    if start >= min(end, len(before)):
        return low
    high = start + _last_best(before[start:end])
    return high if before[high] > before[low] else low


def _last_best(values: "Floats") -> int:
    """The highest edge of those that bring most: of edges with no fruit between them none is better by rounding."""
    import numpy as np  # noqa: PLC0415

    most = values.max()
    return int(np.flatnonzero(values >= most - _ROUNDING * abs(most))[-1])


def _as_breaks(spread: Spread, packing: Packing, edges: list[int]) -> Breaks:
    free = top_edge_dg(packing) is None and edges[0] == spread.edges - 1
    lows = [spread.edge_dg(edge) for edge in edges[1:]]
    counts = tuple(pack.count for pack in packing.counts)
    return Breaks(counts, tuple(lows), None if free else spread.edge_dg(edges[0]))
