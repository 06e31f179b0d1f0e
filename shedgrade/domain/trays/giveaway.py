"""What size breaks give away: for each count its share of the fruit, its trays, what they hold over their label.

Giveaway is the mean of (net less label) over trays, short ones counted as negative; what dries away until the label
must be true is none, so a tray is held against its label with the drying allowance. Figures are those of the trays
that these fruit would fill, or a day's weight of such fruit.
"""

from dataclasses import dataclass
from math import ceil, gcd, inf
from typing import TYPE_CHECKING

from shedgrade.domain.trays.breaks import Breaks, CountPack, Packing, Sizer
from shedgrade.domain.trays.filled import Demand, holds, short_chances
from shedgrade.domain.trays.spread import Spread
from shedgrade.domain.units import DG_PER_G, G_PER_KG

if TYPE_CHECKING:
    from collections.abc import Sequence

    from shedgrade.domain.trays.spread import Weights


@dataclass(frozen=True, slots=True)
class Trays:
    """Trays of a count, in grams at packing: how many, what they hold, what they should, how many are short.

    ``short`` is the chance that a tray weighs less than it should; ``by_rule`` are the chances that the count's rule
    limits, in its order. ``minor`` is what the trays bring, ``given_minor`` what the fruit in them over their labels
    would have brought at the same price; None without a price.
    """

    trays: float
    mean_g: float
    full_g: float
    short: float
    by_rule: tuple[float, ...]
    minor: float | None
    given_minor: float | None

    @property
    def giveaway_g(self) -> float:
        """Grams over in the mean tray, negative where it is short."""
        return self.mean_g - self.full_g

    @property
    def giveaway(self) -> float:
        """Giveaway as a share of what a tray should hold."""
        return self.giveaway_g / self.full_g


@dataclass(frozen=True, slots=True)
class CountGiveaway:
    """One count under its break: the share of all fruit by number, and its trays; None where it gets no fruit."""

    count: int
    low_dg: int
    high_dg: int | None
    share: float
    trays: Trays | None
    keeps_rule: bool


@dataclass(frozen=True, slots=True)
class Giveaway:
    """All counts, big fruit first, and the shares of fruit by number that go into none. ``minor`` is what all bring."""

    counts: tuple[CountGiveaway, ...]
    too_heavy: float
    too_light: float
    left_out_g: float
    minor: float | None

    @property
    def filled(self) -> tuple[Trays, ...]:
        """The trays of the counts that get fruit."""
        return tuple(count.trays for count in self.counts if count.trays)

    @property
    def trays(self) -> float:
        """Trays of all counts."""
        return sum(each.trays for each in self.filled)

    @property
    def giveaway_g(self) -> float | None:
        """Grams over in the mean tray of all counts; None without trays, as the next two."""
        return self._mean([each.giveaway_g for each in self.filled])

    @property
    def giveaway(self) -> float | None:
        """Grams over as a share of what all trays should hold."""
        given, full = self.giveaway_g, self._mean([each.full_g for each in self.filled])
        return None if given is None or full is None else given / full

    @property
    def short(self) -> float | None:
        """The share of all trays that weigh less than they should."""
        return self._mean([each.short for each in self.filled])

    @property
    def given_minor(self) -> float | None:
        """What the giveaway would have brought; None without prices."""
        given = [each.given_minor for each in self.filled if each.given_minor is not None]
        return sum(given) if given else None

    @property
    def keeps_rule(self) -> bool:
        """Whether every count keeps its rule."""
        return all(count.keeps_rule for count in self.counts)

    def _mean(self, figures: list[float]) -> float | None:
        if not self.filled:
            return None
        return sum(each.trays * figure for each, figure in zip(self.filled, figures, strict=True)) / self.trays


def giveaway(weights_dg: "Weights", packing: Packing, breaks: Breaks, day_g: float | None = None) -> Giveaway:
    """What these breaks give away of fruit like these; of ``day_g`` grams of them a day, else of these fruit.

    The breaks, such as those in force, need not lie on the sizer's grid. ValueError without fruit, or where breaks are
    of other counts than the packing.
    """
    if breaks.counts != tuple(pack.count for pack in packing.counts):
        raise ValueError("the breaks are of other counts than are packed")
    spread = Spread.of(weights_dg, _fine_enough(packing.sizer, breaks))
    grams = _grams(spread, 0, spread.edges - 1)
    times = 1.0 if day_g is None else day_g / grams
    highs = (breaks.top_dg, *breaks.edges_dg)
    counts = tuple(
        _count(spread, packing, pack, (low, high), times)
        for pack, low, high in zip(packing.counts, breaks.edges_dg, highs, strict=False)
    )
    top, last = spread.edge_at(breaks.top_dg), spread.edge_at(breaks.edges_dg[-1])
    left_g = times * (_grams(spread, 0, last) + _grams(spread, top, spread.edges - 1))
    return Giveaway(
        counts,
        float(spread.between(top, spread.edges - 1)[0]) / spread.fruit,
        float(spread.between(0, last)[0]) / spread.fruit,
        left_g,
        _brought(packing, counts, left_g),
    )


def _count(
    spread: Spread, packing: Packing, pack: CountPack, band_dg: tuple[int, int | None], times: float
) -> CountGiveaway:
    low, high = (spread.edge_at(edge) for edge in band_dg)
    if spread.is_empty(low, high):
        return CountGiveaway(pack.count, *band_dg, 0.0, None, keeps_rule=True)
    fruit = float(spread.between(low, high)[0])
    trays = _trays(spread, packing, pack, (low, high), times * fruit / pack.count)
    keeps = _is_narrow(pack, band_dg) and holds(spread, Demand.of(packing, pack), low, high)
    return CountGiveaway(pack.count, *band_dg, fruit / spread.fruit, trays, keeps)


def _trays(spread: Spread, packing: Packing, pack: CountPack, band: tuple[int, int], trays: float) -> Trays:
    demand = Demand.of(packing, pack)
    full_dg = packing.full_dg(pack)
    short, *by_rule = short_chances(spread, pack.count, band, [ceil(full_dg), *demand.under_dg])
    mean_g = pack.count * spread.mean_dg(*band) / DG_PER_G
    full_g = float(full_dg) / DG_PER_G
    brings = None if pack.price_minor is None else trays * float(pack.price_minor)
    given = None if brings is None else brings * (mean_g - full_g) / full_g
    return Trays(trays, mean_g, full_g, short, tuple(by_rule), brings, given)


def _is_narrow(pack: CountPack, band_dg: tuple[int, int | None]) -> bool:
    """Whether the band is no wider than the fruit of a package may lie apart."""
    low_dg, high_dg = band_dg
    return pack.widest_dg is None or (inf if high_dg is None else high_dg) - low_dg - 1 <= pack.widest_dg


def _brought(packing: Packing, counts: "Sequence[CountGiveaway]", left_g: float) -> float | None:
    if all(pack.price_minor is None for pack in packing.counts):
        return None
    in_trays = sum(count.trays.minor or 0.0 for count in counts if count.trays)
    return in_trays + left_g / G_PER_KG * float(packing.left_out_minor_per_kg)


def _grams(spread: Spread, low: int, high: int) -> float:
    sums = spread.between(low, high)
    return float(sums[1] + spread.first_dg / DG_PER_G * sums[0])


def _fine_enough(sizer: Sizer, breaks: Breaks) -> Sizer:
    """A grid that has the breaks on it: the sizer's, or a finer one."""
    edges = (*breaks.edges_dg, breaks.top_dg or 0)
    return Sizer(gcd(sizer.step_dg, *edges), sizer.error_dg)
