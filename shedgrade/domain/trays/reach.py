"""How high the band of a count must reach for each lower edge, for its trays to hold the rule.

Raising either edge of a band makes its fruit heavier and a short tray less likely. So for a lower edge there is one
least upper edge, and every edge over it does too. A quick guess takes the quantiles of tray weights from mean, spread
and skew of the band, by the expansion of Cornish and Fisher (1937, from memory), and leans to the low side; bands that
the search comes to are worked out exactly.
"""

from typing import TYPE_CHECKING

from shedgrade.domain.trays.filled import Demand, holds
from shedgrade.domain.trays.spread import KINDS
from shedgrade.domain.units import DG_PER_G

if TYPE_CHECKING:
    from numpy import bool_, int64
    from numpy.typing import NDArray

    from shedgrade.domain.trays.spread import Spread

    Edges = NDArray[int64]

# How far the guess leans, in s.d. of a tray: over the number of different weights; near the middle of the trays, where
# steps between sizes show; and for the next terms of the expansion, which grow with z³, with 1 / count and skew².
# Found by trial on bands made up at random, so that it leans far enough for all of them; the tests try others.
_LEAN_KINDS, _LEAN_MIDDLE, _LEAN_TERMS = 1.5, 0.2, 0.1
_ROUNDING = 1e-3  # grams
# With fewer fruit in a tray, or more trays short, nothing is guessed of short trays.
_FEW, _MANY_SHORT = 4, 0.2


class Reach:
    """For each lower edge of one count the least upper edge that may do: guessed at first, never too high.

    ``least[low]`` is the number of edges of the grid where none does.
    """

    def __init__(self, spread: "Spread", demand: Demand) -> None:
        self.spread = spread
        self.demand = demand
        self.least = _guessed(spread, demand)
        self._sure: dict[int, int] = {}

    @property
    def widest(self) -> int | None:
        """How many steps wide a band may be, so that no two readings lie further apart than fruit of a package may."""
        widest_dg = self.demand.widest_dg
        return None if widest_dg is None else (widest_dg + 1) // self.spread.step_dg

    def confirms(self, low: int, high: int) -> bool:
        """Whether the rule holds in this band; where it does not, ``least`` is made right for its lower edge.

        Where fruit under an edge are not enough, they are not with lighter ones added: no lower edge reaches less far.
        """
        if high >= self._sure.get(low, self.spread.edges):
            return True
        if self._holds(low, high):
            self._sure[low] = high
            return True
        self._sure[low] = self.least[low] = first = self._first_above(low, high)
        if not self.spread.is_empty(low, first - 1):
            self.least[:low] = self.least[:low].clip(min=first)
        return False

    def _first_above(self, low: int, high: int) -> int:
        """The first edge over this one at which the rule, failing here, holds: in ever longer steps, then by halves."""
        none, step = self.spread.edges, 1
        below, above = high, high + 1
        while above < none and not self._holds(low, above):
            step *= 2
            below, above = above, above + step
        if above >= none:
            below, above = none - 1 if not self._holds(low, none - 1) else below, none
        while above - below > 1:
            middle = (above + below) // 2
            below, above = (below, middle) if self._holds(low, middle) else (middle, above)
        return above

    def _holds(self, low: int, high: int) -> bool:
        return holds(self.spread, self.demand, low, high)


def _guessed(spread: "Spread", demand: Demand) -> "Edges":
    """The least upper edges by the guess, for all lower edges at once by halves."""
    import numpy as np  # noqa: PLC0415

    last = spread.edges - 1
    least = np.full(spread.edges, spread.edges)
    every = np.arange(spread.edges)
    lows = np.flatnonzero(_likely(spread, demand, every, np.full(spread.edges, last)))
    below, above = lows, np.full(len(lows), last)
    for _ in range(last.bit_length()):
        middle = (below + above) // 2
        good = _likely(spread, demand, lows, middle)
        above, below = np.where(good, middle, above), np.where(good, below, middle)
    least[lows] = above
    return least


def _likely(spread: "Spread", demand: Demand, lows: "Edges", highs: "Edges") -> "NDArray[bool_]":
    """Whether each band may hold the rule, by mean, spread and skew of its fruit."""
    import numpy as np  # noqa: PLC0415
    from scipy.special import ndtri  # noqa: PLC0415 - scipy is slow to import

    band = spread.sums[highs] - spread.sums[lows]
    fruit = np.maximum(band[:, 0], 1e-300)
    good: NDArray[bool_] = band[:, 0] > spread.nobody
    mean = band[:, 1] / fruit
    if demand.edge_dg is not None:
        good &= spread.first_dg + lows * spread.step_dg >= demand.edge_dg - 1e-9
    if demand.mean_dg is not None:
        good &= spread.first_dg + mean * DG_PER_G >= demand.mean_dg - 1e-9
    if not demand.under_dg or demand.count < _FEW:
        return good
    square = band[:, 2] / fruit
    variance = np.maximum(square - mean * mean, 0) + 1e-9
    third = (band[:, 3] / fruit - mean * (3 * square - 2 * mean * mean)) / variance
    sd = np.sqrt(demand.count * variance)
    few = _LEAN_KINDS / np.maximum(band[:, KINDS], 1)
    skewed = (1 + 1 / demand.count) / demand.count + (third / sd) ** 2
    for under_dg, most in zip(demand.under_dg, demand.most, strict=True):
        if most > _MANY_SHORT:
            continue
        z = float(ndtri(max(most, 1e-12)))
        lean = few + _LEAN_MIDDLE / z**2 + _LEAN_TERMS * abs(z) ** 3 * skewed
        full = float(under_dg - demand.count * spread.first_dg) / DG_PER_G - _ROUNDING
        good &= demand.count * mean + (z + lean) * sd + (z * z - 1) / 6 * third >= full
    return good
