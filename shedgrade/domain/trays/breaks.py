"""Size breaks: the weights at which one count stops and the next begins, and what they are set for."""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from math import ceil

from shedgrade.domain.trays.counts import TrayType
from shedgrade.domain.trays.fill_rule import FillRule
from shedgrade.domain.units import DG_PER_G, Exact, round_half_up


@dataclass(frozen=True, slots=True)
class Sizer:
    """A sizer sets breaks in steps of ``step_dg`` and is off by ``error_dg``, the s.d. of one weighing.

    Both in decigrams. The error is what 20 fruit re-weighed show, 0 where it is not known: then fruit are taken to go
    where they belong.
    """

    step_dg: int = DG_PER_G
    error_dg: Exact = 0

    def __post_init__(self) -> None:
        """Refuse what no sizer has; ValueError."""
        if self.step_dg < 1 or self.error_dg < 0:
            raise ValueError("a sizer's step is over 0 g and its error not under 0 g")


@dataclass(frozen=True, slots=True)
class CountPack:
    """How one count is packed: its label in grams, its rule, what a tray brings in the currency's smallest unit.

    ``widest_dg`` is how far the heaviest and lightest fruit of a package may lie apart, None without such a rule.
    ``price_minor`` is of one tray; a price per kilogram times the label is one.
    """

    count: int
    net_g: int
    rule: FillRule
    price_minor: Exact | None = None
    widest_dg: int | None = None


@dataclass(frozen=True, slots=True)
class Packing:
    """What breaks are set for: the counts, big fruit first, the sizer, and what lies outside of all counts.

    ``drying`` is the share of weight lost until the label must be true; ``heaviest_dg`` the heaviest fruit that
    goes in; ``last_edge_dg`` the lightest fruit where that is given, else it is searched;
    ``left_out_minor_per_kg`` what fruit that no tray takes bring.
    """

    counts: tuple[CountPack, ...]
    sizer: Sizer = Sizer()
    drying: Fraction = Fraction(0)
    heaviest_dg: int | None = None
    last_edge_dg: int | None = None
    left_out_minor_per_kg: Exact = 0

    def __post_init__(self) -> None:
        """Refuse a packing that contradicts itself; ValueError."""
        numbers = [pack.count for pack in self.counts]
        if not numbers or numbers[0] < 1 or numbers != sorted(set(numbers)):
            raise ValueError("give each count once, smallest number first, from 1 up")
        if not 0 <= self.drying < 1:
            raise ValueError("fruit lose a share of their weight from 0 to under 1")
        if self.last_edge_dg is not None and self.last_edge_dg % self.sizer.step_dg:
            raise ValueError("the lightest fruit must be on the sizer's grid")

    @classmethod
    def of(
        cls,
        tray: TrayType,
        rule: FillRule,
        sizer: Sizer | None = None,
        prices: Mapping[int, Exact] | None = None,
        widest_dg: int | None = None,
    ) -> "Packing":
        """All counts of a tray type by one rule; ``prices`` is by count, a count without one brings nothing."""
        packs = (
            CountPack(count, tray.net_g, rule, None if prices is None else prices.get(count, 0), widest_dg)
            for count in tray.counts
        )
        return cls(tuple(packs), sizer or Sizer(), heaviest_dg=tray.heaviest_dg)

    def full_dg(self, pack: CountPack, short_by_g: Exact = 0) -> Fraction:
        """What a tray weighs when packed, if it is to weigh so much less than its label once it has dried."""
        return (pack.net_g - Fraction(short_by_g)) * DG_PER_G / (1 - self.drying)

    def part_dg(self, pack: CountPack) -> Fraction:
        """One fruit's part of a full tray: net weight, with what dries away, over count."""
        return self.full_dg(pack) / pack.count


@dataclass(frozen=True, slots=True)
class Breaks:
    """The lower edge of each count in decigrams, big fruit first: from its edge up to under the one before.

    Fruit from ``top_dg`` up go into no tray, nor do fruit under the last edge; None means that no fruit is too heavy.
    A count with its edge on the one before it gets no fruit.
    """

    counts: tuple[int, ...]
    edges_dg: tuple[int, ...]
    top_dg: int | None = None

    def __post_init__(self) -> None:
        """Refuse edges that are not in order, one a count; ValueError."""
        down = self.edges_dg if self.top_dg is None else (self.top_dg, *self.edges_dg)
        if len(self.counts) != len(self.edges_dg) or list(down) != sorted(down, reverse=True):
            raise ValueError("give each count one lower edge, the big fruit's first, none over the one before")


def at_net_over_count(packing: Packing) -> Breaks:
    """Each count from its part of the tray up, at the next step of the sizer: no tray can be short."""
    step = packing.sizer.step_dg
    edges = [ceil(packing.part_dg(pack) / step) * step for pack in packing.counts]
    return _breaks(packing, edges)


def at_midpoints(packing: Packing) -> Breaks:
    """Each edge midway between the parts of two counts; the last count from its own part up."""
    step = packing.sizer.step_dg
    parts = [packing.part_dg(pack) for pack in packing.counts]
    mids = [round_half_up((one + other) / 2 / step) * step for one, other in pairwise(parts)]
    return _breaks(packing, [*mids, ceil(parts[-1] / step) * step])


def top_edge_dg(packing: Packing) -> int | None:
    """The highest edge of the grid that lets no fruit in that is heavier than may be."""
    if packing.heaviest_dg is None:
        return None
    return (packing.heaviest_dg + 1) // packing.sizer.step_dg * packing.sizer.step_dg


def _breaks(packing: Packing, edges: list[int]) -> Breaks:
    top = top_edge_dg(packing)
    if packing.last_edge_dg is not None:
        edges = [max(edge, packing.last_edge_dg) for edge in edges[:-1]] + [packing.last_edge_dg]
    kept = [edge if top is None else min(edge, top) for edge in edges]
    return Breaks(tuple(pack.count for pack in packing.counts), tuple(kept), top)
