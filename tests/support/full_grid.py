"""The slow ways to the best breaks: every pair of edges of the grid, and every set of breaks there is."""

from collections.abc import Callable, Iterator
from itertools import combinations_with_replacement, pairwise

import numpy as np
from numpy.typing import NDArray

from shedgrade.domain.trays.best_breaks import worth_a_fruit
from shedgrade.domain.trays.breaks import CountPack, Packing, top_edge_dg
from shedgrade.domain.trays.filled import Demand, holds
from shedgrade.domain.trays.spread import Spread
from shedgrade.domain.units import DG_PER_G, G_PER_KG


def most_over_all_pairs(spread: Spread, packing: Packing) -> float:
    """What the best breaks bring, asking of every pair of edges and every count whether the rule holds.

    Asked in the order in which the answer can change only once a line: upper edges down, lower edges up.
    """
    left = _left_out(spread, packing)
    brought = np.where(np.arange(spread.edges) <= spread.edge_at(top_edge_dg(packing)), left[-1] - left, -np.inf)
    for pack, worth in zip(packing.counts, worth_a_fruit(packing), strict=True):
        may = all_bands(spread, packing, pack)
        band = worth * (spread.sums[None, :, 0] - spread.sums[:, None, 0])
        brought = np.where(may, brought[None, :] + band, -np.inf).max(axis=1)
    return float((brought + left)[_lasts(spread, packing)].max())


def all_bands(spread: Spread, packing: Packing, pack: CountPack) -> NDArray[np.bool_]:
    """Whether the count may have the band from each lower to each upper edge."""
    demand = Demand.of(packing, pack)
    may = np.eye(spread.edges, dtype=np.bool_)
    high = spread.edges - 1
    for low in range(spread.edges):
        high = max(high, low)
        while high > low and holds(spread, demand, low, high):
            high -= 1
        while high < spread.edges and not holds(spread, demand, low, high):
            high += 1
        may[low, high:] = True
        high = min(high, spread.edges - 1)
    return may & _narrow(spread, pack)


def most_over_all_breaks(spread: Spread, packing: Packing, may: Callable[[CountPack, int, int], bool]) -> float:
    """What the best of all breaks bring, every one tried; ``may`` says whether a count may have a band of fruit."""
    return max(_worth(spread, packing, edges) for edges in every_breaks(spread, packing, may))


def every_breaks(
    spread: Spread, packing: Packing, may: Callable[[CountPack, int, int], bool]
) -> Iterator[tuple[int, ...]]:
    """All edges, top first, down the grid."""
    top = spread.edge_at(top_edge_dg(packing))
    for edges in combinations_with_replacement(range(top, -1, -1), len(packing.counts) + 1):
        bands = zip(packing.counts, pairwise(edges), strict=True)
        if edges[-1] in _lasts(spread, packing) and all(
            low == high or may(pack, low, high) for pack, (high, low) in bands
        ):
            yield edges


def worth_of(spread: Spread, packing: Packing, edges_dg: tuple[int, ...], top_dg: int | None) -> float:
    """What breaks in decigrams bring."""
    return _worth(spread, packing, (spread.edge_at(top_dg), *(spread.edge_at(edge) for edge in edges_dg)))


def _worth(spread: Spread, packing: Packing, edges: tuple[int, ...]) -> float:
    left = _left_out(spread, packing)
    in_trays = (
        worth * (spread.sums[high, 0] - spread.sums[low, 0])
        for worth, (high, low) in zip(worth_a_fruit(packing), pairwise(edges), strict=True)
    )
    return float(sum(in_trays) + left[-1] - left[edges[0]] + left[edges[-1]])


def _left_out(spread: Spread, packing: Packing) -> NDArray[np.float64]:
    grams = spread.sums[:, 1] + spread.first_dg / DG_PER_G * spread.sums[:, 0]
    worth: NDArray[np.float64] = float(packing.left_out_minor_per_kg) / G_PER_KG * grams
    return worth


def _lasts(spread: Spread, packing: Packing) -> list[int]:
    return list(range(spread.edges)) if packing.last_edge_dg is None else [spread.edge_at(packing.last_edge_dg)]


def _narrow(spread: Spread, pack: CountPack) -> NDArray[np.bool_]:
    edges = np.arange(spread.edges)
    width_dg = (edges[None, :] - edges[:, None]) * spread.step_dg
    narrow: NDArray[np.bool_] = width_dg >= 0
    return narrow if pack.widest_dg is None else narrow & (width_dg <= pack.widest_dg + 1)
