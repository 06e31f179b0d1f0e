"""How high the band of a count must reach for each lower edge, for its trays to hold the rule.

Raising either edge of a band makes its fruit heavier and a short tray less likely. So for a lower edge there is one
least upper edge, and every edge over it does too. A quick guess takes the quantiles of tray weights from mean, spread
and skew of the band, by the expansion of Cornish and Fisher (1937, from memory), and leans to the low side; an edge is
worked out exactly when the search comes to it.
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

# How far the guess leans, in s.d. of a tray: at all, over the number of different weights, and for the next terms of
# the expansion, which grow with z³, with 1 / count and with skew². Found by trial on bands made up at random, so that
# it leans far enough for all of them; the tests try others.
_LEAN, _LEAN_KINDS, _LEAN_TERMS = 0.05, 1.5, 0.12
_ROUNDING = 1e-3  # grams


class Reach:
    """The least upper edge for each lower edge of one count: guessed at first, exact where it was asked for.

    ``least[low]`` is the number of edges of the grid where no edge does.
    """

    def __init__(self, spread: "Spread", demand: Demand) -> None:
        self.spread = spread
        self.demand = demand
        self.least = _guessed(spread, demand)
        self._exact: dict[int, int] = {}

    @property
    def widest(self) -> int | None:
        """How many steps wide a band may be, so that no two readings lie further apart than fruit of a package may."""
        widest_dg = self.demand.widest_dg
        return None if widest_dg is None else (widest_dg + 1) // self.spread.step_dg

    def is_exact(self, low: int) -> bool:
        """Whether the least upper edge of this lower edge is worked out."""
        return low in self._exact

    def work_out(self, low: int) -> None:
        """Make the least upper edge of this lower edge exact.

        Where fruit under that edge are not enough, they are not with lighter fruit added: no lower one reaches less far.
        """
        found = self._search(low)
        self._exact[low] = found
        self.least[low] = found
        if not self.spread.is_empty(low, found - 1):
            self.least[:low] = self.least[:low].clip(min=found)

    def _search(self, low: int) -> int:
        """From the guess in ever longer steps to where the rule begins to hold, then by halves."""
        none = self.spread.edges
        guess, step = int(self.least[low]), 1
        below, above = low, none
        if guess < none and self._holds(low, guess):
            above, guess = guess, guess - 1
            while guess > below and self._holds(low, guess):
                above, guess, step = guess, guess - step, step * 2
            below = max(below, guess)
        else:
            below, guess = min(guess, none - 1), guess + 1
            while guess < none and not self._holds(low, guess):
                below, guess, step = guess, guess + step, step * 2
            above = min(guess, none)
        return self._between(low, below, above)

    def _between(self, low: int, below: int, above: int) -> int:
        """By halves: the rule holds at ``above``, or nowhere, and not at ``below``."""
        if above == self.spread.edges and below < above - 1 and not self._holds(low, above - 1):
            return above
        while above - below > 1:
            middle = (above + below) // 2
            if self._holds(low, middle):
                above = middle
            else:
                below = middle
        return above

    def _holds(self, low: int, high: int) -> bool:
        return holds(self.spread, self.demand, low, high)


def _guessed(spread: "Spread", demand: Demand) -> "Edges":
    """The least upper edges by the guess, for all lower edges at once by halves."""
    import numpy as np  # noqa: PLC0415

    lows = np.arange(spread.edges)
    below, above = lows.copy(), np.full(spread.edges, spread.edges)
    for _ in range(spread.edges.bit_length()):
        middle = np.minimum((below + above) // 2, spread.edges - 1)
        good = _likely(spread, demand, lows, middle)
        above = np.where(good, np.minimum(middle, above), above)
        below = np.where(good, below, np.maximum(middle, below))
    return above


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
    if not demand.under_dg:
        return good
    square = band[:, 2] / fruit
    variance = np.maximum(square - mean * mean, 0) + 1e-9
    third = (band[:, 3] / fruit - 3 * mean * square + 2 * mean**3) / variance
    sd = np.sqrt(demand.count * variance)
    few = _LEAN + _LEAN_KINDS / np.maximum(band[:, KINDS], 1)
    for under_dg, most in zip(demand.under_dg, demand.most, strict=True):
        z = float(ndtri(max(most, 1e-12)))
        lean = few + _LEAN_TERMS * abs(z) ** 3 * (1 / demand.count + (third / sd) ** 2)
        full = float(under_dg - demand.count * spread.first_dg) / DG_PER_G - _ROUNDING
        good &= demand.count * mean + (z + lean) * sd + (z * z - 1) / 6 * third >= full
    return good
