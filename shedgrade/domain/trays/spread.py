"""The weights of the fruit of a class as a sizer sees them: what lies between any two edges of its grid.

Fruit are put into cells one unit wide. A band between two edges takes a share of each cell: all or nothing from a sizer
without error, else the chance that a fruit of the cell's mean weight reads between the two. So whatever is summed over
a band (fruit, grams, powers of grams) is the difference of two running sums, and costs the same for every band.
"""

from dataclasses import dataclass
from functools import cached_property
from math import floor, gcd
from typing import TYPE_CHECKING, TypeAlias

from shedgrade.domain.trays.breaks import Sizer
from shedgrade.domain.units import DG_PER_G

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy import float64, int64
    from numpy.typing import NDArray

    Floats: TypeAlias = NDArray[float64]
    Weights: TypeAlias = Sequence[int] | NDArray[int64]

POWERS = 4  # of the weight: 0 counts the fruit, 1 to 3 give mean, spread and skew
KINDS = POWERS  # the column after them: cells that hold any fruit, so many different weights
_FAR = 6  # standard errors: further off than this a sizer puts one fruit in a billion
_NOBODY = 1e-9  # of all fruit: less than this is no fruit at all


@dataclass(frozen=True, eq=False)
class Spread:
    """Fruit by cell, ``unit_dg`` wide. Edges are numbers from 0, the lightest, up, the first at ``first_dg``.

    ``low`` and ``high`` are each cell's fruit split over its two ends, so that their mean weight stays.
    ``powers[cell, p]`` adds up (weight - first)^p in grams, its column ``KINDS`` is 1 where the cell holds any.
    """

    first_dg: int
    step_dg: int
    unit_dg: int
    error_dg: float
    low: "Floats"
    high: "Floats"
    powers: "Floats"

    @classmethod
    def of(cls, weights_dg: "Weights", sizer: Sizer) -> "Spread":
        """From weights in decigrams; ValueError without any."""
        import numpy as np  # noqa: PLC0415

        weights: NDArray[int64] = np.asarray(weights_dg, dtype=np.int64)
        if not len(weights) or int(weights.min()) < 1:
            raise ValueError("breaks need fruit, each over 0 g")
        far = floor(_FAR * sizer.error_dg) + sizer.step_dg
        first = max(int(weights.min()) - far, 0) // sizer.step_dg * sizer.step_dg
        steps = (int(weights.max()) + far - first) // sizer.step_dg + 1
        unit = gcd(sizer.step_dg, DG_PER_G)
        cells = steps * (sizer.step_dg // unit)
        cell, inside = np.divmod(weights - first, unit)
        grams = (weights - first) / DG_PER_G
        powers = [np.bincount(cell, weights=grams**power, minlength=cells) for power in range(POWERS)]
        high: Floats = np.bincount(cell, weights=inside / unit, minlength=cells).astype(np.float64)
        low: Floats = powers[0] - high
        any_there = (powers[0] > 0).astype(np.float64)
        return cls(first, sizer.step_dg, unit, float(sizer.error_dg), low, high, np.stack([*powers, any_there], axis=1))

    @cached_property
    def sums(self) -> "Floats":
        """The sums of ``powers`` over the fruit that read under each edge."""
        import numpy as np  # noqa: PLC0415

        per_step = self.step_dg // self.unit_dg
        running = np.concatenate([np.zeros((1, KINDS + 1)), np.cumsum(self.powers, axis=0)])
        if not self.error_dg:
            return running[::per_step]
        sums = []
        for edge in range(len(self.low) // per_step + 1):
            first, last = self._reach(edge, edge)
            sums.append(running[first] + self._under(edge, first, last) @ self.powers[first:last])
        return np.stack(sums)

    @property
    def edges(self) -> int:
        """How many edges the grid has; all fruit lie between the first and the last."""
        return len(self.sums)

    @property
    def fruit(self) -> float:
        """How many fruit there are."""
        return float(self.sums[-1, 0])

    @property
    def nobody(self) -> float:
        """So few fruit that they are none: what a sizer that errs might once send far from where it belongs."""
        return _NOBODY * self.fruit

    def edge_dg(self, edge: int) -> int:
        """Where an edge lies."""
        return self.first_dg + int(edge) * self.step_dg

    def edge_at(self, weight_dg: int | None) -> int:
        """The edge at this weight, which is on the grid; beyond the fruit the nearest that has all of them on one side.

        None is above all fruit.
        """
        if weight_dg is None:
            return self.edges - 1
        return min(max(-(-(weight_dg - self.first_dg) // self.step_dg), 0), self.edges - 1)

    def between(self, low: int, high: int) -> "Floats":
        """The sums of a band."""
        sums: Floats = self.sums[high] - self.sums[low]
        return sums

    def is_empty(self, low: int, high: int) -> bool:
        """Whether a band gets no fruit."""
        return bool(self.sums[high, 0] - self.sums[low, 0] <= self.nobody)

    def mean_dg(self, low: int, high: int) -> float:
        """The mean weight of a band's fruit. The band holds fruit."""
        sums = self.between(low, high)
        return float(self.first_dg + sums[1] / sums[0] * DG_PER_G)

    def masses(self, low: int, high: int) -> "tuple[int, Floats]":
        """The shares of a band's fruit by weight: the decigrams of the first, then one every unit."""
        import numpy as np  # noqa: PLC0415

        first, last = self._reach(low, high)
        taken = self._under(high, first, last) - self._under(low, first, last) if self.error_dg else 1.0
        at = np.zeros(last - first + 1)
        at[:-1] = taken * self.low[first:last]
        at[1:] += taken * self.high[first:last]
        there = np.flatnonzero(at)
        start, end = int(there[0]), int(there[-1]) + 1
        return self.first_dg + (first + start) * self.unit_dg, at[start:end] / at[start:end].sum()

    @cached_property
    def _centres_dg(self) -> "Floats":
        """The mean weight of each cell, above the first."""
        import numpy as np  # noqa: PLC0415

        held = self.low + self.high
        inside = np.divide(self.high, held, out=np.full(len(held), 0.5), where=held > 0)
        centres: Floats = (np.arange(len(held)) + inside) * self.unit_dg
        return centres

    def _reach(self, low: int, high: int) -> tuple[int, int]:
        """The cells of which a band may take any."""
        per_step = self.step_dg // self.unit_dg
        far = floor(_FAR * self.error_dg / self.unit_dg) + 1 if self.error_dg else 0
        return max(low * per_step - far, 0), min(high * per_step + far, len(self.low))

    def _under(self, edge: int, first: int, last: int) -> "Floats":
        """How likely a fruit of each of these cells reads under the edge, on a sizer that errs."""
        from scipy.special import ndtr  # noqa: PLC0415 - scipy is slow to import

        under: Floats = ndtr((edge * self.step_dg - self._centres_dg[first:last]) / self.error_dg)
        return under
